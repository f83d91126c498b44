/** What is left standing between new edges. */
import Flatbush from 'flatbush';
import {
  type Box,
  between,
  boxesMeet,
  boxHolds,
  emptyBox,
  growBox,
  joinBoxes,
  type Point,
} from '../geometry/point.js';
import { type Span, spanBox, windingNumber } from '../geometry/span.js';
import { nearestOnSpan, type Shortest, shortestBetween } from '../geometry/span-distance.js';
import type { StoredRing } from '../geometry/stored-ring.js';
import type { Region, RegionRing } from './region.js';

export interface Land {
  readonly between: readonly [string, string];
  /** mm; zero or less where the kerfs on both sides meet. */
  readonly width: number;
  /** Middle of the narrowest place, true bed mm. */
  readonly at: Point;
}

/** A drawn edge with the name a land beside it is called by. */
export interface NamedRing {
  readonly name: string;
  readonly ring: StoredRing;
}

interface Edge {
  readonly ring: StoredRing;
  readonly box: Box;
  readonly shapes: readonly string[];
  readonly region: number;
  readonly outline: boolean;
}

/**
 * The narrowest place of every land thinner than `smallest`, one for each pair of beam paths, and of each beam path with
 * the outline. The beam takes half a kerf from a land on each side it passes.
 */
export const thinLands = (
  regions: readonly Region[],
  outline: readonly NamedRing[],
  existing: readonly NamedRing[],
  kerf: number,
  smallest: number,
): Land[] => {
  if (smallest <= 0) return [];
  const edges: Edge[] = regions.flatMap((region, i) => region.rings.map((r) => edgeOf(r, i)));
  for (const { name, ring } of outline) {
    edges.push({ ring, box: ring.box, shapes: [name], region: -1, outline: true });
  }
  if (edges.length < 2) return [];
  const reach = smallest + kerf;
  const drawn = new Map<string, StoredRing[]>();
  for (const { name, ring } of existing) {
    const list = drawn.get(name);
    if (list === undefined) drawn.set(name, [ring]);
    else list.push(ring);
  }
  const laterNear = neighbourFinder(
    edges.map(({ box }) => box),
    reach,
  );
  const lands: Land[] = [];
  edges.forEach((edge, i) => {
    for (const j of laterNear(i)) {
      const other = edges[j]!;
      if (edge.outline && other.outline) continue;
      const taken = edge.outline || other.outline ? kerf / 2 : kerf;
      const shortest = shortestBetweenRings(edge, other, smallest + taken);
      if (shortest === undefined || !isLand(shortest, edge, other, regions)) continue;
      const names: [string, string] = [
        nearestName(edge, shortest.from, drawn),
        nearestName(other, shortest.to, drawn),
      ];
      lands.push({
        between: names,
        width: shortest.distance - taken,
        at: between(shortest.from, shortest.to, 0.5),
      });
    }
  });
  return lands;
};

/** For box i those after it that come within `reach` of it, in order. */
const neighbourFinder = (boxes: readonly Box[], reach: number): ((i: number) => number[]) => {
  if (boxes.length <= 8) {
    return (i) => {
      const wide = growBox(boxes[i]!, reach);
      const near: number[] = [];
      for (let j = i + 1; j < boxes.length; j++) if (boxesMeet(wide, boxes[j]!)) near.push(j);
      return near;
    };
  }
  const index = new Flatbush(boxes.length);
  for (const { minX, minY, maxX, maxY } of boxes) index.add(minX, minY, maxX, maxY);
  index.finish();
  return (i) => {
    const { minX, minY, maxX, maxY } = growBox(boxes[i]!, reach);
    return index.search(minX, minY, maxX, maxY, (j) => j > i).sort((a, b) => a - b);
  };
};

const edgeOf = (r: RegionRing, region: number): Edge => ({
  ring: r.ring,
  box: r.ring.box,
  shapes: r.shapes,
  region,
  outline: false,
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

/** True when the way crosses material: its middle lies in neither region. */
const isLand = (way: Shortest, a: Edge, b: Edge, regions: readonly Region[]): boolean => {
  const middle = between(way.from, way.to, 0.5);
  for (const edge of [a, b]) {
    if (edge.outline) continue;
    // Rings with the middle outside their boxes do not wind round it.
    const near = regions[edge.region]!.rings.filter((r) => boxHolds(r.ring.box, middle));
    const rings = near.map((r) => r.ring.spans());
    if (windingNumber(rings, middle.x, middle.y) !== 0) return false;
  }
  return true;
};

/** Of the shapes behind a new edge the one whose drawn edge is nearest. */
const nearestName = (edge: Edge, p: Point, drawn: ReadonlyMap<string, readonly StoredRing[]>): string => {
  if (edge.shapes.length === 1) return edge.shapes[0]!;
  let best = edge.shapes[0]!;
  let least = Number.POSITIVE_INFINITY;
  for (const name of edge.shapes) {
    for (const ring of drawn.get(name) ?? []) {
      for (const s of ring.spans()) {
        const q = nearestOnSpan(s, p.x, p.y);
        const d = Math.hypot(q.x - p.x, q.y - p.y);
        if (d < least) {
          least = d;
          best = name;
        }
      }
    }
  }
  return best;
};
