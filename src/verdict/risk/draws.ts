/** Draws of the error field: each a direction in the space of errors, whose length is left to be integrated exactly. */

import { chiSquareCdf, normalQuantile } from '../../numeric/distributions.js';
import { power } from '../../numeric/powers.js';
import { createRandom } from '../../numeric/random.js';
import type { ErrorField, Lever } from './error-field.js';
import { type RadialTail, radialTail } from './radial-tail.js';

/**
 * Draw j stands for the errors r (shiftX[j], shiftY[j], lever[k][j], kerf[j]) of every length r > 0, r being the
 * length of a standard normal vector in `dimensions` dimensions: `tail`. A risk is the mean over the draws of the
 * probability that r is long enough to touch, which is smooth in the clearance and holds far into the tail.
 */
export interface Draws {
  readonly count: number;
  readonly tail: RadialTail;
  readonly shiftX: Float64Array;
  readonly shiftY: Float64Array;
  readonly lever: readonly Float64Array[];
  /** Norm of sum t_k L_k: how much the displacement can differ between two points per mm of their distance. */
  readonly spread: Float64Array;
  /** Half the kerf's error. */
  readonly kerf: Float64Array;
  /** The same with the error of the radius of a round edge taken on, for each of them outwards and then inwards: rims.ts. */
  readonly offsets: readonly Float64Array[];
}

/** Draws for the figures of each opening, and for those of the whole job. */
export interface DrawCounts {
  readonly openings: number;
  readonly job: number;
}

/**
 * 4096 draws for up to 25 openings, half as many for up to 50, a quarter for up to 100, 512 beyond; for the job at least
 * 1024. Beyond 100, with a known sd, openings far from the worst have 256 (risk.ts): on 200 openings single ones are within 1.5 %
 * of the needed clearance from 8192 draws, with 256 and with 512, and the job within 0.1 %. The
 * needed clearance of a known sd is within 0.2 % for 4096, 0.3 % for 2048, 0.5 % for 1024 and 1.5 % for 512, that
 * of an sd with few degrees of freedom within 2 % to 4 % (tests/verdict/risk.test.ts).
 */
export const usualDraws = (of: { readonly edges: readonly unknown[] }): DrawCounts => {
  const openings = of.edges.length;
  if (openings > 100) return { openings: 512, job: 1024 };
  if (openings > 50) return { openings: 1024, job: 2048 };
  return openings > 25 ? { openings: 2048, job: 2048 } : { openings: 4096, job: 4096 };
};

/** Fixed, so that the same job gives the same figures on every machine. */
export const usualSeed = 'reseat';

/**
 * Evenly spread directions with their opposites. With an estimated sd each draw also has its own ratio of true to
 * estimated sd, sqrt(nu / chi-square), one for all unknowns of the fit (multivariate t); machine and kerf keep
 * theirs.
 */
export const drawErrors = (field: ErrorField, count: number, seed = usualSeed): Draws => {
  const whole = withRimRows(field);
  const linear = whole.covariance.length;
  const hasKerf = field.halfKerfSd > 0;
  const dimensions = linear + (hasKerf ? 1 : 0);
  const pairs = Math.max(1, Math.ceil(count / 2));
  const directions = evenDirections(dimensions, pairs, seed);
  const ratios = field.degrees === undefined ? undefined : sdRatios(field.degrees, pairs);
  const column = (): Float64Array => new Float64Array(2 * pairs);
  const [shiftX, shiftY, spread, kerf] = [column(), column(), column(), column()];
  const lever = field.levers.map(column);
  const rims = (field.rims?.cross ?? []).map(column);
  const columns = [shiftX, shiftY, ...lever, ...rims];
  const parts = partsOf(whole);
  const factor = new Float64Array(linear * linear);
  if (ratios === undefined) fillFactor(parts, 1, factor);
  for (let j = 0; j < pairs; j++) {
    if (ratios !== undefined) fillFactor(parts, ratios[j]!, factor);
    fillPair(factor, linear, directions, j * dimensions, columns, 2 * j);
  }
  fillSpread(field.levers, lever, spread);
  if (hasKerf) {
    for (let j = 0; j < pairs; j++) {
      const value = field.halfKerfSd * directions[j * dimensions + linear]!;
      kerf[2 * j] = value;
      kerf[2 * j + 1] = -value;
    }
  }
  const offsets = rims.flatMap((rim) => [1, -1].map((sign) => kerf.map((half, j) => half + sign * rim[j]!)));
  const tail = radialTail(dimensions);
  return { count: 2 * pairs, tail, shiftX, shiftY, lever, spread, kerf, offsets };
};

