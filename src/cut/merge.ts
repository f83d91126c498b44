/** The union of regions that overlap: what two openings become when their new edges run into each other. */
import { type Chain, cutAtMeetings, linkStretches, standIn } from '../geometry/arrangement.js';
import { type Box, emptyBox, joinBoxes } from '../geometry/point.js';
import {
  distanceToSpan,
  middleDirection,
  type Ring,
  ringArea,
  ringLength,
  type Span,
  startDirection,
  windingNumber,
} from '../geometry/span.js';
import { StoredRing } from '../geometry/stored-ring.js';
import { clustersOfBoxes, Links } from './clusters.js';
import type { Region, RegionRing } from './region.js';

/** Edges closer than this (mm) run along one another. */
const coincident = 5e-7;

export interface Merged {
  readonly regions: readonly Region[];
  /** Indices into the input of the regions that became one, for each that is made of several. */
  readonly groups: readonly (readonly number[])[];
}

/** Merges regions that overlap or touch along an edge. Undefined: no consistent boundary was found. */
export const mergeRegions = (regions: readonly Region[]): Merged | undefined => {
  const boxes = regions.map((region) => regionBox(region));
  const clusters = clustersOfBoxes(boxes);
  const merged: Region[] = [];
  const groups: (readonly number[])[] = [];
  for (const cluster of clusters) {
    if (cluster.length === 1) {
      merged.push(regions[cluster[0]!]!);
      continue;
    }
    const outcome = mergeCluster(cluster, regions, boxes);
    if (outcome === undefined) return undefined;
    merged.push(...outcome.regions);
    groups.push(...outcome.groups);
  }
  return { regions: merged, groups };
};

const regionBox = (region: Region): Box =>
  region.rings.reduce((box, r) => joinBoxes(box, r.ring.box), emptyBox);

const mergeCluster = (
  cluster: readonly number[],
  regions: readonly Region[],
  boxes: readonly Box[],
): Merged | undefined => {
  const chains: Chain[] = [];
  const ringOf: RegionRing[] = [];
  const ownerOf: number[] = [];
  cluster.forEach((r, k) => {
    for (const ring of regions[r]!.rings) {
      chains.push({ spans: ring.ring.spans(), closed: true, tag: ringOf.length });
      ringOf.push(ring);
      ownerOf.push(k);
    }
  });
  const stretches = cutAtMeetings(chains);
  if (stretches.every((s) => s.from === -1) && !anyInside(cluster, regions, boxes)) {
    return { regions: cluster.map((r) => regions[r]!), groups: [] };
  }
  const links = new Links(cluster.length);
  const ringsOfMember = cluster.map((r) => regions[r]!.rings.map((ring) => ring.ring.spans()));
  const kept = stretches.filter((stretch) => {
    const own = ownerOf[stretch.tag]!;
    const { point, span } = standIn(stretch.spans);
    let keep = true;
    for (let k = 0; k < cluster.length; k++) {
      const box = boxes[cluster[k]!]!;
      if (k === own || point.x < box.minX - 1e-6 || point.x > box.maxX + 1e-6) continue;
      if (point.y < box.minY - 1e-6 || point.y > box.maxY + 1e-6) continue;
      const other = ringsOfMember[k]!;
      const along = directionAlong(other, point.x, point.y, span);
      if (along !== 0) {
        links.join(own, k);
        // Of two edges that run the same way one is kept; two that run against each other enclose nothing.
        if (along < 0 || k < own) keep = false;
      } else if (windingNumber(other, point.x, point.y) > 0) {
        links.join(own, k);
        keep = false;
      }
    }
    return keep;
  });
  const linked = linkStretches(kept);
  if (linked === undefined) return undefined;
  return collect(cluster, regions, ringOf, ownerOf, links, linked);
};

const ringsOf = function* (region: Region) {
  for (const r of region.rings) yield r.ring.spans();
};

const anyInside = (cluster: readonly number[], regions: readonly Region[], boxes: readonly Box[]): boolean =>
  cluster.some((i) =>
    regions[i]!.rings.some(({ ring }) => {
      const { ax, ay } = ring.first();
      return cluster.some((j) => {
        const box = boxes[j]!;
        if (i === j || ax < box.minX || ax > box.maxX || ay < box.minY || ay > box.maxY) return false;
        return windingNumber(ringsOf(regions[j]!), ax, ay) > 0;
      });
    }),
  );

/** 1 or -1 when an edge of the region runs through the point along the span or against it, else 0. */
export const directionAlong = (rings: readonly Ring[], x: number, y: number, span: Span): number => {
  for (const ring of rings) {
    for (const s of ring) {
      if (distanceToSpan(s, x, y) > coincident) continue;
      const d = middleDirection(span);
      const e = directionNear(s, x, y);
      const cosine = d.x * e.x + d.y * e.y;
      if (Math.abs(cosine) > 0.99999) return Math.sign(cosine);
    }
  }
  return 0;
};

const directionNear = (s: Span, x: number, y: number) => {
  if (s.radius === 0) return startDirection(s);
  const sign = (s.sweep > 0 ? 1 : -1) / Math.hypot(x - s.cx, y - s.cy);
  return { x: -sign * (y - s.cy), y: sign * (x - s.cx) };
};

const outerShapes = (region: Region): readonly string[] =>
  region.rings.filter((r) => r.ring.area > 0).flatMap((r) => r.shapes);

/** Rings of each group of joined regions, its outer ring first. */
const collect = (
  cluster: readonly number[],
  regions: readonly Region[],
  ringOf: readonly RegionRing[],
  ownerOf: readonly number[],
  links: Links,
  linked: NonNullable<ReturnType<typeof linkStretches>>,
): Merged => {
  const groups = links.groups();
  const groupOf = new Map<number, number>();
  groups.forEach((members, g) => {
    for (const m of members) groupOf.set(m, g);
  });
  const outer: RegionRing[][] = groups.map(() => []);
  const holes: RegionRing[][] = groups.map(() => []);
  for (const { ring, tags } of linked) {
    const area = ringArea(ring);
    if (Math.abs(area) <= 1e-5 * ringLength(ring)) continue;
    const g = groupOf.get(ownerOf[[...tags][0]!]!)!;
    const own = [...new Set([...tags].flatMap((t) => ringOf[t]!.shapes))];
    const joined = groups[g]!.length > 1;
    // An opening swallowed whole belongs to the ring round it, although it lends no edge.
    const shapes =
      area > 0 && joined ? [...new Set(groups[g]!.flatMap((m) => outerShapes(regions[cluster[m]!]!)))] : own;
    (area > 0 ? outer : holes)[g]!.push({ ring: new StoredRing(ring), shapes });
  }
  const out: Region[] = [];
  groups.forEach((_, g) => {
    if (outer[g]!.length > 0) out.push({ rings: [...outer[g]!, ...holes[g]!] });
  });
  return {
    regions: out,
    groups: groups.filter((members) => members.length > 1).map((members) => members.map((m) => cluster[m]!)),
  };
};
