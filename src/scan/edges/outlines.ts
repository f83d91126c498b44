/**
 * All edges of a picture as lines and arcs. First a part of them is fitted with a rough guess of the noise; what is left over
 * there tells the noise of the points and how neighbours err together, and with that all edges are fitted.
 */

import type { GreyPicture, PixelSize } from '../picture/grey-picture.js';
import type { Levels } from '../picture/levels.js';
import { blurOf, type EdgePoints, edgePoints, levelRun, profilesOf, type Walls } from './edge-points.js';
import { type Outline, outlineOf } from './outline.js';
import { mostTriedPoints } from './rounds.js';
import type { OutlineSettings } from './settled.js';
import type { Border } from './trace.js';
import { wallsIn } from './walls.js';

export interface EdgeNoise {
  /** sd of the blur, pixels. */
  readonly blur: number;
  /** sd of a single point along the normal, pixels. */
  readonly pointSd: number;
  /** Walls of a thick panel, where they show. */
  readonly walls?: Walls;
  /** Correlation of the errors of points so many apart, from 0 on. */
  readonly correlation: readonly number[];
}

export interface TracedOutline {
  readonly border: Border;
  readonly points: EdgePoints;
  readonly outline: Outline | undefined;
}

/** Neighbours up to so many points apart are asked how they err together. */
const lags = 40;
/** Points that tell the noise. */
const enough = 30_000;

/** The same in pixels of mean size, y up, going round dark areas with them on the left. */
const upright = (points: EdgePoints, height: number, pixel: PixelSize, lean: number): EdgePoints => {
  const n = points.x.length;
  const mean = Math.sqrt(pixel.x * pixel.y);
  const turned = (values: Float64Array): Float64Array => Float64Array.from(values).reverse();
  const x = new Float64Array(n);
  const y = new Float64Array(n);
  for (let i = 0; i < n; i += 1) {
    y[i] = ((height - points.y[n - 1 - i]!) * pixel.y) / mean;
    x[i] = (points.x[n - 1 - i]! * pixel.x) / mean + lean * y[i]!;
  }
  const { slow } = points;
  return {
    x,
    y,
    slow,
    spread: turned(points.spread),
    step: turned(points.step),
    misfit: turned(points.misfit),
  };
};

/** Profiles that tell of walls at most. */
const mostProfiles = 140;

const wallsOf = (
  picture: GreyPicture,
  light: Levels,
  borders: readonly Border[],
  blur: number,
): Walls | undefined => {
  const length = borders.reduce((sum, { x }) => sum + x.length, 0);
  const every = Math.max(1, Math.ceil(length / (30 * mostProfiles)));
  const profiles = borders.flatMap((border) =>
    profilesOf(picture, light, border, edgePoints(picture, light, border, blur), every),
  );
  return wallsIn(profiles, blur);
};

export const outlinesOf = (
  picture: GreyPicture,
  light: Levels,
  borders: readonly Border[],
  pixel: PixelSize,
  lean: number,
  step: (text: string) => void = () => {},
): { outlines: TracedOutline[]; noise: EdgeNoise } => {
  step('finding the edges');
  const blur = blurOf(picture, light, borders);
  const walls = wallsOf(picture, light, borders, blur);
  const all = borders.map((border) => ({
    border,
    points: upright(edgePoints(picture, light, border, blur, walls), picture.height, pixel, lean),
  }));
  step('fitting lines and arcs');
  const white = whiteSd(all.map(({ points }) => points));
  const rough: OutlineSettings = {
    blur,
    sd: white,
    together: () => 1.5,
    budget: { points: mostTriedPoints / 3 },
  };
  const sample: TracedOutline[] = [];
  let taken = 0;
  // From the shortest edges up, past the very short: whole edges only.
  for (const one of [...all].sort((a, b) => a.points.x.length - b.points.x.length)) {
    if (one.points.x.length < 60 && all.length > 20) continue;
    if (taken > 0 && taken + one.points.x.length > enough) break;
    taken += one.points.x.length;
    sample.push({ ...one, outline: outlineOf(one.points, rough) });
  }
  const { sd, correlation } = atLeast(
    noiseIn(sample, white),
    all.map(({ points }) => points),
  );
  // Levels are means over a run of points, so their errors stay the same over one: too slow to show in what is left over.
  const slow = slowVariance(all.map(({ points }) => points)) / (sd * sd);
  const together = (points: number): number =>
    inflation(correlation, points) + slow * Math.min(1, points / levelRun);
  const settings: OutlineSettings = { blur, sd, together, budget: { points: mostTriedPoints } };
  const outlines = all.map((one) => ({ ...one, outline: outlineOf(one.points, settings) }));
  return { outlines, noise: { blur, pointSd: sd, correlation, ...(walls === undefined ? {} : { walls }) } };
};

/**
 * A picture without noise shows how exactly edges are drawn in pixels, which is not how exactly lines and arcs describe
 * them: the step's shape, bends within a pixel and the levels' rounding leave so much, pixels, alike over a few points.
 */
