/**
 * How sure an adjusted figure is, where one sd is stated for every measurement or none is.
 *
 * Stated: it counts as known, unless the measurements disagree by more than it explains (chi-square,
 * `consistencyLevel`). Then, and where none is stated, the sd is estimated from what the adjustment leaves over, and
 * limits are Student's with its redundancy: the same rule as for the fit (fit/solve/uncertainty.ts).
 */
import { consistencyLevel } from '../fit/solve/uncertainty.js';
import { InputError, type Where } from '../job/messages.js';
import { chiSquareCdf, studentQuantile } from '../numeric/distributions.js';
import type { Solved } from '../numeric/least-squares.js';
import { confidence } from './spread.js';

/** A figure with its sd and 95 % limits, which are absent where nothing tells how good it is. */
export interface Estimate {
  readonly value: number;
  readonly sd?: number;
  readonly limits?: readonly [number, number];
}

export interface Consistency {
  readonly chiSquare: number;
  readonly pValue: number;
  readonly consistent: boolean;
}

export interface VarianceScale {
  /** Multiplies the cofactors; undefined: no uncertainty can be claimed. */
  readonly factor?: number;
  /** Of the limits; undefined: known, or nothing claimed. */
  readonly degrees?: number;
  /** Undefined without redundancy or without a stated sd. */
  readonly consistency?: Consistency;
}

/** @param stated whether the rows were formed with stated sds, or with 1 (or ratios) for want of them */
export const varianceScale = (
  { weightedSquares, redundancy }: Pick<Solved, 'weightedSquares' | 'redundancy'>,
  stated: boolean,
): VarianceScale => {
  if (redundancy === 0) return stated ? { factor: 1 } : {};
  const estimated = { factor: weightedSquares / redundancy, degrees: redundancy };
  if (!stated) return estimated;
  const pValue = Math.max(0, 1 - chiSquareCdf(weightedSquares, redundancy));
  const consistency = { chiSquare: weightedSquares, pValue, consistent: pValue >= consistencyLevel };
  return consistency.consistent ? { factor: 1, consistency } : { ...estimated, consistency };
};

export const estimateOf = (value: number, cofactor: number, { factor, degrees }: VarianceScale): Estimate =>
  factor === undefined ? { value } : withLimits(value, Math.sqrt(factor * cofactor), degrees);

/** @param degrees behind sd; undefined: known */
export const withLimits = (value: number, sd: number, degrees: number | undefined): Estimate => {
  const half = studentQuantile((1 + confidence) / 2, degrees) * sd;
  return { value, sd, limits: [value - half, value + half] };
};

/** The estimate with limits that hold those of the others as well, and an sd as much larger. */
export const holdingAll = (own: Estimate, others: readonly Estimate[]): Estimate => {
  const { value, sd, limits } = own;
  if (sd === undefined || limits === undefined) return own;
  const low = Math.min(limits[0], ...others.map((other) => other.limits?.[0] ?? limits[0]));
  const high = Math.max(limits[1], ...others.map((other) => other.limits?.[1] ?? limits[1]));
  const half = (limits[1] - limits[0]) / 2;
  if (!(half > 0)) return own;
  return { value, sd: (sd * Math.max(value - low, high - value)) / half, limits: [low, high] };
};

/**
 * The sd that gives an estimate's own limits under a normal distribution: a figure from few degrees of freedom gets
 * the little weight that it deserves. Undefined where nothing is claimed.
 */
export const normalSd = ({ value, limits }: Estimate): number | undefined =>
  limits === undefined ? undefined : (limits[1] - value) / studentQuantile((1 + confidence) / 2, undefined);

/** @throws InputError where an sd is stated for some measurements and not for the others */
export const checkSds = (
  measurements: readonly { readonly sd?: number; readonly where: Where }[],
  what: string,
): void => {
  const without = measurements.find((m) => m.sd === undefined);
  if (without === undefined || measurements.every((m) => m.sd === undefined)) return;
  throw new InputError({
    found: `a ${what} without an sd among ${what}s with one`,
    expected: 'an sd for all of them, or for none',
    where: without.where,
    next: 'Fill it in, or give --sd for the rows that state none.',
  });
};
