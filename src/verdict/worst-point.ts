/** Where an opening is touched first. */
import type { Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import { type Edge, roomAt } from './edge.js';
import type { ErrorField } from './error-field.js';
import { type PositionSpread, positionSpread, spreadAt } from './position-spread.js';

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
  /** Room for the approach there by the best estimate, less what is known of it, mm. */
  readonly margin: number;
}

/**
 * Of every edge the point with the fewest sds between its known approach and its room; undefined for an empty edge.
 */
export const worstPoints = (
  edges: readonly Edge[],
  field: ErrorField,
  clearance: number,
  systematic?: Matrix,
): (WorstPoint | undefined)[] => {
  const spread = positionSpread(field);
  return edges.map((edge) => worstPoint(edge, field, spread, clearance, systematic));
};

const worstPoint = (
  edge: Edge,
  field: ErrorField,
  { xx, xy, yy }: PositionSpread,
  clearance: number,
  systematic: Matrix | undefined,
): WorstPoint | undefined => {
  const { x: centreX, y: centreY } = field.centre;
  const fixed = field.halfKerfSd ** 2 + field.cutSd ** 2;
  const isPlain = systematic === undefined && edge.room === undefined && clearance > 0;
  let worst = -1;
  let fewest = Number.POSITIVE_INFINITY;
  let largest = 0;
  const { x: edgeX, y: edgeY, normalX, normalY, room } = edge;
  for (let i = 0; i < edgeX.length; i++) {
    const nx = normalX[i]!;
    const ny = normalY[i]!;
    const x = edgeX[i]! - centreX;
    const y = edgeY[i]! - centreY;
    const variance =
      fixed + nx * nx * spreadAt(xx, x, y) + 2 * nx * ny * spreadAt(xy, x, y) + ny * ny * spreadAt(yy, x, y);
    if (isPlain) {
      // All have the same room: the largest variance is worst.
      if (variance > largest || worst < 0) {
        largest = variance;
        worst = i;
      }
      continue;
    }
    let left = room === undefined ? clearance : room.gain[i]! * clearance + room.extra[i]!;
    if (systematic !== undefined) left -= knownApproach(systematic, edge, i);
    const sd = Math.sqrt(Math.max(0, variance));
    // In sds while there is clearance left (1e-300: an sd of zero divides); beyond that the deepest touch is worst.
    const sds = left > 0 ? left / (sd + 1e-300) : left - sd;
    if (sds < fewest || worst < 0) {
      fewest = sds;
      worst = i;
      largest = variance;
    }
  }
  if (worst < 0) return undefined;
  return {
    at: { x: edge.x[worst]!, y: edge.y[worst]! },
    normal: { x: edge.normalX[worst]!, y: edge.normalY[worst]! },
    predictedError: Math.sqrt(Math.max(0, largest)),
    systematic: systematic === undefined ? 0 : knownApproach(systematic, edge, worst),
    margin: marginAt(edge, worst, clearance, systematic),
  };
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
