/** The openings before and after a cut, where what is left round them may no longer hang together. */
import type { Job } from '../../job/job.js';
import { connectedIn, finderAmong, middleOf, pointBeside } from '../offset/connected.js';
import { unite } from '../offset/existing.js';
import { offsetRegion, share } from '../offset/offset-region.js';
import type { Region, RegionRing } from '../offset/region.js';
import { islandsWithoutPath } from './drawn-islands.js';
import type { Finding } from './finding.js';
import type { Land } from './lands.js';
import { lastingRegion, type Panel, roundCorners } from './panel.js';

/** mm: after the cut, material that touches only at a point does not hang together. */
const hair = 1e-5;

/** Material removed, as regions on the bed; they last. */
export interface Removal {
  /** What was pierced, half its kerf included, and a hair less: what touches hangs together. */
  readonly before: readonly Region[];
  /** What is gone after the new cut: what it takes, half its kerf included, and what was pierced. */
  readonly after: readonly Region[];
  /** Drawn islands that no path runs round, and of which nothing would be left by themselves either. */
  readonly islands: readonly RegionRing[];
}

export interface RemovalInput {
  /** The openings as drawn. */
  readonly existing: readonly Region[];
  /** The islands in them as drawn. */
  readonly islands: readonly RegionRing[];
  /** Within the beam's paths. */
  readonly beams: readonly Region[];
  readonly lands: readonly Land[];
  readonly panel: Panel | undefined;
  readonly pierced: Job['pierced'];
  /** How far the beam's path lies outside the drawn edge, mm. */
  readonly distance: number;
  readonly cut: Pick<Job['cut'], 'clearance' | 'kerf' | 'tolerance' | 'corners' | 'mitreLimit'>;
}

/**
 * Undefined where the cut leaves the material hanging together as it was: each land has some width, nothing stands within an
 * opening, and the edge of the panel is not reached.
 */
export const removalOf = (input: RemovalInput): Removal | undefined => {
  const { existing, islands, beams, lands, panel, pierced, cut } = input;
  if (beams.length === 0) return undefined;
  const hasIsland = [...existing, ...beams].some(({ rings }) => rings.some(({ ring }) => ring.area < 0));
  if (!hasIsland && !lands.some(({ width }) => width <= 0) && !reachesEdge(beams, panel, cut.kerf)) {
    return undefined;
  }
  const grown = (regions: readonly Region[], by: number): Region[] => {
    if (by === 0) return regions.map(lastingRegion);
    const moved = regions
      .map((region) => offsetRegion(region, by, roundCorners, cut.tolerance))
      .filter(({ rings }) => rings.length > 0);
    return unite(moved, cut.tolerance * share.arcs).map(lastingRegion);
  };
  const isGoneAlone = (island: RegionRing): boolean =>
    offsetRegion({ rings: [island] }, -input.distance, cut, cut.tolerance).rings.length === 0;
  const lost = pierced.compensated ? 0 : pierced.kerf / 2;
  // Material that touches, as at a point between openings, hung together, however rounding has it: what then falls is told.
  const before = grown(existing, lost - cut.tolerance / 2);
  const after = (): readonly Region[] => {
    // Without a clearance the beam takes nothing beyond what was pierced.
    if (cut.clearance === 0) return before;
    const burnt = grown(beams, cut.kerf / 2);
    if (input.distance >= 0) return burnt;
    // A beam thicker than twice the clearance does not get into clefts, which are gone all the same.
    return unite([...burnt, ...grown(existing, lost + hair)], cut.tolerance * share.arcs).map(lastingRegion);
  };
  return {
    before,
    after: after(),
    islands: lastingRegion({ rings: islandsWithoutPath(islands, beams).filter(isGoneAlone) }).rings,
  };
};

/** Whether the paths, and half a kerf beside them, come to the edge of the panel or lie outside of it. */
const reachesEdge = (beams: readonly Region[], panel: Panel | undefined, kerf: number): boolean =>
  panel !== undefined &&
  beams.some(({ rings }) => {
    const { ax, ay } = rings[0]!.ring.first();
    return rings.some(({ ring }) => panel.isWithin(kerf / 2, ring)) || !panel.holds({ x: ax, y: ay });
  });

/** Parts of openings that the beam, wider than twice the clearance, does not get into: nothing is cut there. */
export const notCut = (existing: readonly Region[], beams: readonly Region[]): Finding[] => {
  const openings = connectedIn(existing);
  const openingAt = finderAmong(openings);
  const cut = new Set(connectedIn(beams).map(({ outer }) => openingAt(pointBeside(outer.ring.spans()))));
  const lost = openings.filter((opening) => !cut.has(opening));
  const left = new Set(openings.filter((one) => cut.has(one)).flatMap(({ outer }) => outer.shapes));
  return lost.map(({ outer: { ring, shapes } }) => ({
    code: 'opening-vanished',
    openings: shapes,
    at: middleOf(ring.spans()),
    what: shapes.some((shape) => left.has(shape)) ? 'part' : 'opening',
  }));
};
