/**
 * Spans: the lines and circular arcs of the offset computation. A parallel curve of a chain of spans is again a chain
 * of spans, exactly; that is why curves become spans before they are offset.
 *
 * Every arc sweeps at most `largestSweep` (< half a turn), so it is fixed well by its ends and its sweep, and a point
 * can be placed in its wedge by two cross products.
 */

import { apply, determinant, type Matrix } from '../affine.js';
import type { Arc, Line } from '../curve.js';
import { type Box, emptyBox, type Point } from '../point.js';
import { type Origin, origins, type Span, spanOf } from './span-numbers.js';

export { type Origin, origins, Span, spanOf, spanSize, withPassingSpans } from './span-numbers.js';

/** Spans end to end, closed. The enclosed region lies on the left of an outer ring and of a hole alike. */
export type Ring = readonly Span[];

export const largestSweep = 2.1;

export const lineSpan = (
  ax: number,
  ay: number,
  bx: number,
  by: number,
  origin: Origin = origins.drawn,
): Span => spanOf(ax, ay, bx, by, 0, 0, 0, 0, origin);

/** The arc from a to b that turns by `sweep`; |sweep| below half a turn. A sagitta below 1e-9 mm makes it a line. */
export const arcSpan = (
  ax: number,
  ay: number,
  bx: number,
  by: number,
  sweep: number,
  origin: Origin,
): Span => {
  const dx = bx - ax;
  const dy = by - ay;
  const chord = Math.sqrt(dx * dx + dy * dy);
  if (Math.abs(sweep) * chord < 8e-9) return lineSpan(ax, ay, bx, by, origin);
  const half = sweep / 2;
  const radius = chord / (2 * Math.abs(Math.sin(half)));
  // The centre lies on the bisector of the chord, left of it for a counter-clockwise turn.
  const height = chord / (2 * Math.tan(half));
  const cx = (ax + bx) / 2 - (dy / chord) * height;
  const cy = (ay + by) / 2 + (dx / chord) * height;
  return spanOf(ax, ay, bx, by, radius, cx, cy, sweep, origin);
};

/** What rises less than this above its chord, mm, is a line. */
export const leastHeight = 1e-8;

/** The arc from a to b that rises by `height` to the right of its chord at its middle; a line for no height. */
export const arcSpanOfHeight = (ax: number, ay: number, bx: number, by: number, height: number): Span => {
  const dx = bx - ax;
  const dy = by - ay;
  const chord = Math.sqrt(dx * dx + dy * dy);
  if (Math.abs(height) < leastHeight) return lineSpan(ax, ay, bx, by, origins.curve);
  // Signed: the centre lies left of the chord for a height to the right of it.
  const radius = height / 2 + (chord * chord) / (8 * height);
  const apart = radius - height;
  const cx = (ax + bx) / 2 - (dy / chord) * apart;
  const cy = (ay + by) / 2 + (dx / chord) * apart;
  return spanOf(ax, ay, bx, by, Math.abs(radius), cx, cy, 4 * Math.atan((2 * height) / chord), origins.curve);
};

/** An arc about a known centre, cut into equal spans of at most `largestSweep`. */
export const arcSpansAbout = (
  cx: number,
  cy: number,
  radius: number,
  start: number,
  sweep: number,
  origin: Origin,
): Span[] => {
  const count = Math.max(1, Math.ceil(Math.abs(sweep) / largestSweep));
  const spans: Span[] = [];
  const step = sweep / count;
  const firstX = cx + radius * Math.cos(start);
  const firstY = cy + radius * Math.sin(start);
  const closes = Math.abs(Math.abs(sweep) - 2 * Math.PI) < 1e-12;
  let ax = firstX;
  let ay = firstY;
  for (let i = 1; i <= count; i++) {
    const last = i === count;
    const bx = last && closes ? firstX : cx + radius * Math.cos(start + i * step);
    const by = last && closes ? firstY : cy + radius * Math.sin(start + i * step);
    spans.push(spanOf(ax, ay, bx, by, radius, cx, cy, step, origin));
    ax = bx;
    ay = by;
  }
  return spans;
};

