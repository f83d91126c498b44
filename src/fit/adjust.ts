/** The adjustment: from readings to the placement of the part, its covariance and what each reading is worth. */
import type { Point } from '../geometry/point.js';
import { subtract } from '../geometry/point.js';
import { gaussNewton } from '../numeric/gauss-newton.js';
import type { Row, Solved } from '../numeric/least-squares.js';
import { linearPart, type Pair, weightedMean } from './closed-form.js';
import type { Fit, FitFailure, FitOptions, FitOutcome, FittedMark, Observation } from './fit.js';
import { changed, jacobianAt, matrixOf, type Placement, placed, unknownsOf } from './placement.js';
import { obstacle } from './solvable.js';
import { meanReading, readingScale, type Uncertainty, uncertaintyOf } from './uncertainty.js';

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
  const pairs = observations.map((o, i): Pair => {
    const sd = scale.sds[i]!;
    return { from: o.design, to: meanReading(o.readings), weight: 1 / (sd.x * sd.y) };
  });
  const centre = weightedMean(pairs, 'from');
  const bedCentre = weightedMean(pairs, 'to');
  const centred = pairs.map((pair) => ({
    ...pair,
    from: subtract(pair.from, centre),
    to: subtract(pair.to, bedCentre),
  }));
  const linear = linearPart(options.model, centred);
  if (linear === undefined) return { ok: false, failure: noTurn };

  const adjusted = gaussNewton<Placement>({
    start: { model: options.model, centre: { x: 0, y: 0 }, anchor: { x: 0, y: 0 }, linear },
    unknowns: unknownsOf[options.model],
    rowsAt: (placement) => markRows(placement, centred, scale.sds),
    step: changed,
    ...stepSize(centred),
  });
  if (!adjusted.ok) return { ok: false, failure: notSolved(adjusted, observations) };

  const { state, solved } = adjusted;
  const placement = {
    ...state,
    centre,
    anchor: { x: bedCentre.x + state.anchor.x, y: bedCentre.y + state.anchor.y },
  };
  return { ok: true, fit: assemble(observations, options, placement, pairs, scale, solved) };
};

/** A reading on a mark gives two rows, x and y. Other kinds of observation append theirs in the same form. */
const markRows = (placement: Placement, pairs: readonly Pair[], sds: readonly Point[]): Row[] => {
  const rows: Row[] = [];
  for (let i = 0; i < pairs.length; i++) {
    const { from, to } = pairs[i]!;
    const at = placed(placement, from);
    const gradient = jacobianAt(placement, from);
    const sd = sds[i]!;
    rows.push({ design: gradient.x, observed: to.x - at.x, sd: sd.x });
    rows.push({ design: gradient.y, observed: to.y - at.y, sd: sd.y });
  }
  return rows;
};

/** A step's size is how far it moves the farthest mark; negligible is what rounding moves it anyway. */
const stepSize = (
  pairs: readonly Pair[],
): { size: (change: readonly number[]) => number; negligible: number } => {
  let reach = 1;
  for (const { from, to } of pairs)
    reach = Math.max(reach, Math.hypot(from.x, from.y), Math.hypot(to.x, to.y));
  return {
    size: (change) => {
      const shift = Math.hypot(change[0]!, change[1]!);
      return shift + reach * Math.hypot(...change.slice(2));
    },
    negligible: 2e-14 * reach,
  };
};

const assemble = (
  observations: readonly Observation[],
  options: FitOptions,
  placement: Placement,
  pairs: readonly Pair[],
  scale: ReturnType<typeof readingScale>,
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
      const reading = pairs[i]!.to;
      return {
        mark: o.mark,
        design: o.design,
        reading,
        readings: o.readings.length,
        fitted: subtract(reading, residual),
        residual,
        redundancy: numbers,
        ...reliability(residual, numbers, scale.sds[i]!, uncertainty),
      };
    }),
    ...(factor === undefined
      ? {}
      : { covariance: solved.cofactor.map((row) => row.map((value) => value * factor)) }),
    centre: placement.centre,
  };
};

const reliability = (
  residual: Point,
  numbers: Point,
  sd: Point,
  { factor }: Uncertainty,
): Pick<FittedMark, 'normalized' | 'smallestDetectable'> => {
  if (factor === undefined || factor === 0 || numbers.x < uncheckedBelow || numbers.y < uncheckedBelow)
    return {};
  const unit = Math.sqrt(factor);
  const x = unit * sd.x;
  const y = unit * sd.y;
  return {
    normalized: { x: residual.x / (x * Math.sqrt(numbers.x)), y: residual.y / (y * Math.sqrt(numbers.y)) },
    smallestDetectable: {
      x: (detectableShift * x) / Math.sqrt(numbers.x),
      y: (detectableShift * y) / Math.sqrt(numbers.y),
    },
  };
};

const noTurn: FitFailure = {
  reason: 'The readings fit no better one way round than any other, so nothing tells how the part is turned.',
  cure: 'Check which reading belongs to which mark, and whether the part lies face down (face: down).',
};

const notSolved = (
  adjusted: { readonly why: 'rank' | 'no-convergence' },
  observations: readonly Observation[],
): FitFailure => ({
  reason:
    adjusted.why === 'rank'
      ? `The marks ${observations.map((o) => o.mark).join(', ')} lie too close together or too nearly on one line to determine the fit.`
      : 'The adjustment did not settle: the readings contradict each other too much for their stated sds.',
  cure:
    adjusted.why === 'rank'
      ? 'Read a mark far from the others, or use a model with fewer unknowns.'
      : 'Check the readings against the marks one by one; give every mark the same sd to see the residuals.',
});

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
