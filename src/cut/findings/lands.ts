/**
 * What is left standing between new edges: the narrowest place of every land thinner than the smallest allowed one, also
 * where nothing is left of it.
 *
 * A land that stands is measured between the beam's paths, which take half a kerf from it on each side. One that is gone
 * lies within a path; it is measured between the existing edges, and what the cut takes of it on each side is subtracted.
 */
import Flatbush from 'flatbush';
import {
  type Box,
  between,
  boxesMeet,
  emptyBox,
  growBox,
  joinBoxes,
  type Point,
} from '../../geometry/point.js';
import type { StoredRing } from '../../geometry/rings/stored-ring.js';
import { WindingIndex } from '../../geometry/rings/winding-index.js';
import { cosineOfTurn, lineSpan, type Ring, type Span, spanBox } from '../../geometry/spans/span.js';
import { nearestOnSpan, type Shortest, shortestBetween } from '../../geometry/spans/span-distance.js';
import { meetings } from '../../geometry/spans/span-intersection.js';
import type { Region, RegionRing } from '../offset/region.js';
import { mayHaveNecks, necksOf } from './necks.js';
import type { Panel } from './panel.js';

export interface Land {
  /** The same one twice for a land within one shape. */
  readonly between: readonly [string, string];
  /** mm; zero or less where nothing is left of it. */
  readonly width: number;
  /** Middle of the narrowest place, true bed mm. */
  readonly at: Point;
  /** The other side is the edge of the panel. */
  readonly toOutline: boolean;
}

/** A drawn edge with the name a land beside it is called by. */
export interface NamedRing {
  readonly name: string;
  readonly ring: StoredRing;
}

export interface LandInput {
  /** Within the beam's paths. */
  readonly beams: readonly Region[];
  /** The openings as drawn, and their drawn rings. */
  readonly existing: readonly Region[];
  readonly drawn: readonly NamedRing[];
  readonly panel?: Panel;
  /** How far the beam's path lies outside the drawn edge, mm. */
  readonly distance: number;
  readonly kerf: number;
  /** The longest mitre, as a multiple of the distance; 1 where corners are rounded. */
  readonly mitre: number;
  /** Thinner lands are wanted, mm; those of which nothing is left always. */
  readonly smallest: number;
}

interface Edge {
  readonly ring: StoredRing;
  readonly box: Box;
  readonly shapes: readonly string[];
  readonly region: number;
  readonly outline: boolean;
}

/** Where nothing at all is left, the width may come out this much above zero, mm. */
const rounding = 1e-6;

/** One land for each pair of rings, and one for each neck of a ring. */
export const landsOf = (input: LandInput): Land[] => {
  const names = nameFinder(input.drawn);
  return [...standingLands(input, names), ...lostLands(input, names)];
};

type Names = (edge: Edge, p: Point) => string;

const standingLands = ({ beams, panel, kerf, smallest: asked }: LandInput, nameAt: Names): Land[] => {
  const smallest = Math.max(asked, rounding);
  const edges = new Edges(beams, panel);
  const lands: Land[] = [];
  for (const { edge, other, taken } of edges.pairs(smallest + kerf, kerf)) {
    // A path that crosses the edge of the panel leaves no land there.
    if (other.outline && ringsMeet(edge, other)) continue;
    const shortest = shortestBetweenRings(edge, other, smallest + taken);
    if (shortest === undefined || !edges.isLand(shortest, edge, other)) continue;
    lands.push(landOf(shortest, taken, edge, other, nameAt));
  }
  for (const edge of edges.all) {
    if (edge.outline) break;
    for (const neck of necksOf(edge.ring.spans(), smallest + kerf)) {
      if (edges.isLand(neck, edge, edge)) lands.push(landOf(neck, kerf, edge, edge, nameAt));
    }
  }
  return lands;
};

/** Lands that lie within the beam's paths as a whole. */
const lostLands = (input: LandInput, nameAt: Names): Land[] => {
  const { existing, beams, panel, kerf, mitre } = input;
  const taken = input.distance + kerf / 2;
  if (taken <= 0) return [];
  // Where mitred corners meet, more is lost than along edges.
  const reach = Math.max(0, input.distance) * mitre + kerf / 2;
  const edges = new Edges(existing, panel);
  const paths = new Edges(beams);
  const lands: Land[] = [];
  const offer = (way: Shortest, edge: Edge, other: Edge, less: number): void => {
    if (!paths.holdsWay(way)) return;
    if (!edges.isLand(way, edge, other)) return;
    const land = landOf(way, less, edge, other, nameAt);
    lands.push({ ...land, width: Math.min(0, land.width) });
  };
  for (const { edge, other, taken: less } of edges.pairs(2 * reach, 2 * taken)) {
    if (other.outline && ringsMeet(edge, other)) continue;
    const shortest = shortestBetweenRings(edge, other, other.outline ? reach : 2 * reach);
    if (shortest !== undefined) offer(shortest, edge, other, less);
  }
  const own = edges.all.filter(({ outline }) => !outline);
  for (const edge of own) {
    const spans = edge.ring.spans();
    // What a ring by itself takes reaches as far as its sharpest corner does: only then is more looked at.
    const farthest =
      own.length > 1
        ? 2 * reach
        : 2 * (Math.max(0, input.distance) * Math.min(mitre, longestMitre(spans)) + kerf / 2);
    if (farthest < 2 * reach && !mayHaveNecks(spans, farthest)) continue;
    for (const neck of necksOf(spans, 2 * reach)) offer(neck, edge, edge, 2 * taken);
  }
  return lands;
};