/** The draw that a direction stands for, and its opposite, at `at` of each column. */
const fillPair = (
  factor: Float64Array,
  size: number,
  directions: Float64Array,
  from: number,
  columns: readonly Float64Array[],
  at: number,
): void => {
  for (let row = 0; row < size; row++) {
    let value = 0;
    for (let k = 0; k <= row; k++) value += factor[row * size + k]! * directions[from + k]!;
    const column = columns[row]!;
    column[at] = value;
    column[at + 1] = -value;
  }
};

/** The field with the radii of round edges behind the other errors. */
const withRimRows = (field: ErrorField): ErrorField => {
  const { rims, covariance, known } = field;
  if (rims === undefined) return field;
  const none = rims.cross.map(() => 0);
  return {
    ...field,
    covariance: [
      ...covariance.map((row, i) => [...row, ...rims.cross.map((one) => one[i]!)]),
      ...rims.cross.map((one, k) => [...one, ...rims.covariance[k]!]),
    ],
    ...(known === undefined
      ? {}
      : {
          known: [
            ...known.map((row) => [...row, ...none]),
            ...none.map(() => [...covariance.map(() => 0), ...none]),
          ],
        }),
  };
};

/** The first of them, `count` even: of a known sd the same as if no more had been drawn. */
export const firstDraws = (draws: Draws, count: number): Draws => ({
  count,
  tail: draws.tail,
  shiftX: draws.shiftX.subarray(0, count),
  shiftY: draws.shiftY.subarray(0, count),
  lever: draws.lever.map((t) => t.subarray(0, count)),
  spread: draws.spread.subarray(0, count),
  kerf: draws.kerf.subarray(0, count),
  offsets: draws.offsets.map((offset) => offset.subarray(0, count)),
});

/** Spectral norm of sum t_k L_k of each draw. */
const fillSpread = (levers: readonly Lever[], lever: readonly Float64Array[], into: Float64Array): void => {
  for (let j = 0; j < into.length; j++) {
    let xx = 0;
    let xy = 0;
    let yx = 0;
    let yy = 0;
    for (let k = 0; k < levers.length; k++) {
      const t = lever[k]![j]!;
      const l = levers[k]!;
      xx += t * l[0];
      xy += t * l[1];
      yx += t * l[2];
      yy += t * l[3];
    }
    const squares = xx * xx + xy * xy + yx * yx + yy * yy;
    const area = 2 * (xx * yy - xy * yx);
    into[j] = Math.sqrt((squares + Math.sqrt(Math.max(0, squares * squares - area * area))) / 2);
  }
};

/** What the variances of a field are made of, row by row. */
interface Parts {
  readonly size: number;
  readonly fit: Float64Array;
  readonly known: Float64Array;
  readonly cutSd: number;
}

const partsOf = ({ covariance, known, cutSd }: ErrorField): Parts => {
  const size = covariance.length;
  const fit = Float64Array.from(covariance.flat());
  return {
    size,
    fit,
    known: known === undefined ? new Float64Array(fit.length) : Float64Array.from(known.flat()),
    cutSd,
  };
};

/** Lower triangular F with F F' = ratio^2 fit + machine + cut-sd^2 on the shifts, row by row; a row without variance is zero. */
const fillFactor = ({ size, fit, known, cutSd }: Parts, ratio: number, into: Float64Array): void => {
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      let rest = ratio * ratio * fit[i * size + j]! + known[i * size + j]!;
      if (i === j && i < 2) rest += cutSd * cutSd;
      const whole = rest;
      for (let k = 0; k < j; k++) rest -= into[i * size + k]! * into[j * size + k]!;
      const diagonal = into[j * size + j]!;
      if (i === j) into[i * size + i] = rest > 1e-13 * whole ? Math.sqrt(rest) : 0;
      else into[i * size + j] = diagonal === 0 ? 0 : rest / diagonal;
    }
  }
};

/**
 * What was made last: a job asks for the same directions and ratios many times over. Of more directions the first ones are
 * those of fewer.
 */
