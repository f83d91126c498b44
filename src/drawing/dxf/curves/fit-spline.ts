/** The smooth curve through given points. */
import type { Cubic } from '../../../geometry/curve.js';
import { add, distance, type Point, scale, subtract, unit } from '../../../geometry/point.js';

/**
 * The cubic spline with continuous second derivative through points, with their chord lengths as
 * parameter: the usual choice where a file states nothing but the points (C. de Boor, A Practical
 * Guide to Splines, chapter IV). An end with a tangent leaves in its direction with unit speed; an
 * end without one has no curvature (the natural spline). A closed curve is as smooth at its first
 * point as anywhere.
 *
 * @param points at least two, no two in a row equal; of a closed curve at least three, the first
 * not repeated
 */
export const splineThrough = (
  points: readonly Point[],
  closed: boolean,
  startTangent?: Point,
  endTangent?: Point,
): Cubic[] => {
  const ring = closed ? [...points, points[0]!] : points;
  const steps = ring.slice(1).map((p, i) => distance(p, ring[i]!));
  const slopes = steps.map((step, i) => scale(subtract(ring[i + 1]!, ring[i]!), 1 / step));
  const speeds = closed ? ringSpeeds(steps, slopes) : chainSpeeds(steps, slopes, startTangent, endTangent);
  return steps.map((step, i) => {
    const from = ring[i]!;
    const to = ring[i + 1]!;
    const leave = speeds[i]!;
    const arrive = speeds[(i + 1) % speeds.length]!;
    return {
      kind: 'cubic',
      from,
      control1: add(from, scale(leave, step / 3)),
      control2: subtract(to, scale(arrive, step / 3)),
      to,
    };
  });
};

/**
 * Row i of the equations: before[i] m[i-1] + here[i] m[i] + after[i] m[i+1] = right[i], m being the
 * derivatives.
 */
interface Rows {
  readonly before: number[];
  readonly here: number[];
  readonly after: number[];
  readonly right: Point[];
}

/** The second derivative does not jump between step i - 1 and step i. */
const pushSmooth = (rows: Rows, h: number, k: number, slopeBefore: Point, slopeAfter: Point): void => {
  rows.before.push(k);
  rows.here.push(2 * (h + k));
  rows.after.push(h);
  rows.right.push(scale(add(scale(slopeBefore, k), scale(slopeAfter, h)), 3));
};

const chainSpeeds = (
  steps: readonly number[],
  slopes: readonly Point[],
  startTangent: Point | undefined,
  endTangent: Point | undefined,
): Point[] => {
  const rows: Rows = { before: [], here: [], after: [], right: [] };
  const pushEnd = (tangent: Point | undefined, slope: Point, isStart: boolean): void => {
    const beside = tangent === undefined ? 1 : 0;
    rows.before.push(isStart ? 0 : beside);
    rows.here.push(tangent === undefined ? 2 : 1);
    rows.after.push(isStart ? beside : 0);
    rows.right.push(tangent === undefined ? scale(slope, 3) : unit(tangent));
  };
  pushEnd(startTangent, slopes[0]!, true);
  for (let i = 1; i < steps.length; i += 1) {
    pushSmooth(rows, steps[i - 1]!, steps[i]!, slopes[i - 1]!, slopes[i]!);
  }
  pushEnd(endTangent, slopes.at(-1)!, false);
  return solved(rows, rows.here, rows.right);
};

/**
 * The equations wrap around; what lies outside the three diagonals is a product of two vectors
 * (Sherman and Morrison, 1950).
 */
const ringSpeeds = (steps: readonly number[], slopes: readonly Point[]): Point[] => {
  const rows: Rows = { before: [], here: [], after: [], right: [] };
  const n = steps.length;
  for (let i = 0; i < n; i += 1) {
    const last = (i + n - 1) % n;
    pushSmooth(rows, steps[last]!, steps[i]!, slopes[last]!, slopes[i]!);
  }
  const top = rows.before[0]!;
  const bottom = rows.after[n - 1]!;
  const pivot = -rows.here[0]!;
  const here = [...rows.here];
  here[0]! -= pivot;
  here[n - 1]! -= (bottom * top) / pivot;
  const corner = rows.here.map((_, i) => ({ x: i === 0 ? pivot : i === n - 1 ? bottom : 0, y: 0 }));
  const plain = solved(rows, here, rows.right);
  const bent = solved(rows, here, corner);
  const ratio = top / pivot;
  const weigh = (v: number, w: number): number => v + ratio * w;
  const below = 1 + weigh(bent[0]!.x, bent[n - 1]!.x);
  const x = weigh(plain[0]!.x, plain[n - 1]!.x) / below;
  const y = weigh(plain[0]!.y, plain[n - 1]!.y) / below;
  return plain.map((m, i) => ({ x: m.x - x * bent[i]!.x, y: m.y - y * bent[i]!.x }));
};

/** Gauss elimination for three diagonals; the equations are dominated by the middle one. */
const solved = (rows: Rows, here: readonly number[], right: readonly Point[]): Point[] => {
  const n = right.length;
  const above: number[] = [];
  const result: Point[] = [];
  for (let i = 0; i < n; i += 1) {
    const left = i === 0 ? 0 : rows.before[i]!;
    const pivot = here[i]! - left * (i === 0 ? 0 : above[i - 1]!);
    above.push(i === n - 1 ? 0 : rows.after[i]! / pivot);
    result.push(scale(i === 0 ? right[i]! : subtract(right[i]!, scale(result[i - 1]!, left)), 1 / pivot));
  }
  for (let i = n - 2; i >= 0; i -= 1) result[i] = subtract(result[i]!, scale(result[i + 1]!, above[i]!));
  return result;
};
