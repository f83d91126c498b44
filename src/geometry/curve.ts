/**
 * The curves a drawing is made of. All of them stay what they are under a placement: arcs keep their
 * centre form, elliptical arcs are closed under every affine map, cubics move with their control points.
 */
import { apply, applyLinear, determinant, keepsCircles, type Matrix } from './affine.js';
import { type Box, boxOfPoints, emptyBox, type Point } from './point.js';

export interface Line {
  readonly kind: 'line';
  readonly from: Point;
  readonly to: Point;
}

/** centre + radius (cos t, sin t) for t from `start` to `start + sweep`; a positive sweep is counter-clockwise. */
export interface Arc {
  readonly kind: 'arc';
  readonly centre: Point;
  readonly radius: number;
  readonly start: number;
  readonly sweep: number;
}

/** centre + u cos t + v sin t for t from `start` to `start + sweep`; u and v are conjugate radii of the ellipse. */
export interface EllipticalArc {
  readonly kind: 'elliptical-arc';
  readonly centre: Point;
  readonly u: Point;
  readonly v: Point;
  readonly start: number;
  readonly sweep: number;
}

export interface Cubic {
  readonly kind: 'cubic';
  readonly from: Point;
  readonly control1: Point;
  readonly control2: Point;
  readonly to: Point;
}

export type Segment = Line | Arc | EllipticalArc | Cubic;

/** Segments end to end. A closed path carries its closing line, if it has one, as a segment. */
export interface Path {
  readonly segments: readonly Segment[];
  readonly closed: boolean;
}

/** Position on a segment at t in 0..1. */
export const positionAt = (s: Segment, t: number): Point => {
  switch (s.kind) {
    case 'line':
      return { x: s.from.x + t * (s.to.x - s.from.x), y: s.from.y + t * (s.to.y - s.from.y) };
    case 'arc': {
      const angle = s.start + t * s.sweep;
      return { x: s.centre.x + s.radius * Math.cos(angle), y: s.centre.y + s.radius * Math.sin(angle) };
    }
    case 'elliptical-arc': {
      const angle = s.start + t * s.sweep;
      const c = Math.cos(angle);
      const w = Math.sin(angle);
      return { x: s.centre.x + c * s.u.x + w * s.v.x, y: s.centre.y + c * s.u.y + w * s.v.y };
    }
    case 'cubic': {
      const r = 1 - t;
      const b0 = r * r * r;
      const b1 = 3 * r * r * t;
      const b2 = 3 * r * t * t;
      const b3 = t * t * t;
      return {
        x: b0 * s.from.x + b1 * s.control1.x + b2 * s.control2.x + b3 * s.to.x,
        y: b0 * s.from.y + b1 * s.control1.y + b2 * s.control2.y + b3 * s.to.y,
      };
    }
  }
};

/** Derivative of the position by t; its direction is the direction of travel. Zero where a cubic has a cusp. */
export const derivativeAt = (s: Segment, t: number): Point => {
  switch (s.kind) {
    case 'line':
      return { x: s.to.x - s.from.x, y: s.to.y - s.from.y };
    case 'arc': {
      const angle = s.start + t * s.sweep;
      const speed = s.radius * s.sweep;
      return { x: -speed * Math.sin(angle), y: speed * Math.cos(angle) };
    }
    case 'elliptical-arc': {
      const angle = s.start + t * s.sweep;
      const c = Math.cos(angle) * s.sweep;
      const w = Math.sin(angle) * s.sweep;
      return { x: c * s.v.x - w * s.u.x, y: c * s.v.y - w * s.u.y };
    }
    case 'cubic': {
      const r = 1 - t;
      const b0 = 3 * r * r;
      const b1 = 6 * r * t;
      const b2 = 3 * t * t;
      return {
        x: b0 * (s.control1.x - s.from.x) + b1 * (s.control2.x - s.control1.x) + b2 * (s.to.x - s.control2.x),
        y: b0 * (s.control1.y - s.from.y) + b1 * (s.control2.y - s.control1.y) + b2 * (s.to.y - s.control2.y),
      };
    }
  }
};

