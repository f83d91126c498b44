/** Parts of curves, and where on a curve a point lies. */
import {
  type Cubic,
  derivativeAt,
  type EllipticalArc,
  fractionOfSweep,
  positionAt,
  type Segment,
} from './curve.js';
import { between, distance, dot, length, type Point, subtract } from './point.js';

/** The part of a segment between two fractions of it, `from` < `to`. */
export const partOf = <T extends Segment>(s: T, from: number, to: number): T => {
  if (s.kind === 'line') return { ...s, from: positionAt(s, from), to: positionAt(s, to) };
  if (s.kind === 'cubic') return { ...s, ...partOfCubic(s, from, to) };
  return { ...s, start: s.start + from * s.sweep, sweep: (to - from) * s.sweep };
};

/** By de Casteljau's construction, twice; an end that is not cut off stays what it is. */
const partOfCubic = (s: Cubic, from: number, to: number): Cubic => {
  const head = to < 1 ? headOf(s, to) : s;
  if (from <= 0) return head;
  const { from: first, control1, control2, to: last } = head;
  const turned = headOf(
    { kind: 'cubic', from: last, control1: control2, control2: control1, to: first },
    1 - from / to,
  );
  return { kind: 'cubic', from: turned.to, control1: turned.control2, control2: turned.control1, to: last };
};

const headOf = (s: Cubic, t: number): Cubic => {
  const a = between(s.from, s.control1, t);
  const b = between(s.control1, s.control2, t);
  const c = between(s.control2, s.to, t);
  const ab = between(a, b, t);
  const bc = between(b, c, t);
  return { kind: 'cubic', from: s.from, control1: a, control2: ab, to: between(ab, bc, t) };
};

/** A nearest place is looked for in parts of a curve so small: none but a cusp is bent so sharply that one has two of them. */
const finest = 1 / 512;
const refinements = 20;
/** A step so small, as a fraction of the curve, is the last. */
const settled = 1e-12;

/** Fractions of a segment at which it comes within `reach` of a point, one for each time it does. */
export const placesNear = (s: Segment, p: Point, reach: number): number[] => {
  switch (s.kind) {
    case 'line': {
      const along = subtract(s.to, s.from);
      const square = dot(along, along);
      const t = square === 0 ? 0 : Math.min(1, Math.max(0, dot(subtract(p, s.from), along) / square));
      return distance(positionAt(s, t), p) <= reach ? [t] : [];
    }
    case 'arc': {
      const t = fractionOfSweep(s.start, s.sweep, Math.atan2(p.y - s.centre.y, p.x - s.centre.x));
      return [...new Set([Math.min(1, t), 0, 1])].filter((at) => distance(positionAt(s, at), p) <= reach);
    }
    default:
      return placesOnCurve(s, p, reach);
  }
};

const placesOnCurve = (s: Cubic | EllipticalArc, p: Point, reach: number): number[] => {
  const fastest = speedBound(s);
  const feet: number[] = [];
  const search = (from: number, to: number): void => {
    if (to - from > finest) {
      const middle = (from + to) / 2;
      if (distance(positionAt(s, middle), p) > reach + (fastest * (to - from)) / 2) return;
      search(from, middle);
      search(middle, to);
      return;
    }
    // Below zero while the curve comes nearer to the point, above while it goes away.
    const first = departure(s, p, from);
    const last = departure(s, p, to);
    if (first < 0 && last >= 0) feet.push(footOf(s, p, from, to));
    else if (from === 0 && first >= 0) feet.push(0);
    else if (to === 1 && last < 0) feet.push(1);
  };
  search(0, 1);
  return feet.filter((t) => distance(positionAt(s, t), p) <= reach);
};

/** Never less than the length of the derivative. */
const speedBound = (s: Cubic | EllipticalArc): number => {
  if (s.kind === 'elliptical-arc') return (length(s.u) + length(s.v)) * Math.abs(s.sweep);
  return (
    3 * Math.max(distance(s.from, s.control1), distance(s.control1, s.control2), distance(s.control2, s.to))
  );
};

const departure = (s: Segment, p: Point, t: number): number =>
  dot(subtract(positionAt(s, t), p), derivativeAt(s, t));

/** Where the curve is nearest to the point: by Newton's method, which tries the end it overshoots before it halves the way. */
const footOf = (s: Cubic | EllipticalArc, p: Point, from: number, to: number): number => {
  let low = from;
  let high = to;
  let t = (from + to) / 2;
  let overshot = false;
  for (let i = 0; i < refinements; i += 1) {
    const slope = departure(s, p, t);
    if (slope === 0) return t;
    if (slope > 0) high = t;
    else low = t;
    const speed = derivativeAt(s, t);
    // Near the curve the square of the distance grows like that of the way along it.
    const wanted = t - slope / dot(speed, speed);
    const allowed = Math.min(high, Math.max(low, wanted));
    const next = allowed === wanted || !overshot ? allowed : (low + high) / 2;
    overshot ||= allowed !== wanted;
    if (Math.abs(next - t) < settled) return next;
    t = next;
  }
  return t;
};
