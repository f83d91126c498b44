/**
 * The parallel curve of a region, exactly: every line and arc is moved by itself, corners are joined, the result is cut
 * where it meets itself, and a stretch is kept when nothing of the old edge is nearer to it than the offset.
 *
 * That last rule is the definition of the parallel curve, so what is kept is right whatever the stretches do on the way
 * (arcs turned inside out, corners overrun by their neighbours). Mitred tips lie farther out than the offset; a stretch
 * inside one is dropped as well. When the kept stretches do not close to rings the answer is undefined.
 */
import Flatbush from 'flatbush';
import { boxOfPoints, type Point } from '../../geometry/point.js';
import {
  type Chain,
  cutAtMeetings,
  type LinkedRing,
  linkStretches,
  standIn,
} from '../../geometry/rings/arrangement.js';
import {
  arcSpansAbout,
  distanceToSpan,
  endDirection,
  lineSpan,
  origins,
  type Ring,
  ringArea,
  ringLength,
  type Span,
  spanBox,
  spanOf,
  spanPart,
  spanPoint,
  startDirection,
} from '../../geometry/spans/span.js';
import { meetings } from '../../geometry/spans/span-intersection.js';
import type { Corners } from '../../job/job.js';
import { agreesWithSides } from './boundary.js';

export interface CornerRule {
  readonly corners: Corners;
  /** Longest mitre, as a multiple of the offset; a sharper corner is rounded, so that the clearance still holds. */
  readonly mitreLimit: number;
}

/** The mitred tip over a corner: corner, end of the arriving edge, tip, start of the leaving edge. */
export type Tip = readonly [Point, Point, Point, Point];

/** Ends of neighbouring edges closer than this (mm) are simply joined. */
const joinable = 1e-7;
/** How much nearer than the offset (mm) a kept stretch may seem. */
const slack = 5e-7;
/** Corners blunter than this (radians) are trimmed on the spot on their inner side. */
const blunt = 0.3;
/** Rings thinner than this on the average (mm) are the two sides of one line. */
const sliver = 1e-5;

/**
 * Offsets all rings of one region by `distance` mm, outward for a positive one. Rings keep the region on their left.
 * The tags of the result are indices into `rings`. Undefined: no consistent boundary was found.
 */
export const offsetRings = (
  rings: readonly Ring[],
  distance: number,
  rule: CornerRule,
): LinkedRing[] | undefined => {
  if (Math.abs(distance) < 1e-9) return rings.map((ring, i) => ({ ring, tags: new Set([i]) }));
  const chains: Chain[] = [];
  const tips: Tip[] = [];
  rings.forEach((ring, tag) => {
    moveRing(ring, distance, rule, tag, chains, tips);
  });
  const stretches = cutAtMeetings(chains);
  const isNearerThan = nearerTest(rings, stretches.length);
  const isInTip = tipTest(tips, stretches.length);
  const reach = Math.abs(distance) - slack;
  const kept = stretches.filter((stretch) => {
    const { point } = standIn(stretch.spans);
    return !isNearerThan(point, reach) && !isInTip(point);
  });
  const linked = linkStretches(kept);
  if (linked === undefined) return undefined;
  const inNodes = kept.filter((stretch) => stretch.from !== -1);
  if (inNodes.length > 0) {
    const sides = inNodes.map((stretch) => ({ stretch, left: true, right: false }));
    const boundary = linked.map(({ ring }) => ring);
    if (!agreesWithSides(boundary, sides)) return undefined;
  }
  return linked.filter(({ ring }) => Math.abs(ringArea(ring)) > sliver * ringLength(ring));
};

/** The mitred tips of an offset, none where corners are rounded. */
export const mitredTips = (rings: readonly Ring[], distance: number, rule: CornerRule): Tip[] => {
  const tips: Tip[] = [];
  if (rule.corners === 'mitre')
    rings.forEach((ring, tag) => {
      moveRing(ring, distance, rule, tag, [], tips);
    });
  return tips;
};