/** Start of a segment, exact for lines and cubics. */
export const startOf = (s: Segment): Point => ('from' in s ? s.from : positionAt(s, 0));

/** End of a segment, exact for lines and cubics. */
export const endOf = (s: Segment): Point => ('to' in s ? s.to : positionAt(s, 1));

/** The same curve travelled the other way. */
export const reversed = (s: Segment): Segment => {
  switch (s.kind) {
    case 'line':
      return { kind: 'line', from: s.to, to: s.from };
    case 'cubic':
      return { kind: 'cubic', from: s.to, control1: s.control2, control2: s.control1, to: s.from };
    default:
      return { ...s, start: s.start + s.sweep, sweep: -s.sweep };
  }
};

/** The segment moved by an affine map; a circle under an uneven scale becomes an ellipse. */
export const transformSegment = (m: Matrix, s: Segment): Segment => {
  switch (s.kind) {
    case 'line':
      return { kind: 'line', from: apply(m, s.from), to: apply(m, s.to) };
    case 'cubic':
      return {
        kind: 'cubic',
        from: apply(m, s.from),
        control1: apply(m, s.control1),
        control2: apply(m, s.control2),
        to: apply(m, s.to),
      };
    case 'elliptical-arc':
      return { ...s, centre: apply(m, s.centre), u: applyLinear(m, s.u), v: applyLinear(m, s.v) };
    case 'arc': {
      if (keepsCircles(m)) {
        const det = determinant(m);
        // With a mirror the angle t goes to (turn - t): the map sends +x to the direction `turn`.
        const turn = Math.atan2(m[1], m[0]);
        return {
          kind: 'arc',
          centre: apply(m, s.centre),
          radius: s.radius * Math.sqrt(Math.abs(det)),
          start: det < 0 ? turn - s.start : turn + s.start,
          sweep: det < 0 ? -s.sweep : s.sweep,
        };
      }
      return {
        kind: 'elliptical-arc',
        centre: apply(m, s.centre),
        u: applyLinear(m, { x: s.radius, y: 0 }),
        v: applyLinear(m, { x: 0, y: s.radius }),
        start: s.start,
        sweep: s.sweep,
      };
    }
  }
};

export const transformPath = (m: Matrix, path: Path): Path => ({
  segments: path.segments.map((s) => transformSegment(m, s)),
  closed: path.closed,
});

/** The exact box of a segment. */
export const segmentBox = (s: Segment): Box => {
  if (s.kind === 'line') return boxOfPoints([s.from, s.to]);
  const points: Point[] = [startOf(s), endOf(s)];
  if (s.kind === 'cubic') {
    for (const axis of ['x', 'y'] as const) {
      for (const t of cubicTurningPoints(s.from[axis], s.control1[axis], s.control2[axis], s.to[axis])) {
        points.push(positionAt(s, t));
      }
    }
    return boxOfPoints(points);
  }
  const u = s.kind === 'arc' ? { x: s.radius, y: 0 } : s.u;
  const v = s.kind === 'arc' ? { x: 0, y: s.radius } : s.v;
  for (const angle of [Math.atan2(v.x, u.x), Math.atan2(v.y, u.y)]) {
    for (const candidate of [angle, angle + Math.PI]) {
      const t = fractionOfSweep(s.start, s.sweep, candidate);
      if (t < 1) points.push(positionAt(s, t));
    }
  }
  return boxOfPoints(points);
};

