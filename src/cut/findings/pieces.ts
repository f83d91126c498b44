/** The panel less what is removed from it: the pieces it comes to, and where its edge is opened. */
import Flatbush from 'flatbush';
import { type Box, growBox, joinBoxes, type Point } from '../../geometry/point.js';
import {
  type Chain,
  cutAtMeetings,
  type LinkedRing,
  linkStretches,
  type Stretch,
  standIn,
} from '../../geometry/rings/arrangement.js';
import { commonEdges } from '../../geometry/rings/common-edges.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { type Ring, reversedRing, type Span, windingNumber } from '../../geometry/spans/span.js';
import { Links } from '../clusters.js';
import { agreesWithSides, type Sided } from '../offset/boundary.js';
import { isCrumb } from '../offset/connected.js';
import { subtractPolygons } from '../offset/polygon-offset.js';
import type { Region, RegionRing } from '../offset/region.js';
import type { Panel } from './panel.js';

/** A piece of material. */
export interface Piece {
  /** Its outer edge, counter-clockwise. */
  readonly outer: StoredRing;
  /** Shapes whose edges it has there. */
  readonly shapes: readonly string[];
  /** It has some of the panel's edge, or there is no panel: then it is an island in an opening. */
  readonly ofPanel: boolean;
}

/** A stretch of the panel's edge that is removed. */
export interface Opened {
  readonly spans: readonly Span[];
  /** A point of it. */
  readonly at: Point;
}

export interface Pieces {
  readonly pieces: readonly Piece[];
  readonly opened: readonly Opened[];
  /** Regions that lie outside of the panel as a whole. */
  readonly outside: readonly Region[];
}

/**
 * @param removed regions that do not overlap; where no panel is given, material reaches as far as one likes, and only the
 * pieces within regions are told
 */
export const piecesOf = (panel: Panel | undefined, removed: readonly Region[], tolerance: number): Pieces => {
  const atEdge: Region[] = [];
  const outside: Region[] = [];
  const pieces: Piece[] = [];
  for (const region of removed) {
    const box = region.rings.map(({ ring }) => ring.box).reduce(joinBoxes);
    const { ax, ay } = region.rings[0]!.ring.first();
    if (panel !== undefined && panel.near(growBox(box, 1e-6)).length > 0) atEdge.push(region);
    else if (panel !== undefined && !panel.holds({ x: ax, y: ay })) outside.push(region);
    else pieces.push(...islandsOf(region));
  }
  if (panel === undefined) return { pieces: pieces.filter(isMore(tolerance)), opened: [], outside };
  const cut = cutPanel(panel, atEdge, tolerance);
  const met = new Set(cut.met);
  outside.push(
    ...atEdge.filter((region) => {
      const { ax, ay } = region.rings[0]!.ring.first();
      return !region.rings.some((ring) => met.has(ring)) && !panel.holds({ x: ax, y: ay });
    }),
  );
  return { pieces: [...pieces, ...cut.pieces].filter(isMore(tolerance)), opened: cut.opened, outside };
};

const isMore =
  (tolerance: number) =>
  ({ outer }: Piece): boolean =>
    !isCrumb(outer, tolerance);

const islandsOf = ({ rings }: Region): Piece[] =>
  rings
    .filter(({ ring }) => ring.area < 0)
    .map(({ ring, shapes }) => ({
      outer: new StoredRing(reversedRing(ring.spans()), { lasts: true }),
      shapes,
      ofPanel: false,
    }));

interface CutPanel {
  readonly pieces: readonly Piece[];
  readonly opened: readonly Opened[];
  /** Rings that the panel's edge runs through. */
  readonly met: readonly RegionRing[];
}