const kept: {
  directions?: { dimensions: number; seed: string; count: number; values: Float64Array };
  ratios?: { degrees: number; walk: Walk; byCount: Map<number, Float64Array> };
} = {};

/**
 * At least `count` unit vectors, `dimensions` numbers each: points of the additive recurrence with the generalized golden ratio
 * (one irrational per axis, from x^(d+1) = x + 1), shifted by a seeded amount, taken through the normal quantile and
 * brought to length 1.
 */
const evenDirections = (dimensions: number, count: number, seed: string): Float64Array => {
  const { directions: known } = kept;
  const isOfKind = known?.dimensions === dimensions && known.seed === seed;
  if (isOfKind && known.count >= count) return known.values;
  const values = newDirections(dimensions, count, seed, isOfKind ? known : undefined);
  kept.directions = { dimensions, seed, count, values };
  return values;
};

/** @param known the first ones of them, where they are there */
const newDirections = (
  dimensions: number,
  count: number,
  seed: string,
  known: { readonly count: number; readonly values: Float64Array } | undefined,
): Float64Array => {
  const random = createRandom(seed);
  let ratio = 2;
  for (let i = 0; i < 64; i++) ratio = power(1 + ratio, 1 / (dimensions + 1));
  const step = Array.from({ length: dimensions }, (_, k) => power(ratio, -(k + 1)));
  const start = step.map(() => random.uniform());
  const directions = new Float64Array(count * dimensions);
  if (known !== undefined) directions.set(known.values);
  for (let j = known?.count ?? 0; j < count; j++) {
    let squares = 0;
    for (let k = 0; k < dimensions; k++) {
      const place = (start[k]! + j * step[k]!) % 1;
      const value = normalQuantile(Math.min(Math.max(place, 1e-15), 1 - 1e-15));
      directions[j * dimensions + k] = value;
      squares += value * value;
    }
    const size = Math.sqrt(squares);
    for (let k = 0; k < dimensions; k++) directions[j * dimensions + k]! /= size;
  }
  return directions;
};

/**
 * True over estimated sd, sqrt(nu / chi-square with nu degrees), at the middles of `count` equal slices of
 * probability. In order: the directions of a recurrence are evenly spread over every stretch of it.
 */
const sdRatios = (degrees: number, count: number): Float64Array => {
  if (kept.ratios?.degrees !== degrees)
    kept.ratios = { degrees, walk: new Walk(degrees), byCount: new Map() };
  const { walk, byCount } = kept.ratios;
  const known = byCount.get(count);
  if (known !== undefined) return known;
  const ratios = new Float64Array(count);
  let i = 1;
  for (let j = 0; j < count; j++) {
    const wanted = 1 - (j + 0.5) / count;
    while (walk.below(i + stride) > wanted) i += stride;
    while (walk.below(i) > wanted) i++;
    const [low, high] = [walk.at(i), walk.at(i - 1)];
    const [belowLow, below] = [walk.below(i), walk.below(i - 1)];
    // ln of the distribution function is nearly straight in ln(chi-square) towards zero.
    const share = (Math.log(wanted) - Math.log(belowLow)) / (Math.log(below) - Math.log(belowLow));
    ratios[j] = Math.sqrt(degrees / Math.exp(low + share * (high - low)));
  }
  byCount.set(count, ratios);
  return ratios;
};

/** Steps of a walk that are taken at once where the distribution function is still too large. */
const stride = 32;

/** The distribution function of chi-square over its logarithm, in even steps from far above downwards. */
class Walk {
  private readonly step: number;
  private readonly places: number[];
  private readonly values: number[] = [];

  constructor(private readonly degrees: number) {
    this.step = 0.05 / (1 + Math.sqrt(degrees));
    this.places = [Math.log(degrees) + 12 / Math.sqrt(degrees) + 4];
  }

  /** ln(chi-square) at step `i`. */
  at(i: number): number {
    const { places, step } = this;
    while (places.length <= i) places.push(places[places.length - 1]! - step);
    return places[i]!;
  }

  /** P(chi-square is smaller) there. */
  below(i: number): number {
    const { values, degrees } = this;
    while (values.length <= i) values.push(Number.NaN);
    if (Number.isNaN(values[i]!)) values[i] = chiSquareCdf(Math.exp(this.at(i)), degrees);
    return values[i]!;
  }
}
