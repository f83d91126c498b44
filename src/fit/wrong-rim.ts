/** Touches that contradict the rest because their round edge is not as large as drawn, or as stated. */
import type { Remedy, Warning } from '../job/messages.js';
import type { TouchReadings } from '../marks/touches.js';
import type { Fit, FitFailure, FitOutcome, FittedRim } from './fit.js';
import { changeKey, type Stated } from './remedies.js';
import { mm } from './words.js';

/** A fit that is less probable than this does not explain the readings. */
const explainsAbove = 0.001;
/** Where no sd is stated: residuals beyond the first, mm rms, ask for an explanation, and within the second are one. Common practice, no source. */
const asksAbove = 0.2;
const agreesWithin = 0.1;
/** Touches on one rim that tell its radius and still check something. */
const fewestTouches = 2;

/** What the job says and could say of the radius of a rim. */
export interface RimTrial {
  /** The touches on it, by their place in the job, from 0. */
  readonly touches: readonly number[];
  /** What the job states now: mm; undefined: the drawn one. */
  readonly stated: number | undefined;
  /** The fit with its radius unknown. */
  readonly adjusted: () => FitOutcome;
}

export interface WrongRim {
  readonly warning: Warning;
  readonly remedy: Remedy;
}

/**
 * The one rim whose radius, taken as unknown, explains readings that otherwise contradict each other.
 *
 * @param readings of all touches, for their names
 * @returns undefined where the readings agree as they are, or no rim explains them
 */
export const wrongRim = (
  outcome: FitOutcome,
  trials: readonly RimTrial[],
  readings: readonly TouchReadings[],
  stated: Stated,
): WrongRim | undefined => {
  if (outcome.ok && !isOdd(outcome.fit)) return undefined;
  let best: { trial: RimTrial; fit: Fit; rim: FittedRim } | undefined;
  for (const trial of trials) {
    if (trial.touches.length < fewestTouches) continue;
    const tried = trial.adjusted();
    if (!tried.ok || !explains(tried.fit)) continue;
    const on = readings[trial.touches[0]!]!.edge.name;
    const rim = tried.fit.rims?.find((one) => one.on === on && one.stated !== true);
    if (rim === undefined || !(rim.radius > 0)) continue;
    if (best === undefined || tried.fit.rms < best.fit.rms) best = { trial, fit: tried.fit, rim };
  }
  if (best === undefined) return undefined;
  const { trial, fit, rim } = best;
  const [first] = trial.touches as [number];
  const was =
    trial.stated === undefined ? `drawn as ${mm(rim.expectedRadius)}` : `stated as ${mm(trial.stated)}`;
  const now = outcome.ok ? ` instead of ${mm(outcome.fit.rms)}` : '';
  const known = rim.sd === undefined ? '' : ` (sd ${mm(rim.sd)})`;
  const remedy = {
    ...changeKey(`touches.${first}.radius`, 'unknown', '', stated),
    step: `write "radius: unknown" in touch ${first + 1}, on ${rim.on}: the edge is then taken as large as it is found`,
  };
  return {
    remedy,
    warning: {
      code: 'rim-differs',
      marks: trial.touches.map((k) => readings[k]!.touch),
      message: `The touches on ${rim.on} speak of a radius of ${mm(rim.radius)}${known}, ${was}. With that the readings agree to ${mm(fit.rms)} rms${now}.`,
      remedies: [
        remedy,
        {
          kind: 'read-again',
          step: `touch ${rim.on} again, if it is as large as ${trial.stated === undefined ? 'drawn' : 'stated'}`,
          marks: trial.touches.map((k) => readings[k]!.touch),
        },
      ],
    },
  };
};

/** The same where the readings give no placement at all. */
export const failureOfRim = ({ warning, remedy }: WrongRim, { reason }: FitFailure): FitFailure => ({
  reason: `${reason} ${warning.message}`,
  cure: `${remedy.step.replace(/^./, (c) => c.toUpperCase())}.`,
});

const isOdd = ({ consistency, redundancy, rms }: Fit): boolean =>
  redundancy > 0 && (consistency === undefined ? rms > asksAbove : !consistency.consistent);

const explains = ({ consistency, redundancy, rms }: Fit): boolean =>
  redundancy > 0 && (consistency === undefined ? rms <= agreesWithin : consistency.pValue >= explainsAbove);
