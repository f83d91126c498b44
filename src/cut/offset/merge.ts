/** The union of regions that overlap: what two openings become when their new edges run into each other. */
import Flatbush from 'flatbush';
import { type Box, emptyBox, growBox, joinBoxes } from '../../geometry/point.js';
import {
  type Chain,
  cutAtMeetings,
  linkStretches,
  nodeSize,
  type Stretch,
  standIn,
} from '../../geometry/rings/arrangement.js';
import { type CommonEdge, commonEdges } from '../../geometry/rings/common-edges.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { WindingIndex } from '../../geometry/rings/winding-index.js';
import { ringLength } from '../../geometry/spans/span.js';
import { clustersOfBoxes, Links } from '../clusters.js';
import { agreesWithSides, type Sided, thinnest } from './boundary.js';
import { holds, pointBeside } from './connected.js';
import type { Region, RegionRing } from './region.js';

/** Regions whose boxes, with room for edges that are taken for one, meet directly or by way of others. */
export const clustersOfRegions = (regions: readonly Region[]): Region[][] =>
  clustersOfBoxes(regions.map((region) => growBox(regionBox(region), nodeSize))).map((cluster) =>
    cluster.map((i) => regions[i]!),
  );

const regionBox = (region: Region): Box =>
  region.rings.reduce((box, r) => joinBoxes(box, r.ring.box), emptyBox);

/**
 * Merges regions that overlap or touch along an edge; those that touch at a point stay two. Undefined: no consistent
 * boundary was found.
 */
export const mergeRegions = (regions: readonly Region[]): readonly Region[] | undefined => {
  if (regions.length < 2) return regions;
  const members = new Members(regions);
  const stretches = cutAtMeetings(members.chains);
  if (stretches.every((s) => s.from === -1) && !members.isAnyInside()) return regions;
  const links = new Links(regions.length);
  const kept: Stretch[] = [];
  const sides = commonEdges(stretches).map((edge): Sided => {
    const sided = members.sidesOf(edge, links);
    if (!sided.right) kept.push(edge.stretch);
    return sided;
  });
  const linked = linkStretches(kept);
  if (linked === undefined) return undefined;
  // A ring of edges of several regions says that they are one, should noise have hidden where they overlap.
  for (const { tags } of linked) {
    const [first] = tags;
    for (const tag of tags) links.join(members.ownerOf[first!]!, members.ownerOf[tag]!);
  }
  const rings = linked.map(({ ring }) => ring);
  return agreesWithSides(rings, sides) ? collect(members, links, linked) : undefined;
};

/** The regions to be merged, their rings as chains, and what lies in them. */
class Members {
  readonly chains: Chain[] = [];
  readonly ringOf: RegionRing[] = [];
  /** Index of the region of each ring. */
  readonly ownerOf: number[] = [];
  /** Indices of the rings of each region. */
  readonly tagsOf: number[][] = [];
  private readonly windings: WindingIndex[];
  private readonly index: Flatbush;

  constructor(readonly regions: readonly Region[]) {
    this.index = new Flatbush(regions.length);
    this.windings = regions.map((region, owner) => {
      const { minX, minY, maxX, maxY } = regionBox(region);
      this.index.add(minX, minY, maxX, maxY);
      const rings = region.rings.map((r) => r.ring.spans());
      this.tagsOf.push(rings.map((_, i) => this.ringOf.length + i));
      rings.forEach((spans, i) => {
        this.chains.push({ spans, closed: true, tag: this.ringOf.length });
        this.ringOf.push(region.rings[i]!);
        this.ownerOf.push(owner);
      });
      return new WindingIndex(rings);
    });
    this.index.finish();
  }

  /** Calls `visit` for each region that has the point inside. */
  private forEachAround(x: number, y: number, visit: (owner: number) => void): void {
    this.index.search(x, y, x, y, (owner) => {
      if (this.windings[owner]!.at(x, y) > 0) visit(owner);
      return false;
    });
  }

  isAnyInside(): boolean {
    return this.ringOf.some(({ ring }, tag) => {
      const { ax, ay } = ring.first();
      let found = false;
      this.forEachAround(ax, ay, (owner) => {
        if (owner !== this.ownerOf[tag]) found = true;
      });
      return found;
    });
  }

