import { describe, expect, it } from 'vitest';
import { listDrawing, listJob } from '../../../src/drawing/list-drawing.js';
import { signedArea } from '../../../src/geometry/measure.js';
import { bytesOf, page } from '../svg-text.js';
import { codes, ids, joinBody, lines, onlyPathOf, said, widestLeak } from './joined.js';

const square = lines([10, 10, 30, 10], [30, 30, 30, 10], [10, 30, 30, 30], [10, 30, 10, 10]);

describe('loose lines become outlines', () => {
  it('four lines in any order and direction are a square, under the name of the first', () => {
    const joined = joinBody(square);
    const path = onlyPathOf(joined);
    expect(path).toMatchObject({ closed: true, segments: { length: 4 } });
    expect(Math.abs(signedArea(path))).toBeCloseTo(400, 9);
    expect(joined.drawing.shapes[0]).toMatchObject({
      id: 'line-1',
      element: 'joined',
      labels: ['line-2', 'line-3', 'line-4'],
    });
    expect(joined.report).toEqual({
      distance: 0.01,
      outlines: 1,
      lines: 4,
      openChains: 0,
      largestGap: 0,
      duplicates: 0,
    });
    expect(said(joined, 'lines-joined')).toBe(
      '1 closed outline made of 4 loose lines; the largest gap between their ends was 0 mm (join: 0.01).',
    );
  });

  it('ends within the join distance are joined, others are not, and the gap is told', () => {
    const gap = (g: number): string =>
      lines([10, 10, 30, 10], [30, 10 + g, 30, 30], [30, 30, 10, 30], [10, 30, 10, 10]);
    const near = joinBody(gap(0.008));
    expect(onlyPathOf(near).closed).toBe(true);
    expect(near.report.largestGap).toBeCloseTo(0.008, 9);
    // A gap just as wide as the join distance, whatever rounding makes of it.
    for (const place of [10, 30, 77]) {
      const open = lines(
        [place, 10, 90, 10],
        [90, 10, 90, 60],
        [90, 60, place, 60],
        [place, 60, place, 10.01],
      );
      expect(joinBody(open).report.outlines).toBe(1);
      expect(joinBody(open, 0.00999).report.outlines).toBe(0);
    }
    const far = joinBody(gap(0.14));
    expect(onlyPathOf(far).closed).toBe(false);
    expect(said(far, 'open-path-left-out')).toBe(
      '1 path nearly closed: line-1 (0.14 mm gap at 30.00, 89.86). To close it write "join: 0.15" (now 0.01 mm), or mend the drawing.',
    );
    expect(far.drawing.shapes[0]!.openGap!.gap).toBeCloseTo(0.14, 9);
    const wider = joinBody(gap(0.14), 0.2);
    expect(onlyPathOf(wider).closed).toBe(true);
    expect(codes(wider)).toEqual(['lines-joined']);
    expect(codes(joinBody(gap(0.008), 0))).toContain('open-path-left-out');
  });

  it('a path that nearly closes is closed, whatever it ends with', () => {
    for (const d of [
      'M10 10H30V30H10V10.007',
      'M10 10C30 10 30 30 20 30S10 20 10.005 10.005',
      'M10 10H30A10 10 0 0 1 10.004 10',
      'M30 20A10 10 0 1 1 29.99999 19.993',
    ]) {
      const joined = joinBody(`<path d="${d}"/>`);
      const path = onlyPathOf(joined);
      expect(path.closed, d).toBe(true);
      expect(widestLeak(path), d).toBeLessThan(1e-9);
      expect(joined.report).toMatchObject({ outlines: 1, lines: 1 });
      expect(joined.drawing.shapes[0]).toMatchObject({ id: 'path-1', element: 'path' });
      expect(joined.drawing.shapes[0]!.labels).toBeUndefined();
    }
  });

  it('subpaths of one shape are joined within it', () => {
    const joined = joinBody(
      '<path id="leaf" d="M10 10H30M30 10V30M10 30H30M10 30V10M50 50h5M60 60h20v20z"/>',
    );
    expect(ids(joined)).toEqual(['leaf']);
    expect(joined.drawing.shapes[0]!.paths.map(({ closed }) => closed)).toEqual([true, false, true]);
    expect(joined.drawing.shapes[0]!.element).toBe('path');
  });

  it('a line and an arc, and curves, close too', () => {
    const joined = joinBody(
      '<path d="M10 20H30"/><path d="M10 20A10 10 0 0 1 30 20"/><path d="M50 20C50 30 70 30 70 20"/><path d="M50 20C50 10 70 10 70 20"/>',
    );
    expect(joined.drawing.shapes.map(({ paths }) => paths[0]!.closed)).toEqual([true, true]);
    expect(ids(joined)).toEqual(['path-1', 'path-3']);
  });

  it('close whatever the colour and layer of their lines, and not with lines of another role', () => {
    const half = lines([10, 10, 30, 10], [30, 10, 30, 30]);
    const rest = lines([30, 30, 10, 30], [10, 30, 10, 10]);
    const together = (body: string): void => {
      const joined = joinBody(body);
      expect(onlyPathOf(joined).closed).toBe(true);
      expect(joined.report).toMatchObject({ outlines: 1, openChains: 0 });
    };
    together(`<g id="a">${half}</g><g id="b">${rest}</g>`);
    together(`<g stroke="red">${half}</g><g stroke="blue">${rest}</g>`);
    together(`<g stroke="red">${half}</g><g stroke="red">${rest}</g>`);
    const apart = joinBody(`<g id="openings">${half}</g>${rest}`);
    expect(apart.drawing.shapes.map(({ paths }) => paths[0]!.closed)).toEqual([false, false]);
    // A line that is selected by its own name is selected with the outline that it is part of.
    together(
      `${half}<line id="outline" x1="30" y1="30" x2="10" y2="30"/><line x1="10" y1="30" x2="10" y2="10"/>`,
    );
  });

  it('close without the lines of another colour or layer that end in their corners', () => {
    const square = lines([10, 10, 30, 10], [30, 10, 30, 30], [30, 30, 10, 30], [10, 30, 10, 10]);
    const fold = lines([10, 10, 30, 30]);
    const joined = joinBody(`<g stroke="red">${square}</g><g stroke="blue">${fold}</g>`);
    expect(joined.drawing.shapes.map(({ paths }) => paths[0]!.closed)).toEqual([true, false]);
    expect(codes(joined)).toEqual(['lines-joined']);
  });

  it('of several colours that do not close stay lines of their own', () => {
    const joined = joinBody(
      `<g stroke="red">${lines([10, 10, 30, 10])}</g><g stroke="blue">${lines([30, 10, 30, 30])}</g>`,
    );
    expect(ids(joined)).toEqual(['line-1', 'line-2']);
    expect(joined.report).toMatchObject({ outlines: 0, openChains: 0 });
  });

  it('that are named as the list names them stay whole, and so do those that are left out by such a name', () => {
    const at = (x: number) =>
      lines([x, 10, x + 20, 10], [x + 20, 10, x + 20, 30], [x + 20, 30, x, 30], [x, 30, x, 10]);
    const body = lines([5, 5, 95, 5], [95, 5, 95, 95], [95, 95, 5, 95], [5, 95, 5, 5]) + at(10) + at(40);
    const bytes = bytesOf(page(body));
    const listed = listDrawing(bytes, 'd.svg');
    const understood = (roles: string) =>
      listJob(
        { path: 'job.yaml', text: `drawing: d.svg\nroles: ${roles}\ncut: {clearance: 0.5}\n` },
        { read: () => bytes },
      );
    // The line that is printed says what was assumed.
    expect(listed.roles.line).toBe('roles: {openings: [line-5, line-9], outline: line-1}');
    const stated = understood('{openings: [line-5, line-9], outline: line-1}');
    expect(stated.joined.outlines).toBe(3);
    expect([...stated.roles.roles]).toEqual([...listed.roles.roles]);
    const less = understood('{openings: not line-9}');
    expect(less.joined.outlines).toBe(3);
    expect(less.roles.roles.get('line-9')).toBe('unused');
  });

  it('marks stay as they are, and so does what the job calls by name', () => {
    const angle = lines([10, 10, 30, 10], [30, 10, 30, 30]);
    expect(ids(joinBody(`<g id="marks">${angle}</g>`))).toEqual(['line-1', 'line-2']);
    expect(joinBody(`<g id="marks">${square}${square}</g>`).drawing.shapes).toHaveLength(8);
    expect(ids(joinBody(angle, 0.01, ['line-2']))).toEqual(['line-1', 'line-2']);
    expect(ids(joinBody(angle))).toEqual(['line-1']);
    const cross = lines([50, 40, 50, 60], [40, 50, 60, 50]);
    expect(joinBody(cross).drawing.shapes).toHaveLength(2);
  });

  it('a drawing without loose lines is handed on as it is', () => {
    const joined = joinBody('<circle r="3"/><path d="M0 0h9v9z"/>');
    expect(joined.drawing.warnings).toEqual([]);
    expect(joined.report).toEqual({ distance: 0.01, outlines: 0, lines: 0, openChains: 0, duplicates: 0 });
  });
});

