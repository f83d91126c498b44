/** What the verdict on the cut to come will look at: edges, clearance and what of the cut is uncertain. */
import type { Shape } from '../../drawing/model/drawing.js';
import { identity } from '../../geometry/affine.js';
import type { Box } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import { betweenPoints } from '../../verdict/edges/between-points.js';
import { type Edge, placedEdges } from '../../verdict/edges/edge.js';
import { lineEdges } from '../../verdict/edges/line-edges.js';
import { edgeErrorOf, losing } from '../../verdict/risk/edge-error.js';

export interface JudgedEdges {
  /** Design frame; those that are empty are left out. */
  readonly edges: readonly Edge[];
  /** mm; for a cut as drawn what it may deviate by, undefined where nobody says. */
  readonly clearance?: number;
  readonly check: Job['check'];
}

/** As verdict/check.ts takes them, the part lying as it is drawn: turned or on its face it needs the same. */
export const judgedEdges = (
  { cut, pierced, check, machine }: Job,
  shapes: readonly Shape[],
  panel: Box,
): JudgedEdges => {
  const asDrawn = cut.kind === 'as-drawn';
  const cutReversal = machine.cutReversal ?? machine.reversal;
  const longest = (check.bow ?? 0) > 0 ? betweenPoints(panel, identity) : undefined;
  const more = {
    ...(cutReversal?.some((r) => r !== 0) === true ? { cutReversal } : {}),
    ...(longest === undefined ? {} : { longest }),
  };
  const all =
    cut.kind === 'as-drawn'
      ? lineEdges(shapes, identity, more)
      : placedEdges(shapes, identity, {
          kind: cut.kind,
          corners: cut.corners,
          mitreLimit: cut.mitreLimit,
          pierced: pierced.compensated ? 0 : pierced.kerf / 2,
          tools: { beam: cut.kerf / 2, piercing: pierced.kerf / 2, clearance: cut.clearance },
          ...more,
        });
  const clearance = asDrawn ? check.allowedDeviation : cut.clearance;
  // The same plan, to the last digit, in whatever order the drawing has them.
  const edges = all.filter((edge) => edge.x.length > 0).sort((a, b) => (a.id < b.id ? -1 : 1));
  const drawn = edgeErrorOf(check.edgeSd, edges.length, check.acceptedRisk);
  return {
    edges: losing(edges, drawn.loss),
    ...(clearance === undefined ? {} : { clearance }),
    check: { ...check, kerfSd: Math.hypot(asDrawn ? 0 : check.kerfSd, 2 * drawn.sd) },
  };
};
