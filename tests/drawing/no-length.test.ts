/** What rounding leaves of a line that should not be there, and what is a point rather than a path. */
import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { writeDxf } from '../../src/drawing/write/write-dxf.js';
import { type EllipticalArc, endOf, positionAt, type Segment, startOf } from '../../src/geometry/curve.js';
import { pathLength } from '../../src/geometry/measure.js';
import { distance } from '../../src/geometry/point.js';
import { at, bytesOf, circle, line, lwpolyline, readParts, shapesOf } from './dxf-text.js';
import { onlyShape, readBody } from './svg-text.js';

const kindsOf = (segments: readonly Segment[]): string[] => segments.map(({ kind }) => kind);

/** A path of several kinds of curves, written as DXF and read again. */
const again = (segments: readonly Segment[]) => {
  const text = writeDxf({ axes: 'y-up', paths: [{ id: 'fern', layer: 'leaves', open: true, segments }] });
  const { shapes, leftOut } = readDrawing(bytesOf(text), { path: 'fern.dxf' });
  return { paths: shapes.flatMap((shape) => shape.paths), leftOut };
};

const leaf = (start: number, sweep: number, size = 100): EllipticalArc => ({
  kind: 'elliptical-arc',
  centre: { x: 1.3 * size, y: 1.7 * size },
  u: { x: size, y: 0.25 * size },
  v: { x: -0.1 * size, y: 0.4 * size },
  start,
  sweep,
});

describe('an SVG drawing', () => {
  it('has no sides of 1e-14 mm in a slot: a rect whose corners take all of its width', () => {
    // The width less both corners is 1e-14, not 0, where x is no round number.
    const slot =
      '<rect x="79.31298830363293" y="73.1" width="7.050335432193907" height="23.5" rx="9" ry="9"/>';
    const { segments, closed } = onlyShape(slot).paths[0]!;
    expect(kindsOf(segments)).toEqual([
      'elliptical-arc',
      'line',
      'elliptical-arc',
      'elliptical-arc',
      'line',
      'elliptical-arc',
    ]);
    expect(closed).toBe(true);
    segments.forEach((s, i) => {
      expect(distance(endOf(s), startOf(segments[(i + 1) % 6]!))).toBeLessThan(1e-9);
    });
  });

  it('drops steps within 1e-9 mm without ever going astray, however many there are', () => {
    const steps = 'l4e-10 0'.repeat(5000);
    const { segments } = onlyShape(`<path d="M10 10L20 10${steps}L20 20"/>`).paths[0]!;
    segments.slice(1).forEach((s, i) => {
      expect(startOf(s)).toEqual(endOf(segments[i]!));
    });
    expect(pathLength({ segments, closed: false })).toBeCloseTo(20, 5);
    // 2e-6 mm in all, on the way to which three steps in turn make one.
    expect(Math.abs(Math.max(...segments.map((s) => endOf(s).x)) - (20 + 2e-6))).toBeLessThan(2e-9);
  });

  it.each([
    ['path', '<path id="dot" d="M30 30l9e-7 0l0 5e-7z"/>'],
    ['path', '<path id="dot" d="M30 30c1e-7 0 3e-7 2e-7 0 1e-7"/>'],
    ['path', '<path id="dot" d="M30 30a3e-7 3e-7 0 0 1 1e-7 2e-7"/>'],
    ['line', '<line id="dot" x1="30" y1="30" x2="30.0000000001" y2="30"/>'],
    ['circle', '<circle id="dot" cx="30" cy="30" r="4e-7"/>'],
    ['ellipse', '<ellipse id="dot" cx="30" cy="30" rx="4e-7" ry="1e-7"/>'],
    ['polygon', '<polygon id="dot" points="30 30 30.00000000000001 30 30 30.00000000000001"/>'],
  ])('takes a %s within 1e-6 mm for a point, and says that it is left out: %s', (what, dot) => {
    const { shapes, leftOut } = readBody(`<circle id="leaf" cx="5" cy="5" r="2"/>${dot}`);
    expect(shapes.map(({ id }) => id)).toEqual(['leaf']);
    expect(leftOut).toEqual([{ what, where: 'line 1 (dot)', why: 'it has no length' }]);
  });

  it.each([
    '<path d="M30 30l2e-6 0"/>',
    '<path d="M30 30l9e-7 0l9e-7 0"/>',
    '<path d="M30 30c2e-6 0 2e-6 2e-6 0 2e-6z"/>',
    '<circle cx="30" cy="30" r="6e-7"/>',
    // All but a whole turn, between ends that lie next to each other.
    '<path d="M30 30A5 5 0 1 1 30.0000000005 30"/>',
  ])('keeps what reaches farther: %s', (body) => {
    expect(readBody(body).leftOut).toEqual([]);
    expect(onlyShape(body).paths).toHaveLength(1);
  });
});

