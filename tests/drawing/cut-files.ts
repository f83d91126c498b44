/** Cut files for the writers' tests. */
import fc from 'fast-check';
import { type CutFile, verticesOf } from '../../src/drawing/write/cut-file.js';
import { type Arc, type Line, positionAt } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

export const arc = (x: number, y: number, radius: number, start: number, sweep: number): Arc => ({
  kind: 'arc',
  centre: { x, y },
  radius,
  start,
  sweep,
});

export const line = (x0: number, y0: number, x1: number, y1: number): Line => ({
  kind: 'line',
  from: { x: x0, y: y0 },
  to: { x: x1, y: y1 },
});

/** The arc from a to b that turns by `sweep`; a straight line for none. */
export const turning = (a: Point, b: Point, sweep: number): Line | Arc => {
  if (sweep === 0) return { kind: 'line', from: a, to: b };
  const chord = { x: b.x - a.x, y: b.y - a.y };
  const away = 0.5 / Math.tan(sweep / 2);
  const centre = {
    x: (a.x + b.x) / 2 - away * chord.y,
    y: (a.y + b.y) / 2 + away * chord.x,
  };
  const radius = Math.hypot(a.x - centre.x, a.y - centre.y);
  return arc(centre.x, centre.y, radius, Math.atan2(a.y - centre.y, a.x - centre.x), sweep);
};

/** A rounded rectangle travelled counter-clockwise. */
export const roundedRectangle = (x: number, y: number, w: number, h: number, r: number): (Line | Arc)[] => {
  const q = Math.PI / 2;
  return [
    line(x + r, y, x + w - r, y),
    arc(x + w - r, y + r, r, -q, q),
    line(x + w, y + r, x + w, y + h - r),
    arc(x + w - r, y + h - r, r, 0, q),
    line(x + w - r, y + h, x + r, y + h),
    arc(x + r, y + h - r, r, q, q),
    line(x, y + h - r, x, y + r),
    arc(x + r, y + r, r, 2 * q, q),
  ];
};

export const circle = (x: number, y: number, r: number, sense: 1 | -1 = 1): Arc[] => [
  arc(x, y, r, 0.3, sense * 2 * Math.PI),
];

/** Doubles as fast-check draws them are nearly all tiny: most of them would lie in one spot, and be thrown away. */
const coordinate = (high: number): fc.Arbitrary<number> =>
  fc.oneof(
    { weight: 4, arbitrary: fc.integer({ min: 0, max: 1_000_003 }).map((k) => (high * k) / 1_000_003) },
    { weight: 1, arbitrary: fc.double({ min: 0, max: high, noNaN: true }) },
  );

/** Rings of lines and arcs that turn by anything up to nearly a whole turn, either way. */
export const arbitraryRing: fc.Arbitrary<(Line | Arc)[]> = fc
  .array(
    fc.record({
      x: coordinate(1200),
      y: coordinate(900),
      sweep: fc.oneof(
        fc.constant(0),
        coordinate(12.2).map((turn) => turn - 6.1),
      ),
    }),
    { minLength: 3, maxLength: 8 },
  )
  .filter((v) =>
    v.every((p, i) => {
      const q = v[(i + 1) % v.length]!;
      const far = Math.hypot(p.x - q.x, p.y - q.y) > 0.01;
      return far && (p.sweep === 0 || Math.abs(p.sweep) > 0.01);
    }),
  )
  .map((v) => v.map((p, i) => turning(p, v[(i + 1) % v.length]!, p.sweep)));

/** Chains of the same edges, some of them left open. */
export const arbitraryPath: fc.Arbitrary<{ readonly segments: (Line | Arc)[]; readonly open: boolean }> = fc
  .tuple(arbitraryRing, fc.boolean())
  .map(([ring, open]) => ({ segments: open ? ring.slice(0, -1) : ring, open }));

export const fileOf = (
  axes: CutFile['axes'],
  rings: readonly (readonly (Line | Arc)[])[],
  size?: [number, number],
): CutFile => ({
  axes,
  ...(size ? { size } : {}),
  paths: rings.map((segments, i) => ({ segments, layer: 'cut', id: `ring-${i + 1}` })),
});

/** The edges a writer is expected to write: what `verticesOf` gives, as segments. */
export const writtenEdges = (path: readonly (Line | Arc)[], open = false): (Line | Arc)[] => {
  const vertices = verticesOf(path, open);
  return vertices.flatMap((v, i) => {
    if (open && i === vertices.length - 1) return [];
    return [turning(v.at, vertices[(i + 1) % vertices.length]!.at, v.sweep ?? 0)];
  });
};

/**
 * The largest distance between points at the same fraction of the same edge. Compare the count of
 * edges first.
 */
export const largestMiss = (
  a: readonly (Line | Arc)[],
  b: readonly (Line | Arc)[],
  place: (p: Point) => Point = (p) => p,
): number => {
  let miss = 0;
  for (let i = 0; i < a.length; i++) {
    for (const t of [0, 0.25, 0.5, 0.75, 1]) {
      const p = positionAt(a[i]!, t);
      const q = place(positionAt(b[i]!, t));
      miss = Math.max(miss, Math.hypot(p.x - q.x, p.y - q.y));
    }
  }
  return miss;
};
