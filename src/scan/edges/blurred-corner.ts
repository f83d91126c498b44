/**
 * What the blur makes of a corner: two straight sides that meet, seen through a normal distribution. The share of it that
 * falls inside is the distribution function of two correlated normal variables, the distances from the sides.
 */
import {
  type Chain,
  directionAtEnd,
  directionAtStart,
  distanceFromSide,
  formOf,
  turnAt,
} from '../curves/chain.js';
import { normal } from './edge-points.js';

// Gauss-Legendre, 10 points: half of them, the others lie opposite.
const nodes = [
  0.1488743389816312, 0.4333953941292472, 0.6794095682990244, 0.8650633666889845, 0.9739065285171717,
];
const weights = [
  0.2955242247147529, 0.2692667193099964, 0.219086362515982, 0.1494513491505806, 0.0666713443086881,
];

/**
 * P(X < h, Y < k) for standard normal X and Y of correlation r: Z. Drezner & G. Wesolowsky, *On the computation of the
 * bivariate normal integral*, J. Statist. Comput. Simul. 35 (1990); within 1e-4 for |r| up to 0.99.
 */
export const bothBelow = (h: number, k: number, r: number): number => {
  const end = Math.asin(Math.max(-0.9999, Math.min(0.9999, r)));
  const parts = Math.abs(end) > 1.2 ? 4 : 1;
  let sum = 0;
  for (let part = 0; part < parts; part += 1) {
    const half = end / parts / 2;
    const middle = (2 * part + 1) * half;
    for (let i = 0; i < nodes.length; i += 1) {
      for (const side of [-1, 1]) {
        const angle = middle + side * nodes[i]! * half;
        const s = Math.sin(angle);
        const c = 1 - s * s;
        sum += weights[i]! * half * Math.exp(-(h * h + k * k - 2 * h * k * s) / (2 * c));
      }
    }
  }
  return normal(h) * normal(k) + sum / (2 * Math.PI);
};

/**
 * How far the points near a corner lie from where the blur lets the middle level run: root mean square, pixels. Undefined
 * where no points are near.
 *
 * @param points pixels, y up; those from `first` on are the ones behind the corner
 */
export const cornerMisfit = (
  chain: Chain,
  joint: number,
  { x, y }: { readonly x: Float64Array; readonly y: Float64Array },
  first: number,
  blur: number,
): number | undefined => {
  const n = chain.x.length;
  const count = x.length;
  const before = (joint + n - 1) % n;
  const a = formOf(chain, before, 0);
  const b = formOf(chain, joint, 0);
  const turn = turnAt(chain, joint);
  // Correlation of the distances from both sides: the cosine between their normals.
  const into = directionAtEnd(chain, before);
  const out = directionAtStart(chain, joint);
  const r = Math.cos(out - into);
  const root = Math.sqrt(Math.max(1e-8, 1 - r * r));
  const cx = chain.x[joint]!;
  const cy = chain.y[joint]!;
  const near = 2.5 * blur + 0.5 + (blur * Math.abs(Math.tan(Math.min(1.4, Math.abs(turn) / 2)))) / 1;
  let squares = 0;
  let known = 0;
  for (let j = -14; j < 14; j += 1) {
    const i = (first + j + count) % count;
    const px = x[i]!;
    const py = y[i]!;
    if (Math.hypot(px - cx, py - cy) > near) continue;
    // A left turn has the left side of both inside; a right turn that of either.
    const sign = turn > 0 ? 1 : -1;
    const h = (sign * distanceFromSide(a, px, py)) / blur;
    const k = (sign * distanceFromSide(b, px, py)) / blur;
    const p = bothBelow(h, k, r);
    const byH = (density(h) * normal((k - r * h) / root)) / blur;
    const byK = (density(k) * normal((h - r * k) / root)) / blur;
    const slope = Math.sqrt(byH * byH + byK * byK + 2 * r * byH * byK);
    if (!(slope > 1e-3)) continue;
    const away = (p - 0.5) / slope;
    squares += away * away;
    known += 1;
  }
  return known < 2 ? undefined : Math.sqrt(squares / known);
};

const density = (z: number): number => 0.3989422804014327 * Math.exp((-z * z) / 2);
