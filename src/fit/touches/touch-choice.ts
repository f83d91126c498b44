/** Which of several placements the readings allow: one, or more than may be chosen from. */
import { inverse, Matrix } from 'ml-matrix';
import { distance } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import type { TouchReadings } from '../../marks/touches.js';
import type { FitOptions } from '../fit.js';
import { type Placement, placed, turnOfPlacement, unknownsOf } from '../solve/placement.js';
import type { ReadingScale } from '../solve/uncertainty.js';
import type { MixedFit, MixedReadings } from './mixed-fit.js';
import { designPointOf } from './touch-rows.js';

type Found = Extract<MixedFit, { ok: true }>;

/** What is known of the sd of the readings beside these residuals. */
export interface Spread {
  /** Degrees of freedom and mean square (in units of the sds) behind the sd; undefined: known. */
  readonly prior?: { readonly degrees: number; readonly square: number };
  readonly rows: number;
  readonly redundancy: number;
  readonly model: Model;
}

export interface Likely {
  readonly chosen: Found;
  /** What fits as well, the least sum of squares first. */
  readonly others: readonly Found[];
  /** True where what was said of starts tells the chosen one from the others. */
  readonly decided: boolean;
}

/** A placement less probable than the best by this factor is ruled out. */
const ruledOut = Math.log(1000);
/** Placements closer than this many sds squared are one, with the uncertainty that is stated for it. */
const sameWithin = 30;
/** A stated start decides when the others lie this many times as far from it. */
const clearly = 2;

/** `found`: the least sum of squares first, at least one. */
export const likelyPlacements = (
  found: readonly Found[],
  readings: MixedReadings,
  touches: readonly TouchReadings[],
  spread: Spread,
): Likely => {
  const best = found[0]!;
  const distinct: Found[] = [best];
  for (const other of found) {
    if (!isLikely(other.solved.weightedSquares, best.solved.weightedSquares, spread)) continue;
    if (distinct.every((one) => differ(one, other, spread))) distinct.push(other);
  }
  if (distinct.length === 1) return { chosen: best, others: [], decided: true };
  const missed = distinct.map((one) => ({ one, miss: missOf(one, readings, touches) }));
  missed.sort((a, b) => a.miss - b.miss || a.one.solved.weightedSquares - b.one.solved.weightedSquares);
  const [first, second] = missed as [(typeof missed)[0], (typeof missed)[0]];
  return {
    chosen: first.one,
    others: distinct.filter((one) => one !== first.one),
    decided: Number.isFinite(first.miss) && second.miss > clearly * first.miss,
  };
};

/** False for a sum of squares that the readings rule out beside the best. */
export const isLikely = (squares: number, best: number, spread: Spread): boolean =>
  lessProbable(squares, best, spread) <= ruledOut;

/** Without any sd: as if known from four degrees of freedom to be a tenth of a millimetre. Common practice, no source. */
const usualSpread = { degrees: 4, square: 0.01 };

export const spreadOf = (
  { model }: FitOptions,
  { reference }: ReadingScale,
  counts: { readonly rows: number; readonly redundancy: number },
): Spread => ({
  ...(reference === undefined
    ? { prior: usualSpread }
    : reference.degrees === undefined
      ? {}
      : { prior: { degrees: reference.degrees, square: 1 } }),
  ...counts,
  model,
});

/**
 * Logarithm of how much less probable the readings are with one sum of squares than with the best: normal where the sd
 * is known (widened where the best does not bear it out), Student-t where it has degrees of freedom.
 */
const lessProbable = (squares: number, best: number, { prior, rows, redundancy }: Spread): number => {
  if (prior === undefined)
    return (squares - best) / (2 * Math.max(1, redundancy === 0 ? 1 : best / redundancy));
  const known = prior.degrees * prior.square;
  return ((prior.degrees + rows) / 2) * Math.log((known + squares) / (known + best));
};

/** True where the second lies outside what the first one's covariance allows for. */
const differ = (one: Found, other: Found, { prior, redundancy, model }: Spread): boolean => {
  const a = one.placement;
  const at = placed(other.placement, a.centre);
  const change = [at.x - a.anchor.x, at.y - a.anchor.y];
  const [a0, b0, c0, d0] = a.linear;
  const [a1, b1, c1, d1] = other.placement.linear;
  const turn = turnOfPlacement(other.placement) - turnOfPlacement(a);
  if (Math.abs(Math.sin(turn / 2)) > 0.2) return true;
  if (model === 'rigid' || model === 'similarity') change.push(Math.sin(turn));
  if (model === 'similarity') change.push(Math.hypot(a1, b1) / Math.hypot(a0, b0) - 1);
  if (model === 'affine') change.push(a1 - a0, b1 - b0, c1 - c0, d1 - d0);
  const unknowns = unknownsOf[model];
  const squares = one.solved.weightedSquares;
  const unit =
    prior === undefined
      ? Math.max(1, redundancy === 0 ? 1 : squares / redundancy)
      : (prior.degrees * prior.square + squares) / (prior.degrees + redundancy);
  const cofactor = new Matrix(one.solved.cofactor.slice(0, unknowns).map((row) => row.slice(0, unknowns)));
  const weight = inverse(cofactor);
  let sum = 0;
  for (let i = 0; i < unknowns; i++)
    for (let j = 0; j < unknowns; j++) sum += change[i]! * weight.get(i, j) * change[j]!;
  return !(sum <= sameWithin * unit);
};

/** What was fitted to what, for a comparison of stated starts. */
export interface FittedTo {
  readonly found: Found;
  readonly readings: MixedReadings;
  readonly touches: readonly TouchReadings[];
}

/** True where stated starts tell the first placement from the other. */
export const nearerToStarts = (
  found: Found,
  readings: MixedReadings,
  touches: readonly TouchReadings[],
  other: FittedTo,
): boolean => {
  const first = missOf(found, readings, touches);
  return Number.isFinite(first) && missOf(other.found, other.readings, other.touches) > clearly * first;
};

/** Mean square distance of the touches from where they were said to be, mm^2; infinite where nothing was said. */
const missOf = (
  { placement }: { readonly placement: Placement },
  { touches: pairs }: MixedReadings,
  touches: readonly TouchReadings[],
): number => {
  let sum = 0;
  let count = 0;
  touches.forEach(({ start }, i) => {
    if (start === undefined) return;
    sum += distance(designPointOf(placement, pairs[i]!.to[0]!), start) ** 2;
    count++;
  });
  return count === 0 ? Number.POSITIVE_INFINITY : sum / count;
};
