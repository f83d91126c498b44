/** From a Bezier piece of any degree, rational or not, to the curves a drawing is made of. */
import type { Arc, Cubic, EllipticalArc, Segment } from '../../../geometry/curve.js';
import { add, cross, dot, length, type Point, scale, subtract } from '../../../geometry/point.js';
import { type Bezier, halves, type Weighted } from './bezier.js';

/** Distance of an approximated curve from the exact one, mm, at most. */
export const approximation = 1e-6;
/** Halvings of one piece; more are needed only by weights or points of absurd proportions. */
const mostHalvings = 20;
/** Weights that differ by no more than this part are equal. */
const equalWeights = 1e-13;
/**
 * Conjugate radii that are equal and square to within this part belong to a circle: rounding leaves
 * about as much.
 */
const roundness = 1e-9;

/**
 * A line, cubic, arc or elliptical arc where one is exact: of degree 1, 2 and 3 without weights, of
 * degree 1 and 2 with them as long as they make no hyperbola. Otherwise cubics that lie within
 * `approximation` of the curve.
 *
 * Undefined where that takes more pieces than any sound curve does.
 */
export const curveOfBezier = (piece: Bezier): Segment[] | undefined => {
  const origin = plain(piece[0]!);
  const degree = piece.length - 1;
  if (degree === 1) return [{ kind: 'line', from: origin, to: plain(piece[1]!) }];
  const first = piece[0]!.w;
  if (piece.every(({ w }) => Math.abs(w - first) <= equalWeights * first)) {
    if (degree === 2) return [raised(plain(piece[0]!), plain(piece[1]!), plain(piece[2]!))];
    if (degree === 3) {
      const [from, control1, control2, to] = piece.map(plain) as [Point, Point, Point, Point];
      return [{ kind: 'cubic', from, control1, control2, to }];
    }
  }
  if (degree === 2) {
    const conic = conicOf(piece[0]!, piece[1]!, piece[2]!);
    if (conic !== undefined) return [conic];
  }
  // Seen from a point of the curve itself the numbers are small and the bound is not lost in
  // rounding.
  const seen = piece.map(({ x, y, w }) => ({ x: x - origin.x * w, y: y - origin.y * w, w }));
  const cubics = approximated(seen, mostHalvings);
  return cubics?.map((c) => ({
    kind: 'cubic',
    from: add(c.from, origin),
    control1: add(c.control1, origin),
    control2: add(c.control2, origin),
    to: add(c.to, origin),
  }));
};

const plain = (p: Weighted): Point => ({ x: p.x / p.w, y: p.y / p.w });

/** The same quadratic curve as a cubic. */
const raised = (from: Point, control: Point, to: Point): Cubic => ({
  kind: 'cubic',
  from,
  control1: add(from, scale(subtract(control, from), 2 / 3)),
  control2: add(to, scale(subtract(control, to), 2 / 3)),
  to,
});

/**
 * A rational quadratic is a conic. With the ends P0, P2, the control P1 and f = w1 / sqrt(w0 w2) it
 * is an ellipse for f < 1: the affine image of an arc of half angle acos f on the unit circle,
 * whose end tangents meet at 1/f from its centre. f = 1 is a parabola, the quadratic without
 * weights (E. T. Y. Lee, The rational Bezier representation for conics, 1987). Undefined for a
 * hyperbola, and so near a parabola that the centre would be lost in rounding.
 */
