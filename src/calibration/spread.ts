/** How far repeated measurements scatter, how well that is known, and which of them do not belong. */
import { roundingSd } from '../numeric/display-rounding.js';
import { chiSquareQuantile, fCdf, studentCdf } from '../numeric/distributions.js';

/** A standard deviation out of data. */
export interface Spread {
  readonly sd: number;
  readonly degrees: number;
  /** 95 % confidence limits of sd by chi-square (JCGM 100:2008, G.3 in spirit; NIST/SEMATECH e-Handbook 1.3.5.8). */
  readonly low: number;
  readonly high: number;
  /** sd / c4(degrees + 1): the sample sd comes out too small on average, and c4 makes up for it. */
  readonly unbiased: number;
}

/** What "95 %" means wherever calibration states limits. */
export const confidence = 0.95;

/**
 * c4(n): expected value of the sd of n normal values over the true one, sqrt(2 / (n - 1)) G(n / 2) / G((n - 1) / 2).
 * By the recurrence c4(n) c4(n + 1) = sqrt((n - 1) / n) from c4(2) = sqrt(2 / pi); n at least 2.
 */
export const c4 = (n: number): number => {
  if (!(Number.isInteger(n) && n >= 2)) throw new RangeError(`c4 of ${n} values, expected at least 2`);
  let value = Math.sqrt(2 / Math.PI);
  for (let k = 2; k < n; k++) value = Math.sqrt((k - 1) / k) / value;
  return value;
};

export const spreadOf = (sumOfSquares: number, degrees: number): Spread => {
  const sd = Math.sqrt(sumOfSquares / degrees);
  const tail = (1 - confidence) / 2;
  return {
    sd,
    degrees,
    low: sd * Math.sqrt(degrees / chiSquareQuantile(1 - tail, degrees)),
    high: sd * Math.sqrt(degrees / chiSquareQuantile(tail, degrees)),
    unbiased: sd / c4(degrees + 1),
  };
};

export const mean = (values: readonly number[]): number => {
  const [first = 0] = values;
  return first + values.reduce((sum, v) => sum + (v - first), 0) / values.length;
};

/** The upper one of the two middle ones. */
export const median = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

/** Sum of squares about the mean of each group, and its degrees of freedom. */
export const scatterWithin = (
  groups: readonly (readonly number[])[],
): { readonly sumOfSquares: number; readonly degrees: number } => {
  let sumOfSquares = 0;
  let degrees = 0;
  for (const group of groups) {
    const centre = mean(group);
    for (const value of group) sumOfSquares += (value - centre) ** 2;
    degrees += group.length - 1;
  }
  return { sumOfSquares, degrees };
};

/** Probability that two spreads of one true sd differ as much as these by chance (F-test, two-sided). */
export const chanceOfRatio = (a: Spread, b: Spread): number => {
  if (!(a.sd > 0) || !(b.sd > 0)) return a.sd === b.sd ? 1 : 0;
  const below = fCdf((a.sd / b.sd) ** 2, a.degrees, b.degrees);
  return Math.min(1, 2 * Math.min(below, 1 - below));
};

export interface Outlier {
  readonly group: number;
  /** Undefined in a group of two, where either may be the wrong one. */
  readonly index?: number;
  /** From the mean of its group. */
  readonly deviation: number;
  /** Probability that any of all the values lies as far out by chance; at most 1. */
  readonly pValue: number;
}

/** A step below this share of the sd makes no difference. */
const finestShare = 0.5;
/** Two-sided level of the test for outliers, shared out over all values it looks at. */
export const outlierLevel = 0.02;

/**
 * Values that stand out from groups that share one sd, by Grubbs' test; for several groups in its form with the
 * pooled sd, the maximum normed residual (W. Stefansky, Technometrics 14 (1972), from memory). With one group it is
 * Grubbs' own test (F. E. Grubbs, Technometrics 11 (1969)): G = |deviation| / (s sqrt(1 - 1/n)) becomes Student-t
 * with degrees - 1 by t = G sqrt((degrees - 1) / (degrees - G^2)).
 *
 * A coarse display makes values that only differ in their rounding: each deviation counts less half a step, and the sd
 * is not taken for less than that of rounding.
 *
 * @param values in all, over which the level is shared; at least those in the groups
 * @param step of the display, 0 where it is finer than matters
 * @param level chance of finding any where there is none
 */
export const outliersAmong = (
  groups: readonly (readonly number[])[],
  values: number,
  step = 0,
  level = outlierLevel,
): Outlier[] => {
  const { sumOfSquares, degrees } = scatterWithin(groups);
  if (degrees < 2 || !(sumOfSquares > 0)) return [];
  const sd = Math.max(Math.sqrt(sumOfSquares / degrees), roundingSd(step));
  const coarse = step > finestShare * sd ? step / 2 : 0;
  return groups.flatMap((group, g): Outlier[] => {
    if (group.length < 2) return [];
    const centre = mean(group);
    const found = group.flatMap((value, index): Outlier[] => {
      const deviation = value - centre;
      const normed = Math.max(0, Math.abs(deviation) - coarse) / (sd * Math.sqrt(1 - 1 / group.length));
      // Of the others; values that agree by their rounding alone are not known better than that.
      const rest = Math.max(0, degrees - normed ** 2) * sd ** 2;
      const own = Math.sqrt(rest / (degrees - 1) + roundingSd(step) ** 2);
      const isAlone = own <= 1e-6 * sd;
      const tail = isAlone ? 0 : studentCdf((-normed * sd) / own, degrees - 1);
      const pValue = Math.min(1, 2 * tail * values);
      return pValue < level ? [{ group: g, index, deviation, pValue }] : [];
    });
    const [first] = found;
    if (group.length > 2 || first === undefined) return found;
    const { index: _, ...either } = first;
    return [either];
  });
};

/**
 * The step of a display: the largest of 1, 0.5, 0.1, 0.05 ... 0.00001 that all values are multiples of; undefined for
 * values typed finer than that.
 */
export const displayStep = (values: readonly number[]): number | undefined =>
  displaySteps.find((step) =>
    values.every((value) => Math.abs(value / step - Math.round(value / step)) < 1e-6),
  );

const displaySteps = [1, 0.5, 0.1, 0.05, 0.01, 0.005, 0.001, 0.0005, 0.0001, 0.00005, 0.00001];
