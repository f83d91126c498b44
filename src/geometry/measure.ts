/** Exact lengths and areas of curves. */
import { type Cubic, type EllipticalArc, endOf, type Path, type Segment, startOf } from './curve.js';
import { cross, distance, length, type Point, subtract } from './point.js';

/** Length of a segment, mm; to a relative 1e-9 or better where no closed form exists. */
export const segmentLength = (s: Segment): number => {
  switch (s.kind) {
    case 'line':
      return distance(s.from, s.to);
    case 'arc':
      return s.radius * Math.abs(s.sweep);
    case 'elliptical-arc':
      return ellipticalLength(s);
    case 'cubic':
      return cubicLength(s);
  }
};

export const pathLength = (path: Path): number => {
  let sum = 0;
  for (const s of path.segments) sum += segmentLength(s);
  return sum;
};

/**
 * The area enclosed by a closed path, mm^2, positive when it runs counter-clockwise: 1/2 of the integral of
 * x dy - y dx (Green), in closed form for every kind of segment. A path that crosses itself counts each part as often
 * as it winds around it.
 */
export const signedArea = (path: Path): number => {
  const first = path.segments[0];
  if (first === undefined) return 0;
  // Seen from a point of the path itself the products stay small.
  const origin = startOf(first);
  let twice = 0;
  for (const s of path.segments) twice += twiceSwept(s, origin);
  return twice / 2;
};

/** Twice the area swept by the ray from `origin` to a point that travels along the segment. */
const twiceSwept = (s: Segment, origin: Point): number => {
  switch (s.kind) {
    case 'line':
      return cross(subtract(s.from, origin), subtract(s.to, origin));
    case 'arc':
      return s.radius * s.radius * s.sweep + sweptByChord(s, s.centre, origin);
    case 'elliptical-arc':
      return cross(s.u, s.v) * s.sweep + sweptByChord(s, s.centre, origin);
    case 'cubic': {
      const p0 = subtract(s.from, origin);
      const p1 = subtract(s.control1, origin);
      const p2 = subtract(s.control2, origin);
      const p3 = subtract(s.to, origin);
      // The integral of B_i B_j' - B_i' B_j over the Bernstein polynomials of degree 3, term by term.
      return (
        0.6 * (cross(p0, p1) + cross(p2, p3)) +
        0.3 * (cross(p0, p2) + cross(p1, p2) + cross(p1, p3)) +
        0.1 * cross(p0, p3)
      );
    }
  }
};

const sweptByChord = (s: Segment, centre: Point, origin: Point): number =>
  cross(subtract(centre, origin), subtract(endOf(s), startOf(s)));

/** Parts of at most a quarter turn, between the ends of the axes where the speed changes fastest. */
const ellipticalLength = (s: EllipticalArc): number => {
  const { u, v, start, sweep } = s;
  const reach = length(u) + length(v);
  const speed = (angle: number): number => {
    const c = Math.cos(angle);
    const w = Math.sin(angle);
    const x = c * v.x - w * u.x;
    const y = c * v.y - w * u.y;
    return Math.sqrt(x * x + y * y);
  };
  const parts = Math.max(1, Math.ceil(Math.abs(sweep) / (Math.PI / 2)));
  let sum = 0;
  for (let i = 0; i < parts; i += 1) {
    const from = start + (sweep * i) / parts;
    const to = start + (sweep * (i + 1)) / parts;
    sum += Math.abs(integrate(speed, from, to, (reach * Math.abs(sweep)) / parts));
  }
  return sum;
};

const cubicLength = (s: Cubic): number => {
  const a = subtract(s.control1, s.from);
  const b = subtract(s.control2, s.control1);
  const c = subtract(s.to, s.control2);
  const hull = length(a) + length(b) + length(c);
  if (hull === 0) return 0;
  const speed = (t: number): number => {
    const r = 1 - t;
    const x = r * r * a.x + 2 * r * t * b.x + t * t * c.x;
    const y = r * r * a.y + 2 * r * t * b.y + t * t * c.y;
    return 3 * Math.sqrt(x * x + y * y);
  };
  return integrate(speed, 0, 1, hull);
};

/**
 * Halves the interval until the rule over the whole and over both halves agree to 2e-10 of `size`. The halves are what
 * counts, and they are far better than that wherever the integrand is smooth.
 */
const integrate = (f: (x: number) => number, from: number, to: number, size: number): number => {
  const refine = (a: number, b: number, whole: number, depth: number): number => {
    const middle = (a + b) / 2;
    const left = gauss(f, a, middle);
    const right = gauss(f, middle, b);
    // 40 halvings leave 1e-12 of the interval: a kink (the turning point of a cusp) is found to that.
    if (Math.abs(left + right - whole) <= 2e-10 * size || depth === 40) return left + right;
    return refine(a, middle, left, depth + 1) + refine(middle, b, right, depth + 1);
  };
  return refine(from, to, gauss(f, from, to), 0);
};

const gauss = (f: (x: number) => number, from: number, to: number): number => {
  const half = (to - from) / 2;
  const middle = (to + from) / 2;
  let sum = 0;
  for (let i = 0; i < nodes.length; i += 1) {
    const step = half * nodes[i]!;
    sum += weights[i]! * (f(middle + step) + f(middle - step));
  }
  return half * sum;
};

/** Gauss-Legendre of even order: roots of the Legendre polynomial by Newton, weights 2 / ((1 - x^2) P'^2) (DLMF 3.5). */
const gaussLegendre = (order: number): { readonly at: number; readonly weight: number }[] =>
  Array.from({ length: order / 2 }, (_, i) => {
    let x = Math.cos((Math.PI * (i + 0.75)) / (order + 0.5));
    let slope = 1;
    for (let step = 0; step < 8; step += 1) {
      let last = 1;
      let value = x;
      for (let n = 2; n <= order; n += 1) {
        [last, value] = [value, ((2 * n - 1) * x * value - (n - 1) * last) / n];
      }
      slope = (order * (x * value - last)) / (x * x - 1);
      x -= value / slope;
    }
    return { at: x, weight: 2 / ((1 - x * x) * slope * slope) };
  });

const rule = gaussLegendre(16);
const nodes = rule.map(({ at }) => at);
const weights = rule.map(({ weight }) => weight);
