/** From the points of one closed edge to its lines and arcs: divided, cleaned of what the blur makes of corners, adjusted. */
import type { Point } from '../../geometry/point.js';
import type { Adjusted, ChainPoints } from '../curves/adjustment.js';
import { type Chain, lengthOf, pointOn } from '../curves/chain.js';
import { type Stretch, segmentation } from '../curves/segmentation.js';
import { Moments } from '../picture/moments.js';
import { primitiveOf } from './primitives.js';
import { withRounds } from './rounds.js';
import {
  meanSquare,
  type OutlineSettings,
  type Settled,
  settled,
  withLines,
  withVariances,
} from './settled.js';
import { withoutTips } from './tips.js';

export interface CircleOutline {
  readonly kind: 'circle';
  readonly centre: Point;
  readonly radius: number;
  /** Mean variance along it, pixels^2. */
  readonly variance: number;
  readonly radiusVariance: number;
  readonly residual: Float64Array;
  readonly unknowns: number;
}

export interface ChainOutline {
  readonly kind: 'chain';
  readonly chain: Chain;
  readonly smooth: Uint8Array;
  readonly firsts: Int32Array;
  /** Of each side. */
  readonly variance: Float64Array;
  readonly corner: Adjusted['corner'];
  readonly residual: Float64Array;
  readonly unknowns: number;
}

export type Outline = CircleOutline | ChainOutline;

/** What divides one side from two shows over so many points: as they err together, so does what is seen there. */
const decisive = 8;
/** Undefined where the points allow no lines and arcs that settle. */
export const outlineOf = (points: ChainPoints, settings: OutlineSettings): Outline | undefined => {
  const { sd, blur, together } = settings;
  const n = points.x.length;
  if (n < 12) return undefined;
  const variance = sd * sd * meanSquare(points.spread) * together(decisive);
  const gap = Math.max(1, Math.min(Math.round(2.6 * blur), Math.floor(n / 24)));
  let stretches = segmentation(points, { variance, gap });
  const round = roundOutline(points, stretches, settings, variance);
  if (round !== undefined) return round;
  stretches = withoutTips(points, stretches, settings, gap);
  return chainOutline(points, stretches, settings, gap);
};

/** The whole edge as one circle, if that explains the points as well as its stretches do. */
const roundOutline = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  { sd, blur, together }: OutlineSettings,
  variance: number,
): CircleOutline | undefined => {
  if (stretches.length > 6 || stretches.some(({ kind }) => kind === 'line')) return undefined;
  const { x, y, spread } = points;
  const n = x.length;
  const moments = new Moments(x[0]!, y[0]!);
  for (let i = 0; i < n; i += 1) moments.add(x[i]!, y[i]!);
  const first = moments.circle();
  if (first === undefined) return undefined;
  // What is to be saved by more arcs: each costs about this much.
  const each = 5 * Math.log(n);
  const parts = stretches.reduce((sum, stretch) => {
    const p = primitiveOf(points, stretch, 0);
    return sum + ('line' in p ? p.line.squares : p.circle.squares);
  }, 0);
  if ((first.squares - parts) / variance > each * (stretches.length - 1) + 12) return undefined;
  let { x: cx, y: cy, radius } = first;
  const residual = new Float64Array(n);
  let inverse: number[] = [];
  for (let turn = 0; turn < 6; turn += 1) {
    const a = [0, 0, 0, 0, 0, 0];
    const b = [0, 0, 0];
    const seen = radius - (blur * blur) / (2 * radius);
    for (let i = 0; i < n; i += 1) {
      const dx = x[i]! - cx;
      const dy = y[i]! - cy;
      const d = Math.sqrt(dx * dx + dy * dy);
      const r = d - seen;
      residual[i] = r;
      const own = sd * spread[i]!;
      const w = 1 / (own * own) / Math.max(1, Math.abs(r) / (4 * own));
      const u = dx / d;
      const v = dy / d;
      a[0]! += w * u * u;
      a[1]! += w * u * v;
      a[2]! += w * u;
      a[3]! += w * v * v;
      a[4]! += w * v;
      a[5]! += w;
      b[0]! += w * u * r;
      b[1]! += w * v * r;
      b[2]! += w * r;
    }
    const solved = inverse3(a);
    if (solved === undefined) return undefined;
    inverse = solved;
    const [ixx, ixy, ixr, iyy, iyr, irr] = inverse as [number, number, number, number, number, number];
    cx += ixx * b[0]! + ixy * b[1]! + ixr * b[2]!;
    cy += ixy * b[0]! + iyy * b[1]! + iyr * b[2]!;
    radius += ixr * b[0]! + iyr * b[1]! + irr * b[2]!;
  }
  if (!(radius > 0)) return undefined;
  const factor = together(n / 4);
  const [ixx, , , iyy, , irr] = inverse as [number, number, number, number, number, number];
  return {
    kind: 'circle',
    centre: { x: cx, y: cy },
    radius,
    variance: factor * ((ixx + iyy) / 2 + irr),
    radiusVariance: factor * irr,
    residual,
    unknowns: 3,
  };
};

/** Of a symmetric matrix given as xx, xy, xz, yy, yz, zz, in the same order. */
const inverse3 = (m: readonly number[]): number[] | undefined => {
  const [a, b, c, d, e, f] = m as [number, number, number, number, number, number];
  const A = d * f - e * e;
  const B = c * e - b * f;
  const C = b * e - c * d;
  const det = a * A + b * B + c * C;
  if (!(det > 0)) return undefined;
  return [A, B, C, a * f - c * c, b * c - a * e, a * d - b * b].map((v) => v / det);
};

const chainOutline = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  settings: OutlineSettings,
  gap: number,
): ChainOutline | undefined => {
  if (stretches.length < 2) return undefined;
  const { together } = settings;
  let best: Settled | undefined = settled(points, stretches, settings, gap);
  if (best === undefined) return undefined;
  best = withVariances(points, withRounds(points, best, settings, gap), settings);
  best = best === undefined ? undefined : withLines(points, best, settings);
  if (best === undefined) return undefined;
  const { adjusted, smooth } = best;
  return {
    kind: 'chain',
    chain: adjusted.chain,
    smooth,
    firsts: adjusted.firsts,
    variance: adjusted.variance.map((v, i) => v * together(lengthOf(adjusted.chain, i) / 2)),
    corner: adjusted.corner.map((c) => c.map((v) => v * together(30)) as [number, number, number]),
    residual: adjusted.residual,
    unknowns: adjusted.unknowns,
  };
};

/** Points along an outline, `apart` pixels from one another or nearer. */
export const alongOutline = (outline: Outline, apart: number): Point[] => {
  if (outline.kind === 'circle') {
    const { centre, radius } = outline;
    const count = Math.max(8, Math.ceil((2 * Math.PI * radius) / apart));
    return Array.from({ length: count }, (_, i) => ({
      x: centre.x + radius * Math.cos((2 * Math.PI * i) / count),
      y: centre.y + radius * Math.sin((2 * Math.PI * i) / count),
    }));
  }
  const { chain } = outline;
  return chain.sides.flatMap((_, k) => {
    const count = Math.max(1, Math.ceil(lengthOf(chain, k) / apart));
    return Array.from({ length: count }, (__, i) => pointOn(chain, k, i / count));
  });
};