const conicOf = (a: Weighted, b: Weighted, c: Weighted): Segment | undefined => {
  const from = plain(a);
  const control = plain(b);
  const to = plain(c);
  const f = b.w / Math.sqrt(a.w * c.w);
  const chord = subtract(to, from);
  const arm = subtract(control, from);
  if (Math.abs(cross(chord, arm)) <= 1e-12 * length(chord) * length(arm)) {
    const between = dot(arm, chord) >= 0 && dot(arm, chord) <= dot(chord, chord);
    return between ? { kind: 'line', from, to } : undefined;
  }
  if (Math.abs(f - 1) <= equalWeights) return raised(from, control, to);
  const rest = 1 - f * f;
  if (!(rest > 1e-7)) return undefined;
  const middle = { x: (from.x + to.x) / 2, y: (from.y + to.y) / 2 };
  const height = subtract(control, middle);
  const half = Math.acos(f);
  return rounded({
    kind: 'elliptical-arc',
    centre: subtract(middle, scale(height, (f * f) / rest)),
    u: scale(height, f / rest),
    v: scale(chord, 1 / (2 * Math.sqrt(rest))),
    start: -half,
    sweep: 2 * half,
  });
};

/** An elliptical arc as an arc of a circle, where it is one. */
export const rounded = (s: EllipticalArc): Arc | EllipticalArc => {
  const { u, v } = s;
  const uu = dot(u, u);
  const vv = dot(v, v);
  if (Math.abs(uu - vv) > 2 * roundness * uu || Math.abs(dot(u, v)) > roundness * uu) return s;
  const turn = Math.atan2(u.y, u.x);
  const sign = cross(u, v) < 0 ? -1 : 1;
  return {
    kind: 'arc',
    centre: s.centre,
    radius: Math.sqrt(Math.sqrt(uu * vv)),
    start: turn + sign * s.start,
    sweep: sign * s.sweep,
  };
};

const approximated = (piece: Bezier, halvings: number): Cubic[] | undefined => {
  const cubic = touching(piece);
  if (missOf(piece, cubic) <= approximation) return [cubic];
  if (halvings === 0) return undefined;
  const [left, right] = halves(piece);
  const before = approximated(left, halvings - 1);
  const after = before === undefined ? undefined : approximated(right, halvings - 1);
  return after === undefined ? undefined : [...before!, ...after];
};

/** The cubic with the ends of the piece and its derivatives there. */
const touching = (piece: Bezier): Cubic => {
  const degree = piece.length - 1;
  const from = plain(piece[0]!);
  const to = plain(piece[degree]!);
  const arm = (end: Weighted, beside: Weighted): Point =>
    scale(subtract(plain(beside), plain(end)), (degree * beside.w) / (3 * end.w));
  return {
    kind: 'cubic',
    from,
    control1: add(from, arm(piece[0]!, piece[1]!)),
    control2: add(to, arm(piece[degree]!, piece[degree - 1]!)),
    to,
  };
};

/**
 * A bound on how far the two curves are apart at equal parameters: with the piece N/w and the cubic
 * C their difference is (N - w C)/w, whose numerator is a polynomial of degree n + 3 and lies
 * within the hull of its Bernstein coefficients.
 */
const missOf = (piece: Bezier, cubic: Cubic): number => {
  const n = piece.length - 1;
  const controls = [cubic.from, cubic.control1, cubic.control2, cubic.to];
  const binomial = binomialsOf(n);
  const total = binomialsOf(n + 3);
  const x = new Float64Array(n + 4);
  const y = new Float64Array(n + 4);
  let smallest = Number.POSITIVE_INFINITY;
  for (let i = 0; i <= n; i += 1) {
    const p = piece[i]!;
    smallest = Math.min(smallest, p.w);
    for (let j = 0; j <= 3; j += 1) {
      const part = (binomial[i]! * cubicBinomials[j]!) / total[i + j]!;
      x[i + j]! += part * (p.x - p.w * controls[j]!.x);
      y[i + j]! += part * (p.y - p.w * controls[j]!.y);
    }
  }
  let largest = 0;
  for (let i = 0; i < x.length; i += 1) {
    const size = Math.hypot(x[i]!, y[i]!);
    if (!(size <= largest)) largest = size;
  }
  return largest / smallest;
};

const cubicBinomials = [1, 3, 3, 1];

/** n over k for k from 0 to n. */
const binomialsOf = (n: number): number[] => {
  const row = [1];
  for (let k = 1; k <= n; k += 1) row.push((row[k - 1]! * (n - k + 1)) / k);
  return row;
};
