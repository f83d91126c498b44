import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Cubic, reversed } from '../../../src/geometry/curve.js';
import { partOf } from '../../../src/geometry/curve-part.js';
import { pathLength, segmentLength } from '../../../src/geometry/measure.js';
import type { Point } from '../../../src/geometry/point.js';
import { codes, ids, joinBody, lines, onlyPathOf, said } from './joined.js';

const square = lines([10, 10, 30, 10], [30, 10, 30, 30], [30, 30, 10, 30], [10, 30, 10, 10]);

const total = (joined: ReturnType<typeof joinBody>): number =>
  joined.drawing.shapes.flatMap(({ paths }) => paths).reduce((sum, path) => sum + pathLength(path), 0);

describe('lines drawn twice', () => {
  it('the same line, and the same one backwards, is taken once', () => {
    const joined = joinBody(`${square}${lines([10, 10, 30, 10], [30, 30, 30, 10])}`);
    expect(ids(joined)).toEqual(['line-1']);
    expect(joined.report).toMatchObject({ outlines: 1, lines: 4, duplicates: 2 });
    expect(said(joined, 'lines-drawn-twice')).toBe(
      '2 lines drawn twice, in whole or in part: line-5 on line-1, line-6 on line-2. A second pass would burn there twice, so each is taken once, whatever its stroke and layer.',
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
    expect(codes(joined)).toEqual(['lines-joined', 'lines-drawn-twice']);
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

  it('a curve over a part of another one is left out, whichever way it runs and wherever it was divided', () => {
    const whole = '<path d="M10 10C20 20 30 0 40 10"/>';
    const length = total(joinBody(whole));
    const half = '<path d="M10 10C15 15 20 12.5 25 10"/>';
    const back = '<path d="M40 10C35 5 30 7.5 25 10"/>';
    for (const body of [whole + half, half + whole, whole + back, back + whole, whole + half + back]) {
      const joined = joinBody(body);
      expect(joined.drawing.shapes).toHaveLength(1);
      expect(total(joined)).toBeCloseTo(length, 6);
      expect(codes(joined)).toContain('lines-drawn-twice');
    }
    expect(total(joinBody(half + back))).toBeCloseTo(length, 6);
    expect(joinBody(half + back).report.duplicates).toBe(0);
  });

  it('curves that overlap are cut where the first one ends, and a curve that is no part stays whole', () => {
    const first = '<path d="M10 10C15 15 20 12.5 25 10"/>';
    // The part of M10 10C20 20 30 0 40 10 from a quarter of it to its end.
    const second = '<path d="M17.5 12.8125C25 11.875 32.5 2.5 40 10"/>';
    const length = total(joinBody('<path d="M10 10C20 20 30 0 40 10"/>'));
    expect(total(joinBody(first + second))).toBeCloseTo(length, 6);
    expect(onlyPathOf(joinBody(first + second)).segments).toHaveLength(2);
    const other = '<path d="M10 10C15 15.1 20 12.5 25 10"/>';
    expect(joinBody(`<path d="M10 10C20 20 30 0 40 10"/>${other}`).report.duplicates).toBe(0);
  });

  it('arcs of one ellipse that overlap are cut where the first one ends', () => {
    const arc = (from: number, to: number): string => {
      const at = (t: number): string => `${50 + 20 * Math.cos(t)} ${50 + 8 * Math.sin(t)}`;
      return `<path d="M${at(from)}A20 8 0 ${to - from > Math.PI ? 1 : 0} 1 ${at(to)}"/>`;
    };
    const of = (from: number, to: number): number => total(joinBody(arc(from, to)));
    expect(total(joinBody(arc(0, 2) + arc(1, 3)))).toBeCloseTo(of(0, 3), 6);
    expect(total(joinBody(arc(0, 2) + arc(0.5, 1.5)))).toBeCloseTo(of(0, 2), 6);
    expect(onlyPathOf(joinBody(arc(0, 4) + arc(3, 7))).closed).toBe(true);
  });

  it('any part of any curve is found on it', () => {
    const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
    const place = fc.tuple(number(5, 95), number(5, 95));
    const text = (p: { x: number; y: number }): string => `${p.x} ${p.y}`;
    const drawn = (s: Cubic): string =>
      `<path d="M${text(s.from)}C${text(s.control1)} ${text(s.control2)} ${text(s.to)}"/>`;
    fc.assert(
      fc.property(
        fc.tuple(place, place, place, place),
        number(0, 1),
        number(0, 1),
        fc.nat(3),
        (p, a, b, how) => {
          fc.pre(Math.abs(a - b) > 0.02);
          const [from, control1, control2, to] = p.map(([x, y]) => ({ x, y })) as [
            Point,
            Point,
            Point,
            Point,
          ];
          const whole: Cubic = { kind: 'cubic', from, control1, control2, to };
          const cut = partOf(whole, Math.min(a, b), Math.max(a, b));
          const part = drawn(how & 1 ? (reversed(cut) as Cubic) : cut);
          const joined = joinBody(how & 2 ? part + drawn(whole) : drawn(whole) + part);
          expect(joined.report.duplicates).toBe(1);
          expect(total(joined)).toBeCloseTo(segmentLength(whole), 2);
        },
      ),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it.each([
    [
      'a rectangle and a path with a corner more',
      '<rect x="10" y="10" width="20" height="20"/>',
      '<path d="M10 10H20H30V30H10z"/>',
    ],
    ['a rectangle and four lines', '<rect x="10" y="10" width="20" height="20"/>', square],
    [
      'a circle and two arcs',
      '<circle cx="50" cy="50" r="10"/>',
      '<path d="M60 50A10 10 0 0 1 40 50A10 10 0 0 1 60 50z"/>',
    ],
    [
      'an ellipse and two arcs',
      '<ellipse cx="50" cy="50" rx="9" ry="4"/>',
      '<path d="M59 50A9 4 0 0 1 41 50A9 4 0 0 1 59 50z"/>',
    ],
    [
      'a small circle and four curves, which lie on it within 0.002 mm',
      '<circle cx="50" cy="50" r="5"/>',
      '<path d="M55 50C55 52.7614 52.7614 55 50 55S45 52.7614 45 50S47.2386 45 50 45S55 47.2386 55 50z"/>',
    ],
    [
      'a leaf and one with a curve in two',
      '<path d="M10 10C20 20 30 0 40 10C40 40 10 40 10 10z"/>',
      '<path d="M10 10C15 15 20 12.5 25 10S35 5 40 10C40 40 10 40 10 10z"/>',
    ],
  ])('an outline is taken once however it is divided: %s', (_, one, other) => {
    for (const body of [one + other, other + one]) {
      const joined = joinBody(body);
      expect(onlyPathOf(joined).closed).toBe(true);
      expect(codes(joined)).toContain('lines-drawn-twice');
    }
  });

  it('outlines in the same box that are not the same both stay', () => {
    const joined = joinBody(
      `<circle cx="50" cy="50" r="10"/><path d="M60 50A10 10 0 0 1 40 50L50 40z"/><path d="M40 40H60V60H40z"/>
       <path d="M40 50L50 40L60 50L50 60z"/><circle cx="50" cy="50" r="9.99"/>`,
    );
    expect(joined.report.duplicates).toBe(0);
    expect(joined.drawing.shapes).toHaveLength(5);
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

  it('copies in another layer or colour are taken once, closed or open, in whole or in part', () => {
    const inLayers = joinBody(`<g id="a">${square}</g><g id="b">${square}</g>`);
    expect(inLayers.drawing.shapes).toHaveLength(1);
    expect(inLayers.report.duplicates).toBe(1);
    expect(said(inLayers, 'lines-drawn-twice')).toMatch('whatever its stroke and layer');
    const open = joinBody(
      `<g stroke="red">${lines([10, 10, 30, 10])}</g><g stroke="blue">${lines([20, 10, 50, 10])}</g>`,
    );
    expect(total(open)).toBeCloseTo(40, 9);
    expect(open.drawing.shapes.map(({ stroke }) => stroke)).toEqual(['#ff0000', '#0000ff']);
  });

  it('a copy that has another role stays', () => {
    expect(joinBody(`<g id="openings">${square}</g><g id="b">${square}</g>`).report.duplicates).toBe(0);
  });
});
