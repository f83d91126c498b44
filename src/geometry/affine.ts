/**
 * Affine maps of the plane, and the one place where their conventions are written.
 *
 *   [a b c d e f]      x' = a x + c y + e
 *                      y' = b x + d y + f        (the order of W3C SVG `matrix()`)
 *
 *        y            angles count counter-clockwise from +x, in radians
 *        ^  / angle
 *        | /          compose(A, B) applies B first:
 *        |/           apply(compose(A, B), p) = apply(A, apply(B, p))
 *        +------> x
 */
import type { Point } from './point.js';

export type Matrix = readonly [a: number, b: number, c: number, d: number, e: number, f: number];

export const identity: Matrix = [1, 0, 0, 1, 0, 0];

export const translation = (x: number, y: number): Matrix => [1, 0, 0, 1, x, y];

export const scaling = (x: number, y: number): Matrix => [x, 0, 0, y, 0, 0];

export const rotation = (angle: number): Matrix => {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return [c, s, -s, c, 0, 0];
};

/** (x, y) -> (-x, y): a panel lying on its face. */
export const mirrorX: Matrix = [-1, 0, 0, 1, 0, 0];

/** The map that applies `first`, then `then`: compose(then, first). */
export const compose = (then: Matrix, first: Matrix): Matrix => [
  then[0] * first[0] + then[2] * first[1],
  then[1] * first[0] + then[3] * first[1],
  then[0] * first[2] + then[2] * first[3],
  then[1] * first[2] + then[3] * first[3],
  then[0] * first[4] + then[2] * first[5] + then[4],
  then[1] * first[4] + then[3] * first[5] + then[5],
];

export const apply = (m: Matrix, p: Point): Point => ({
  x: m[0] * p.x + m[2] * p.y + m[4],
  y: m[1] * p.x + m[3] * p.y + m[5],
});

/** The linear part alone: for directions and radii. */
export const applyLinear = (m: Matrix, v: Point): Point => ({
  x: m[0] * v.x + m[2] * v.y,
  y: m[1] * v.x + m[3] * v.y,
});

/** Signed area factor; negative for a mirroring map. */
export const determinant = (m: Matrix): number => m[0] * m[3] - m[1] * m[2];

/** The inverse map, or undefined when the map flattens the plane. */
export const invert = (m: Matrix): Matrix | undefined => {
  const det = determinant(m);
  if (!Number.isFinite(1 / det)) return undefined;
  const [a, b, c, d, e, f] = m;
  return [d / det, -b / det, -c / det, a / det, (c * f - d * e) / det, (b * e - a * f) / det];
};

/** The linear part written as rotation, scale and shear; see `decompose`. */
export interface Decomposition {
  /** Counter-clockwise turn of the x axis, radians. */
  readonly rotation: number;
  /** Length of the mapped unit vectors; the second is negative for a mirroring map. */
  readonly scale: readonly [number, number];
  /** How far the mapped y axis leans counter-clockwise from square to the mapped x axis, radians. */
  readonly shear: number;
}

export const decompose = (m: Matrix): Decomposition => {
  const scaleX = Math.hypot(m[0], m[1]);
  const cos = scaleX === 0 ? 1 : m[0] / scaleX;
  const sin = scaleX === 0 ? 0 : m[1] / scaleX;
  const across = cos * m[2] + sin * m[3];
  const along = cos * m[3] - sin * m[2];
  const sign = along < 0 ? -1 : 1;
  return {
    rotation: Math.atan2(sin, cos),
    scale: [scaleX, sign * Math.hypot(across, along)],
    shear: Math.atan2(-across * sign, along * sign),
  };
};

/** True when circles stay circles: equal scales, no shear (a mirror is allowed), to a relative 1e-12. */
export const keepsCircles = (m: Matrix): boolean => {
  const size = Math.abs(m[0]) + Math.abs(m[1]) + Math.abs(m[2]) + Math.abs(m[3]);
  const turn = Math.abs(m[0] - m[3]) + Math.abs(m[1] + m[2]);
  const mirror = Math.abs(m[0] + m[3]) + Math.abs(m[1] - m[2]);
  return Math.min(turn, mirror) <= 1e-12 * size;
};
