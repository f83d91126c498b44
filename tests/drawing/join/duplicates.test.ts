import { describe, expect, it } from 'vitest';
import { pathLength } from '../../../src/geometry/measure.js';
import { codes, ids, joinBody, lines, onlyPathOf, said } from './joined.js';

const square = lines([10, 10, 30, 10], [30, 10, 30, 30], [30, 30, 10, 30], [10, 30, 10, 10]);

const total = (joined: ReturnType<typeof joinBody>): number =>
  joined.drawing.shapes.flatMap(({ paths }) => paths).reduce((sum, path) => sum + pathLength(path), 0);

describe('lines drawn twice', () => {
  it('the same line, and the same one backwards, is taken once', () => {
    const joined = joinBody(`${square}${lines([10, 10, 30, 10], [30, 30, 30, 10])}`);
    expect(ids(joined)).toEqual(['line-1']);
    expect(joined.report).toMatchObject({ outlines: 1, lines: 4, duplicates: 2 });
    expect(said(joined, 'duplicate-lines')).toBe(
      '2 lines drawn twice, in whole or in part: line-5 on line-1, line-6 on line-2. A second pass would burn there twice, so each is taken once.',
    );
    expect(joined.drawing.shapes[0]!.labels).toContain('line-6');
  });

  it('a square drawn three times over is one', () => {
    const joined = joinBody(square + square + square);
    expect(onlyPathOf(joined).closed).toBe(true);
    expect(joined.report.duplicates).toBe(8);
  });

  it('lines that overlap in part are cut where the first one ends', () => {
    const joined = joinBody(lines([10, 10, 30, 10], [20, 10, 50, 10], [15, 10, 18, 10], [60, 10, 45, 10]));
    expect(total(joined)).toBeCloseTo(50, 9);
    expect(joined.report.duplicates).toBe(3);
    expect(onlyPathOf(joined).segments).toHaveLength(3);
  });

  it('a side drawn in two overlapping lines closes its outline', () => {
    const joined = joinBody(
      lines([10, 10, 22, 10], [18, 10, 30, 10], [30, 10, 30, 30], [30, 30, 10, 30], [10, 30, 10, 10]),
    );
    expect(onlyPathOf(joined).closed).toBe(true);
    expect(total(joined)).toBeCloseTo(80, 9);
  });

  it('a side drawn once whole and once in halves closes its outline once', () => {
    const joined = joinBody(square + lines([10, 10, 20, 10], [20, 10, 30, 10]));
    expect(onlyPathOf(joined).closed).toBe(true);
    expect(total(joined)).toBeCloseTo(80, 9);
    expect(codes(joined)).toEqual(['lines-joined', 'duplicate-lines']);
  });

  it('arcs of one circle that overlap are cut where the first one ends', () => {
    const arc = (from: number, to: number): string => {
      const at = (t: number): string => `${50 + 20 * Math.cos(t)} ${50 + 20 * Math.sin(t)}`;
      return `<path d="M${at(from)}A20 20 0 ${to - from > Math.PI ? 1 : 0} 1 ${at(to)}"/>`;
    };
    expect(total(joinBody(arc(0, 2) + arc(1, 3)))).toBeCloseTo(60, 6);
    expect(total(joinBody(arc(0, 2) + arc(0.5, 1.5)))).toBeCloseTo(40, 6);
    expect(total(joinBody(arc(0, 5) + arc(4, 7)))).toBeCloseTo(40 * Math.PI, 6);
    expect(onlyPathOf(joinBody(arc(0, 4) + arc(3, 7))).closed).toBe(true);
  });

  it('the same curve twice is taken once, backwards too', () => {
    const joined = joinBody(
      '<path d="M10 10C10 30 40 30 40 10"/><path d="M40 10C40 30 10 30 10 10"/><path d="M10 10C10 20 40 20 40 10"/>',
    );
    expect(joined.report).toMatchObject({ outlines: 1, duplicates: 1 });
  });

  it('a closed shape drawn again is taken once, wherever it starts', () => {
    const joined = joinBody(
      `<rect id="a" x="10" y="10" width="20" height="20"/><path id="b" d="M30 30H10V10H30z"/><path d="M10 30h20v-20h-20z"/>
       <circle id="c" cx="60" cy="60" r="5"/><circle cx="60" cy="60" r="5"/><circle cx="60" cy="60" r="4.9"/>`,
    );
    expect(joined.report.duplicates).toBe(3);
    expect(ids(joined)).toEqual(['a', 'c', 'circle-6']);
    expect(joined.drawing.shapes[0]!.labels).toEqual(['b', 'path-3']);
  });

  it('a line over the side of a closed shape is left out, a part that sticks out stays', () => {
    const joined = joinBody(
      `<rect id="a" x="10" y="10" width="20" height="20"/>${lines([12, 10, 28, 10], [20, 30, 40, 30])}`,
    );
    expect(ids(joined)).toEqual(['a', 'line-3']);
    expect(total(joined)).toBeCloseTo(90, 9);
  });

  it('outlines that lie along each other keep their edges', () => {
    const joined = joinBody(
      `${square}${lines([30, 12, 40, 12], [40, 12, 40, 28], [40, 28, 30, 28], [30, 28, 30, 12])}`,
    );
    expect(joined.report).toMatchObject({ outlines: 2, duplicates: 0 });
    expect(total(joined)).toBeCloseTo(80 + 52, 9);
  });

  it('lines near each other are two lines', () => {
    expect(joinBody(lines([10, 10, 30, 10], [10, 10.02, 30, 10.02]), 0.5).report.duplicates).toBe(0);
  });

  it('lines of two layers may lie on each other', () => {
    expect(joinBody(`<g id="a">${square}</g><g id="b">${square}</g>`).report.duplicates).toBe(0);
  });
});