const leastSd = 0.02;
const leastRun = 4;

const atLeast = (
  { sd, correlation }: { sd: number; correlation: number[] },
  all: readonly EdgePoints[],
): { sd: number; correlation: number[] } => {
  const spreads = all.flatMap(({ spread }) => [...spread]).sort((a, b) => a - b);
  const least = leastSd / (spreads[spreads.length >> 1] ?? 1);
  if (!(sd < least)) return { sd, correlation };
  const alike = Array.from({ length: leastRun + 1 }, (_, lag) => 1 - lag / (leastRun + 1));
  return { sd: least, correlation: correlation.length > alike.length ? correlation : alike };
};

/** By how much the variance of a mean of so many points exceeds that of points that err each by itself. */
const inflation = (correlation: readonly number[], points: number): number => {
  let sum = 1;
  for (let lag = 1; lag < correlation.length && lag < points; lag += 1)
    sum += 2 * (1 - lag / points) * correlation[lag]!;
  return Math.max(0.5, sum);
};

/** Variance that errors of the levels add to a mean over many points, times their number, for a point of spread 1; pixels^2. */
const slowVariance = (all: readonly EdgePoints[]): number => {
  let sum = 0;
  let count = 0;
  for (const { slow, x } of all) {
    sum += slow * x.length;
    count += x.length;
  }
  return count === 0 ? 0 : sum / count;
};

/** From the second differences of the points across the edge, of which the edge itself takes little part. */
const whiteSd = (all: readonly EdgePoints[]): number => {
  const values: number[] = [];
  for (const { x, y, spread } of all) {
    for (let i = 1; i + 1 < x.length; i += 1) {
      const tx = x[i + 1]! - x[i - 1]!;
      const ty = y[i + 1]! - y[i - 1]!;
      const length = Math.hypot(tx, ty);
      if (length === 0) continue;
      const ex = x[i]! - (x[i - 1]! + x[i + 1]!) / 2;
      const ey = y[i]! - (y[i - 1]! + y[i + 1]!) / 2;
      values.push(Math.abs(ey * tx - ex * ty) / length / spread[i]!);
    }
  }
  values.sort((a, b) => a - b);
  // Half of normal deviations are smaller than 0.6745 sd; a second difference has 1.5 times the variance of a point.
  return Math.max(1e-3, (values[values.length >> 1] ?? 0.1) / 0.6745 / Math.sqrt(1.5));
};

/** Edges whose mean square is so many times the usual one are not fitted well. */
const mostSpread = 1.25;

const meanSquare = (residual: Float64Array, { spread }: EdgePoints): number => {
  let sum = 0;
  let count = 0;
  for (let i = 0; i < residual.length; i += 1) {
    const r = residual[i]! / spread[i]!;
    if (Number.isNaN(r)) continue;
    sum += r * r;
    count += 1;
  }
  return count === 0 ? Number.NaN : sum / count;
};

const noiseIn = (sample: readonly TracedOutline[], white: number): { sd: number; correlation: number[] } => {
  const products = new Float64Array(lags + 1);
  const counts = new Float64Array(lags + 1);
  let squares = 0;
  let number = 0;
  let unknowns = 0;
  const spreads = sample.map(({ outline, points }) =>
    outline === undefined ? Number.NaN : meanSquare(outline.residual, points),
  );
  const known = spreads.filter((v) => v > 0).sort((a, b) => a - b);
  const usual = known[known.length >> 1] ?? 0;
  for (const [i, { outline, points }] of sample.entries()) {
    // An edge that the rough settings divided wrongly tells of that, and not of the noise.
    if (outline === undefined || !(spreads[i]! <= mostSpread * usual)) continue;
    const { residual } = outline;
    const n = residual.length;
    unknowns += outline.unknowns;
    for (let at = 0; at < n; at += 1) {
      const r = residual[at]! / points.spread[at]!;
      if (!(Math.abs(r) < 6 * white)) continue;
      squares += r * r;
      number += 1;
      for (let lag = 0; lag <= lags && lag < n / 2; lag += 1) {
        const j = (at + lag) % n;
        const other = residual[j]! / points.spread[j]!;
        if (!(Math.abs(other) < 6 * white)) continue;
        products[lag]! += r * other;
        counts[lag]! += 1;
      }
    }
  }
  if (number < 50) return { sd: white, correlation: [1] };
  const free = Math.max(number / 2, number - unknowns);
  const sd = Math.sqrt(squares / free);
  const raw = [...products].map((p, lag) =>
    counts[lag] === 0 ? 0 : p / counts[lag]! / (products[0]! / counts[0]!),
  );
  // Correlations that have fallen into their own noise are none.
  const doubt = 2.5 / Math.sqrt(number);
  const end = raw.findIndex((r, lag) => lag > 0 && r < doubt);
  const correlation = end < 0 ? raw : raw.slice(0, end);
  return { sd, correlation };
};
