/** B-splines taken apart into their Bezier pieces. */

/** A control point in homogeneous coordinates: x and y times the weight, and the weight. */
export interface Weighted {
  readonly x: number;
  readonly y: number;
  readonly w: number;
}

/** Control points of one piece, degree + 1 of them. */
export type Bezier = readonly Weighted[];

/**
 * The Bezier pieces of a B-spline, one for each knot span that is not empty, from the knot with the
 * index `degree` to the one with the index `controls.length`: there the curve is defined, whether
 * or not its end knots are repeated.
 *
 * Exact but for rounding. The control point j of the piece over [a, b] is the spline's polar form
 * at a, ..., a, b, ..., b with b taken j times (L. Ramshaw, Blossoming, 1987), worked out by de
 * Boor's recursion.
 *
 * @param knots controls.length + degree + 1 of them, never decreasing
 */
export const bezierPieces = (
  degree: number,
  knots: readonly number[],
  controls: readonly Weighted[],
): Bezier[] => {
  const pieces: Bezier[] = [];
  for (let span = degree; span < controls.length; span += 1) {
    const a = knots[span]!;
    const b = knots[span + 1]!;
    if (!(b > a)) continue;
    const local = controls.slice(span - degree, span + 1);
    const piece: Weighted[] = [];
    for (let j = 0; j <= degree; j += 1) {
      piece.push(polarForm(degree, knots, local, span, (i) => (i < degree - j ? a : b)));
    }
    pieces.push(piece);
  }
  return pieces;
};

const polarForm = (
  degree: number,
  knots: readonly number[],
  local: readonly Weighted[],
  span: number,
  argument: (i: number) => number,
): Weighted => {
  const points = [...local];
  for (let round = 1; round <= degree; round += 1) {
    const u = argument(round - 1);
    for (let j = degree; j >= round; j -= 1) {
      const low = knots[span - degree + j]!;
      const high = knots[span + 1 + j - round]!;
      points[j] = blend(points[j - 1]!, points[j]!, (u - low) / (high - low));
    }
  }
  return points[degree]!;
};

/** Exact at both ends. */
const blend = (p: Weighted, q: Weighted, t: number): Weighted => {
  if (t === 0) return p;
  if (t === 1) return q;
  const r = 1 - t;
  return { x: r * p.x + t * q.x, y: r * p.y + t * q.y, w: r * p.w + t * q.w };
};

/** Both halves of a piece (de Casteljau). */
export const halves = (piece: Bezier): [Bezier, Bezier] => {
  const left: Weighted[] = [];
  const right: Weighted[] = [];
  let points = [...piece];
  while (points.length > 0) {
    left.push(points[0]!);
    right.push(points.at(-1)!);
    points = points.slice(1).map((q, i) => {
      const p = points[i]!;
      return { x: (p.x + q.x) / 2, y: (p.y + q.y) / 2, w: (p.w + q.w) / 2 };
    });
  }
  return [left, right.reverse()];
};