/** Of a ring's corners, as a multiple of the distance, with a hundredth of room. */
const longestMitre = (ring: Ring): number => {
  let least = 1;
  let before = ring[ring.length - 1]!;
  for (const span of ring) {
    least = Math.min(least, cosineOfTurn(before, span));
    before = span;
  }
  return 1.01 / Math.sqrt(Math.max(1e-12, (1 + least) / 2));
};

const landOf = (way: Shortest, taken: number, edge: Edge, other: Edge, nameAt: Names): Land => ({
  between: [nameAt(edge, way.from), nameAt(other, way.to)],
  width: way.distance - taken,
  at: between(way.from, way.to, 0.5),
  toOutline: edge.outline || other.outline,
});

/** The edges between which lands are measured, and what lies between them. */
class Edges {
  /** The outline comes last. */
  readonly all: readonly Edge[];
  private readonly near: (box: Box) => readonly number[];
  private readonly windings = new Map<number, WindingIndex>();

  constructor(
    private readonly regions: readonly Region[],
    private readonly panel: Panel | undefined = undefined,
  ) {
    const edges = regions.flatMap((region, i) => region.rings.map((r) => edgeOf(r, i, false)));
    for (const region of panel?.regions ?? []) {
      for (const r of region.rings) edges.push(edgeOf(r, -1, true));
    }
    this.all = edges;
    this.near = boxFinder(edges.map(({ box }) => box));
  }

  /** Those that come within `reach` of each other, each two once; what is taken between them is halved at the outline. */
  *pairs(reach: number, takenBetween: number): Generator<{ edge: Edge; other: Edge; taken: number }> {
    for (const [i, edge] of this.all.entries()) {
      if (edge.outline) return;
      for (const j of this.near(growBox(edge.box, reach))) {
        if (j <= i) continue;
        const other = this.all[j]!;
        yield { edge, other, taken: other.outline ? takenBetween / 2 : takenBetween };
      }
    }
  }

  /** Whether a point lies in an opening. */
  holds(p: Point): boolean {
    const round = this.near({ minX: p.x, minY: p.y, maxX: p.x, maxY: p.y });
    const regions = new Set(round.map((i) => this.all[i]!.region).filter((region) => region >= 0));
    return [...regions].some((region) => this.windingOf(region).at(p.x, p.y) !== 0);
  }

  /** Whether a way lies in one opening all along, but for its very ends. */
  holdsWay(way: Shortest): boolean {
    if (!this.holds(between(way.from, way.to, 0.5))) return false;
    return way.distance < rounding || !this.isCrossed(way, 0.02);
  }

  /** Whether an edge crosses a way between its ends, a share of its length left out at both. */
  private isCrossed(way: Shortest, leftOut: number, except: (edge: Edge) => boolean = () => false): boolean {
    const start = between(way.from, way.to, leftOut);
    const end = between(way.from, way.to, 1 - leftOut);
    const line = lineSpan(start.x, start.y, end.x, end.y);
    const box = spanBox(line);
    return this.near(box).some((i) => {
      const edge = this.all[i]!;
      if (except(edge)) return false;
      return edge.ring.spansNear(box, rounding).some((span) => meetings(line, span).length > 0);
    });
  }

  private windingOf(region: number): WindingIndex {
    const known = this.windings.get(region);
    if (known !== undefined) return known;
    const index = new WindingIndex(this.regions[region]!.rings.map((r) => r.ring.spans()));
    this.windings.set(region, index);
    return index;
  }

  /** True when a way crosses material all along: its middle lies on the panel and in no opening, and no edge crosses it. */
  isLand(way: Shortest, edge: Edge, other: Edge): boolean {
    const middle = between(way.from, way.to, 0.5);
    if (this.holds(middle) || this.panel?.holds(middle) === false) return false;
    if (way.distance < rounding) return true;
    const toOutline = edge.outline || other.outline;
    return !this.isCrossed(way, 1e-3, ({ outline }) => outline && toOutline);
  }
}

