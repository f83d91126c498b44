/** Islands taken out of an opening, also where they overlap one another or touch the edge round them. */
import {
  type Chain,
  cutAtMeetings,
  linkStretches,
  type Stretch,
  standIn,
} from '../../geometry/rings/arrangement.js';
import { commonEdges } from '../../geometry/rings/common-edges.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { WindingIndex } from '../../geometry/rings/winding-index.js';
import { reversedRing, ringArea, ringLength } from '../../geometry/spans/span.js';
import { agreesWithSides, type Sided } from './boundary.js';
import type { Region, RegionRing } from './region.js';

/**
 * What is left of an opening when its islands stay standing.
 *
 * @param outer runs counter-clockwise
 * @param islands united among themselves, each keeping its material on its left
 * @returns rings that keep the opening on their left; undefined when no consistent boundary was found
 */
export const withoutIslands = (
  outer: RegionRing,
  islands: readonly Region[],
): readonly RegionRing[] | undefined => {
  const sources = [outer, ...islands.flatMap((island) => island.rings)];
  const rings = sources.map((source) => source.ring.spans());
  const [round, ...inner] = rings;
  const within = { opening: new WindingIndex([round!]), islands: new WindingIndex(inner) };
  const chains = rings.map((spans, tag): Chain => ({ spans, closed: true, tag }));
  const kept: Stretch[] = [];
  const sides = commonEdges(cutAtMeetings(chains)).map(({ stretch, along, against }): Sided => {
    const { point } = standIn(stretch.spans);
    // Whether each side lies in the opening, and in an island: an edge of theirs says so, else the place.
    const sidesIn = (isOwn: (s: Stretch) => boolean, index: WindingIndex): readonly [boolean, boolean] => {
      const left = along.some(isOwn);
      const right = against.some(isOwn);
      const around = !left && !right && index.at(point.x, point.y) > 0;
      return [left || around, right || around];
    };
    const opening = sidesIn((s) => s.tag === 0, within.opening);
    const island = sidesIn((s) => s.tag !== 0, within.islands);
    const left = opening[0] && !island[0];
    const right = opening[1] && !island[1];
    if (left && !right) kept.push(stretch);
    else if (right && !left) {
      kept.push({ ...stretch, spans: reversedRing(stretch.spans), from: stretch.to, to: stretch.from });
    }
    return { stretch, left, right };
  });
  const linked = linkStretches(kept);
  if (linked === undefined) return undefined;
  const boundary = linked.map(({ ring }) => ring);
  if (!agreesWithSides(boundary, sides)) return undefined;
  return linked
    .filter(({ ring }) => Math.abs(ringArea(ring)) > 1e-5 * ringLength(ring))
    .map(({ ring, tags }) => ({
      ring: new StoredRing(ring),
      shapes: [...new Set([...tags].sort((a, b) => a - b).flatMap((t) => sources[t]!.shapes))],
    }));
};
