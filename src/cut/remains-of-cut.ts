/** What a cut does to the piece, without making its paths: for a verdict. */
import type { Shape } from '../drawing/drawing.js';
import { withPassingRings } from '../geometry/stored-ring.js';
import { beamOffset, type CutInput } from './cut.js';
import { beamRegions, type Way } from './cut-neighbourhood.js';
import type { Finding } from './finding.js';
import { findingsOfParts } from './findings.js';
import { judgeNeighbourhood } from './judge-neighbourhood.js';
import { neighbourhoods, type Reach } from './neighbourhoods.js';
import { panelOf } from './panel.js';
import type { Removal } from './removal.js';

interface Part {
  readonly removal?: Removal;
  readonly findings: readonly Finding[];
  readonly left: readonly string[];
  readonly drawn: readonly string[];
}

/** The findings of `cutOpenings`, in display coordinates. */
export const findingsOfCut = (input: CutInput): Finding[] => {
  const { openings, toBed, toMachine, pierced, cut } = input;
  const panel = panelOf(input.outline, toBed, pierced, cut.tolerance);
  const way: Way = { toBed, toMachine, distance: beamOffset(pierced, cut), pierced, cut, panel };
  const reach: Reach = {
    offset: Math.max(0, way.distance),
    mitreLimit: cut.corners === 'mitre' ? cut.mitreLimit : 1,
    beyond: cut.kerf / 2 + 2 * cut.tolerance,
  };
  const parts = neighbourhoods(openings, toBed, reach, true).map(({ shapes }) => partOf(shapes, way));
  const left = new Set(parts.flatMap((part) => part.left));
  const drawn = new Set(parts.flatMap((part) => part.drawn));
  return findingsOfParts({
    parts,
    lost: openings.map(({ id }) => id).filter((id) => drawn.has(id) && !left.has(id)),
    openings,
    way,
    hasPaths: left.size > 0,
  });
};

const partOf = (shapes: readonly Shape[], way: Way): Part =>
  withPassingRings(() => {
    const { drawn, existing, beams } = beamRegions(shapes, way);
    const named = drawn.rings.map((r) => ({ name: r.shape, ring: r.ring }));
    const judged = judgeNeighbourhood({ ...way, drawn: named, existing, beams, smallestLand: 0 });
    return {
      findings: judged.findings,
      ...(judged.removal === undefined ? {} : { removal: judged.removal }),
      left: judged.beams.flatMap(({ rings }) => rings.flatMap((r) => r.shapes)),
      drawn: [...named.map(({ name }) => name), ...drawn.empty],
    };
  });
