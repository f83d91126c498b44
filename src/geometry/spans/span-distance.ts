/** The shortest way between two spans that do not cross. */
import type { Point } from '../point.js';
import { directionInWedge, type Span, startDirection } from './span.js';

export interface Shortest {
  readonly distance: number;
  readonly from: Point;
  readonly to: Point;
}

/** Nearest point of a span to (x, y). */
export const nearestOnSpan = (s: Span, x: number, y: number): Point => {
  if (s.radius === 0) {
    const dx = s.bx - s.ax;
    const dy = s.by - s.ay;
    const t = Math.min(1, Math.max(0, ((x - s.ax) * dx + (y - s.ay) * dy) / (dx * dx + dy * dy)));
    return { x: s.ax + t * dx, y: s.ay + t * dy };
  }
  const wx = x - s.cx;
  const wy = y - s.cy;
  const size = Math.sqrt(wx * wx + wy * wy);
  if (size > 0 && directionInWedge(s, wx, wy)) {
    return { x: s.cx + (wx / size) * s.radius, y: s.cy + (wy / size) * s.radius };
  }
  return Math.hypot(x - s.ax, y - s.ay) <= Math.hypot(x - s.bx, y - s.by)
    ? { x: s.ax, y: s.ay }
    : { x: s.bx, y: s.by };
};

/** The shortest segment from p to q: it starts or ends at an end of one of them, or is square to both. */
export const shortestBetween = (p: Span, q: Span): Shortest => {
  let best: Shortest = { distance: Number.POSITIVE_INFINITY, from: { x: 0, y: 0 }, to: { x: 0, y: 0 } };
  const offer = (from: Point, to: Point): void => {
    const distance = Math.hypot(to.x - from.x, to.y - from.y);
    if (distance < best.distance) best = { distance, from, to };
  };
  offer({ x: p.ax, y: p.ay }, nearestOnSpan(q, p.ax, p.ay));
  offer({ x: p.bx, y: p.by }, nearestOnSpan(q, p.bx, p.by));
  offer(nearestOnSpan(p, q.ax, q.ay), { x: q.ax, y: q.ay });
  offer(nearestOnSpan(p, q.bx, q.by), { x: q.bx, y: q.by });
  // Square to both: along the line of centres, or from a centre square to a line.
  if (p.radius !== 0 && q.radius !== 0) offerAlong(p, q, q.cx - p.cx, q.cy - p.cy, offer);
  else if (p.radius !== 0) offerSquare(p, q, offer, false);
  else if (q.radius !== 0) offerSquare(q, p, offer, true);
  return best;
};

const offerAlong = (p: Span, q: Span, dx: number, dy: number, offer: (a: Point, b: Point) => void): void => {
  const size = Math.hypot(dx, dy);
  if (size === 0) return;
  for (const i of [1, -1]) {
    for (const j of [1, -1]) {
      const pr = (i * p.radius) / size;
      const qr = (j * q.radius) / size;
      if (!directionInWedge(p, dx * pr, dy * pr) || !directionInWedge(q, dx * qr, dy * qr)) continue;
      offer({ x: p.cx + dx * pr, y: p.cy + dy * pr }, { x: q.cx + dx * qr, y: q.cy + dy * qr });
    }
  }
};

const offerSquare = (arc: Span, line: Span, offer: (a: Point, b: Point) => void, swapped: boolean): void => {
  const d = startDirection(line);
  for (const side of [arc.radius, -arc.radius]) {
    const x = d.y * side;
    const y = -d.x * side;
    if (!directionInWedge(arc, x, y)) continue;
    const onArc = { x: arc.cx + x, y: arc.cy + y };
    const onLine = nearestOnSpan(line, onArc.x, onArc.y);
    if (swapped) offer(onLine, onArc);
    else offer(onArc, onLine);
  }
};