/** Position a fraction t of the way along a span. */
export const spanPoint = (s: Span, t: number): Point => {
  if (s.radius === 0) return { x: s.ax + t * (s.bx - s.ax), y: s.ay + t * (s.by - s.ay) };
  const turn = t * s.sweep;
  const c = Math.cos(turn);
  const w = Math.sin(turn);
  const dx = s.ax - s.cx;
  const dy = s.ay - s.cy;
  return { x: s.cx + c * dx - w * dy, y: s.cy + w * dx + c * dy };
};

export const spanLength = (s: Span): number =>
  s.radius === 0
    ? Math.sqrt((s.bx - s.ax) * (s.bx - s.ax) + (s.by - s.ay) * (s.by - s.ay))
    : s.radius * Math.abs(s.sweep);

/** Unit direction of travel at the start of a span. */
export const startDirection = (s: Span): Point => {
  if (s.radius === 0) return chordDirection(s);
  const sign = s.sweep > 0 ? 1 / s.radius : -1 / s.radius;
  return { x: -sign * (s.ay - s.cy), y: sign * (s.ax - s.cx) };
};

/** Unit direction of travel at the end of a span. */
export const endDirection = (s: Span): Point => {
  if (s.radius === 0) return chordDirection(s);
  const sign = s.sweep > 0 ? 1 / s.radius : -1 / s.radius;
  return { x: -sign * (s.by - s.cy), y: sign * (s.bx - s.cx) };
};

/** Sine of the turn from the end of p to the start of q. */
export const sineOfTurn = (p: Span, q: Span): number =>
  (alongX(p, p.bx, p.by) * alongY(q, q.ax, q.ay) - alongY(p, p.bx, p.by) * alongX(q, q.ax, q.ay)) /
  (alongLength(p) * alongLength(q));

/** Cosine of the same turn. */
export const cosineOfTurn = (p: Span, q: Span): number =>
  (alongX(p, p.bx, p.by) * alongX(q, q.ax, q.ay) + alongY(p, p.bx, p.by) * alongY(q, q.ax, q.ay)) /
  (alongLength(p) * alongLength(q));

/** Whether q goes on from p without a turn that matters: by less than `sine`. */
export const turnsLessThan = (p: Span, q: Span, sine: number): boolean => {
  const px = alongX(p, p.bx, p.by);
  const py = alongY(p, p.bx, p.by);
  const qx = alongX(q, q.ax, q.ay);
  const qy = alongY(q, q.ax, q.ay);
  const cross = px * qy - py * qx;
  return px * qx + py * qy > 0 && cross * cross < sine * sine * (px * px + py * py) * (qx * qx + qy * qy);
};

// A vector along the direction of travel at a point (x, y) of a span, and its length.
const alongX = (s: Span, _x: number, y: number): number =>
  s.radius === 0 ? s.bx - s.ax : s.sweep > 0 ? s.cy - y : y - s.cy;
const alongY = (s: Span, x: number, _y: number): number =>
  s.radius === 0 ? s.by - s.ay : s.sweep > 0 ? x - s.cx : s.cx - x;
const alongLength = (s: Span): number => {
  if (s.radius !== 0) return s.radius;
  const dx = s.bx - s.ax;
  const dy = s.by - s.ay;
  return Math.sqrt(dx * dx + dy * dy);
};

/** Unit direction of travel half-way along a span: that of its chord. */
export const middleDirection = (s: Span): Point => chordDirection(s);

const chordDirection = (s: Span): Point => {
  const dx = s.bx - s.ax;
  const dy = s.by - s.ay;
  const size = Math.sqrt(dx * dx + dy * dy);
  return { x: dx / size, y: dy / size };
};

export const reversedSpan = (s: Span): Span =>
  spanOf(s.bx, s.by, s.ax, s.ay, s.radius, s.cx, s.cy, s.sweep === 0 ? 0 : -s.sweep, s.origin);

