/**
 * Placements in closed form from matched points with one weight per point (isotropic), in coordinates already
 * centred at the weighted means of both sides. They are the solution where every sd is equal, and the start of
 * the adjustment where they are not.
 *
 * Rigid and similarity: the two-dimensional case of S. Umeyama, IEEE Trans. PAMI 13(4), 1991, where the rotation
 * matrix follows from the angle of (sum of dot products, sum of cross products); a proper rotation always, never
 * a mirror image.
 */
import { cross, dot, type Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import { type Placement, turnOf } from './placement.js';

export interface Pair {
  readonly from: Point;
  readonly to: Point;
  readonly weight: number;
}

/** Weighted mean of one side of the pairs. */
export const weightedMean = (pairs: readonly Pair[], side: 'from' | 'to'): Point => {
  let x = 0;
  let y = 0;
  let sum = 0;
  // About the first point: the mean of numbers near a million keeps its last digits.
  const first = pairs[0]![side];
  for (const pair of pairs) {
    x += pair.weight * (pair[side].x - first.x);
    y += pair.weight * (pair[side].y - first.y);
    sum += pair.weight;
  }
  return { x: first.x + x / sum, y: first.y + y / sum };
};

/**
 * The linear part that carries the centred `from` to the centred `to` best. Undefined where the points do not
 * determine it: no turn is better than another (all in one place, or the one side mirrored so evenly that every
 * turn fits alike), or marks on one line for affine. `relative` is the size below which a sum counts as zero.
 */
export const linearPart = (
  model: Model,
  pairs: readonly Pair[],
  relative = 1e-10,
): Placement['linear'] | undefined => {
  if (model === 'shift') return [1, 0, 0, 1];
  let spread = 0;
  let reach = 0;
  let along = 0;
  let across = 0;
  for (const { from, to, weight } of pairs) {
    spread += weight * dot(from, from);
    reach += weight * dot(to, to);
    along += weight * dot(from, to);
    across += weight * cross(from, to);
  }
  if (model === 'affine') return affinePart(pairs, spread, relative);
  const pull = Math.hypot(along, across);
  if (!(pull > relative * Math.sqrt(spread * reach))) return undefined;
  if (model === 'rigid') return turnOf(Math.atan2(across, along));
  const cos = along / spread;
  const sin = across / spread;
  return [cos, sin, -sin, cos];
};

const affinePart = (
  pairs: readonly Pair[],
  spread: number,
  relative: number,
): Placement['linear'] | undefined => {
  let xx = 0;
  let xy = 0;
  let yy = 0;
  let ax = 0;
  let ay = 0;
  let bx = 0;
  let by = 0;
  for (const { from, to, weight } of pairs) {
    xx += weight * from.x * from.x;
    xy += weight * from.x * from.y;
    yy += weight * from.y * from.y;
    ax += weight * to.x * from.x;
    ay += weight * to.x * from.y;
    bx += weight * to.y * from.x;
    by += weight * to.y * from.y;
  }
  const det = xx * yy - xy * xy;
  if (!(det > relative ** 2 * spread ** 2)) return undefined;
  return [
    (ax * yy - ay * xy) / det,
    (bx * yy - by * xy) / det,
    (ay * xx - ax * xy) / det,
    (by * xx - bx * xy) / det,
  ];
};