  /** Which sides of an edge belong to the union; all that meet or overlap there are linked. */
  sidesOf({ stretch, along, against }: CommonEdge, links: Links): Sided {
    const own = this.ownerOf[stretch.tag]!;
    const isOn = (owner: number): boolean =>
      along.some((s) => this.ownerOf[s.tag] === owner) || against.some((s) => this.ownerOf[s.tag] === owner);
    for (const s of along) links.join(own, this.ownerOf[s.tag]!);
    for (const s of against) links.join(own, this.ownerOf[s.tag]!);
    let right = against.length > 0;
    const { point } = standIn(stretch.spans);
    this.forEachAround(point.x, point.y, (owner) => {
      if (isOn(owner)) return;
      links.join(own, owner);
      right = true;
    });
    return { stretch, left: true, right };
  }
}

/**
 * Names outer rings of joined regions by all that they were made of. A ring swallowed whole belongs to the one round it,
 * although it lends no edge.
 *
 * @param made outer rings by the tags of their edges
 * @param parts tags of all outer rings of the regions
 */
const named = (
  made: readonly { readonly ring: StoredRing; readonly tags: ReadonlySet<number> }[],
  parts: readonly number[],
  ringOf: readonly RegionRing[],
): RegionRing[] => {
  const namesOf = (tags: Iterable<number>): string[] => [
    ...new Set([...tags].flatMap((t) => ringOf[t]!.shapes)),
  ];
  if (made.length === 1) {
    const { ring, tags } = made[0]!;
    return [{ ring, shapes: namesOf([...parts, ...tags]) }];
  }
  const all = made.map(({ ring, tags }) => ({ ring, tags: new Set(tags) }));
  const lent = new Set(all.flatMap(({ tags }) => [...tags]));
  for (const tag of parts) {
    if (lent.has(tag)) continue;
    const inside = pointBeside(ringOf[tag]!.ring.spans());
    const round = all.filter(({ ring }) => holds(ring, inside));
    for (const { tags } of round.length > 0 ? round : all) tags.add(tag);
  }
  return all.map(({ ring, tags }) => ({ ring, shapes: namesOf(tags) }));
};

/**
 * Rings of each group of joined regions, its outer rings first. Undefined where the area of a group does not agree with its
 * parts: it is no less than the largest of them and no more than all.
 */
const collect = (
  { regions, ringOf, ownerOf, tagsOf }: Members,
  links: Links,
  linked: NonNullable<ReturnType<typeof linkStretches>>,
): Region[] | undefined => {
  const groups = links.groups();
  const groupOf = new Map<number, number>();
  groups.forEach((members, g) => {
    for (const m of members) groupOf.set(m, g);
  });
  const outer: { ring: StoredRing; tags: ReadonlySet<number> }[][] = groups.map(() => []);
  const holes: RegionRing[][] = groups.map(() => []);
  const areas = groups.map(() => 0);
  const lengths = groups.map(() => 0);
  for (const { ring, tags } of linked) {
    const stored = new StoredRing(ring);
    const length = ringLength(ring);
    const g = groupOf.get(ownerOf[[...tags][0]!]!)!;
    areas[g]! += stored.area;
    lengths[g]! += length;
    if (Math.abs(stored.area) <= 1e-5 * length) continue;
    if (stored.area > 0) outer[g]!.push({ ring: stored, tags });
    else {
      const shapes = [...new Set([...tags].flatMap((t) => ringOf[t]!.shapes))];
      holes[g]!.push({ ring: stored, shapes });
    }
  }
  const out: Region[] = [];
  for (const [g, members] of groups.entries()) {
    const parts = members.map((m) => regions[m]!.rings.reduce((sum, r) => sum + r.ring.area, 0));
    const room = thinnest * (lengths[g]! + Math.sqrt(Math.max(0, ...parts)));
    const sum = parts.reduce((all, part) => all + part, 0);
    if (areas[g]! < parts.reduce((most, part) => Math.max(most, part), 0) - room) return undefined;
    if (areas[g]! > sum + room) return undefined;
    if (outer[g]!.length === 0 && holes[g]!.length > 0) return undefined;
    if (outer[g]!.length === 0) continue;
    const outerTags = members.flatMap((m) => tagsOf[m]!.filter((t) => ringOf[t]!.ring.area > 0));
    out.push({ rings: [...named(outer[g]!, outerTags, ringOf), ...holes[g]!] });
  }
  return out;
};
