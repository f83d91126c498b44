/**
 * Distribution functions and quantiles (@stdlib/stats-base-dists-*). `degrees` undefined in the
 * Student functions means infinitely many: the normal distribution of a known sd.
 */
import chiSquareCdfOf from '@stdlib/stats-base-dists-chisquare-cdf';
import chiSquareQuantileOf from '@stdlib/stats-base-dists-chisquare-quantile';
import fCdfOf from '@stdlib/stats-base-dists-f-cdf';
import fQuantileOf from '@stdlib/stats-base-dists-f-quantile';
import normalCdfOf from '@stdlib/stats-base-dists-normal-cdf';
import normalQuantileOf from '@stdlib/stats-base-dists-normal-quantile';
import studentCdfOf from '@stdlib/stats-base-dists-t-cdf';
import studentQuantileOf from '@stdlib/stats-base-dists-t-quantile';

/** P(Z <= z) of the standard normal distribution. */
export const normalCdf = (z: number): number => normalCdfOf(z, 0, 1);

export const normalQuantile = (probability: number): number => normalQuantileOf(probability, 0, 1);

/** P(T <= t) of Student's t, or of the normal distribution when `degrees` is undefined. */
export const studentCdf = (t: number, degrees: number | undefined): number =>
  degrees === undefined ? normalCdf(t) : studentCdfOf(t, degrees);

export const studentQuantile = (probability: number, degrees: number | undefined): number =>
  degrees === undefined ? normalQuantile(probability) : studentQuantileOf(probability, degrees);

/** P(X <= x) of chi-square. */
export const chiSquareCdf = (x: number, degrees: number): number => chiSquareCdfOf(x, degrees);

export const chiSquareQuantile = (probability: number, degrees: number): number =>
  chiSquareQuantileOf(probability, degrees);

/** P(X <= x) of F; `below` undefined: the denominator is known, chi-square / above. */
export const fCdf = (x: number, above: number, below: number | undefined): number =>
  below === undefined ? chiSquareCdf(x * above, above) : fCdfOf(x, above, below);

export const fQuantile = (probability: number, above: number, below: number | undefined): number =>
  below === undefined
    ? chiSquareQuantile(probability, above) / above
    : fQuantileOf(probability, above, below);
