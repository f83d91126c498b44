/** What becomes of the material round openings that are cut together: its lands, its pieces, and what is worth telling at once. */
import type { Job } from '../../job/job.js';
import type { Region, RegionRing } from '../offset/region.js';
import type { Finding } from './finding.js';
import { inlaysWithin } from './inlays.js';
import { type Land, landsOf, type NamedRing } from './lands.js';
import type { Panel } from './panel.js';
import { notCut, type Removal, removalOf } from './removal.js';

export interface NeighbourhoodInput {
  readonly drawn: readonly NamedRing[];
  /** Those of the drawn rings that have material within. */
  readonly islands: readonly RegionRing[];
  /** The openings as drawn. */
  readonly existing: readonly Region[];
  /** Within the beam's paths. */
  readonly beams: readonly Region[];
  readonly panel: Panel | undefined;
  readonly pierced: Job['pierced'];
  /** How far the beam's path lies outside the drawn edge, mm. */
  readonly distance: number;
  readonly cut: Job['cut'];
  /** Lands thinner than this are wanted; those of which nothing is left always. */
  readonly smallestLand: number;
}

export interface JudgedNeighbourhood {
  /** Without paths that leave no piece. */
  readonly beams: readonly Region[];
  readonly lands: readonly Land[];
  readonly removal?: Removal;
  /** True bed mm. */
  readonly findings: readonly Finding[];
}

export const judgeNeighbourhood = (input: NeighbourhoodInput): JudgedNeighbourhood => {
  const { drawn, islands, existing, beams, panel, distance, cut, smallestLand } = input;
  if (cut.kind !== 'opening')
    return { ...inlaysWithin({ drawn, existing, islands, beams, distance, cut }), lands: [] };
  const lands = landsOf({
    beams,
    existing,
    drawn,
    ...(panel === undefined ? {} : { panel }),
    distance,
    kerf: cut.kerf,
    mitre: cut.corners === 'mitre' ? cut.mitreLimit : 1,
    smallest: smallestLand,
  });
  const removal = removalOf({ ...input, lands });
  const findings = distance < 0 ? notCut(existing, beams) : [];
  return { beams, lands, findings, ...(removal === undefined ? {} : { removal }) };
};
