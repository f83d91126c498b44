/** Placements in the plane, in the notation of src/geometry/affine.ts. */

import type { Matrix, Point } from '../../internal.js';

export const compose = (then: Matrix, first: Matrix): Matrix => [
  then[0] * first[0] + then[2] * first[1],
  then[1] * first[0] + then[3] * first[1],
  then[0] * first[2] + then[2] * first[3],
  then[1] * first[2] + then[3] * first[3],
  then[0] * first[4] + then[2] * first[5] + then[4],
  then[1] * first[4] + then[3] * first[5] + then[5],
];

export const apply = (m: Matrix, { x, y }: Point): Point => ({
  x: m[0] * x + m[2] * y + m[4],
  y: m[1] * x + m[3] * y + m[5],
});

export const applyLinear = (m: Matrix, { x, y }: Point): Point => ({
  x: m[0] * x + m[2] * y,
  y: m[1] * x + m[3] * y,
});

/** Of a matrix that can be undone. */
export const inverse = (m: Matrix): Matrix => {
  const d = m[0] * m[3] - m[1] * m[2];
  const [a, b, c, e] = [m[3] / d, -m[1] / d, -m[2] / d, m[0] / d];
  return [a, b, c, e, -(a * m[4] + c * m[5]), -(b * m[4] + e * m[5])];
};

/** The matrix of an affine map that is given as a function. */
export const matrixOf = (map: (p: Point) => Point): Matrix => {
  const o = map({ x: 0, y: 0 });
  const u = map({ x: 1, y: 0 });
  const v = map({ x: 0, y: 1 });
  return [u.x - o.x, u.y - o.y, v.x - o.x, v.y - o.y, o.x, o.y];
};

export const shift = (x: number, y: number): Matrix => [1, 0, 0, 1, x, y];

export const svgMatrix = (m: Matrix): string => `matrix(${m.map((v) => Number(v.toFixed(9))).join(' ')})`;

/** A covariance under a linear map, and as an ellipse: half axes for `factor` sds, and where the long one points, radians. */
export interface Covariance {
  readonly xx: number;
  readonly xy: number;
  readonly yy: number;
}

export interface Ellipse {
  readonly long: number;
  readonly short: number;
  readonly angle: number;
}

export const mapped = ({ xx, xy, yy }: Covariance, [a, b, c, d]: Matrix): Covariance => ({
  xx: a * a * xx + 2 * a * c * xy + c * c * yy,
  xy: a * b * xx + (a * d + b * c) * xy + c * d * yy,
  yy: b * b * xx + 2 * b * d * xy + d * d * yy,
});

export const ellipseOf = ({ xx, xy, yy }: Covariance, factor: number): Ellipse => {
  const middle = (xx + yy) / 2;
  const half = Math.hypot((xx - yy) / 2, xy);
  return {
    long: factor * Math.sqrt(middle + half),
    short: factor * Math.sqrt(Math.max(0, middle - half)),
    angle: Math.atan2(2 * xy, xx - yy) / 2,
  };
};

/**
 * sds of an ellipse in which 95 of 100 points of the plane lie: of a normal distribution, or of Student-t with `dof` degrees
 * of freedom, where the square is 2 F(0.95; 2, dof), in closed form dof (0.05^(-2 / dof) - 1).
 */
export const factor95 = (dof: number | undefined): number =>
  dof === undefined
    ? Math.sqrt(-2 * Math.log(0.05))
    : Math.sqrt(dof * (Math.exp((-2 / dof) * Math.log(0.05)) - 1));
