/** The adjustment: from readings to the placement of the part, its covariance and what each reading is worth. */
import type { TouchReadings } from '../marks/touches.js';
import { assemble } from './assemble.js';
import type { FitFailure, FitOptions, FitOutcome, Observation } from './fit.js';
import { fitMarks, type MarkPair } from './solve/mark-fit.js';
import { obstacle } from './solve/solvable.js';
import { meanReading, readingScale } from './solve/uncertainty.js';
import { adjustWithTouches } from './touches/touch-adjust.js';
import type { TouchContext } from './touches/touch-words.js';

/**
 * Fits the model to the readings.
 *
 * Observations: design and readings in mm, one or more readings each. Weighted least squares by the sds of
 * uncertainty.ts, which also documents what `sd` and `consistency` of the result mean. No solution (too few marks,
 * marks in one place or on one line, no turn better than another) is a returned failure with reason and cure. With
 * touches, which know an edge but not the place on it, see touch-adjust.ts.
 * Throws RangeError for numbers that are not finite or sds that are not positive: the job file's reader has
 * refused those before.
 */
export const adjust = (
  observations: readonly Observation[],
  options: FitOptions,
  touches: readonly TouchReadings[] = [],
  context: TouchContext = {},
): FitOutcome => {
  checkNumbers(observations, options, touches);
  if (touches.length > 0) return adjustWithTouches(observations, options, touches, context);
  const failure = obstacle(observations, options.model);
  if (failure !== undefined) return { ok: false, failure };

  const scale = readingScale(observations, options);
  const marks = observations.map(
    (o, i): MarkPair => ({ from: o.design, to: meanReading(o.readings), sd: scale.sds[i]! }),
  );
  const fitted = fitMarks(options.model, marks);
  if (!fitted.ok) return { ok: false, failure: notSolved[fitted.why](observations) };
  const { placement, solved } = fitted;
  return { ok: true, fit: assemble({ observations, options, placement, marks, scale, solved }) };
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

const checkNumbers = (
  observations: readonly Observation[],
  options: FitOptions,
  touches: readonly TouchReadings[],
): void => {
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
  for (const { touch, readings } of touches) {
    if (readings.length === 0) throw new RangeError(`${touch} has no reading`);
    for (const p of readings)
      if (!Number.isFinite(p.x) || !Number.isFinite(p.y))
        throw new RangeError(`${touch} holds a coordinate that is not finite`);
  }
};
