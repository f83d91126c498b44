/**
 * Where material is narrow between two stretches of one ring: between the arms of a C, in a tongue, in an island. A neck is a
 * way from the ring to itself across material that is the shortest one when either end is moved a little; a pointed tip
 * has none, for there the way only shrinks towards the tip.
 */
import Flatbush from 'flatbush';
import { between, distance, type Point } from '../../geometry/point.js';
import {
  cosineOfTurn,
  endDirection,
  type Ring,
  type Span,
  sineOfTurn,
  spanPoint,
  startDirection,
  writeHoldingBox,
} from '../../geometry/spans/span.js';
import { nearestOnSpan, type Shortest, shortestBetween } from '../../geometry/spans/span-distance.js';
import { Links } from '../clusters.js';

/** Up to so many spans every pair is looked at. */
const fewSpans = 128;
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
  someFacingPair(ring, limit, (i, j) => {
    const shortest = shortestBetween(ring[i]!, ring[j]!);
    if (shortest.distance >= limit) return false;
    pairs.push([i, j]);
    ways.push(neckBetween(ring, i, j, shortest));
    return false;
  });
  return narrowestOfEach(pairs, ways, ring.length);
};

/** Whether the material to the right of a closed ring may be narrower than `limit` mm somewhere; never a wrong no. */
export const mayHaveNecks = (ring: Ring, limit: number): boolean => {
  if (isConvex(ring)) return false;
  return someFacingPair(ring, limit, (i, j) => shortestBetween(ring[i]!, ring[j]!).distance < limit);
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

/**
 * Goes through the pairs i < j of spans, not neighbours, that come within `limit` of each other with material between them.
 *
 * @returns whether one of them was what `isIt` looks for; the others are then not gone through
 */
const someFacingPair = (ring: Ring, limit: number, isIt: (i: number, j: number) => boolean): boolean => {
  const n = ring.length;
  const boxes = new Float64Array(4 * n);
  const directions = new Float64Array(4 * n);
  ring.forEach((s, i) => {
    writeHoldingBox(s, 0, boxes, 4 * i);
    const start = startDirection(s);
    const end = s.radius === 0 ? start : endDirection(s);
    directions[4 * i] = start.x;
    directions[4 * i + 1] = start.y;
    directions[4 * i + 2] = end.x;
    directions[4 * i + 3] = end.y;
  });
  const offer = (i: number, j: number): boolean => {
    if (j - i < 2 || (i === 0 && j === n - 1) || !areOpposed(directions, i, j)) return false;
    // At a corner one of its two edges is enough: a way that leaves it lies in front of one of them.
    const [p, q] = [ring[i]!, ring[j]!];
    return (isInFront(p, q, directions, 4 * i) || isInFront(q, p, directions, 4 * j)) && isIt(i, j);
  };
  if (n <= fewSpans) {
    for (let i = 0; i < n; i++) {
      for (let j = i + 2; j < n; j++) if (areNear(boxes, i, j, limit) && offer(i, j)) return true;
    }
    return false;
  }
  const index = new Flatbush(n);
  for (let k = 0; k < 4 * n; k += 4) index.add(boxes[k]!, boxes[k + 1]!, boxes[k + 2]!, boxes[k + 3]!);
  index.finish();
  for (let i = 0; i < n; i++) {
    const k = 4 * i;
    const near = index.search(
      boxes[k]! - limit,
      boxes[k + 1]! - limit,
      boxes[k + 2]! + limit,
      boxes[k + 3]! + limit,
      (j) => j > i + 1,
    );
    if (near.length > 1) near.sort((a, b) => a - b);
    for (const j of near) if (offer(i, j)) return true;
  }
  return false;
};

const areNear = (boxes: Float64Array, i: number, j: number, reach: number): boolean =>
  boxes[4 * i]! - reach <= boxes[4 * j + 2]! &&
  boxes[4 * j]! - reach <= boxes[4 * i + 2]! &&
  boxes[4 * i + 1]! - reach <= boxes[4 * j + 3]! &&
  boxes[4 * j + 1]! - reach <= boxes[4 * i + 3]!;

/** Whether they run against each other, from one of their ends at least. */
const areOpposed = (d: Float64Array, i: number, j: number): boolean => {
  for (let a = 4 * i; a < 4 * i + 4; a += 2) {
    for (let b = 4 * j; b < 4 * j + 4; b += 2) {
      if (d[a]! * d[b]! + d[a + 1]! * d[b + 1]! < -1e-9) return true;
    }
  }
  return false;
};

/** Whether some of q lies to the right of p: of its direction at one of its ends at least, `d` from `at` on. */
const isInFront = (p: Span, q: Span, d: Float64Array, at: number): boolean => {
  const hair = 1e-7;
  if (p.sweep > 0) {
    const middle = spanPoint(q, 0.5);
    const away = (x: number, y: number): number => Math.hypot(x - p.cx, y - p.cy);
    return Math.max(away(q.ax, q.ay), away(q.bx, q.by), away(middle.x, middle.y)) > p.radius + hair;
  }
  const beyond = hair - (q.radius * q.sweep * q.sweep) / 8;
  const isRight = (x: number, y: number): boolean =>
    (x - p.ax) * d[at + 1]! - (y - p.ay) * d[at]! > beyond ||
    (x - p.bx) * d[at + 3]! - (y - p.by) * d[at + 2]! > beyond;
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
