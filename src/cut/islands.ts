/** Islands taken out of an opening, also where they overlap one another or touch the edge round them. */
import { type Chain, cutAtMeetings, linkStretches, standIn } from '../geometry/arrangement.js';
import { reversedRing, ringArea, ringLength, windingNumber } from '../geometry/span.js';
import { StoredRing } from '../geometry/stored-ring.js';
import { directionAlong } from './merge.js';
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
  const chains = rings.map((spans, tag): Chain => ({ spans, closed: true, tag }));
  const kept = cutAtMeetings(chains).flatMap((stretch) => {
    const { point, span } = standIn(stretch.spans);
    if (stretch.tag === 0) {
      // An island that lies along the edge on its inner side leaves nothing there; on its outer side it takes nothing.
      const along = directionAlong(inner, point.x, point.y, span);
      if (along !== 0) return along > 0 ? [] : [stretch];
      return windingNumber(inner, point.x, point.y) > 0 ? [] : [stretch];
    }
    if (directionAlong([round!], point.x, point.y, span) !== 0) return [];
    if (windingNumber([round!], point.x, point.y) === 0) return [];
    return [{ ...stretch, spans: reversedRing(stretch.spans), from: stretch.to, to: stretch.from }];
  });
  return linkStretches(kept)
    ?.filter(({ ring }) => Math.abs(ringArea(ring)) > 1e-5 * ringLength(ring))
    .map(({ ring, tags }) => ({
      ring: new StoredRing(ring),
      shapes: [...new Set([...tags].sort((a, b) => a - b).flatMap((t) => sources[t]!.shapes))],
    }));
};
