/** Touches that contradict the rest because their round edge is not as large as drawn, or as stated. */
import type { TouchReadings } from '../../marks/touches.js';
import { explainsReadings, isContradicted, type OtherReadings } from '../doubts/other-readings.js';
import { changeKey, type Stated } from '../doubts/remedies.js';
import type { Fit, FitOutcome, FittedRim } from '../fit.js';
import { listed, mm } from '../words.js';

/** Touches on one rim that tell its radius and still check something. */
const fewestTouches = 2;

/** What the job says and could say of the radius of a rim. */
export interface RimTrial {
  /** The touches on it, by their place in the job, from 0. */
  readonly touches: readonly number[];
  /** What the job states now: mm; undefined: the drawn one. */
  readonly stated: number | undefined;
  /** The touches that state it. */
  readonly statedAt: readonly number[];
  /** The fit with its radius unknown. */
  readonly adjusted: () => FitOutcome;
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
): OtherReadings | undefined => {
  if (!isContradicted(outcome)) return undefined;
  let best: { trial: RimTrial; fit: Fit; rim: FittedRim } | undefined;
  for (const trial of trials) {
    if (trial.touches.length < fewestTouches) continue;
    const tried = trial.adjusted();
    if (!tried.ok || !explainsReadings(tried.fit)) continue;
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
  const at = trial.statedAt.length === 0 ? [first] : trial.statedAt;
  const step = `write "radius: unknown" in ${at.length === 1 ? 'touch' : 'touches'} ${listed(at.map((k) => `${k + 1}`))}, on ${rim.on}: the edge is then taken as large as it is found`;
  // Where several touches state the radius no single key settles it.
  const remedy =
    at.length === 1
      ? { ...changeKey(`touches.${at[0]}.radius`, 'unknown', '', stated), step }
      : { kind: 'change-job' as const, step };
  return {
    remedy,
    warning: {
      code: 'rim-differs',
      marks: trial.touches.map((k) => readings[k]!.touch),
      message: `The touches on ${rim.on} fit a radius of ${mm(rim.radius)}${known}, ${was}. With that the readings agree to ${mm(fit.rms)} rms${now}.`,
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