describe('a DXF drawing', () => {
  it('drops steps of a polyline that are mere rounding, and keeps its vertices in one place', () => {
    const [shape] = shapesOf(
      lwpolyline(false, [
        [0, 0],
        [10, 0],
        [10 + 1e-13, 0],
        [10 + 1e-13, 1e-13, 0.5],
        [10, 10],
      ]),
    );
    const { segments } = shape!.paths[0]!;
    expect(kindsOf(segments)).toEqual(['line', 'arc']);
    expect(distance(endOf(segments[0]!), startOf(segments[1]!))).toBeLessThan(1e-12);
  });

  it('takes what lies within 1e-6 mm for a point, and says that it is left out', () => {
    const { shapes, leftOut } = readParts({
      entities: [
        line(0, 0, 1, 0),
        line(5, 5, 5 + 1e-13, 5),
        circle(5, 5, 4e-7),
        lwpolyline(true, [
          [5, 5],
          [5 + 9e-7, 5],
          [5, 5 + 9e-7],
        ]),
        [
          [0, 'ELLIPSE'],
          [8, '0'],
          ...at(5, 5),
          ...at(4e-7, 0, 11),
          [40, 0.5],
          [41, 0],
          [42, 6.283185307179586],
        ],
      ],
    });
    expect(shapes).toHaveLength(1);
    expect(leftOut.map(({ what, why }) => `${what}: ${why}`)).toEqual(
      ['LINE', 'CIRCLE', 'LWPOLYLINE', 'ELLIPSE'].map((what) => `${what}: it has no length`),
    );
  });
});

describe('a path of several kinds of curves in DXF', () => {
  it('leaves out the runs that are rounding between other curves', () => {
    const first = leaf(0, 1);
    const end = endOf(first);
    const step = { x: end.x + 1e-14, y: end.y - 3e-7 };
    const { paths, leftOut } = again([
      first,
      { kind: 'line', from: end, to: step },
      {
        kind: 'cubic',
        from: step,
        control1: { x: 1, y: 2 },
        control2: { x: 30, y: 4 },
        to: { x: 50, y: 60 },
      },
    ]);
    expect(leftOut).toEqual([]);
    expect(paths.flatMap(({ segments }) => kindsOf(segments))).toEqual(['elliptical-arc', 'cubic']);
  });

  it.each([1e-6, -1e-6, 1e-8, 4e-13])(
    'does not let an elliptical arc of %d radians become a whole ellipse',
    (sweep) => {
      // A kilometre wide, so that all but the last of them are long enough to be seen.
      const arc = leaf(0.3, sweep, 1e6);
      const from = endOf(arc);
      const to = { x: from.x + 10, y: from.y };
      const { paths, leftOut } = again([arc, { kind: 'line', from, to }]);
      expect(leftOut).toEqual([]);
      expect(paths).toHaveLength(1);
      const [one] = paths;
      expect(one!.closed).toBe(false);
      expect(distance(startOf(one!.segments[0]!), startOf(arc))).toBeLessThan(1e-6);
      expect(distance(endOf(one!.segments.at(-1)!), to)).toBeLessThan(1e-6);
      expect(pathLength(one!)).toBeCloseTo(10 + distance(startOf(arc), from), 5);
    },
  );

  it('does not close an ellipse that lacks less of a turn than a reader would see', () => {
    const arc = leaf(0.3, 2 * Math.PI - 1e-6);
    const { paths } = again([arc]);
    expect(paths.map(({ closed }) => closed)).toEqual([false, false]);
    const [one, other] = paths.map(({ segments }) => segments[0]!);
    expect(distance(startOf(one!), startOf(arc))).toBeLessThan(1e-6);
    expect(distance(endOf(other!), endOf(arc))).toBeLessThan(1e-6);
    expect(distance(endOf(one!), positionAt(arc, 0.5))).toBeLessThan(1e-6);
  });

  it('holds an ellipse as wide as a drawing may be to 1e-6 mm', () => {
    const arc = leaf(0.3, 4, 5e5);
    const [read] = again([arc]).paths;
    const ends = [startOf(read!.segments[0]!), endOf(read!.segments[0]!)];
    for (const t of [0, 1]) {
      expect(Math.min(...ends.map((p) => distance(p, positionAt(arc, t))))).toBeLessThan(1e-6);
    }
    expect(distance(positionAt(read!.segments[0]!, 0.5), positionAt(arc, 0.5))).toBeLessThan(1e-6);
  });
});