describe('where more than two lines meet', () => {
  it('outlines that touch in a corner are two', () => {
    const two = lines(
      [10, 10, 20, 10],
      [20, 10, 20, 20],
      [20, 20, 10, 20],
      [10, 20, 10, 10],
      [20, 20, 30, 20],
      [30, 20, 30, 30],
      [30, 30, 20, 30],
      [20, 30, 20, 20],
    );
    const joined = joinBody(two);
    expect(ids(joined)).toEqual(['line-1', 'line-5']);
    expect(joined.drawing.shapes.map(({ paths }) => Math.abs(signedArea(paths[0]!)))).toEqual([100, 100]);
    expect(codes(joined)).toEqual(['lines-joined']);
  });

  it('a tail that leads nowhere stays open', () => {
    const joined = joinBody(`${square}${lines([30, 10, 50, 5], [50, 5, 60, 5])}`);
    expect(ids(joined)).toEqual(['line-1', 'line-5']);
    expect(joined.drawing.shapes.map(({ paths }) => paths[0]!.closed)).toEqual([true, false]);
    expect(joined.report).toMatchObject({ outlines: 1, openChains: 1 });
  });

  it('an edge that two outlines share is not guessed at: both stay open, and the places are told', () => {
    const joined = joinBody(`${square}${lines([30, 10, 50, 10], [50, 10, 50, 30], [50, 30, 30, 30])}`);
    expect(joined.report.outlines).toBe(0);
    expect(said(joined, 'ambiguous-junction')).toBe(
      'At 2 places three or more lines meet and it cannot be told which make an outline together: ' +
        '(30.00, 70.00), (30.00, 90.00). They stay open; draw each outline closed by itself.',
    );
  });

  it('outlines side by side, each drawn in full, have an edge each', () => {
    const cell = (x: number, y: number): string =>
      lines([x, y, x + 10, y], [x + 10, y, x + 10, y + 10], [x + 10, y + 10, x, y + 10], [x, y + 10, x, y]);
    const grid = [0, 1, 2].flatMap((i) => [0, 1, 2].map((j) => cell(10 + 10 * i, 10 + 10 * j))).join('');
    const joined = joinBody(grid);
    expect(joined.report).toMatchObject({ outlines: 9, lines: 36, duplicates: 0 });
    expect(new Set(ids(joined)).size).toBe(9);
    for (const { paths } of joined.drawing.shapes) {
      expect(Math.abs(signedArea(paths[0]!))).toBeCloseTo(100, 9);
    }
    expect(codes(joined)).toEqual(['lines-joined']);
  });

  it('what else the drawing holds is joined none the less', () => {
    const shared = `${square}${lines([30, 10, 50, 10], [50, 10, 50, 30], [50, 30, 30, 30])}`;
    const joined = joinBody(`${shared}${lines([60, 60, 70, 60], [70, 60, 70, 70], [70, 70, 60, 60])}`);
    expect(joined.report.outlines).toBe(1);
  });

  it('short lines do not shrink to nothing, however wide the join distance', () => {
    const many = Array.from({ length: 400 }, (_, i): [number, number, number, number] => {
      const [a, b] = [(i * Math.PI) / 200, ((i + 1) * Math.PI) / 200];
      return [50 + Math.cos(a), 50 + Math.sin(a), 50 + Math.cos(b), 50 + Math.sin(b)];
    });
    const joined = joinBody(lines(...many), 0.05);
    expect(onlyPathOf(joined).segments).toHaveLength(400);
    const apart = many.map(([x, y, u, v]): [number, number, number, number] => [x, y, u - 0.002, v - 0.002]);
    const near = joinBody(lines(...apart), 0.01);
    expect(onlyPathOf(near)).toMatchObject({ closed: true });
    expect(onlyPathOf(near).segments).toHaveLength(400);
  });
});
