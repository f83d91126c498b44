import fc from 'fast-check';
import Flatbush from 'flatbush';
import { describe, expect, it } from 'vitest';
import { type JoinedDrawing, joinDrawing } from '../../../src/drawing/join/join.js';
import type { Drawing, Shape } from '../../../src/drawing/model/drawing.js';
import { type Path, positionAt, type Segment } from '../../../src/geometry/curve.js';
import { segmentLength } from '../../../src/geometry/measure.js';
import { distance, emptyBox, type Point } from '../../../src/geometry/point.js';
import { widestLeak } from './joined.js';

const reach = 0.01;

/** A judge that knows nothing of joining: how far each of many points on some paths lies from the nearest point on others. */
const pointsOn = (paths: readonly Path[], step: number): Point[] =>
  paths.flatMap(({ segments }) =>
    segments.flatMap((s) => {
      const n = Math.max(1, Math.ceil(fastest(s) / step));
      return Array.from({ length: n + 1 }, (_, i) => positionAt(s, i / n));
    }),
  );

/** No point travels faster along a segment than this, mm for the whole of t. */
const fastest = (s: Segment): number =>
  s.kind === 'cubic'
    ? 3 * Math.max(distance(s.from, s.control1), distance(s.control1, s.control2), distance(s.control2, s.to))
    : segmentLength(s);

const farthest = (from: readonly Path[], to: readonly Path[]): number => {
  const step = 0.02;
  const targets = pointsOn(to, step);
  const index = new Flatbush(targets.length);
  for (const { x, y } of targets) index.add(x, y);
  index.finish();
  let worst = 0;
  for (const p of pointsOn(from, 0.37)) {
    const [nearest] = index.neighbors(p.x, p.y, 1);
    // The nearest point lies at most half a step along the line from the nearest sample.
    const apart = distance(p, targets[nearest!]!);
    worst = Math.max(worst, Math.sqrt(Math.max(0, apart * apart - (step / 2) ** 2)));
  }
  return worst;
};

const grid = fc.tuple(fc.integer({ min: 0, max: 4 }), fc.integer({ min: 0, max: 4 }));
/** Smaller than the join distance mostly, and often nothing. */
const jitter = fc.constantFrom(0, 0, 0, 0, 1e-9, 0.002, -0.003, 0.006, 0.02);

const segmentWith = (jitter: fc.Arbitrary<number>): fc.Arbitrary<Segment> =>
  fc
    .oneof(
      { weight: 5, arbitrary: fc.tuple(grid, grid, jitter, jitter) },
      { weight: 3, arbitrary: fc.tuple(grid, grid, jitter, jitter) },
    )
    .map(
      ([[a, b], [c, d], dx, dy]): Segment => ({
        kind: 'line',
        from: { x: 5 * a + dx, y: 5 * b },
        to: { x: 5 * c, y: 5 * d + dy + (a === c && b === d ? 5 : 0) },
      }),
    );

const arcWith = (jitter: fc.Arbitrary<number>): fc.Arbitrary<Segment> =>
  fc
    .tuple(
      grid,
      fc.integer({ min: 1, max: 2 }),
      fc.integer({ min: 0, max: 3 }),
      fc.constantFrom(-3, -2, -1, 1, 2, 3),
      jitter,
    )
    .map(([[x, y], radius, start, sweep, shift]) => ({
      kind: 'arc',
      centre: { x: 5 * x + shift, y: 5 * y },
      radius: 5 * radius,
      start: (start * Math.PI) / 2,
      sweep: (sweep * Math.PI) / 2,
    }));

const cubic: fc.Arbitrary<Segment> = fc.tuple(grid, grid, grid, grid).map(([a, b, c, d]) => ({
  kind: 'cubic',
  from: { x: 5 * a[0], y: 5 * a[1] },
  control1: { x: 5 * b[0], y: 5 * b[1] + 1 },
  control2: { x: 5 * c[0] + 1, y: 5 * c[1] },
  to: { x: 5 * d[0], y: 5 * d[1] },
}));

const shapesOf = (segments: readonly Segment[]): Shape[] =>
  segments.map((s, i) => ({
    id: `line-${i + 1}`,
    named: false,
    layers: ['0'],
    element: s.kind,
    paths: [{ segments: [s], closed: false }],
  }));

const drawingOf = (shapes: readonly Shape[]): Drawing => ({
  path: 'fern.dxf',
  units: 'mm',
  box: emptyBox,
  shapes,
  leftOut: [],
  warnings: [],
});

const pathsOf = ({ shapes }: Drawing): Path[] => shapes.flatMap(({ paths }) => [...paths]);

const join = (drawing: Drawing): JoinedDrawing =>
  joinDrawing(drawing, { distance: reach, kindOf: () => 'all' });

describe('joining and leaving out lines drawn twice', () => {
  const heapWith = (gaps: fc.Arbitrary<number>) =>
    fc
      .array(
        fc.oneof(
          { weight: 6, arbitrary: segmentWith(gaps) },
          { weight: 2, arbitrary: arcWith(gaps) },
          { weight: 1, arbitrary: cubic },
        ),
        {
          minLength: 1,
          maxLength: 40,
        },
      )
      .map(shapesOf);
  const heap = heapWith(jitter);

  it('loses no edge and adds none, whatever lies on what', () => {
    fc.assert(
      fc.property(heap, (shapes) => {
        const before = drawingOf(shapes);
        const after = join(before).drawing;
        // Joints move by at most twice the join distance, and lines within 0.002 mm count as one.
        expect(farthest(pathsOf(before), pathsOf(after))).toBeLessThan(2 * reach + 0.003);
        expect(farthest(pathsOf(after), pathsOf(before))).toBeLessThan(2 * reach + 0.003);
      }),
      { seed: 20261125, numRuns: 60 },
    );
  });

  it('leaves every path without a gap, and names nothing twice', () => {
    fc.assert(
      fc.property(heap, (shapes) => {
        const { drawing, report } = join(drawingOf(shapes));
        for (const path of pathsOf(drawing)) expect(widestLeak(path)).toBeLessThan(1.01e-6);
        const names = drawing.shapes.map(({ id }) => id);
        expect(new Set(names).size).toBe(names.length);
        const closed = pathsOf(drawing).filter((path) => path.closed).length;
        expect(closed).toBe(report.outlines);
        // Every line of the file is found again, by its own name or as a further one.
        const known = new Set(drawing.shapes.flatMap(({ id, labels = [] }) => [id, ...labels]));
        for (const { id } of shapes) expect(known.has(id)).toBe(true);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });

  it('done again leaves nothing more out, where no two lines are nearly one', () => {
    // Lines some thousandths apart at one end are two; joined there, they lie nearer to each other.
    const clear = heapWith(fc.constantFrom(0, 0, 0, 1e-9, 0.02));
    fc.assert(
      fc.property(clear, (shapes) => {
        const once = join(drawingOf(shapes)).drawing;
        const { report } = join({ ...once, warnings: [] });
        expect(report.duplicates).toBe(0);
      }),
      { seed: 20261125, numRuns: 150 },
    );
  });
});
