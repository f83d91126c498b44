/** Regions taken apart into pieces that hang together, and points within them. */
import Flatbush from 'flatbush';
import { boxHolds, type Point } from '../../geometry/point.js';
import { standIn } from '../../geometry/rings/arrangement.js';
import type { StoredRing } from '../../geometry/rings/stored-ring.js';
import { middleDirection, type Ring, ringBox, spanPoint, windingNumber } from '../../geometry/spans/span.js';
import type { Region, RegionRing } from './region.js';

/** An outer ring with the holes in it. */
export interface Connected {
  readonly outer: RegionRing;
  readonly holes: readonly RegionRing[];
}

/** An offset may leave a region in several pieces. */
export const connectedIn = (regions: readonly Region[]): Connected[] =>
  regions.flatMap(({ rings }) => {
    const outers = rings.filter((r) => r.ring.area > 0);
    const [only] = outers;
    const holes = rings.filter((r) => r.ring.area < 0);
    if (outers.length === 1) return [{ outer: only!, holes }];
    const bySize = [...outers].sort((a, b) => a.ring.area - b.ring.area);
    const own = new Map(outers.map((outer) => [outer, [] as RegionRing[]]));
    for (const hole of holes) {
      const round = bySize.find(({ ring }) => holds(ring, pointBeside(hole.ring.spans())));
      if (round !== undefined) own.get(round)!.push(hole);
    }
    return outers.map((outer) => ({ outer, holes: own.get(outer)! }));
  });

export const holds = (ring: StoredRing, p: Point): boolean =>
  boxHolds(ring.box, p) && windingNumber([ring.spans()], p.x, p.y) !== 0;

export const isIn = ({ outer, holes }: Connected, p: Point): boolean =>
  holds(outer.ring, p) && !holes.some(({ ring }) => holds(ring, p));

/** The smallest of them round a point; undefined where there is none. */
export const finderAmong = (regions: readonly Connected[]): ((p: Point) => Connected | undefined) => {
  if (regions.length === 0) return () => undefined;
  const index = new Flatbush(regions.length);
  for (const { outer } of regions) {
    const { minX, minY, maxX, maxY } = outer.ring.box;
    index.add(minX, minY, maxX, maxY);
  }
  index.finish();
  return (p) => {
    let found: Connected | undefined;
    for (const i of index.search(p.x, p.y, p.x, p.y)) {
      const one = regions[i]!;
      if (found !== undefined && found.outer.ring.area <= one.outer.ring.area) continue;
      if (isIn(one, p)) found = one;
    }
    return found;
  };
};

/** mm: a point beside an edge lies this far from it, or less where there is less room. */
const step = 1e-3;

/** A point on the left of a ring's edge, close to it. */
export const pointBeside = (ring: Ring, away = step): Point => {
  const { point, span } = standIn(ring);
  const d = middleDirection(span);
  return { x: point.x - away * d.y, y: point.y + away * d.x };
};

/** Thinner than `tolerance` all along: no more than a cut may be off. */
export const isCrumb = (ring: StoredRing, tolerance: number): boolean =>
  Math.abs(ring.area) < tolerance * ring.length();

/** The middle of the widest place that a few level lines find within a ring. */
export const middleOf = (ring: Ring): Point => {
  const { minX, minY, maxX, maxY } = ringBox(ring);
  const corners = ring.flatMap((s) =>
    s.radius === 0 ? [spanPoint(s, 0)] : [0, 0.25, 0.5, 0.75].map((t) => spanPoint(s, t)),
  );
  let best: Point = { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
  let widest = 0;
  for (const part of [0.5, 0.37, 0.63, 0.21, 0.79]) {
    const y = minY + part * (maxY - minY);
    const crossings: number[] = [];
    let a = corners[corners.length - 1]!;
    for (const b of corners) {
      if (a.y > y !== b.y > y) crossings.push(a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x));
      a = b;
    }
    crossings.sort((s, t) => s - t);
    for (let i = 1; i < crossings.length; i += 2) {
      const width = crossings[i]! - crossings[i - 1]!;
      // A place at another height has to be clearly wider.
      if (width <= widest * 1.1) continue;
      widest = width;
      best = { x: (crossings[i]! + crossings[i - 1]!) / 2, y };
    }
  }
  return best;
};
