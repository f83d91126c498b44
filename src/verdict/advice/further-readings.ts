/** What the fit would be worth with more readings than were taken: its covariance, without the readings. */
import type { Fit, FitOptions, FittedTouch, Observation } from '../../fit/fit.js';
import { positionJacobian } from '../../fit/solve/position.js';
import { readingScale } from '../../fit/solve/uncertainty.js';
import type { Point } from '../../geometry/point.js';

/** Variances per axis, mm^2, on the scale the fit's covariance has: of one reading, and of a mark's own position. */
export interface ReadingVariance {
  readonly reading: number;
  readonly mark: number;
}

/** Undefined where the fit claims no uncertainty. */
export const readingVariance = (
  fit: Fit,
  observations: readonly Observation[],
  options: FitOptions,
): ReadingVariance | undefined => {
  const { used } = fit.sd;
  if (used === undefined || fit.covariance === undefined) return undefined;
  const reference =
    fit.touches === undefined
      ? readingScale(observations, options).reference
      : fit.referenceSd === undefined
        ? undefined
        : { sd: fit.referenceSd };
  const factor = reference === undefined || reference.sd === 0 ? undefined : (used / reference.sd) ** 2;
  return { reading: used ** 2, mark: factor === undefined ? 0 : factor * options.markSd ** 2 };
};

/** The fit with `markIndex` read once more. */
export const withSecondReading = (fit: Fit, markIndex: number, variance: ReadingVariance): Fit => {
  const { design, readings } = fit.marks[markIndex]!;
  const now = variance.mark + variance.reading / readings;
  const then = variance.mark + variance.reading / (readings + 1);
  // An observation of its own with this variance makes the mean as good as one reading more would.
  return withObservation(fit, design, 1 / (1 / then - 1 / now));
};

/** The fit with a touch read once more. */
export const withSecondTouch = (fit: Fit, touch: FittedTouch, variance: ReadingVariance): Fit => {
  const now = variance.mark + variance.reading / touch.readings;
  const then = variance.mark + variance.reading / (touch.readings + 1);
  const { x, y } = positionJacobian(fit, touch.design);
  const row = x.map((value, k) => touch.normal.x * value + touch.normal.y * y[k]!);
  return withRows(fit, [row], 1 / (1 / then - 1 / now));
};

/** The fit with a mark more, at a design point after face, read once. */
export const withNewMark = (fit: Fit, design: Point, variance: ReadingVariance): Fit =>
  withObservation(fit, design, variance.mark + variance.reading);

/** One more observation of a design point, both axes with the same variance. */
const withObservation = (fit: Fit, design: Point, variance: number): Fit => {
  const { x, y } = positionJacobian(fit, design);
  return withRows(fit, [x, y], variance);
};

/**
 * The covariance after more rows of one variance (Kalman's form of the update). Where the sd has degrees of freedom it
 * gains as many.
 */
const withRows = (fit: Fit, rows: readonly (readonly number[])[], variance: number): Fit => {
  const unknowns = fit.covariance!.length;
  let covariance = (fit.rimCovariance ?? fit.covariance!).map((row) => [...row]);
  for (const one of rows) {
    const row = covariance.map((_, k) => one[k] ?? 0);
    const gain = covariance.map((c) => c.reduce((sum, value, k) => sum + value * row[k]!, 0));
    const total = variance + gain.reduce((sum, value, k) => sum + value * row[k]!, 0);
    covariance = covariance.map((c, i) => c.map((value, k) => value - (gain[i]! * gain[k]!) / total));
  }
  const { usedDof } = fit.sd;
  return {
    ...fit,
    covariance: covariance.slice(0, unknowns).map((row) => row.slice(0, unknowns)),
    ...(fit.rimCovariance === undefined ? {} : { rimCovariance: covariance }),
    ...(usedDof === undefined ? {} : { sd: { ...fit.sd, usedDof: usedDof + rows.length } }),
  };
};

/** The fit if its sd were known as well as it is now estimated. */
export const withKnownSd = (fit: Fit): Fit => {
  const { usedDof: _, ...sd } = fit.sd;
  return { ...fit, sd };
};
