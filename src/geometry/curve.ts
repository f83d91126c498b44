/**
 * The curves a drawing is made of. All of them stay what they are under a placement: arcs keep their
 * centre form, elliptical arcs are closed under every affine map, cubics move with their control points.
 */
import { apply, applyLinear, determinant, keepsCircles, type Matrix } from './affine.js';
import { type Box, boxOfPoints, emptyBox, joinBoxes, type Point } from './point.js';

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

export const pathBox = (path: Path): Box => {
  let box = emptyBox;
  for (const s of path.segments) box = joinBoxes(box, segmentBox(s));
  return box;
};

/** Where `angle` falls within a sweep, as a fraction >= 0 of it; above 1 when it lies outside. */
export const fractionOfSweep = (start: number, sweep: number, angle: number): number => {
  const full = 2 * Math.PI;
  let travelled = (sweep >= 0 ? angle - start : start - angle) % full;
  if (travelled < 0) travelled += full;
  return sweep === 0 ? Number.POSITIVE_INFINITY : travelled / Math.abs(sweep);
};

/** Roots in 0..1 of the derivative of a cubic in Bernstein form. */
const cubicTurningPoints = (p0: number, p1: number, p2: number, p3: number): number[] => {
  const a = p3 - 3 * p2 + 3 * p1 - p0;
  const b = 2 * (p2 - 2 * p1 + p0);
  const c = p1 - p0;
  const roots: number[] = [];
  if (Math.abs(a) < 1e-12 * (Math.abs(b) + Math.abs(c))) {
    if (b !== 0) roots.push(-c / b);
  } else {
    const disc = b * b - 4 * a * c;
    if (disc >= 0) {
      const q = -(b + (b < 0 ? -1 : 1) * Math.sqrt(disc)) / 2;
      roots.push(q / a);
      if (q !== 0) roots.push(c / q);
    }
  }
  return roots.filter((t) => t > 0 && t < 1);
};