/** Distance test against the old edge; an index serves where there are many points to test. */
const nearerTest = (rings: readonly Ring[], questions: number): ((p: Point, reach: number) => boolean) => {
  const spans = rings.length === 1 ? rings[0]! : rings.flat();
  if (questions <= 16) {
    return (p, reach) => {
      for (const s of spans) if (distanceToSpan(s, p.x, p.y) < reach) return true;
      return false;
    };
  }
  const index = new Flatbush(spans.length);
  for (const s of spans) {
    const box = spanBox(s);
    index.add(box.minX, box.minY, box.maxX, box.maxY);
  }
  index.finish();
  // Stretches that follow one another are mostly too near to the same span.
  let last: Span | undefined;
  return (p, reach) => {
    if (last !== undefined && distanceToSpan(last, p.x, p.y) < reach) return true;
    let nearer = false;
    index.search(p.x - reach, p.y - reach, p.x + reach, p.y + reach, (i) => {
      if (nearer || distanceToSpan(spans[i]!, p.x, p.y) >= reach) return false;
      nearer = true;
      last = spans[i]!;
      return false;
    });
    return nearer;
  };
};

/** Whether a point lies in one of the tips; an index serves where there are many of both. */
const tipTest = (tips: readonly Tip[], questions: number): ((p: Point) => boolean) => {
  if (tips.length <= 16 || questions <= 16) return (p) => tips.some((tip) => isInsideTip(tip, p));
  const index = new Flatbush(tips.length);
  for (const tip of tips) {
    const { minX, minY, maxX, maxY } = boxOfPoints(tip);
    index.add(minX, minY, maxX, maxY);
  }
  index.finish();
  return ({ x, y }) => {
    let inside = false;
    index.search(x, y, x, y, (i) => {
      inside ||= isInsideTip(tips[i]!, { x, y });
      return false;
    });
    return inside;
  };
};

const isInsideTip = (tip: Tip, p: Point): boolean => {
  let sign = 0;
  for (let i = 0; i < 4; i++) {
    const a = tip[i]!;
    const b = tip[(i + 1) % 4]!;
    const side = (b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x);
    if (Math.abs(side) < 1e-9) return false;
    if (sign === 0) sign = Math.sign(side);
    else if (Math.sign(side) !== sign) return false;
  }
  return true;
};

/** A span moved to its right by `distance`; undefined when it turns inside out, which no valid edge does. */
const moveSpan = (s: Span, distance: number): Span | undefined => {
  if (s.radius === 0) {
    const d = startDirection(s);
    const x = d.y * distance;
    const y = -d.x * distance;
    return lineSpan(s.ax + x, s.ay + y, s.bx + x, s.by + y, s.origin);
  }
  const radius = s.radius + (s.sweep > 0 ? distance : -distance);
  if (radius <= 1e-9) return undefined;
  const factor = radius / s.radius;
  return spanOf(
    s.cx + (s.ax - s.cx) * factor,
    s.cy + (s.ay - s.cy) * factor,
    s.cx + (s.bx - s.cx) * factor,
    s.cy + (s.by - s.cy) * factor,
    radius,
    s.cx,
    s.cy,
    s.sweep,
    s.origin,
  );
};

const moveRing = (
  ring: Ring,
  distance: number,
  rule: CornerRule,
  tag: number,
  chains: Chain[],
  tips: Tip[],
): void => {
  const n = ring.length;
  const moved = ring.map((s) => moveSpan(s, distance));
  // joins[i]: what stands between span i and the next; undefined: the chain is broken there.
  const joins: (readonly Span[] | undefined)[] = [];
  for (let i = 0; i < n; i++) {
    const j = (i + 1) % n;
    joins.push(joinMoved(ring[i]!, ring[j]!, moved, i, j, distance, rule, tips));
  }
  const isBreak = (i: number): boolean => joins[i] === undefined || moved[i] === undefined;
  let start = 0;
  while (start < n && !isBreak(start)) start++;
  const closed = start === n;
  let spans: Span[] = [];
  const flush = (isClosed: boolean): void => {
    if (spans.length > 0) chains.push({ spans, closed: isClosed, tag });
    spans = [];
  };
  const firstSpan = closed ? 0 : start + 1;
  for (let k = 0; k < n; k++) {
    const i = (firstSpan + k) % n;
    const s = moved[i];
    // Chains broken here meet again at their common end, should both be kept.
    if (s === undefined) flush(false);
    else spans.push(s);
    const join = joins[i];
    if (join === undefined) flush(false);
    else spans.push(...join);
  }
  flush(closed);
};

