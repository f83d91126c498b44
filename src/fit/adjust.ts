/** The adjustment: from readings to the placement of the part, its covariance and what each reading is worth. */
import type { Point } from '../geometry/point.js';
import { subtract } from '../geometry/point.js';
import type { Solved } from '../numeric/least-squares.js';
import type { Fit, FitFailure, FitOptions, FitOutcome, FittedMark, Observation, PerAxis } from './fit.js';
import { fitMarks, type MarkPair } from './mark-fit.js';
import { matrixOf, type Placement, unknownsOf } from './placement.js';
import { obstacle } from './solvable.js';
import {
  meanReading,
  type ReadingScale,
  readingScale,
  type Uncertainty,
  uncertaintyOf,
} from './uncertainty.js';

/**
 * Smallest mistake found with power 0.80 by a test at 0.001, in units of the reading's sd and before division by
 * the root of the redundancy number: W. Baarda, *A testing procedure for use in geodetic networks* (1968);
 * z(.9995) + z(.80) = 3.2905 + 0.8416.
 */
export const detectableShift = 4.1321;
/** Two-sided critical value of a normalized residual at 0.001 (Baarda 1968). */
export const criticalResidual = 3.2905;
/** Below this redundancy number a reading is not checked by any other. */
export const uncheckedBelow = 1e-9;

/**
 * Fits the model to the readings.
 *
 * Observations: design and readings in mm, one or more readings each. Weighted least squares by the sds of
 * uncertainty.ts, which also documents what `sd` and `consistency` of the result mean. No solution (too few marks,
 * marks in one place or on one line, no turn better than another) is a returned failure with reason and cure.
 * Throws RangeError for numbers that are not finite or sds that are not positive: the job file's reader has
 * refused those before.
 */
export const adjust = (observations: readonly Observation[], options: FitOptions): FitOutcome => {
  checkNumbers(observations, options);
  const failure = obstacle(observations, options.model);
  if (failure !== undefined) return { ok: false, failure };

  const scale = readingScale(observations, options);
  const marks = observations.map(
    (o, i): MarkPair => ({ from: o.design, to: meanReading(o.readings), sd: scale.sds[i]! }),
  );
  const fitted = fitMarks(options.model, marks);
  if (!fitted.ok) return { ok: false, failure: notSolved[fitted.why](observations) };
  return { ok: true, fit: assemble(observations, options, fitted.placement, marks, scale, fitted.solved) };
};

const assemble = (
  observations: readonly Observation[],
  options: FitOptions,
  placement: Placement,
  marks: readonly MarkPair[],
  scale: ReadingScale,
  solved: Solved,
): Fit => {
  const { redundancy, weightedSquares, residuals, redundancyNumbers } = solved;
  const uncertainty = uncertaintyOf(options, scale, weightedSquares, redundancy);
  const { factor } = uncertainty;
  let sumOfSquares = 0;
  for (const residual of residuals) sumOfSquares += residual ** 2;
  return {
    model: options.model,
    matrix: matrixOf(placement),
    unknowns: unknownsOf[options.model],
    redundancy,
    sumOfSquares,
    rms: Math.sqrt(sumOfSquares / observations.length),
    sd: uncertainty.sd,
    ...(uncertainty.consistency === undefined ? {} : { consistency: uncertainty.consistency }),
    marks: observations.map((o, i): FittedMark => {
      const residual = { x: residuals[2 * i]!, y: residuals[2 * i + 1]! };
      const numbers = { x: redundancyNumbers[2 * i]!, y: redundancyNumbers[2 * i + 1]! };
      const reading = marks[i]!.to;
      return {
        mark: o.mark,
        design: o.design,
        reading,
        readings: o.readings.length,
        fitted: subtract(reading, residual),
        residual,
        redundancy: numbers,
        ...reliability(residual, numbers, scale.sds[i]!, scale, uncertainty),
      };
    }),
    ...(factor === undefined
      ? {}
      : { covariance: solved.cofactor.map((row) => row.map((value) => value * factor)) }),
    centre: placement.centre,
  };
};

/**
 * Against the sd that does not come from these residuals (stated, or from repeated readings) where there is one: a
 * scale widened or pooled by a mistake would hide that mistake. Only without it against the estimated sd.
 */
const reliability = (
  residual: Point,
  numbers: Point,
  sd: Point,
  { reference }: ReadingScale,
  { factor }: Uncertainty,
): Pick<FittedMark, 'normalized' | 'smallestDetectable'> => {
  const unit = reference === undefined ? Math.sqrt(factor ?? 0) : 1;
  const checked = (['x', 'y'] as const).filter((axis) => unit > 0 && numbers[axis] >= uncheckedBelow);
  const perAxis = (value: (axis: 'x' | 'y') => number): PerAxis =>
    Object.fromEntries(checked.map((axis) => [axis, value(axis)]));
  return {
    normalized: perAxis((axis) => residual[axis] / (unit * sd[axis] * Math.sqrt(numbers[axis]))),
    smallestDetectable: perAxis((axis) => (detectableShift * unit * sd[axis]) / Math.sqrt(numbers[axis])),
  };
};

const notSolved: Record<
  'no-turn' | 'rank' | 'no-convergence',
  (observations: readonly Observation[]) => FitFailure
> = {
  'no-turn': () => ({
    reason:
      'The readings fit no better one way round than any other, so nothing tells how the part is turned.',
    cure: 'Check which reading belongs to which mark, and whether the part lies face down (face: down).',
  }),
  rank: (observations) => ({
    reason: `The marks ${observations.map((o) => o.mark).join(', ')} lie too close together or too nearly on one line to determine the fit.`,
    cure: 'Read a mark far from the others, or use a model with fewer unknowns.',
  }),
  'no-convergence': () => ({
    reason:
      'The adjustment did not settle: the readings contradict each other too much for their stated sds.',
    cure: 'Check the readings against the marks one by one; the same sd for every mark shows the residuals.',
  }),
};

const checkNumbers = (observations: readonly Observation[], options: FitOptions): void => {
  const { readingSd, readingSdDof, markSd } = options;
  const positive = (what: string, value: number | undefined) => {
    if (value !== undefined && !(value > 0 && Number.isFinite(value)))
      throw new RangeError(`${what} is ${value}, expected a finite number above 0`);
  };
  positive('readingSd', readingSd);
  positive('readingSdDof', readingSdDof);
  if (!(markSd >= 0 && Number.isFinite(markSd)))
    throw new RangeError(`markSd is ${markSd}, expected a finite number of at least 0`);
  for (const { mark, design, readings, sd } of observations) {
    if (readings.length === 0) throw new RangeError(`mark ${mark} has no reading`);
    for (const p of [design, ...readings])
      if (!Number.isFinite(p.x) || !Number.isFinite(p.y))
        throw new RangeError(`mark ${mark} holds a coordinate that is not finite`);
    positive(`sd.x of mark ${mark}`, sd?.x);
    positive(`sd.y of mark ${mark}`, sd?.y);
  }
};
