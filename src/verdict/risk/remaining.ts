/** What is left of the displacement where the cutter cannot apply the whole fit. */
import { apply, compose, invert, type Matrix } from '../../geometry/affine.js';
import { length } from '../../geometry/point.js';
import type { Edge } from '../edges/edge.js';

/** Less than this, mm, is rounding: the cutter can apply the fit after all. */
const nothing = 1e-6;

/**
 * Where the part is (by the fit) minus where the cut goes, as an affine map of true bed mm: p = fitted(q) goes to
 * fitted(q) - applied(q). Undefined when nothing is left at any edge.
 */
export const remainingField = (
  fitted: Matrix,
  applied: Matrix,
  edges: readonly Edge[],
): Matrix | undefined => {
  const inverse = invert(fitted);
  if (applied === fitted || inverse === undefined) return undefined;
  const [a, b, c, d, e, f] = compose(applied, inverse);
  const field: Matrix = [1 - a, -b, -c, 1 - d, -e, -f];
  const isLeft = edges.some((edge) =>
    edge.x.some((x, i) => length(apply(field, { x, y: edge.y[i]! })) > nothing),
  );
  return isLeft ? field : undefined;
};
