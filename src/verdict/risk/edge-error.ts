/** What is not known of the existing edges themselves, where their drawing was made from a measured piece. */

import { normalQuantile } from '../../numeric/distributions.js';
import { power } from '../../numeric/powers.js';
import type { Edge } from '../edges/edge.js';

/** An error along the normals of all edges, mm: `loss` of the room at every point, and one error of this sd on top. */
export interface EdgeError {
  readonly loss: number;
  readonly sd: number;
}

/** Stretches of one edge that err each by itself, as the sides of a rectangle do. */
const sidesOfEdge = 4;

/** At higher risks, up to a half, the quantile of one error tells too little: its sd is that of this one. */
const highestRisk = 0.49;

/**
 * Each side of each edge errs by itself, and one that is off is enough: of n sides the worst counts. Its median is
 * Z(0.5^(1/n)) sds, Z the normal quantile, and that much is lost everywhere, whichever side the placement brings near. What
 * is left has the sd that makes both take the same as the worst side at the accepted risk: with q = 1 - risk
 * loss + sd' Z(q) = sd Z(q^(1/n)).
 *
 * Against a simulation of squares whose sides err each by itself, beside a shift of 0.3 to 10 times their sd, the clearance
 * needed for all is 1 % to 14 % too large at accepted risks of 0.01 and 0.05, up to 31 % for one square at 0.3, and never too
 * small (tests/verdict/edge-error.test.ts).
 *
 * @param edgeSd mm; undefined: the drawing is what was cut
 */
export const edgeErrorOf = (edgeSd: number | undefined, edges: number, acceptedRisk: number): EdgeError => {
  if (edgeSd === undefined || edgeSd === 0) return { loss: 0, sd: 0 };
  const kept = Math.max(1 - acceptedRisk, 1 - highestRisk);
  const ofWorst = (share: number): number => normalQuantile(power(share, 1 / (sidesOfEdge * edges)));
  const median = ofWorst(0.5);
  return {
    loss: edgeSd * median,
    sd: edgeSd * Math.max(0, (ofWorst(kept) - median) / normalQuantile(kept)),
  };
};

/** The edges with so much more lost at every point, mm. */
export const losing = (edges: readonly Edge[], loss: number): readonly Edge[] =>
  loss === 0
    ? edges
    : edges.map(
        (edge): Edge => ({
          ...edge,
          loss: edge.loss?.map((own) => own + loss) ?? new Float64Array(edge.x.length).fill(loss),
        }),
      );
