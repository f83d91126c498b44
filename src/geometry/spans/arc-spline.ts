/**
 * Curves as chains of arcs that meet without a kink. Each piece of a curve is replaced by two arcs with its end points
 * and end directions (a biarc: D. J. Walton and D. S. Meek, "Approximating smooth planar curves by arc splines",
 * J. Comput. Appl. Math. 59, 1995) and divided until the arcs lie within the tolerance.
 *
 * Bound: on the parts of a divided curve each arc errs most near its middle, s^2 (1-s)^2 to leading order; the samples
 * see 0.92 of that, and a tenth is added to what was measured.
 */
import { type Cubic, derivativeAt, type EllipticalArc, positionAt, type Segment } from '../curve.js';
import type { Point } from '../point.js';
import { arcSpan, arcSpansAbout, distanceToSpan, lineSpan, origins, type Span } from './span.js';

/** Where the distance is measured: on a whole curve, and on the parts of a divided one, whose arcs err most half-way. */
const coarseSamples = [1, 3, 5, 7, 9, 11, 13, 15].map((k) => k / 16);
const fineSamples = [0.2, 0.3, 0.7, 0.8];
const deepest = 16;

/** The spans of one segment, start to end, within `tolerance` mm of it. A segment of no length gives none. */
export const segmentToSpans = (segment: Segment, tolerance: number): Span[] => {
  switch (segment.kind) {
    case 'line': {
      const { from, to } = segment;
      return from.x === to.x && from.y === to.y ? [] : [lineSpan(from.x, from.y, to.x, to.y)];
    }
    case 'arc':
      if (segment.radius === 0 || segment.sweep === 0) return [];
      return arcSpansAbout(
        segment.centre.x,
        segment.centre.y,
        segment.radius,
        segment.start,
        segment.sweep,
        origins.drawn,
      );
    case 'elliptical-arc':
      return ellipticalArcToSpans(segment, tolerance);
    case 'cubic':
      return cubicToSpans(segment, tolerance);
  }
};

const ellipticalArcToSpans = (arc: EllipticalArc, tolerance: number): Span[] => {
  const uu = arc.u.x * arc.u.x + arc.u.y * arc.u.y;
  const vv = arc.v.x * arc.v.x + arc.v.y * arc.v.y;
  const uv = arc.u.x * arc.v.x + arc.u.y * arc.v.y;
  const turn = arc.u.x * arc.v.y - arc.u.y * arc.v.x;
  if (Math.abs(uu - vv) <= 1e-12 * (uu + vv) && Math.abs(uv) <= 1e-12 * (uu + vv)) {
    const heading = Math.atan2(arc.u.y, arc.u.x);
    const sign = turn < 0 ? -1 : 1;
    return arcSpansAbout(
      arc.centre.x,
      arc.centre.y,
      Math.sqrt((uu + vv) / 2),
      heading + sign * arc.start,
      sign * arc.sweep,
      origins.drawn,
    );
  }
  // Quarters between the vertices of the ellipse: curvature is monotone in each, and a symmetric ellipse stays so.
  const principal = Math.atan2(2 * uv, uu - vv) / 2;
  const cuts = [0, 1];
  const quarter = Math.PI / 2;
  const low = Math.min(arc.start, arc.start + arc.sweep);
  const high = Math.max(arc.start, arc.start + arc.sweep);
  for (let k = Math.ceil((low - principal) / quarter); principal + k * quarter < high; k++) {
    const t = (principal + k * quarter - arc.start) / arc.sweep;
    if (t > 1e-9 && t < 1 - 1e-9) cuts.push(t);
  }
  cuts.sort((a, b) => a - b);
  const spans: Span[] = [];
  for (let i = 1; i < cuts.length; i++) smoothStretch(arc, cuts[i - 1]!, cuts[i]!, tolerance, spans, 0);
  return spans;
};

const cubicToSpans = (cubic: Cubic, tolerance: number): Span[] => {
  const { from, control1, control2, to } = cubic;
  const size =
    Math.abs(control1.x - from.x) +
    Math.abs(control1.y - from.y) +
    Math.abs(control2.x - from.x) +
    Math.abs(control2.y - from.y) +
    Math.abs(to.x - from.x) +
    Math.abs(to.y - from.y);
  if (size < 1e-9) return [];
  if (isStraight(cubic)) return [lineSpan(from.x, from.y, to.x, to.y)];
  const spans: Span[] = [];
  const cuts = [0, ...cusps(cubic), 1];
  for (let i = 1; i < cuts.length; i++) smoothStretch(cubic, cuts[i - 1]!, cuts[i]!, tolerance, spans, 0);
  return spans;
};