/** Where an end of a span lies after the move. */
const movedEnd = (x: number, y: number, direction: Point, distance: number): Point => ({
  x: x + direction.y * distance,
  y: y - direction.x * distance,
});

/**
 * Joins the moved spans i and j over the corner between them; may trim or lengthen them in `moved`. A corner keeps its
 * join where a neighbour turns inside out.
 */
const joinMoved = (
  arriving: Span,
  leaving: Span,
  moved: (Span | undefined)[],
  i: number,
  j: number,
  distance: number,
  rule: CornerRule,
  tips: Tip[],
): readonly Span[] | undefined => {
  const p = moved[i];
  const q = moved[j];
  if (p !== undefined && q !== undefined) {
    const apart = Math.abs(q.ax - p.bx) + Math.abs(q.ay - p.by);
    if (apart < joinable) {
      if (apart > 1e-11) moved[j] = q.startingAt(p.bx, p.by);
      return [];
    }
  }
  const d = endDirection(arriving);
  const e = startDirection(leaving);
  const corner = { x: arriving.bx, y: arriving.by };
  const from = p === undefined ? movedEnd(corner.x, corner.y, d, distance) : { x: p.bx, y: p.by };
  const to = q === undefined ? movedEnd(corner.x, corner.y, e, distance) : { x: q.ax, y: q.ay };
  const gap = Math.abs(to.x - from.x) + Math.abs(to.y - from.y);
  if (gap < joinable) {
    if (q !== undefined && gap > 1e-11) moved[j] = q.startingAt(from.x, from.y);
    return [];
  }
  let turn = Math.atan2(d.x * e.y - d.y * e.x, d.x * e.x + d.y * e.y);
  if (Math.abs(turn) > Math.PI - 1e-6) turn = Math.abs(turn) * turnOfSpike(arriving, leaving);
  if (turn * distance < 0) {
    if (p === undefined || q === undefined || Math.abs(turn) >= blunt) return undefined;
    return trimmed(p, q, moved, i, j);
  }
  const half = Math.cos(turn / 2);
  const sharp = Math.abs(turn) > 0.02;
  const tipped = sharp ? origins.tip : origins.curve;
  if (rule.corners === 'mitre' && half * rule.mitreLimit >= 1) {
    const reach = distance / (2 * half * half);
    const tip = { x: corner.x + reach * (d.y + e.y), y: corner.y - reach * (d.x + e.x) };
    tips.push([corner, from, tip, to]);
    // Lines run on to the tip; arcs are continued by their tangents.
    const join: Span[] = [];
    if (p?.radius === 0) moved[i] = p.endingAt(tip.x, tip.y);
    else join.push(lineSpan(from.x, from.y, tip.x, tip.y, tipped));
    if (q?.radius === 0) moved[j] = moved[j]!.startingAt(tip.x, tip.y);
    else join.push(lineSpan(tip.x, tip.y, to.x, to.y, tipped));
    return join;
  }
  const start = Math.atan2(from.y - corner.y, from.x - corner.x);
  const arcs = arcSpansAbout(
    corner.x,
    corner.y,
    Math.abs(distance),
    start,
    turn,
    sharp ? origins.drawn : origins.curve,
  );
  const last = arcs.length - 1;
  arcs[0] = arcs[0]!.startingAt(from.x, from.y);
  arcs[last] = arcs[last]!.endingAt(to.x, to.y);
  return arcs;
};

/** On the inner side of a blunt corner both spans end where they cross, near their common end. */
const trimmed = (
  p: Span,
  q: Span,
  moved: (Span | undefined)[],
  i: number,
  j: number,
): readonly Span[] | undefined => {
  for (const m of meetings(p, q)) {
    if (m.s <= 0.5 || m.t >= 0.5) continue;
    const at = { x: m.x, y: m.y };
    moved[i] = spanPart(p, 0, m.s, undefined, at);
    moved[j] = spanPart(q, m.t, 1, at);
    return [];
  }
  return undefined;
};

/** Whether an edge that turns right back on itself does so to the left (1) or to the right (-1). */
const turnOfSpike = (arriving: Span, leaving: Span): number => {
  const from = spanPoint(arriving, 0.5);
  const to = spanPoint(leaving, 0.5);
  const side = (arriving.bx - from.x) * (to.y - arriving.by) - (arriving.by - from.y) * (to.x - arriving.bx);
  return side < 0 ? -1 : 1;
};
