/** The openings as they are in the material: islands taken out of them, overlapping ones united. */
import type { Shape } from '../drawing/drawing.js';
import type { Matrix } from '../geometry/affine.js';
import { type Ring, ringBox } from '../geometry/span.js';
import { StoredRing } from '../geometry/stored-ring.js';
import { withoutIslands } from './islands.js';
import { mergeRegions } from './merge.js';
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

/** The openings placed by `toBed`, as regions of material removed, with what they were made of. */
export const existingRegions = (
  openings: readonly Shape[],
  toBed: Matrix,
  tolerances: Tolerances,
): { readonly drawn: DrawnRings; readonly regions: readonly Region[] } => {
  const drawn = ringsOfShapes(openings, toBed, tolerances.arcs);
  const nests = nestRings(drawn.rings).map((nest) => openingOf(nest, tolerances.polygons));
  return { drawn, regions: unite(nests, tolerances.polygons) };
};

/** An opening without its islands, by the exact engine or, where it gives up, by the one on polygons. */
const openingOf = ({ outer, islands }: Nest, tolerance: number): Region => {
  if (islands.length === 0) return { rings: [outer] };
  const united = unite(islands, tolerance);
  const rings = withoutIslands(outer, united);
  if (rings !== undefined) return { rings };
  const sources = [outer, ...islands.flatMap((island) => island.rings)];
  const left = subtractPolygons(
    [outer.ring.spans()],
    united.flatMap((island) => island.rings.map((r) => r.ring.spans())),
    tolerance,
  );
  return regionOfPolygons(left, sources);
};

/** The union of regions, by the exact engine or, where it gives up, by the one on polygons. */
export const unite = (regions: readonly Region[], tolerance: number): readonly Region[] => {
  const merged = mergeRegions(regions);
  if (merged !== undefined) return merged.regions;
  const all = regions.flatMap((r) => r.rings);
  const rings = unitePolygons(
    all.map((r) => r.ring.spans()),
    tolerance,
  );
  return [regionOfPolygons(rings, all)];
};

/** Polygons with the shapes whose rings come near them. */
const regionOfPolygons = (rings: readonly Ring[], sources: readonly RegionRing[]): Region => {
  const boxes = sources.map((s) => s.ring.box);
  const named = rings.map((ring) => {
    const box = ringBox(ring);
    const near = sources.filter((_, i) => {
      const b = boxes[i]!;
      return b.minX <= box.maxX && b.maxX >= box.minX && b.minY <= box.maxY && b.maxY >= box.minY;
    });
    return { ring: new StoredRing(ring), shapes: [...new Set(near.flatMap((s) => s.shapes))] };
  });
  return { rings: named };
};
