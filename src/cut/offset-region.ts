/** A region moved by a distance: by the exact engine or, where it gives up, by the one on polygons. */
import { StoredRing } from '../geometry/stored-ring.js';
import { type CornerRule, offsetRings } from './offset.js';
import { offsetPolygons } from './polygon-offset.js';
import type { Region } from './region.js';

/**
 * Shares of the tolerance: curves to arcs before the offset, arcs fitted back after it; the rest is for rounding. What
 * comes of drawn arcs alone was exact up to there and may be fitted more freely.
 */
export const share = { arcs: 0.3, fit: 0.67, fitExact: 0.97 };

/** @param distance mm, outward for a positive one */
export const offsetRegion = (
  region: Region,
  distance: number,
  rule: CornerRule,
  tolerance: number,
): Region => {
  const rings = region.rings.map((r) => r.ring.spans());
  // A hair more or less (a nanometre to a tenth of a micrometre) takes edges apart that fall on one another.
  for (const hair of [0, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4]) {
    const linked = offsetRings(rings, distance + hair, rule);
    if (linked === undefined) continue;
    return {
      rings: linked.map(({ ring, tags }) => ({
        ring: new StoredRing(ring),
        shapes: [...new Set([...tags].sort((a, b) => a - b).flatMap((t) => region.rings[t]!.shapes))],
      })),
    };
  }
  const polygons = offsetPolygons(rings, distance, rule, tolerance * share.arcs);
  const shapes = [...new Set(region.rings.flatMap((r) => r.shapes))];
  return { rings: polygons.map((ring) => ({ ring: new StoredRing(ring), shapes })) };
};
