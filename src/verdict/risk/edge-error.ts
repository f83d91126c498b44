/** What is not known of the existing edges themselves, where their drawing was made from a measured piece. */

import { normalQuantile } from '../../numeric/distributions.js';
import { power } from '../../numeric/powers.js';

/** Stretches of one edge that err each by itself. */
const sidesOfEdge = 4;

/**
 * The sd of one error along the normals of all edges that takes as much as the worst of many: each side of each edge errs by
 * itself, and one that is off is enough. At the accepted risk both take the same, so with q = 1 - risk
 * sd' = sd Z(q^(1/n)) / Z(q) for n sides, Z the normal quantile.
 *
 * @param edgeSd mm; undefined: the drawing is what was cut
 */
export const edgeErrorSd = (edgeSd: number | undefined, edges: number, acceptedRisk: number): number => {
  if (edgeSd === undefined || edgeSd === 0) return 0;
  const kept = Math.min(1 - acceptedRisk, 0.999_999);
  const one = normalQuantile(kept);
  // At a risk of a half and more the quantile of one says nothing; the worst of many does.
  const factor = one < 0.5 ? sidesOfEdge : normalQuantile(power(kept, 1 / (sidesOfEdge * edges))) / one;
  return edgeSd * Math.max(1, factor);
};
