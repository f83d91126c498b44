/** Where two spans meet, as fractions along each. */
import { directionInWedge, type Span } from './span.js';

/** Two points (mm) closer than this are one point. */
export const samePoint = 2.5e-7;

export interface Meeting {
  /** Fraction along the first span. */
  readonly s: number;
  /** Fraction along the second span. */
  readonly t: number;
  readonly x: number;
  readonly y: number;
}

/**
 * Meetings of two spans, their ends included. Where they run along each other over a stretch, the ends of the common
 * stretch are given. Meetings within `samePoint` of an end are moved onto it.
 */
export const meetings = (p: Span, q: Span): Meeting[] => {
  const found: Meeting[] = [];
  if (p.radius === 0 && q.radius === 0) meetLines(p, q, found);
  else if (p.radius === 0) meetLineAndArc(p, q, found, false);
  else if (q.radius === 0) meetLineAndArc(q, p, found, true);
  else meetArcs(p, q, found);
  return found;
};

const note = (p: Span, q: Span, x: number, y: number, into: Meeting[]): void => {
  const s = fractionAt(p, x, y);
  const t = fractionAt(q, x, y);
  if (s === undefined || t === undefined) return;
  for (const m of into) if (Math.abs(m.x - x) + Math.abs(m.y - y) < samePoint) return;
  into.push({ s, t, x, y });
};

/** How far along the span a point on its carrier lies: 0..1, snapped to the ends; undefined beyond them. */
const fractionAt = (s: Span, x: number, y: number): number | undefined => {
  if (Math.abs(x - s.ax) + Math.abs(y - s.ay) < samePoint) return 0;
  if (Math.abs(x - s.bx) + Math.abs(y - s.by) < samePoint) return 1;
  if (s.radius === 0) {
    const dx = s.bx - s.ax;
    const dy = s.by - s.ay;
    const t = ((x - s.ax) * dx + (y - s.ay) * dy) / (dx * dx + dy * dy);
    return t < 0 || t > 1 ? undefined : t;
  }
  const wx = x - s.cx;
  const wy = y - s.cy;
  if (!directionInWedge(s, wx, wy)) return undefined;
  const ux = s.ax - s.cx;
  const uy = s.ay - s.cy;
  const turned = Math.atan2(ux * wy - uy * wx, ux * wx + uy * wy);
  const t = turned / s.sweep;
  return Math.min(1, Math.max(0, t));
};

/** The ends of a common stretch of two spans on one carrier. */
const noteCommonEnds = (p: Span, q: Span, into: Meeting[]): void => {
  note(p, q, p.ax, p.ay, into);
  note(p, q, p.bx, p.by, into);
  note(p, q, q.ax, q.ay, into);
  note(p, q, q.bx, q.by, into);
};

const meetLines = (p: Span, q: Span, into: Meeting[]): void => {
  const px = p.bx - p.ax;
  const py = p.by - p.ay;
  const qx = q.bx - q.ax;
  const qy = q.by - q.ay;
  const pLength = Math.sqrt(px * px + py * py);
  // Distances of q's ends from the carrier of p.
  const offStart = (px * (q.ay - p.ay) - py * (q.ax - p.ax)) / pLength;
  const offEnd = (px * (q.by - p.ay) - py * (q.bx - p.ax)) / pLength;
  if (Math.abs(offStart) < samePoint && Math.abs(offEnd) < samePoint) {
    noteCommonEnds(p, q, into);
    return;
  }
  if (Math.abs(offStart) < samePoint) note(p, q, q.ax, q.ay, into);
  if (Math.abs(offEnd) < samePoint) note(p, q, q.bx, q.by, into);
  const turn = px * qy - py * qx;
  const qLength = Math.sqrt(qx * qx + qy * qy);
  const fromP = (qx * (p.ay - q.ay) - qy * (p.ax - q.ax)) / qLength;
  const toP = (qx * (p.by - q.ay) - qy * (p.bx - q.ax)) / qLength;
  if (Math.abs(fromP) < samePoint) note(p, q, p.ax, p.ay, into);
  if (Math.abs(toP) < samePoint) note(p, q, p.bx, p.by, into);
  if (Math.abs(turn) < 1e-14 * pLength * qLength) return;
  const t = offStart / (offStart - offEnd);
  if (t < 0 || t > 1) return;
  note(p, q, q.ax + t * qx, q.ay + t * qy, into);
};

const meetLineAndArc = (line: Span, arc: Span, into: Meeting[], swapped: boolean): void => {
  const dx = line.bx - line.ax;
  const dy = line.by - line.ay;
  const size = Math.sqrt(dx * dx + dy * dy);
  const ux = dx / size;
  const uy = dy / size;
  const along = (arc.cx - line.ax) * ux + (arc.cy - line.ay) * uy;
  const off = (arc.cx - line.ax) * uy - (arc.cy - line.ay) * ux;
  const half2 = (arc.radius - Math.abs(off)) * (arc.radius + Math.abs(off));
  const p = swapped ? arc : line;
  const q = swapped ? line : arc;
  if (half2 < -2 * arc.radius * samePoint) return;
  const half = Math.sqrt(Math.max(0, half2));
  note(p, q, line.ax + (along - half) * ux, line.ay + (along - half) * uy, into);
  if (half > 0) note(p, q, line.ax + (along + half) * ux, line.ay + (along + half) * uy, into);
};

const meetArcs = (p: Span, q: Span, into: Meeting[]): void => {
  const dx = q.cx - p.cx;
  const dy = q.cy - p.cy;
  const gap = Math.sqrt(dx * dx + dy * dy);
  if (gap < samePoint && Math.abs(p.radius - q.radius) < samePoint) {
    noteCommonEnds(p, q, into);
    return;
  }
  if (gap > p.radius + q.radius + samePoint || gap < Math.abs(p.radius - q.radius) - samePoint) return;
  // Distance from p's centre to the common chord, without cancellation for near-equal radii.
  const along = (gap + ((p.radius - q.radius) * (p.radius + q.radius)) / gap) / 2;
  const half2 = (p.radius - along) * (p.radius + along);
  const half = Math.sqrt(Math.max(0, half2));
  const ux = dx / gap;
  const uy = dy / gap;
  const mx = p.cx + along * ux;
  const my = p.cy + along * uy;
  note(p, q, mx - half * uy, my + half * ux, into);
  if (half > 0) note(p, q, mx + half * uy, my - half * ux, into);
};
