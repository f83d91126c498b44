/** Single readings under suspicion (data snooping, Baarda 1968), on the scale where every fit is comparable. */
import { normalCdf, studentCdf, studentQuantile } from '../../numeric/distributions.js';
import type { Fit, FitOptions } from '../fit.js';

/** Level at which one reading is suspect; 3.2905 is its two-sided critical value for a known sd. */
export const suspectLevel = 0.001;

export interface Suspicion {
  /** Of a mark, or a touch as FittedTouch names it. */
  readonly mark: string;
  /** Absent for a touch, which has one residual only. */
  readonly axis?: 'x' | 'y';
  readonly normalized: number;
  /** Probability of a normalized residual as large by chance. */
  readonly pValue: number;
}

/**
 * The reading with the least likely normalized residual; undefined where no reading is checked. Known sd: normal.
 * With `degrees` behind the sd: Student-t. Estimated from the same residuals (r of them): A. J. Pope's tau, which
 * becomes Student-t with r - 1 by t = w sqrt((r - 1) / (r - w^2)); with r = 1 every |w| is 1 and says nothing.
 */
export const mostSuspect = (fit: Fit, degrees: ReferenceDegrees): Suspicion | undefined => {
  let most: Suspicion | undefined;
  const look = (w: number | undefined, at: Pick<Suspicion, 'mark' | 'axis'>): void => {
    if (w === undefined) return;
    const pValue = pValueOf(w, degrees, fit.redundancy);
    if (
      most === undefined ||
      pValue < most.pValue ||
      (pValue === most.pValue && Math.abs(w) > Math.abs(most.normalized))
    )
      most = { ...at, normalized: w, pValue };
  };
  for (const { mark, normalized } of fit.marks)
    for (const axis of ['x', 'y'] as const) look(normalized[axis], { mark, axis });
  for (const { touch, normalized } of fit.touches ?? []) look(normalized, { mark: touch });
  return most;
};

/** known: a stated sd without degrees. none: estimated from the residuals themselves. Otherwise the number. */
export type ReferenceDegrees = 'known' | 'none' | number;

/** What stands behind the sd of `normalized`; `scatterDegrees` from readingScale. */
export const referenceDegrees = (options: FitOptions, scatterDegrees: number): ReferenceDegrees => {
  if (options.readingSd !== undefined && options.readingSdDof === undefined) return 'known';
  const degrees = (options.readingSdDof ?? 0) + scatterDegrees;
  return degrees > 0 ? degrees : 'none';
};

const pValueOf = (w: number, degrees: ReferenceDegrees, redundancy: number): number => {
  const size = Math.abs(w);
  if (degrees === 'known') return 2 * normalCdf(-size);
  if (degrees !== 'none') return 2 * studentCdf(-size, degrees);
  if (redundancy < 2) return 1;
  const left = redundancy - size ** 2;
  if (left <= 1e-12 * redundancy) return 0;
  return 2 * studentCdf(-size * Math.sqrt((redundancy - 1) / left), redundancy - 1);
};

/**
 * Critical value of Grubbs' test for one outlier among n, two-sided: F. E. Grubbs, Technometrics 11 (1969);
 * (n - 1) / sqrt(n) sqrt(t^2 / (n - 2 + t^2)), t the Student quantile at 1 - level / (2 n) with n - 2.
 */
export const grubbsCritical = (n: number, level: number): number => {
  if (!(n >= 3)) throw new RangeError(`Grubbs' test on ${n} values, expected at least 3`);
  const t = studentQuantile(1 - level / (2 * n), n - 2);
  return ((n - 1) / Math.sqrt(n)) * Math.sqrt(t ** 2 / (n - 2 + t ** 2));
};
