/** What a cutter that cannot do everything will do instead of the fit. */
import type { Matrix } from '../geometry/affine.js';
import { apply, rotation } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { KnownField } from './approach.js';

/** What the cutter can do with a drawing: anything, turn and shift it, or only shift it. */
export type Applicable = 'full' | 'rigid' | 'shift';

/**
 * The transform the cutter applies in place of `fitted`: of those it can do, the one that brings the given design
 * points (after face) closest to where the fit puts them, in the sense of least squares. Both the cut and the
 * verdict use it, with the same points: those of the openings' edges. Without points it is `fitted` at the origin.
 * Rigid: the closed form of the two-dimensional fit, angle = atan2(sum of cross, sum of dot products about the means).
 */
export const applicableTransform = (fitted: Matrix, what: Applicable, points: readonly Point[]): Matrix => {
  if (what === 'full') return fitted;
  const count = Math.max(1, points.length);
  let x = 0;
  let y = 0;
  for (const p of points) {
    x += p.x / count;
    y += p.y / count;
  }
  const target = apply(fitted, { x, y });
  if (what === 'shift') return [1, 0, 0, 1, target.x - x, target.y - y];
  const [a, b, c, d] = fitted;
  let cosine = 0;
  let sine = 0;
  for (const p of points) {
    const u = p.x - x;
    const v = p.y - y;
    const tx = a * u + c * v;
    const ty = b * u + d * v;
    cosine += u * tx + v * ty;
    sine += u * ty - v * tx;
  }
  const turn = rotation(cosine === 0 && sine === 0 ? Math.atan2(b - c, a + d) : Math.atan2(sine, cosine));
  const centre = apply(turn, { x, y });
  return [turn[0], turn[1], turn[2], turn[3], target.x - centre.x, target.y - centre.y];
};

/**
 * Where the part is (by the fit) minus where the cut goes, as a field over true bed mm: fitted(q) - applied(q) at
 * p = fitted(q). `inverse` is that of `fitted`.
 */
export const remainingField = (applied: Matrix, inverse: Matrix): KnownField => {
  const [ia, ib, ic, id, ie, jf] = inverse;
  const [a, b, c, d, e, f] = applied;
  return [
    1 - (a * ia + c * ib),
    -(b * ia + d * ib),
    -(a * ic + c * id),
    1 - (b * ic + d * id),
    -(a * ie + c * jf + e),
    -(b * ie + d * jf + f),
  ];
};
