/**
 * Where material is narrow between two stretches of one ring: between the arms of a C, in a tongue, in an island. A neck is a
 * way from the ring to itself across material that is the shortest one when either end is moved a little; a pointed tip
 * has none, for there the way only shrinks towards the tip.
 */
import Flatbush from 'flatbush';
import { between, boxesMeet, distance, growBox, type Point } from '../geometry/point.js';
import {
  cosineOfTurn,
  endDirection,
  type Ring,
  type Span,
  sineOfTurn,
  spanBox,
  spanPoint,
  startDirection,
} from '../geometry/span.js';
import { nearestOnSpan, type Shortest, shortestBetween } from '../geometry/span-distance.js';
import { Links } from './clusters.js';

/** Up to so many spans every pair is looked at. */
const fewSpans = 32;
/** A way that leaves an edge this far (as a cosine) from square to it is not the shortest one. */
const square = 1e-3;
/** Two edges that run along each other keep their distance to this, mm. */
const parallel = 1e-5;
/** A point this near to the end of a span is its end, mm. */
const atEnd = 1e-7;

/**
 * The necks narrower than `limit` mm of the material to the right of a closed ring, the narrowest place of each. Other rings
 * may lie in between: nothing is known of them here.
 */
export const necksOf = (ring: Ring, limit: number): Shortest[] => {
  if (isConvex(ring)) return [];
  const pairs: (readonly [number, number])[] = [];
  const ways: (Shortest | undefined)[] = [];
  forEachFacingPair(ring, limit, (i, j) => {
    const shortest = shortestBetween(ring[i]!, ring[j]!);
    if (shortest.distance >= limit) return;
    pairs.push([i, j]);
    ways.push(neckBetween(ring, i, j, shortest));
  });
  return narrowestOfEach(pairs, ways, ring.length);
};

/** Whether the material to the right of a closed ring may be narrower than `limit` mm somewhere; never a wrong no. */
export const mayHaveNecks = (ring: Ring, limit: number): boolean => {
  if (isConvex(ring)) return false;
  let found = false;
  forEachFacingPair(ring, limit, (i, j) => {
    found ||= shortestBetween(ring[i]!, ring[j]!).distance < limit;
  });
  return found;
};

/** The ring turns only to the left: nothing faces it across what lies on its right. */
const isConvex = (ring: Ring): boolean => {
  let before = ring[ring.length - 1]!;
  for (const span of ring) {
    if (span.sweep < 0) return false;
    const sine = sineOfTurn(before, span);
    if (sine < -1e-9 || (sine < 1e-9 && cosineOfTurn(before, span) < 0)) return false;
    before = span;
  }
  return true;
};

/** Pairs i < j of spans, not neighbours, that come within `limit` of each other with material between them. */
const forEachFacingPair = (ring: Ring, limit: number, visit: (i: number, j: number) => void): void => {
  const n = ring.length;
  const boxes = ring.map(spanBox);
  const starts = ring.map(startDirection);
  const ends = ring.map((s, i) => (s.radius === 0 ? starts[i]! : endDirection(s)));
  const isOpposed = (i: number, j: number): boolean =>
    isAgainst(starts[i]!, starts[j]!) ||
    isAgainst(starts[i]!, ends[j]!) ||
    isAgainst(ends[i]!, starts[j]!) ||
    isAgainst(ends[i]!, ends[j]!);
  const offer = (i: number, j: number): void => {
    if (j - i < 2 || (i === 0 && j === n - 1)) return;
    if (!isOpposed(i, j)) return;
    // At a corner one of its two edges is enough: a way that leaves it lies in front of one of them.
    const [p, q] = [ring[i]!, ring[j]!];
    if (isInFront(p, q, starts[i]!, ends[i]!) || isInFront(q, p, starts[j]!, ends[j]!)) visit(i, j);
  };
  if (n <= fewSpans) {
    for (let i = 0; i < n; i++) {
      const wide = growBox(boxes[i]!, limit);
      for (let j = i + 2; j < n; j++) if (boxesMeet(wide, boxes[j]!)) offer(i, j);
    }
    return;
  }
  const index = new Flatbush(n);
  for (const b of boxes) index.add(b.minX, b.minY, b.maxX, b.maxY);
  index.finish();
  for (let i = 0; i < n; i++) {
    const { minX, minY, maxX, maxY } = growBox(boxes[i]!, limit);
    const near = index.search(minX, minY, maxX, maxY, (j) => j > i + 1);
    for (const j of near.sort((a, b) => a - b)) offer(i, j);
  }
};

