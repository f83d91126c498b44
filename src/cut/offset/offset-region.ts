/** A region moved by a distance: by the exact engine or, where it gives up, by the one on polygons. */
import type { LinkedRing } from '../../geometry/rings/arrangement.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { refuseUncertain, thinnest, withNames } from './boundary.js';
import { type CornerRule, offsetRings } from './offset.js';
import { offsetPolygons } from './polygon-offset.js';
import type { Region, RegionRing } from './region.js';

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
  if (region.isFaceted && rule.corners === 'mitre' && distance !== 0) refuseUncertain([region]);
  const rings = region.rings.map((r) => r.ring.spans());
  const isPossible = areaTest(region, distance, rule);
  // A hair more or less (a nanometre to a tenth of a micrometre) takes edges apart that fall on one another.
  for (const hair of [0, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4]) {
    const linked = offsetRings(rings, distance + hair, rule);
    if (linked === undefined) continue;
    const moved = linked.map((ring) => named(ring, region));
    if (isPossible(moved, thinnest + Math.abs(hair))) return { rings: moved };
  }
  const polygons = offsetPolygons(rings, distance, rule, tolerance * share.arcs);
  const moved = withNames(polygons, [region], Math.abs(distance) + tolerance);
  if (!isPossible(moved, tolerance)) refuseUncertain([region]);
  return { rings: moved };
};

const named = ({ ring, tags }: LinkedRing, region: Region): RegionRing => ({
  ring: new StoredRing(ring),
  shapes:
    tags.size === 1
      ? region.rings[[...tags][0]!]!.shapes
      : [...new Set([...tags].sort((a, b) => a - b).flatMap((t) => region.rings[t]!.shapes))],
});

/**
 * Whether rings can be a region moved by the distance, told by areas (Steiner's formula for parallel bodies): the strip
 * along the edge is no larger than its length times the distance, with a sector of a disc, or a mitred tip, for every
 * corner. Where the strip is as large as the region, nothing may be left.
 */
const areaTest = (
  region: Region,
  distance: number,
  { corners, mitreLimit }: CornerRule,
): ((moved: readonly RegionRing[], thin: number) => boolean) => {
  const area = sumOfAreas(region.rings);
  const d = Math.abs(distance);
  // The tip over a corner has two right-angled triangles with the legs d and d tan(turn / 2).
  const perCorner = d * d * (corners === 'mitre' ? Math.max(Math.PI / 2, mitreLimit) : Math.PI / 2);
  let length = 0;
  let count = 0;
  for (const { ring } of region.rings) {
    length += ring.length();
    count += ring.count;
  }
  const strip = length * d + count * perCorner;
  return (moved, thin) => {
    const room = thin * (length + count * d);
    const change = sumOfAreas(moved) - area;
    return distance >= 0
      ? change >= -room && change <= strip + room
      : change <= room && change >= -strip - room;
  };
};

const sumOfAreas = (rings: readonly RegionRing[]): number =>
  rings.reduce((sum, { ring }) => sum + ring.area, 0);
