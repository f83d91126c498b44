/** What is known of the approach at every point of an indexed edge: of a known displacement, and what is lost there anyway. */
import type { Displacement } from '../risk/displacement.js';
import type { Edge } from './edge.js';
import type { EdgeIndex } from './edge-index.js';

/** Per run the displacement at its middle; what its points have beside it, in run order. All in mm. */
export interface KnownApproach {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly rest: Float64Array;
  /** Per run the largest of `rest`, at least 0. */
  readonly reach: Float64Array;
  /** At this clearance the first point has no room left without any error. */
  readonly floor: number;
}

export const knownApproach = (index: EdgeIndex, edge: Edge, displacement: Displacement): KnownApproach => {
  const { runs, order, normalX, normalY, room } = index;
  const x = new Float64Array(runs.length);
  const y = new Float64Array(runs.length);
  const reach = new Float64Array(runs.length);
  const rest = new Float64Array(order.length);
  const [a, b, c, d, e, f] = displacement.matrix;
  const { along = { x: 0, y: 0 }, origin = 0, each = { x: 0, y: 0 } } = displacement.bend ?? {};
  let floor = Number.NEGATIVE_INFINITY;
  for (let r = 0; r < runs.length; r++) {
    const { start, end, middleX, middleY } = runs[r]!;
    const squared = (along.x * middleX + along.y * middleY - origin) ** 2;
    const knownX = a * middleX + c * middleY + e + each.x * squared;
    const knownY = b * middleX + d * middleY + f + each.y * squared;
    let most = 0;
    for (let at = start; at < end; at++) {
      const i = order[at]!;
      const px = edge.x[i]!;
      const py = edge.y[i]!;
      const bent = (along.x * px + along.y * py - origin) ** 2;
      const own =
        normalX[at]! * (a * px + c * py + e + each.x * bent - knownX) +
        normalY[at]! * (b * px + d * py + f + each.y * bent - knownY) +
        (edge.loss === undefined ? 0 : edge.loss[i]!);
      rest[at] = own;
      if (own > most) most = own;
      const whole = normalX[at]! * knownX + normalY[at]! * knownY + own;
      const least = room === undefined ? whole : (whole - room.extra[at]!) / room.gain[at]!;
      if (least > floor) floor = least;
    }
    x[r] = knownX;
    y[r] = knownY;
    reach[r] = most;
  }
  return { x, y, rest, reach, floor };
};

/** Known approach of a point in run order, mm. */
export const knownAt = (known: KnownApproach, index: EdgeIndex, run: number, point: number): number =>
  index.normalX[point]! * known.x[run]! + index.normalY[point]! * known.y[run]! + known.rest[point]!;
