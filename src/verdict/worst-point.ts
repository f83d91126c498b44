/** Where an opening is touched first. */
import type { Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Edge } from './edge.js';
import type { ErrorField } from './error-field.js';

export interface WorstPoint {
  /** On the existing edge, true bed mm. */
  readonly at: Point;
  readonly normal: Point;
  /**
   * sd of the approach n . d there, mm: fit, machine and half the kerf together. With an estimated sd it is the
   * scale of a Student-t.
   */
  readonly predictedError: number;
  /** Known approach there, mm: what the cutter cannot apply; 0 otherwise. */
  readonly systematic: number;
}

/** The point with the fewest sds between its known approach and the clearance; undefined for an empty edge. */
export const worstPoint = (
  edge: Edge,
  field: ErrorField,
  clearance: number,
  systematic?: Matrix,
): WorstPoint | undefined => {
  const n = field.covariance.length;
  const covariance = Float64Array.from(field.covariance.flat());
  const levers = Float64Array.from(field.levers.flat());
  const g = new Float64Array(n);
  const fixed = field.halfKerfSd ** 2 + field.cutSd ** 2;
  let worst = -1;
  let fewest = Number.POSITIVE_INFINITY;
  let worstSd = 0;
  let worstKnown = 0;
  for (let i = 0; i < edge.x.length; i++) {
    const nx = edge.normalX[i]!;
    const ny = edge.normalY[i]!;
    const x = edge.x[i]! - field.centre.x;
    const y = edge.y[i]! - field.centre.y;
    g[0] = nx;
    g[1] = ny;
    for (let k = 2; k < n; k++) {
      const l = 4 * (k - 2);
      g[k] = nx * (levers[l]! * x + levers[l + 1]! * y) + ny * (levers[l + 2]! * x + levers[l + 3]! * y);
    }
    let variance = fixed;
    for (let k = 0; k < n; k++) {
      let sum = 0;
      for (let l = 0; l < n; l++) sum += covariance[k * n + l]! * g[l]!;
      variance += g[k]! * sum;
    }
    const known = systematic === undefined ? 0 : knownApproach(systematic, edge, i);
    const left = clearance - known;
    const sd = Math.sqrt(Math.max(0, variance));
    // In sds while there is clearance left (1e-300: an sd of zero divides); beyond that the deepest touch is worst.
    const room = left > 0 ? left / (sd + 1e-300) : left - sd;
    if (room < fewest || worst < 0) {
      fewest = room;
      worst = i;
      worstSd = sd;
      worstKnown = known;
    }
  }
  if (worst < 0) return undefined;
  return {
    at: { x: edge.x[worst]!, y: edge.y[worst]! },
    normal: { x: edge.normalX[worst]!, y: edge.normalY[worst]! },
    predictedError: worstSd,
    systematic: worstKnown,
  };
};

export const knownApproach = ([a, b, c, d, e, f]: Matrix, edge: Edge, i: number): number => {
  const x = edge.x[i]!;
  const y = edge.y[i]!;
  return edge.normalX[i]! * (a * x + c * y + e) + edge.normalY[i]! * (b * x + d * y + f);
};

/** The largest known approach over an edge, mm; 0 where the cutter applies the whole fit. */
export const largestKnownApproach = (edge: Edge, systematic: Matrix | undefined): number => {
  if (systematic === undefined) return 0;
  let largest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < edge.x.length; i++) largest = Math.max(largest, knownApproach(systematic, edge, i));
  return largest;
};
