/**
 * Where a part may lie that only touches and too few marks tell of, from nothing: every way to put two of the readings,
 * the farthest from each other, onto their edges is tried. One of them walks along its edge; for each of its places
 * the other one has only a few, so the ways are a few curves, and along those the remaining readings decide.
 */
import { distance, type Point } from '../../geometry/point.js';
import { spanLength, spanPoint } from '../../geometry/spans/span.js';
import type { TouchEdge } from '../../marks/touch-edge.js';
import type { Placement } from '../solve/placement.js';
import type { MixedReadings } from './mixed-fit.js';
import {
  apart,
  costOf,
  drawnIn,
  type Pose,
  placementOfPose,
  type RoughFit,
  type RoughReadings,
  roughReadings,
} from './rough-fit.js';

export interface Effort {
  /** Places tried on one edge. */
  readonly places: number;
  /** Ways drawn in to the nearest edges. */
  readonly drawn: number;
}

const thorough: Effort = { places: 800, drawn: 160 };
/** Ways nearer to a better one than this many steps along the edge are left to it. */
const crowded = 4;

export interface Start {
  readonly placement: Placement;
  /** Sum of (distance / sd)^2 after drawing in; absent where it was not drawn in. */
  readonly cost?: number;
}

/** Starts with a sum of squares of their own, the least first; `turns` false: the part cannot have turned. */
export const searchStarts = (given: MixedReadings, turns: boolean, effort: Effort = thorough): Start[] => {
  const readings = roughReadings(given);
  const anchors = anchorsOf(given, readings, effort.places);
  const { ways, step } = turns ? waysOfPair(anchors, readings) : waysOfShift(anchors);
  const most = given.touches.length * limitOf(readings);
  const costed = ways
    .map((pose) => ({ pose, cost: costOf(pose, readings, most) }))
    .sort((a, b) => a.cost - b.cost);
  const chosen: Pose[] = [];
  for (const { pose } of costed) {
    if (chosen.length >= effort.drawn) break;
    if (chosen.every((other) => apart(pose, other, readings.reach) > crowded * step)) chosen.push(pose);
  }
  const drawn = chosen.map((pose) => drawnIn(pose, readings, turns)).sort((a, b) => a.cost - b.cost);
  return distinct(drawn, readings.reach).map(({ pose, cost }) => ({
    placement: placementOfPose(pose, readings),
    cost,
  }));
};

/** Of one reading: a fifth of the part away, and the way is wrong. */
const limitOf = ({ reach, touches, marks }: RoughReadings): number => {
  const sd = Math.min(...touches.map((t) => t.sd), ...marks.map((m) => m.sd));
  return (0.2 * reach) ** 2 / (sd * sd);
};

/** Less than this apart, mm, two starts are one. */
const sameStart = 0.02;

const distinct = (fits: readonly RoughFit[], reach: number): RoughFit[] => {
  const kept: RoughFit[] = [];
  for (const fit of fits)
    if (kept.every((other) => apart(fit.pose, other.pose, reach) > sameStart)) kept.push(fit);
  return kept;
};

/** A reading with every place of the design it may be at: evenly along its edge, or the mark alone. */
interface Anchor {
  /** From the readings' middle. */
  readonly x: number;
  readonly y: number;
  readonly places: readonly Point[];
  /** From one place to the next, mm. */
  readonly step: number;
}

const anchorsOf = (
  { marks, touches }: MixedReadings,
  { middle }: RoughReadings,
  places: number,
): Anchor[] => {
  const known = new Map<TouchEdge, { places: Point[]; step: number }>();
  return [
    ...marks.map(({ from, to }) => ({ x: to.x - middle.x, y: to.y - middle.y, places: [from], step: 0 })),
    ...touches.map(({ edge, to }) => {
      const along = known.get(edge) ?? alongEdge(edge, places);
      known.set(edge, along);
      return { x: to[0]!.x - middle.x, y: to[0]!.y - middle.y, ...along };
    }),
  ];
};