const ringsMeet = (edge: Edge, other: Edge): boolean => {
  const near = spansNear(edge.ring, other.box, rounding);
  return near.some(([span, box]) =>
    spansNear(other.ring, box, rounding).some(([across]) => meetings(span, across).length > 0),
  );
};

/** The numbers of the boxes that meet a box, in order. */
const boxFinder = (boxes: readonly Box[]): ((box: Box) => number[]) => {
  if (boxes.length <= 8) {
    return (box) => {
      const near: number[] = [];
      for (let i = 0; i < boxes.length; i++) if (boxesMeet(box, boxes[i]!)) near.push(i);
      return near;
    };
  }
  const index = new Flatbush(boxes.length);
  for (const { minX, minY, maxX, maxY } of boxes) index.add(minX, minY, maxX, maxY);
  index.finish();
  return ({ minX, minY, maxX, maxY }) => index.search(minX, minY, maxX, maxY).sort((a, b) => a - b);
};

const edgeOf = (r: RegionRing, region: number, outline: boolean): Edge => ({
  ring: r.ring,
  box: r.ring.box,
  shapes: r.shapes,
  region,
  outline,
});

/** The shortest way between two rings, if it is shorter than `below`. */
const shortestBetweenRings = (a: Edge, b: Edge, below: number): Shortest | undefined => {
  // The other ring may be the outline, which has all openings in its box and few edges near any of them.
  const nearB = spansNear(b.ring, a.box, below);
  const reached = nearB.reduce((box, [, own]) => joinBoxes(box, own), emptyBox);
  const nearA = nearB.length === 0 ? [] : spansNear(a.ring, reached, below);
  let best: Shortest | undefined;
  let limit = below;
  for (const [p, boxP] of nearA) {
    for (const [q, boxQ] of nearB) {
      if (
        boxP.minX - limit > boxQ.maxX ||
        boxQ.minX - limit > boxP.maxX ||
        boxP.minY - limit > boxQ.maxY ||
        boxQ.minY - limit > boxP.maxY
      ) {
        continue;
      }
      const shortest = shortestBetween(p, q);
      if (shortest.distance < limit) {
        best = shortest;
        limit = shortest.distance;
      }
    }
  }
  return best;
};

const spansNear = (ring: StoredRing, box: Box, reach: number): [Span, Box][] => {
  const out: [Span, Box][] = [];
  for (const s of ring.spansNear(box, reach)) {
    const b = spanBox(s);
    if (
      b.minX - reach <= box.maxX &&
      b.maxX + reach >= box.minX &&
      b.minY - reach <= box.maxY &&
      b.maxY + reach >= box.minY
    ) {
      out.push([s, b]);
    }
  }
  return out;
};

/** Of the shapes behind an edge the one whose drawn edge is nearest. */
const nameFinder = (drawn: readonly NamedRing[]): Names => {
  const spans: Span[] = [];
  const names: string[] = [];
  let index: Flatbush | undefined;
  const indexOfSpans = (): Flatbush => {
    for (const { name, ring } of drawn) {
      for (const span of ring.spans()) {
        spans.push(span);
        names.push(name);
      }
    }
    const tree = new Flatbush(Math.max(1, spans.length));
    if (spans.length === 0) tree.add(0, 0, 0, 0);
    for (const span of spans) {
      const box = spanBox(span);
      tree.add(box.minX, box.minY, box.maxX, box.maxY);
    }
    tree.finish();
    return tree;
  };
  const sets = new Map<Edge, ReadonlySet<string>>();
  return (edge, p) => {
    const { shapes } = edge;
    if (shapes.length === 1) return shapes[0]!;
    index ??= indexOfSpans();
    const own = sets.get(edge) ?? new Set(shapes);
    sets.set(edge, own);
    const isOwn = (i: number): boolean => i < spans.length && own.has(names[i]!);
    const away = (i: number): number => {
      const q = nearestOnSpan(spans[i]!, p.x, p.y);
      return Math.hypot(q.x - p.x, q.y - p.y);
    };
    const [first] = index.neighbors(p.x, p.y, 1, Number.POSITIVE_INFINITY, isOwn);
    if (first === undefined) return shapes[0]!;
    const reach = away(first) * (1 + 1e-12) + 1e-12;
    let best = first;
    let least = away(first);
    for (const i of index.search(p.x - reach, p.y - reach, p.x + reach, p.y + reach, isOwn)) {
      const d = away(i);
      if (d > least || (d === least && i > best)) continue;
      least = d;
      best = i;
    }
    return names[best]!;
  };
};