export const reversedRing = (ring: Ring): Ring => ring.map(reversedSpan).reverse();

/** The stretch of a span between the fractions t0 < t1; the given end points, where known, are taken exactly. */
export const spanPart = (s: Span, t0: number, t1: number, from?: Point, to?: Point): Span => {
  const a = from ?? (t0 === 0 ? { x: s.ax, y: s.ay } : spanPoint(s, t0));
  const b = to ?? (t1 === 1 ? { x: s.bx, y: s.by } : spanPoint(s, t1));
  return spanOf(a.x, a.y, b.x, b.y, s.radius, s.cx, s.cy, s.sweep * (t1 - t0), s.origin);
};

export const spanBox = (s: Span): Box => {
  const { ax, ay, bx, by, radius: r } = s;
  let minX = Math.min(ax, bx);
  let minY = Math.min(ay, by);
  let maxX = Math.max(ax, bx);
  let maxY = Math.max(ay, by);
  if (r !== 0) {
    const { cx, cy } = s;
    if (cx - r < minX && directionInWedge(s, -r, 0)) minX = cx - r;
    if (cy - r < minY && directionInWedge(s, 0, -r)) minY = cy - r;
    if (cx + r > maxX && directionInWedge(s, r, 0)) maxX = cx + r;
    if (cy + r > maxY && directionInWedge(s, 0, r)) maxY = cy + r;
  }
  return { minX, minY, maxX, maxY };
};

/** A box that holds a span grown by `room` mm, closely where it is short: minX, minY, maxX, maxY at `at` of an array. */
export const writeHoldingBox = (s: Span, room: number, into: Float64Array, at: number): void => {
  const { ax, ay, bx, by, sweep } = s;
  // An arc rises above its chord by r (1 - cos(sweep / 2)), which is less than r sweep^2 / 8.
  const beyond = room + (s.radius * sweep * sweep) / 8;
  into[at] = Math.min(ax, bx) - beyond;
  into[at + 1] = Math.min(ay, by) - beyond;
  into[at + 2] = Math.max(ax, bx) + beyond;
  into[at + 3] = Math.max(ay, by) + beyond;
};

export const ringBox = (ring: Ring): Box => {
  let { minX, minY, maxX, maxY } = emptyBox;
  for (const s of ring) {
    if (s.ax < minX) minX = s.ax;
    if (s.ax > maxX) maxX = s.ax;
    if (s.ay < minY) minY = s.ay;
    if (s.ay > maxY) maxY = s.ay;
    const r = s.radius;
    if (r === 0) continue;
    if (s.cx + r > maxX && directionInWedge(s, r, 0)) maxX = s.cx + r;
    if (s.cx - r < minX && directionInWedge(s, -r, 0)) minX = s.cx - r;
    if (s.cy + r > maxY && directionInWedge(s, 0, r)) maxY = s.cy + r;
    if (s.cy - r < minY && directionInWedge(s, 0, -r)) minY = s.cy - r;
  }
  return { minX, minY, maxX, maxY };
};

/** True when the direction (x, y) from the centre of an arc falls within its sweep. */
export const directionInWedge = (s: Span, x: number, y: number): boolean => {
  const startX = s.ax - s.cx;
  const startY = s.ay - s.cy;
  const endX = s.bx - s.cx;
  const endY = s.by - s.cy;
  const fromStart = startX * y - startY * x;
  const toEnd = x * endY - y * endX;
  return s.sweep > 0 ? fromStart >= 0 && toEnd >= 0 : fromStart <= 0 && toEnd <= 0;
};