/** All control points on the chord, in order: the cubic is its chord. */
const isStraight = ({ from, control1, control2, to }: Cubic): boolean => {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const chord = Math.sqrt(dx * dx + dy * dy);
  if (chord < 1e-9) return false;
  const off1 = Math.abs(dx * (control1.y - from.y) - dy * (control1.x - from.x)) / chord;
  const off2 = Math.abs(dx * (control2.y - from.y) - dy * (control2.x - from.x)) / chord;
  if (off1 > 1e-7 || off2 > 1e-7) return false;
  const along1 = (dx * (control1.x - from.x) + dy * (control1.y - from.y)) / chord;
  const along2 = (dx * (control2.x - from.x) + dy * (control2.y - from.y)) / chord;
  return along1 >= -1e-9 && along2 <= chord + 1e-9 && along1 <= chord + 1e-9 && along2 >= -1e-9;
};

/** Parameters strictly inside 0..1 where the cubic stops and turns: its derivative vanishes there. */
const cusps = (cubic: Cubic): number[] => {
  // B'(t)/3 = p (1-t)^2 + 2 q t (1-t) + r t^2; |B'|^2 has its least value at a cusp.
  const p = { x: cubic.control1.x - cubic.from.x, y: cubic.control1.y - cubic.from.y };
  const q = { x: cubic.control2.x - cubic.control1.x, y: cubic.control2.y - cubic.control1.y };
  const r = { x: cubic.to.x - cubic.control2.x, y: cubic.to.y - cubic.control2.y };
  const scale = Math.abs(p.x) + Math.abs(p.y) + Math.abs(q.x) + Math.abs(q.y) + Math.abs(r.x) + Math.abs(r.y);
  const found: number[] = [];
  const axis = Math.abs(p.x - 2 * q.x + r.x) > Math.abs(p.y - 2 * q.y + r.y) ? 'x' : 'y';
  const a = p[axis] - 2 * q[axis] + r[axis];
  const b = 2 * (q[axis] - p[axis]);
  const c = p[axis];
  if (Math.abs(a) < 1e-12 * scale) return found;
  const disc = Math.max(0, b * b - 4 * a * c);
  for (const t of [(-b - Math.sqrt(disc)) / (2 * a), (-b + Math.sqrt(disc)) / (2 * a)]) {
    if (t <= 1e-6 || t >= 1 - 1e-6) continue;
    const d = derivativeAt(cubic, t);
    if (Math.abs(d.x) + Math.abs(d.y) < 1e-7 * scale) found.push(t);
  }
  found.sort((s, t) => s - t);
  return found.filter((t, i) => i === 0 || t - found[i - 1]! > 1e-6);
};

/** Unit direction of travel at t, seen from the side of t + inward. */
const directionAt = (curve: Cubic | EllipticalArc, t: number, inward: number): Point => {
  const d = derivativeAt(curve, t);
  const size = Math.sqrt(d.x * d.x + d.y * d.y);
  if (size >= 1e-7 * controlSize(curve)) return { x: d.x / size, y: d.y / size };
  // The derivative vanishes (a control point on its end, a cusp): the direction is that of a short chord.
  const here = positionAt(curve, t);
  for (const step of [1e-5, 1e-3]) {
    const near = positionAt(curve, t + inward * step);
    const dx = inward > 0 ? near.x - here.x : here.x - near.x;
    const dy = inward > 0 ? near.y - here.y : here.y - near.y;
    const chord = Math.sqrt(dx * dx + dy * dy);
    if (chord > 1e-11) return { x: dx / chord, y: dy / chord };
  }
  return { x: 1, y: 0 };
};

const controlSize = (curve: Cubic | EllipticalArc): number =>
  curve.kind === 'cubic'
    ? Math.abs(curve.control1.x - curve.from.x) +
      Math.abs(curve.control1.y - curve.from.y) +
      Math.abs(curve.control2.x - curve.from.x) +
      Math.abs(curve.control2.y - curve.from.y) +
      Math.abs(curve.to.x - curve.from.x) +
      Math.abs(curve.to.y - curve.from.y)
    : Math.abs(curve.u.x) + Math.abs(curve.u.y) + Math.abs(curve.v.x) + Math.abs(curve.v.y);