const alongEdge = ({ index }: TouchEdge, places: number): { places: Point[]; step: number } => {
  let whole = 0;
  for (const s of index.spans) whole += spanLength(s);
  const step = whole / places;
  const points: Point[] = [];
  let next = step / 2;
  let passed = 0;
  for (const s of index.spans) {
    const size = spanLength(s);
    while (next < passed + size) {
      points.push(spanPoint(s, (next - passed) / size));
      next += step;
    }
    passed += size;
  }
  return { places: points.length === 0 ? [spanPoint(index.spans[0]!, 0.5)] : points, step };
};

interface Ways {
  readonly ways: readonly Pose[];
  /** How far one place to the next moves the readings, mm. */
  readonly step: number;
}

const waysOfShift = (anchors: readonly Anchor[]): Ways => {
  const a = anchors.reduce((least, other) => (other.places.length < least.places.length ? other : least));
  const ways = a.places.map((p) => ({ turn: 0, at: { x: p.x - a.x, y: p.y - a.y } }));
  return { ways, step: Math.max(a.step, 0.1) };
};

const waysOfPair = (anchors: readonly Anchor[], { reach }: RoughReadings): Ways => {
  const { walks, follows } = farthestPair(anchors);
  const wanted = distance(walks, follows);
  const heading = Math.atan2(follows.y - walks.y, follows.x - walks.x);
  const ways: Pose[] = [];
  for (const c of walks.places) {
    for (const d of placesAt(follows, c, wanted)) {
      const turn = heading - Math.atan2(d.y - c.y, d.x - c.x);
      const cos = Math.cos(turn);
      const sin = Math.sin(turn);
      // q = at + R(-turn) p for both; halves of what is left over go to either.
      const mx = (walks.x + follows.x) / 2;
      const my = (walks.y + follows.y) / 2;
      const at = {
        x: (c.x + d.x) / 2 - (cos * mx + sin * my),
        y: (c.y + d.y) / 2 - (-sin * mx + cos * my),
      };
      ways.push({ turn, at });
    }
  }
  return { ways, step: Math.max(walks.step, 0.1) * Math.max(1, reach / Math.max(wanted, 1e-9)) };
};

/** A mark is the best to start from, then the shorter edge. */
const farthestPair = (anchors: readonly Anchor[]): { walks: Anchor; follows: Anchor } => {
  let best: { walks: Anchor; follows: Anchor } | undefined;
  let most = -1;
  const marked = anchors.some((a) => a.places.length === 1);
  for (const a of anchors) {
    if (marked && a.places.length > 1) continue;
    for (const b of anchors) {
      if (a === b || (!marked && a.step > b.step)) continue;
      const size = distance(a, b);
      if (size > most) {
        most = size;
        best = { walks: a, follows: b };
      }
    }
  }
  return best!;
};

/** Places of an anchor at the wanted distance from c: where its edge crosses that circle, or comes nearest to it. */
const placesAt = ({ places: points, step }: Anchor, c: Point, wanted: number): Point[] => {
  const found: Point[] = [];
  const count = points.length;
  const off = points.map((p) => distance(p, c) - wanted);
  for (let i = 0; i < count; i++) {
    const next = (i + 1) % count;
    const here = off[i]!;
    const then = off[next]!;
    const joined = count > 1 && distance(points[i]!, points[next]!) < 2 * step;
    if (joined && here < 0 !== then < 0) {
      const t = here / (here - then);
      found.push({
        x: points[i]!.x + t * (points[next]!.x - points[i]!.x),
        y: points[i]!.y + t * (points[next]!.y - points[i]!.y),
      });
      continue;
    }
    const before = off[(i + count - 1) % count]!;
    const size = Math.abs(here);
    const isNearest = size <= Math.abs(before) && size <= Math.abs(then) && before < 0 === here < 0;
    if (isNearest && (size < 2 * step || count === 1)) found.push(points[i]!);
  }
  return found;
};
