/** Where an opening is touched first. */
import type { Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { ErrorField } from '../risk/error-field.js';
import { type PositionSpread, positionSpread, spreadAt } from '../risk/position-spread.js';
import { addRim } from '../risk/rims.js';
import { type Bounded, hasBounds, nothingBounded, supportAt } from '../risk/vertices.js';
import { type Edge, roomAt } from './edge.js';

export interface WorstPoint {
  /** On the existing edge, true bed mm. */
  readonly at: Point;
  readonly normal: Point;
  /**
   * sd of the approach n . d there, mm: fit, machine and half the kerf together. With an estimated sd it is the
   * scale of a Student-t.
   */
  readonly predictedError: number;
  /** Approach there by what is known, lost or bounded, the last at its worst, mm; 0 where nothing is. */
  readonly systematic: number;
  /** Room for the approach there by the best estimate, less what is known of it, mm. */
  readonly margin: number;
}

/**
 * Of every edge the point with the fewest sds between its known approach and its room, bounded errors at their worst;
 * undefined for an empty edge.
 */
export const worstPoints = (
  edges: readonly Edge[],
  field: ErrorField,
  clearance: number,
  systematic?: Matrix,
  bounded: Bounded = nothingBounded,
): (WorstPoint | undefined)[] => {
  const variancesOf = edgeVariances(edges, field);
  return edges.map((edge) => worstPoint(edge, variancesOf(edge), clearance, systematic, bounded));
};

/** Variance of the approach at each point of an edge, mm^2: an array that is lent until the next edge is asked for. */
export const edgeVariances = (edges: readonly Edge[], field: ErrorField): ((edge: Edge) => Float64Array) => {
  const spread = positionSpread(field);
  const fixed = field.halfKerfSd ** 2 + field.cutSd ** 2;
  let most = 0;
  for (const edge of edges) most = Math.max(most, edge.x.length);
  const variances = new Float64Array(most);
  return (edge) => {
    fillVariances(edge, field.centre, spread, fixed, variances);
    addRim(edge, field, variances);
    return variances;
  };
};

/** In small loops, which are compiled soon. */
const fillVariances = (
  { x, y, normalX, normalY }: Edge,
  { x: centreX, y: centreY }: Point,
  { xx, xy, yy }: PositionSpread,
  fixed: number,
  into: Float64Array,
): void => {
  const count = x.length;
  into.fill(fixed, 0, count);
  addSpread(x, y, centreX, centreY, xx, normalX, normalX, 1, into);
  addSpread(x, y, centreX, centreY, xy, normalX, normalY, 2, into);
  addSpread(x, y, centreX, centreY, yy, normalY, normalY, 1, into);
};

const addSpread = (
  x: Float64Array,
  y: Float64Array,
  centreX: number,
  centreY: number,
  spread: Float64Array,
  first: Float64Array,
  second: Float64Array,
  times: number,
  into: Float64Array,
): void => {
  for (let i = 0; i < x.length; i++)
    into[i]! += times * first[i]! * second[i]! * spreadAt(spread, x[i]! - centreX, y[i]! - centreY);
};

const worstPoint = (
  edge: Edge,
  variances: Float64Array,
  clearance: number,
  systematic: Matrix | undefined,
  bounded: Bounded,
): WorstPoint | undefined => {
  const isPlain = systematic === undefined && edge.loss === undefined && !hasBounds(bounded);
  const worst =
    isPlain && clearance > 0
      ? edge.room === undefined
        ? largestOf(variances, edge.x.length)
        : fewestSds(variances, edge.room.gain, edge.room.extra, clearance)
      : tightest(edge, variances, clearance, systematic, bounded);
  if (worst < 0) return undefined;
  return {
    at: { x: edge.x[worst]!, y: edge.y[worst]! },
    normal: { x: edge.normalX[worst]!, y: edge.normalY[worst]! },
    predictedError: Math.sqrt(Math.max(0, variances[worst]!)),
    systematic:
      (systematic === undefined ? 0 : knownApproach(systematic, edge, worst)) +
      lossAt(edge, worst) +
      supportAt(bounded, edge, worst),
    margin: marginAt(edge, worst, clearance, systematic),
  };
};

/** Where all points have the same room the largest variance is worst. */
const largestOf = (variances: Float64Array, count: number): number => {
  let worst = count > 0 ? 0 : -1;
  for (let i = 1; i < count; i++) if (variances[i]! > variances[worst]!) worst = i;
  return worst;
};

const fewestSds = (
  variances: Float64Array,
  gain: Float64Array,
  extra: Float64Array,
  clearance: number,
): number => {
  let worst = -1;
  let fewest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < gain.length; i++) {
    const sds = sdsLeft(gain[i]! * clearance + extra[i]!, variances[i]!);
    if (sds < fewest || worst < 0) {
      fewest = sds;
      worst = i;
    }
  }
  return worst;
};

/** The same with a known approach, or without any clearance. */
const tightest = (
  edge: Edge,
  variances: Float64Array,
  clearance: number,
  systematic: Matrix | undefined,
  bounded: Bounded,
): number => {
  let worst = -1;
  let fewest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < edge.x.length; i++) {
    const left = marginAt(edge, i, clearance, systematic) - lossAt(edge, i) - supportAt(bounded, edge, i);
    const sds = sdsLeft(left, variances[i]!);
    if (sds < fewest || worst < 0) {
      fewest = sds;
      worst = i;
    }
  }
  return worst;
};

const lossAt = ({ loss }: Edge, i: number): number => (loss === undefined ? 0 : loss[i]!);

/** In sds while there is clearance left (1e-300: an sd of zero divides); beyond that the deepest touch is worst. */
const sdsLeft = (left: number, variance: number): number => {
  const sd = variance > 0 ? Math.sqrt(variance) : 0;
  return left > 0 ? left / (sd + 1e-300) : left - sd;
};

const marginAt = (edge: Edge, i: number, clearance: number, systematic: Matrix | undefined): number =>
  roomAt(edge, i, clearance) - (systematic === undefined ? 0 : knownApproach(systematic, edge, i));

export const knownApproach = ([a, b, c, d, e, f]: Matrix, edge: Edge, i: number): number => {
  const x = edge.x[i]!;
  const y = edge.y[i]!;
  return edge.normalX[i]! * (a * x + c * y + e) + edge.normalY[i]! * (b * x + d * y + f);
};

/** The least margin over an edge by the best estimate, mm; the clearance for an empty edge. */
export const leastMargin = (edge: Edge, clearance: number, systematic: Matrix | undefined): number => {
  if (systematic === undefined && edge.room === undefined) return clearance;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < edge.x.length; i++) least = Math.min(least, marginAt(edge, i, clearance, systematic));
  return edge.x.length === 0 ? clearance : least;
};
