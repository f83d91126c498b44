/** What a cut does to the piece, without making its paths: for a verdict. */
import type { Shape } from '../../drawing/model/drawing.js';
import { withPassingRings } from '../../geometry/rings/stored-ring.js';
import { beamOffset, type CutInput } from '../cut.js';
import { beamRegions, type Way } from '../cut-neighbourhood.js';
import type { Finding } from './finding.js';
import { findingsOfParts } from './findings.js';
import { judgeNeighbourhood } from './judge-neighbourhood.js';
import { panelOf } from './panel.js';
import type { Removal } from './removal.js';
import { suspectsOf } from './suspects.js';

interface Part {
  readonly removal?: Removal;
  readonly findings: readonly Finding[];
  readonly islands: readonly string[];
  readonly left: readonly string[];
  readonly drawn: readonly string[];
}

/** The findings of `cutOpenings`, in display coordinates. */
export const findingsOfCut = (input: CutInput): Finding[] => {
  const { openings, toBed, toMachine, pierced, cut } = input;
  const distance = beamOffset(pierced, cut);
  const suspects = suspectsOf({ ...input, distance });
  if (suspects.length === 0) return [];
  const panel = cut.kind === 'opening' ? panelOf(input.outline, toBed, pierced, cut.tolerance) : undefined;
  const way: Way = { toBed, toMachine, distance, pierced, cut, panel };
  const parts = suspects.map((shapes) => partOf(shapes, way));
  const count = suspects.reduce((sum, { length }) => sum + length, 0);
  const left = new Set(parts.flatMap((part) => part.left));
  const drawn = new Set(parts.flatMap((part) => part.drawn));
  return findingsOfParts({
    parts,
    lost: openings.map(({ id }) => id).filter((id) => drawn.has(id) && !left.has(id)),
    openings,
    way,
    hasPaths: left.size > 0 || count < openings.length,
  });
};

const partOf = (shapes: readonly Shape[], way: Way): Part =>
  withPassingRings(() => {
    const { drawn, islands, existing, beams } = beamRegions(shapes, way);
    const named = drawn.rings.map((r) => ({ name: r.shape, ring: r.ring }));
    const judged = judgeNeighbourhood({ ...way, drawn: named, islands, existing, beams, smallestLand: 0 });
    return {
      findings: judged.findings,
      ...(judged.removal === undefined ? {} : { removal: judged.removal }),
      islands: islands.flatMap(({ shapes }) => shapes),
      left: judged.beams.flatMap(({ rings }) => rings.flatMap((r) => r.shapes)),
      drawn: [...named.map(({ name }) => name), ...drawn.empty],
    };
  });