const isAgainst = (a: Point, b: Point): boolean => a.x * b.x + a.y * b.y < -1e-9;

/** Whether some of q lies to the right of p: to the right of its direction at one of its ends at least. */
const isInFront = (p: Span, q: Span, start: Point, end: Point): boolean => {
  const hair = 1e-7;
  if (p.sweep > 0) {
    const middle = spanPoint(q, 0.5);
    const away = (x: number, y: number): number => Math.hypot(x - p.cx, y - p.cy);
    return Math.max(away(q.ax, q.ay), away(q.bx, q.by), away(middle.x, middle.y)) > p.radius + hair;
  }
  const beyond = hair - (q.radius * q.sweep * q.sweep) / 8;
  const isRight = (x: number, y: number): boolean =>
    (x - p.ax) * start.y - (y - p.ay) * start.x > beyond || (x - p.bx) * end.y - (y - p.by) * end.x > beyond;
  return isRight(q.ax, q.ay) || isRight(q.bx, q.by);
};

/** The way between two spans, where it is the shortest one as either end is moved, along its span or on to the next. */
const neckBetween = (ring: Ring, i: number, j: number, shortest: Shortest): Shortest | undefined => {
  const isNeck = ({ from, to, distance: width }: Shortest): boolean => {
    if (width === 0) return false;
    const along = { x: (to.x - from.x) / width, y: (to.y - from.y) / width };
    return isSquare(ring, i, from, along) && isSquare(ring, j, to, { x: -along.x, y: -along.y });
  };
  if (isNeck(shortest)) return shortest;
  // Along parallel edges all ways are the shortest: one in the middle does not depend on what comes after their ends.
  const middle = middleWay(ring[i]!, ring[j]!);
  return middle.distance <= shortest.distance + parallel && isNeck(middle) ? middle : undefined;
};

/** The way across from the middle of the stretch along which the spans lie side by side. */
const middleWay = (p: Span, q: Span): Shortest => {
  const one = nearestOnSpan(p, q.ax, q.ay);
  const other = nearestOnSpan(p, q.bx, q.by);
  const middle = between(one, other, 0.5);
  const start = nearestOnSpan(p, middle.x, middle.y);
  const to = nearestOnSpan(q, start.x, start.y);
  const from = nearestOnSpan(p, to.x, to.y);
  return { distance: distance(from, to), from, to };
};

/** Whether a way in this direction gets no shorter when its start moves along span i or on to its neighbours. */
const isSquare = (ring: Ring, i: number, at: Point, way: Point): boolean => {
  const n = ring.length;
  const span = ring[i]!;
  const isStart = Math.abs(at.x - span.ax) + Math.abs(at.y - span.ay) < atEnd;
  const isEnd = !isStart && Math.abs(at.x - span.bx) + Math.abs(at.y - span.by) < atEnd;
  if (isStart) return isWithin(endDirection(ring[(i + n - 1) % n]!), startDirection(span), way);
  if (isEnd) return isWithin(endDirection(span), startDirection(ring[(i + 1) % n]!), way);
  return true;
};

/** Whether the way leaves a corner between the normals of the edge that arrives and of the one that leaves. */
const isWithin = (arriving: Point, leaving: Point, way: Point): boolean =>
  arriving.x * way.x + arriving.y * way.y >= -square && leaving.x * way.x + leaving.y * way.y <= square;

/** Pairs of spans next to one another on both sides belong to one neck. */
const narrowestOfEach = (
  pairs: readonly (readonly [number, number])[],
  ways: readonly (Shortest | undefined)[],
  n: number,
): Shortest[] => {
  if (pairs.length < 2) return ways.filter((way) => way !== undefined);
  const key = (i: number, j: number): number => ((i + n) % n) * n + ((j + n) % n);
  const places = new Map(pairs.map(([i, j], k) => [key(i, j), k]));
  const links = new Links(pairs.length);
  pairs.forEach(([i, j], k) => {
    for (let di = -1; di <= 1; di++) {
      for (let dj = -1; dj <= 1; dj++) {
        const other = places.get(key(i + di, j + dj)) ?? places.get(key(j + dj, i + di));
        if (other !== undefined) links.join(k, other);
      }
    }
  });
  return links.groups().flatMap((group) => {
    let best: Shortest | undefined;
    for (const k of group) {
      const way = ways[k];
      if (way !== undefined && (best === undefined || way.distance < best.distance)) best = way;
    }
    return best === undefined ? [] : [best];
  });
};
