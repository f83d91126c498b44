/** Parts to touch, and touches on them with a known truth. */
import type { Shape } from '../../src/drawing/model/drawing.js';
import { apply, compose, identity, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import type { Path, Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { spanLength, spanPoint } from '../../src/geometry/spans/span.js';
import { type TouchEdge, touchEdge } from '../../src/marks/touch-edge.js';
import type { TouchReadings } from '../../src/marks/touches.js';
import type { RandomSource } from '../../src/numeric/random.js';

export const polygon = (...corners: readonly (readonly [number, number])[]): Path => ({
  closed: true,
  segments: corners.map(([x, y], i): Segment => {
    const [u, v] = corners[(i + 1) % corners.length]!;
    return { kind: 'line', from: { x, y }, to: { x: u, y: v } };
  }),
});

export const circle = (centre: Point, radius: number): Path => ({
  closed: true,
  segments: [{ kind: 'arc', centre, radius, start: 0, sweep: 2 * Math.PI }],
});

/** A closed curve about the origin, smooth but for `corners`, in straight pieces. */
export const wavy = (random: RandomSource, pieces: number, waves: number): Path => {
  const harmonics = [2, 3, 4, 5].map((n) => ({
    n,
    size: (waves * (0.5 + random.uniform())) / n,
    phase: 2 * Math.PI * random.uniform(),
  }));
  return polygon(
    ...Array.from({ length: pieces }, (_, i): [number, number] => {
      const t = (2 * Math.PI * i) / pieces;
      let r = 1;
      for (const { n, size, phase } of harmonics) r += size * Math.cos(n * t + phase);
      return [300 * r * Math.cos(t), 220 * r * Math.sin(t)];
    }),
  );
};

export const shapeOf = (id: string, ...paths: readonly Path[]): Shape => ({
  id,
  named: true,
  layers: [],
  element: 'path',
  paths,
});

export interface EdgeOptions {
  readonly hole?: boolean;
  readonly setBack?: number;
  readonly radius?: number | 'unknown';
  readonly face?: Matrix;
}

export const edgeOf = (name: string, path: Path, options: EdgeOptions = {}): TouchEdge => {
  const { hole = false, setBack = 0, radius, face = identity } = options;
  const shapes = [shapeOf(name, path)];
  const edge = touchEdge({ name, shapes, alike: shapes, hole, setBack, face }, radius);
  if (edge === undefined) throw new Error(`${name} has no edge`);
  return edge;
};

export const lengthOf = ({ index }: TouchEdge): number =>
  index.spans.reduce((sum, s) => sum + spanLength(s), 0);

/** The point a share 0..1 of the way along an edge. */
export const along = ({ index }: TouchEdge, share: number): Point => {
  let left = share * index.spans.reduce((sum, s) => sum + spanLength(s), 0);
  for (const s of index.spans) {
    const size = spanLength(s);
    if (left <= size) return spanPoint(s, left / size);
    left -= size;
  }
  return spanPoint(index.spans.at(-1)!, 1);
};

export const placement = (turn: number, x = 700, y = 500): Matrix =>
  compose(translation(x, y), rotation(turn));

/** A reading at a design point, with noise in both axes. */
export const reading = (truth: Matrix, at: Point, random: RandomSource, sd: number): Point => {
  const p = apply(truth, at);
  return { x: p.x + sd * random.normal(), y: p.y + sd * random.normal() };
};

/** Touches at shares of the way along an edge, numbered from `first`. */
export const touchesAlong = (
  edge: TouchEdge,
  shares: readonly number[],
  read: (at: Point) => Point,
  first = 1,
): TouchReadings[] =>
  shares.map((share, i) => ({
    touch: `touch ${first + i} on ${edge.name}`,
    edge,
    readings: [read(along(edge, share))],
  }));

/** Evenly round an edge, each somewhere in its part of it. */
export const spreadShares = (count: number, random: RandomSource): number[] => {
  const offset = random.uniform();
  return Array.from({ length: count }, (_, i) => (offset + (i + 0.8 * random.uniform()) / count) % 1);
};
