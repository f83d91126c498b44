/** Repeated readings at one mark that do not belong together. */
import type { Point } from '../../geometry/point.js';
import { distance } from '../../geometry/point.js';
import { InputError, type Warning, type Where } from '../../job/messages.js';
import { studentCdf } from '../../numeric/distributions.js';
import type { FitOptions, Observation } from '../fit.js';
import { varianceOfMean } from '../solve/display-step.js';
import { meanReading } from '../solve/uncertainty.js';
import { inWords, mm, ordinal } from '../words.js';
import { readAgainAt } from './remedies.js';
import { grubbsCritical, suspectLevel } from './suspicion.js';

/** Two readings with a pointer at the same mark never lie this far apart, mm. Common practice, no source. */
const farApart = 1;

export interface OddReading {
  readonly mark: string;
  /** Which of the readings stands out; undefined with two, where either may be the wrong one. */
  readonly reading?: number;
  /** Largest distance between two readings of the mark, mm. */
  readonly apart: number;
}

/**
 * Marks whose readings disagree: against the stated sd where there is one, by Grubbs' test where there are three or
 * more without one, and by plain millimetres always. The level is shared out over all the tests of the job.
 * `displayStep` is the last digit of the display, mm.
 */
export const oddReadings = (
  observations: readonly Observation[],
  options: FitOptions,
  displayStep = 0.01,
): OddReading[] => {
  const repeated = observations.filter((o) => o.readings.length > 1);
  const tests = 2 * repeated.reduce((sum, o) => sum + o.readings.length, 0);
  return repeated.flatMap(({ mark, readings }) => {
    const apart = largestDistance(readings);
    const odd = standsOut(readings, options, tests, displayStep);
    if (odd === undefined && !(apart > farApart)) return [];
    const reading = readings.length > 2 ? (odd ?? farthestFromRest(readings)) : undefined;
    return [{ mark, apart, ...(reading === undefined ? {} : { reading }) }];
  });
};

const standsOut = (
  readings: readonly Point[],
  { readingSd, readingSdDof, displayStep: step = 0 }: FitOptions,
  tests: number,
  displayStep: number,
): number | undefined => {
  const n = readings.length;
  const mean = meanReading(readings);
  let worst: { reading: number; excess: number } | undefined;
  for (const axis of ['x', 'y'] as const) {
    const deviations = readings.map((p) => Math.abs(p[axis] - mean[axis]));
    const largest = Math.max(...deviations);
    let excess: number;
    if (readingSd !== undefined) {
      // Repeats scatter by the stated sd, or by the rounding where that sd is too small to hold it.
      const { whole } = varianceOfMean(readingSd, step, 1);
      const w = largest / Math.sqrt((whole * (n - 1)) / n);
      // Ten times the level of a single reading, shared out: a whole job of clean repeats is flagged once in 100.
      excess = (10 * suspectLevel) / tests / Math.max(1e-300, 2 * studentCdf(-w, readingSdDof));
    } else {
      if (n < 3) continue;
      // The variance of rounding to the display, so that readings equal to its last digit accuse no third one.
      const variance = deviations.reduce((sum, d) => sum + d * d, 0) / (n - 1) + displayStep ** 2 / 12;
      excess = largest / Math.sqrt(variance) / grubbsCritical(n, (10 * suspectLevel * n) / tests);
    }
    if (excess > 1 && (worst === undefined || excess > worst.excess))
      worst = { reading: deviations.indexOf(largest), excess };
  }
  return worst?.reading;
};

const largestDistance = (points: readonly Point[]): number => {
  let largest = 0;
  for (const p of points) for (const q of points) largest = Math.max(largest, distance(p, q));
  return largest;
};

const farthestFromRest = (readings: readonly Point[]): number => {
  let worst = 0;
  let size = -1;
  readings.forEach((p, k) => {
    const away = distance(p, meanReading(readings.filter((_, i) => i !== k)));
    if (away > size) {
      size = away;
      worst = k;
    }
  });
  return worst;
};

/**
 * Refuses a job whose readings of one mark are millimetres apart: one of them is wrong, and their mean places nothing.
 * Farther apart than 1 mm, and than ten times the stated sd.
 *
 * @param doubts what the fit made of the readings; what it says of this mark is told
 * @throws InputError for the first such mark
 */
export const refuseScatteredReadings = (
  observations: readonly Observation[],
  { readingSd = 0 }: Pick<FitOptions, 'readingSd'>,
  doubts: readonly Warning[],
  whereOf: (mark: string) => Where,
): void => {
  const bound = Math.max(farApart, 10 * readingSd);
  for (const { mark, readings } of observations) {
    const apart = largestDistance(readings);
    if (!(apart > bound)) continue;
    const about = (code: Warning['code']) =>
      doubts.find((doubt) => doubt.code === code && doubt.marks?.includes(mark))?.message;
    throw new InputError({
      found: `${inWords(readings.length)} readings of mark ${mark} that lie up to ${mm(apart)} apart`,
      expected: `readings of one mark within ${mm(bound)} of each other`,
      where: whereOf(mark),
      next:
        about('likely-slip') ??
        about('suspect-reading') ??
        `Take the wrong one out, or read mark ${mark} again.`,
    });
  }
};

export interface OddContext {
  /** Where the other marks put this one, true bed mm. */
  readonly predicted?: Point | undefined;
  /** What may be behind it, a sentence with a space before it, or nothing. */
  readonly possible?: string;
}

export const oddReadingWarning = (
  odd: OddReading,
  observations: readonly Observation[],
  { predicted, possible = '' }: OddContext = {},
): Warning => {
  const { readings } = observations.find((o) => o.mark === odd.mark)!;
  const misses = predicted === undefined ? undefined : worseOfTwo(readings, predicted);
  const which =
    odd.reading !== undefined
      ? `the ${ordinal(odd.reading)} does not belong to the others`
      : misses !== undefined
        ? `the ${ordinal(misses)} is the one that does not fit the other marks`
        : 'nothing tells which of them is wrong';
  return {
    code: 'suspect-reading',
    marks: [odd.mark],
    remedies: [readAgainAt([odd.mark])],
    message: `The ${inWords(readings.length)} readings of mark ${odd.mark} lie up to ${mm(odd.apart)} apart, more than readings of one mark do; ${which}.${possible} Read mark ${odd.mark} again.`,
  };
};

/** The one of two readings that lies more than three times as far from the predicted place as the other. */
const worseOfTwo = (readings: readonly Point[], predicted: Point): number | undefined => {
  if (readings.length !== 2) return undefined;
  const [first, second] = readings.map((p) => distance(p, predicted)) as [number, number];
  if (first > 3 * second) return 0;
  return second > 3 * first ? 1 : undefined;
};
