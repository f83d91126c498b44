/** The openings as they are in the material: islands taken out of them, overlapping ones united. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import type { Ring } from '../../geometry/spans/span.js';
import { refuseUncertain, withNames } from './boundary.js';
import { withoutIslands } from './islands.js';
import { clustersOfRegions, mergeRegions } from './merge.js';
import { offsetRings } from './offset.js';
import { subtractPolygons, unitePolygons } from './polygon-offset.js';
import type { Region, RegionRing } from './region.js';
import { type DrawnRings, type Nest, nestRings, ringsOfShapes } from './regions.js';

/** Lengths in mm that the results may be off by. */
export interface Tolerances {
  /** Arcs from the curves they stand for. */
  readonly arcs: number;
  /** Polygons from the arcs, where the exact engine gives up and they step in. */
  readonly polygons: number;
}

/** Openings as they are in the material, and what they are made of. */
export interface Existing {
  readonly drawn: DrawnRings;
  /** Drawn rings with material within, each round it counter-clockwise. */
  readonly islands: readonly RegionRing[];
  readonly regions: readonly Region[];
}

/** The openings placed by `toBed`, as regions of material removed. */
export const existingRegions = (
  openings: readonly Shape[],
  toBed: Matrix,
  tolerances: Tolerances,
): Existing => {
  const drawn = ringsOfShapes(openings, toBed, tolerances.arcs);
  const nests = nestRings(drawn.rings);
  const holed = nests.map((nest) => openingOf(nest, tolerances.polygons));
  const islands = nests.flatMap((nest) => nest.islands.flatMap(({ rings }) => rings));
  return { drawn, islands, regions: unite(holed, tolerances.polygons) };
};

/**
 * How much regions are grown, mm, where no boundary was found as they are: edges closer than that overlap then, plainly, and
 * are told apart no more by rounding. A hundredth of the finest tolerance, many times the size of a node.
 */
const hairs = [1e-5, 2.3e-5];

/** An opening without its islands, by the exact engine or, where it gives up, by the one on polygons. */
const openingOf = ({ outer, islands }: Nest, tolerance: number): Region => {
  if (islands.length === 0) return { rings: [outer] };
  const united = unite(islands, tolerance);
  const rings = withoutIslands(outer, united);
  if (rings !== undefined) return { rings };
  for (const hair of hairs) {
    const grown = grownBy(united, hair);
    const merged = grown && mergeRegions(grown);
    const left = merged && withoutIslands(outer, merged);
    if (left !== undefined) return { rings: left };
  }
  const regions = [{ rings: [outer] }, ...united];
  const polygons = subtractPolygons(
    [outer.ring.spans()],
    united.flatMap((island) => island.rings.map((r) => r.ring.spans())),
    tolerance,
  );
  const islandArea = united.reduce((sum, island) => sum + areaOf(island), 0);
  const within = { least: outer.ring.area - islandArea, most: outer.ring.area };
  return regionOfPolygons(polygons, regions, within, tolerance);
};

/** The union of regions, by the exact engine or, where it gives up, by the one on polygons. */
export const unite = (regions: readonly Region[], tolerance: number): readonly Region[] =>
  clustersOfRegions(regions).flatMap((cluster) => uniteCluster(cluster, tolerance));

const uniteCluster = (regions: readonly Region[], tolerance: number): readonly Region[] => {
  const merged = mergeRegions(regions);
  if (merged !== undefined) return merged;
  for (const hair of hairs) {
    const grown = grownBy(regions, hair);
    const joined = grown && mergeRegions(grown);
    if (joined !== undefined) return joined;
  }
  const polygons = unitePolygons(
    regions.flatMap((region) => region.rings.map((r) => r.ring.spans())),
    tolerance,
  );
  const areas = regions.map(areaOf);
  const within = {
    least: areas.reduce((most, area) => Math.max(most, area), 0),
    most: areas.reduce((sum, area) => sum + area, 0),
  };
  return [regionOfPolygons(polygons, regions, within, tolerance)];
};

const areaOf = (region: Region): number => region.rings.reduce((sum, { ring }) => sum + ring.area, 0);

const grownBy = (regions: readonly Region[], hair: number): readonly Region[] | undefined => {
  const grown: Region[] = [];
  for (const { rings } of regions) {
    const linked = offsetRings(
      rings.map((r) => r.ring.spans()),
      hair,
      { corners: 'mitre', mitreLimit: 4 },
    );
    if (linked === undefined) return undefined;
    grown.push({
      rings: linked.map(({ ring, tags }) => ({
        ring: new StoredRing(ring),
        shapes: [...new Set([...tags].flatMap((tag) => rings[tag]!.shapes))],
      })),
    });
  }
  return grown;
};

/** Polygons with the names of what they were made of, if their area can be right. */
const regionOfPolygons = (
  polygons: readonly Ring[],
  sources: readonly Region[],
  within: { readonly least: number; readonly most: number },
  tolerance: number,
): Region => {
  const region: Region = { rings: withNames(polygons, sources, tolerance) };
  const length = [...sources, region].reduce(
    (sum, { rings }) => sum + rings.reduce((all, { ring }) => all + ring.length(), 0),
    0,
  );
  const area = areaOf(region);
  const room = tolerance * length;
  if (area < within.least - room || area > within.most + room) refuseUncertain(sources);
  const hasCurves = sources.some(({ rings }) =>
    rings.some(({ ring }) => ring.spans().some((s) => s.radius !== 0)),
  );
  return hasCurves ? { ...region, isFaceted: true } : region;
};