const smoothStretch = (
  curve: Cubic | EllipticalArc,
  t0: number,
  t1: number,
  tolerance: number,
  into: Span[],
  depth: number,
): void => {
  const from = t0 === 0 && curve.kind === 'cubic' ? curve.from : positionAt(curve, t0);
  const to = t1 === 1 && curve.kind === 'cubic' ? curve.to : positionAt(curve, t1);
  const stretch = t1 - t0;
  const arcs = biarc(from, directionAt(curve, t0, stretch), to, directionAt(curve, t1, -stretch));
  const off = arcs === undefined ? Number.POSITIVE_INFINITY : distanceOff(arcs, curve, t0, t1, depth);
  if (off <= tolerance || depth >= deepest) {
    if (arcs !== undefined) into.push(arcs[0], arcs[1]);
    else if (from.x !== to.x || from.y !== to.y)
      into.push(lineSpan(from.x, from.y, to.x, to.y, origins.curve));
    return;
  }
  // The error falls with the cube of the length, so the number of equal parts can be foretold.
  const parts = Number.isFinite(off) ? Math.min(16, Math.ceil(Math.cbrt(off / tolerance) * 1.02)) : 2;
  for (let k = 0; k < parts; k++) {
    const start = t0 + (stretch * k) / parts;
    const end = k === parts - 1 ? t1 : t0 + (stretch * (k + 1)) / parts;
    smoothStretch(curve, start, end, tolerance, into, depth + 1);
  }
};

/** Two arcs with equal tangent lengths; undefined when they would turn by more than a quarter each. */
const biarc = (
  from: Point,
  fromDirection: Point,
  to: Point,
  toDirection: Point,
): readonly [Span, Span] | undefined => {
  const vx = to.x - from.x;
  const vy = to.y - from.y;
  const vv = vx * vx + vy * vy;
  if (vv < 1e-22) return undefined;
  const tx = fromDirection.x + toDirection.x;
  const ty = fromDirection.y + toDirection.y;
  const vt = vx * tx + vy * ty;
  // 2 (1 - T0 . T1) written without cancellation.
  const ex = fromDirection.x - toDirection.x;
  const ey = fromDirection.y - toDirection.y;
  const spread = ex * ex + ey * ey;
  // |v|^2 = 2 d v.t + d^2 (...)  gives the tangent length d; the form with the sum below does not cancel.
  const root = Math.sqrt(vt * vt + spread * vv);
  if (vt + root <= 0) return undefined;
  const reach = vv / (vt + root);
  if (!(reach > 0) || reach * reach > 4 * vv) return undefined;
  const jx = (from.x + to.x + reach * ex) / 2;
  const jy = (from.y + to.y + reach * ey) / 2;
  const turn1 = 2 * turnBetween(fromDirection.x, fromDirection.y, jx - from.x, jy - from.y);
  const turn2 = 2 * turnBetween(to.x - jx, to.y - jy, toDirection.x, toDirection.y);
  if (Math.abs(turn1) > Math.PI / 2 || Math.abs(turn2) > Math.PI / 2) return undefined;
  return [
    arcSpan(from.x, from.y, jx, jy, turn1, origins.curve),
    arcSpan(jx, jy, to.x, to.y, turn2, origins.curve),
  ];
};

const turnBetween = (ax: number, ay: number, bx: number, by: number): number =>
  Math.atan2(ax * by - ay * bx, ax * bx + ay * by);

/** Largest distance of the curve between t0 and t1 from its two arcs, mm. */
const distanceOff = (
  [first, second]: readonly [Span, Span],
  curve: Cubic | EllipticalArc,
  t0: number,
  t1: number,
  depth: number,
): number => {
  let most = 0;
  for (const part of depth === 0 ? coarseSamples : fineSamples) {
    const t = t0 + (t1 - t0) * part;
    let x: number;
    let y: number;
    if (curve.kind === 'cubic') {
      // Bernstein's form, without an object for each point.
      const { from, control1, control2, to } = curve;
      const u = 1 - t;
      const a = u * u * u;
      const b = 3 * u * u * t;
      const c = 3 * u * t * t;
      const d = t * t * t;
      x = a * from.x + b * control1.x + c * control2.x + d * to.x;
      y = a * from.y + b * control1.y + c * control2.y + d * to.y;
    } else {
      const p = positionAt(curve, t);
      x = p.x;
      y = p.y;
    }
    const off = Math.min(distanceToSpan(first, x, y), distanceToSpan(second, x, y));
    if (off > most) most = off;
  }
  return most * 1.1;
};