const cutPanel = (panel: Panel, removed: readonly Region[], tolerance: number): CutPanel => {
  const edges = panel.regions.flatMap((region) => region.rings);
  const sources: RegionRing[] = [...edges, ...removed.flatMap((region) => region.rings)];
  const rings = sources.map((source) => source.ring.spans());
  const isEdge = (tag: number): boolean => tag < edges.length;
  const near = nearRings(rings, sources, edges.length);
  const chains = rings.map((spans, tag): Chain => ({ spans, closed: true, tag }));
  const gone: Stretch[] = [];
  const kept: Stretch[] = [];
  const stretches = cutAtMeetings(chains);
  const sides = commonEdges(stretches).map(({ stretch, along, against }): Sided => {
    const { point } = standIn(stretch.spans);
    const isPanels = ({ tag }: Stretch): boolean => isEdge(tag);
    const isRemoveds = ({ tag }: Stretch): boolean => !isEdge(tag);
    const onPanel = sidesOf(along.some(isPanels), against.some(isPanels), () => panel.holds(point));
    const inRemoved = sidesOf(
      along.some(isRemoveds),
      against.some(isRemoveds),
      () => windingNumber(near(point), point.x, point.y) > 0,
    );
    if (inRemoved.left) gone.push(...along.filter(isPanels));
    if (inRemoved.right) gone.push(...against.filter(isPanels));
    const left = onPanel.left && !inRemoved.left;
    const right = onPanel.right && !inRemoved.right;
    if (left && !right) kept.push(stretch);
    else if (right && !left) {
      kept.push({ ...stretch, spans: reversedRing(stretch.spans), from: stretch.to, to: stretch.from });
    }
    return { stretch, left, right };
  });
  const linked = linkStretches(kept);
  const isRight =
    linked !== undefined &&
    agreesWithSides(
      linked.map(({ ring }) => ring),
      sides,
    );
  const left: readonly LinkedRing[] = isRight
    ? linked
    : subtractPolygons(rings.slice(0, edges.length), rings.slice(edges.length), tolerance / 2).map(
        (ring) => ({ ring, tags: new Set(rings.keys()) }),
      );
  const pieces = left.flatMap(({ ring, tags }): Piece[] => {
    const outer = new StoredRing(ring, { lasts: true });
    if (outer.area <= 0) return [];
    const all = [...tags];
    const shapes = new Set(all.filter((tag) => !isEdge(tag)).flatMap((tag) => sources[tag]!.shapes));
    return [{ outer, shapes: [...shapes], ofPanel: all.some(isEdge) }];
  });
  const met = stretches.filter(({ tag, from }) => !isEdge(tag) && from !== -1);
  return { pieces, opened: runsOf(gone), met: met.map(({ tag }) => sources[tag]!) };
};

/** Which sides of an edge lie in something: an edge of its own says so, else the place. */
const sidesOf = (
  left: boolean,
  right: boolean,
  isAround: () => boolean,
): { readonly left: boolean; readonly right: boolean } => {
  const around = !left && !right && isAround();
  return { left: left || around, right: right || around };
};

/** The rings of what is removed whose boxes hold a point. */
const nearRings = (
  rings: readonly Ring[],
  sources: readonly RegionRing[],
  first: number,
): ((p: Point) => Ring[]) => {
  if (rings.length === first) return () => [];
  const index = new Flatbush(rings.length - first);
  for (const { ring } of sources.slice(first)) {
    const { minX, minY, maxX, maxY }: Box = growBox(ring.box, 1e-6);
    index.add(minX, minY, maxX, maxY);
  }
  index.finish();
  return (p) => index.search(p.x, p.y, p.x, p.y).map((i) => rings[first + i]!);
};

/** Stretches that follow one another on the same ring. */
const runsOf = (stretches: readonly Stretch[]): Opened[] => {
  const links = new Links(stretches.length);
  const starts = new Map(stretches.map((s, i) => [`${s.chain} ${s.from}`, i]));
  stretches.forEach((s, i) => {
    const next = s.from === -1 ? undefined : starts.get(`${s.chain} ${s.to}`);
    if (next !== undefined) links.join(i, next);
  });
  return links.groups().map((group) => {
    const spans = group.flatMap((i) => stretches[i]!.spans);
    return { spans, at: standIn(spans).point };
  });
};