/** Distance of a point from a span, mm. */
export const distanceToSpan = (s: Span, x: number, y: number): number => {
  if (s.radius === 0) {
    const dx = s.bx - s.ax;
    const dy = s.by - s.ay;
    const t = ((x - s.ax) * dx + (y - s.ay) * dy) / (dx * dx + dy * dy);
    const clamped = Math.min(1, Math.max(0, t));
    const ex = x - s.ax - clamped * dx;
    const ey = y - s.ay - clamped * dy;
    return Math.sqrt(ex * ex + ey * ey);
  }
  const wx = x - s.cx;
  const wy = y - s.cy;
  if (directionInWedge(s, wx, wy)) return Math.abs(Math.sqrt(wx * wx + wy * wy) - s.radius);
  const toStart = (x - s.ax) * (x - s.ax) + (y - s.ay) * (y - s.ay);
  const toEnd = (x - s.bx) * (x - s.bx) + (y - s.by) * (y - s.by);
  return Math.sqrt(Math.min(toStart, toEnd));
};

/** w - sin w; by its series for a small w, where the difference would lose its digits. */
const sweepLessSine = (w: number): number =>
  Math.abs(w) < 0.1 ? ((w * w * w) / 6) * (1 - ((w * w) / 20) * (1 - (w * w) / 42)) : w - Math.sin(w);

/** Signed area of a ring by Green's theorem: positive when it runs counter-clockwise. */
export const ringArea = (ring: Ring): number => {
  let twice = 0;
  const origin = ring[0];
  if (origin === undefined) return 0;
  for (const s of ring) {
    const ax = s.ax - origin.ax;
    const ay = s.ay - origin.ay;
    const bx = s.bx - origin.ax;
    const by = s.by - origin.ay;
    twice += ax * by - bx * ay;
    if (s.radius !== 0) twice += s.radius * s.radius * sweepLessSine(s.sweep);
  }
  return twice / 2;
};

export const ringLength = (ring: Ring): number => {
  let sum = 0;
  for (const s of ring) sum += spanLength(s);
  return sum;
};

/**
 * How often the rings wind round a point. The chords are counted by crossings of a ray towards +x; an arc adds a turn
 * when the point lies between it and its chord. A point exactly on a chord is taken as a shade to its right and above.
 */
export const windingNumber = (rings: Iterable<Ring>, x: number, y: number): number => {
  let winding = 0;
  for (const ring of rings) {
    for (const s of ring) winding += windingOfSpan(s, x, y);
  }
  return winding;
};

/** What one span adds to the winding number of rings about a point: nothing unless it lies at the point's height and not left of it. */
export const windingOfSpan = (s: Span, x: number, y: number): number => {
  let winding = 0;
  const dx = s.bx - s.ax;
  const dy = s.by - s.ay;
  const side = dx * (y - s.ay) - dy * (x - s.ax);
  const isLeft = side !== 0 ? side > 0 : dy !== 0 ? dy < 0 : dx > 0;
  if (s.ay <= y) {
    if (s.by > y && isLeft) winding++;
  } else if (s.by <= y && !isLeft) winding--;
  if (s.radius !== 0 && isLeft !== s.sweep > 0) {
    const wx = x - s.cx;
    const wy = y - s.cy;
    if (wx * wx + wy * wy < s.radius * s.radius) winding += s.sweep > 0 ? 1 : -1;
  }
  return winding;
};

/** A span under a map that keeps circles. */
export const transformSpan = (m: Matrix, s: Span): Span => {
  const det = determinant(m);
  const a = apply(m, { x: s.ax, y: s.ay });
  const b = apply(m, { x: s.bx, y: s.by });
  if (s.radius === 0) return lineSpan(a.x, a.y, b.x, b.y, s.origin);
  const c = apply(m, { x: s.cx, y: s.cy });
  const radius = s.radius * Math.sqrt(Math.abs(det));
  return spanOf(a.x, a.y, b.x, b.y, radius, c.x, c.y, det < 0 ? -s.sweep : s.sweep, s.origin);
};

/** A span as a curve of the drawing model. */
export const spanToCurve = (s: Span): Line | Arc =>
  s.radius === 0
    ? { kind: 'line', from: { x: s.ax, y: s.ay }, to: { x: s.bx, y: s.by } }
    : {
        kind: 'arc',
        centre: { x: s.cx, y: s.cy },
        radius: s.radius,
        start: Math.atan2(s.ay - s.cy, s.ax - s.cx),
        sweep: s.sweep,
      };
