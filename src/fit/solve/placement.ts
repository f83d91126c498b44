/**
 * A placement under adjustment, written about the marks' centre so that large offsets cost no digits:
 *
 *   T(q) = anchor + L (q - centre),   L = [a c; b d]
 *
 * The unknowns are small changes about a placement, in mm for the shift and per unit for the rest:
 *
 *   shift        shift x, shift y
 *   rigid        shift x, shift y, turn (radians, counter-clockwise)
 *   similarity   shift x, shift y, turn, relative size
 *   affine       shift x, shift y, change of a, b, c, d
 */
import type { Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';

export interface Placement {
  readonly model: Model;
  /** Design frame, mm. */
  readonly centre: Point;
  /** Where the centre goes, in the caller's bed frame, mm. */
  readonly anchor: Point;
  readonly linear: readonly [a: number, b: number, c: number, d: number];
}

/** The derivative of a fitted position by the unknowns: one row per bed axis. */
export interface PositionJacobian {
  readonly x: number[];
  readonly y: number[];
}

export const unknownsOf: Readonly<Record<Model, number>> = { shift: 2, rigid: 3, similarity: 4, affine: 6 };

export const placed = (p: Placement, q: Point): Point => {
  const [a, b, c, d] = p.linear;
  const u = q.x - p.centre.x;
  const v = q.y - p.centre.y;
  return { x: p.anchor.x + a * u + c * v, y: p.anchor.y + b * u + d * v };
};

export const jacobianAt = (p: Placement, q: Point): PositionJacobian => {
  const [a, b, c, d] = p.linear;
  const u = q.x - p.centre.x;
  const v = q.y - p.centre.y;
  const x = a * u + c * v;
  const y = b * u + d * v;
  switch (p.model) {
    case 'shift':
      return { x: [1, 0], y: [0, 1] };
    case 'rigid':
      return { x: [1, 0, -y], y: [0, 1, x] };
    case 'similarity':
      return { x: [1, 0, -y, x], y: [0, 1, x, y] };
    case 'affine':
      return { x: [1, 0, u, 0, v, 0], y: [0, 1, 0, u, 0, v] };
  }
};

/** The placement after a change of its unknowns; exact for shift, similarity and affine, which are linear in them. */
export const changed = (p: Placement, change: readonly number[]): Placement => {
  const [a, b, c, d] = p.linear;
  const anchor = { x: p.anchor.x + change[0]!, y: p.anchor.y + change[1]! };
  switch (p.model) {
    case 'shift':
      return { ...p, anchor };
    case 'rigid': {
      const angle = Math.atan2(b, a) + change[2]!;
      return { ...p, anchor, linear: turnOf(angle) };
    }
    case 'similarity': {
      const turn = change[2]!;
      const size = 1 + change[3]!;
      const cos = size * a - turn * b;
      const sin = size * b + turn * a;
      return { ...p, anchor, linear: [cos, sin, -sin, cos] };
    }
    case 'affine':
      return { ...p, anchor, linear: [a + change[2]!, b + change[3]!, c + change[4]!, d + change[5]!] };
  }
};

export const turnOf = (angle: number): Placement['linear'] => {
  const cos = Math.cos(angle);
  const sin = Math.sin(angle);
  return [cos, sin, -sin, cos];
};

/** The turn of a placement, radians counter-clockwise: that of the rotation nearest to its linear part. */
export const turnOfPlacement = ({ linear: [a, b, c, d] }: Placement): number => Math.atan2(b - c, a + d);

export const matrixOf = (p: Placement): Matrix => {
  const [a, b, c, d] = p.linear;
  return [
    a,
    b,
    c,
    d,
    p.anchor.x - (a * p.centre.x + c * p.centre.y),
    p.anchor.y - (b * p.centre.x + d * p.centre.y),
  ];
};