/** The exact box of a path: cubics that keep within the box of the ends, as most do, are not looked at any closer. */
export const pathBox = ({ segments }: Path): Box => {
  const box: Widening = { ...emptyBox };
  for (const s of segments) {
    if (s.kind === 'line' || s.kind === 'cubic') {
      widen(box, s.from.x, s.from.y);
      widen(box, s.to.x, s.to.y);
    } else {
      const { minX, minY, maxX, maxY } = segmentBox(s);
      widen(box, minX, minY);
      widen(box, maxX, maxY);
    }
  }
  for (const s of segments) {
    if (s.kind !== 'cubic') continue;
    const { from, control1, control2, to } = s;
    widenByCubic(box, from.x, from.y, control1.x, control1.y, control2.x, control2.y, to.x, to.y);
  }
  return box;
};

/** A box that grows. */
export type Widening = { -readonly [Side in keyof Box]: number };

export const widen = (box: Widening, x: number, y: number): void => {
  if (x < box.minX) box.minX = x;
  if (x > box.maxX) box.maxX = x;
  if (y < box.minY) box.minY = y;
  if (y > box.maxY) box.maxY = y;
};

/** Widens a box that holds the ends of a cubic so that it holds all of it. */
export const widenByCubic = (
  box: Widening,
  x0: number,
  y0: number,
  x1: number,
  y1: number,
  x2: number,
  y2: number,
  x3: number,
  y3: number,
): void => {
  if (x1 < box.minX || x1 > box.maxX || x2 < box.minX || x2 > box.maxX) {
    findTurns(x0, x1, x2, x3);
    widen(box, cubicAt(x0, x1, x2, x3, turns[0]!), box.minY);
    widen(box, cubicAt(x0, x1, x2, x3, turns[1]!), box.minY);
  }
  if (y1 < box.minY || y1 > box.maxY || y2 < box.minY || y2 > box.maxY) {
    findTurns(y0, y1, y2, y3);
    widen(box, box.minX, cubicAt(y0, y1, y2, y3, turns[0]!));
    widen(box, box.minX, cubicAt(y0, y1, y2, y3, turns[1]!));
  }
};

const cubicAt = (p0: number, p1: number, p2: number, p3: number, t: number): number => {
  const r = 1 - t;
  return r * r * r * p0 + 3 * r * r * t * p1 + 3 * r * t * t * p2 + t * t * t * p3;
};

/** Where `angle` falls within a sweep, as a fraction >= 0 of it; above 1 when it lies outside. */
export const fractionOfSweep = (start: number, sweep: number, angle: number): number => {
  const full = 2 * Math.PI;
  let travelled = (sweep >= 0 ? angle - start : start - angle) % full;
  if (travelled < 0) travelled += full;
  return sweep === 0 ? Number.POSITIVE_INFINITY : travelled / Math.abs(sweep);
};

const cubicTurningPoints = (p0: number, p1: number, p2: number, p3: number): number[] => {
  findTurns(p0, p1, p2, p3);
  return [...turns].filter((t) => t > 0 && t < 1);
};

/** Large drawings have millions of curves: what `findTurns` finds is not worth an array for each. */
const turns = new Float64Array(2);

/** The roots in 0..1 of the derivative of a cubic in Bernstein form; 0 in place of one that lies elsewhere. */
const findTurns = (p0: number, p1: number, p2: number, p3: number): void => {
  const a = p3 - 3 * p2 + 3 * p1 - p0;
  const b = 2 * (p2 - 2 * p1 + p0);
  const c = p1 - p0;
  let first = 0;
  let second = 0;
  if (Math.abs(a) < 1e-12 * (Math.abs(b) + Math.abs(c))) {
    if (b !== 0) first = -c / b;
  } else {
    const disc = b * b - 4 * a * c;
    if (disc >= 0) {
      const q = -(b + (b < 0 ? -1 : 1) * Math.sqrt(disc)) / 2;
      first = q / a;
      if (q !== 0) second = c / q;
    }
  }
  turns[0] = first > 0 && first < 1 ? first : 0;
  turns[1] = second > 0 && second < 1 ? second : 0;
};
