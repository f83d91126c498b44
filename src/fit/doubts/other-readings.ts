/** Readings that contradict the job as they are, and agree once something was wrong with all of them alike. */
import type { Point } from '../../geometry/point.js';
import type { Remedy, Warning } from '../../job/messages.js';
import type { TouchReadings } from '../../marks/touches.js';
import type { Fit, FitFailure, FitOutcome, Observation } from '../fit.js';
import { mm } from '../words.js';

/** A fit that is less probable than this does not explain the readings. */
const explainsAbove = 0.001;
/** Where no sd is stated: residuals beyond the first ask for an explanation, and within the second are one, mm rms. Common practice, no source. */
const asksAbove = 0.2;
const agreesWithin = 0.1;

/** Whether the readings contradict what the fit supposes. */
export const isContradicted = (outcome: FitOutcome): boolean => {
  if (!outcome.ok) return true;
  const { consistency, redundancy, rms } = outcome.fit;
  return redundancy > 0 && (consistency === undefined ? rms > asksAbove : !consistency.consistent);
};

/** Whether a fit explains its readings, with some to spare. */
export const explainsReadings = ({ consistency, redundancy, rms }: Fit): boolean =>
  redundancy > 0 && (consistency === undefined ? rms <= agreesWithin : consistency.pValue >= explainsAbove);

/** One cause: what is wrong, and what puts it right. */
export interface OtherReadings {
  readonly warning: Warning;
  readonly remedy: Remedy;
}

/** Units that a display may show. */
const displayUnits = [
  { name: 'inches', millimetres: 25.4 },
  { name: 'cm', millimetres: 10 },
] as const;

/**
 * Touches, alone or beside marks, that were read in another unit: no way to lay the part is found then.
 *
 * @param adjusted the fit of such readings
 */
export const otherDisplayUnit = (
  outcome: FitOutcome,
  observations: readonly Observation[],
  touches: readonly TouchReadings[],
  adjusted: (observations: readonly Observation[], touches: readonly TouchReadings[]) => FitOutcome,
): OtherReadings | undefined => {
  if (touches.length === 0 || outcome.ok) return undefined;
  for (const { name, millimetres } of displayUnits) {
    const times = (points: readonly Point[]): Point[] =>
      points.map(({ x, y }) => ({ x: x * millimetres, y: y * millimetres }));
    const larger = touches.map((touch) => ({ ...touch, readings: times(touch.readings) }));
    const marks = observations.map((o) => ({ ...o, readings: times(o.readings) }));
    const [all, onlyTouches] = [
      adjusted(marks, larger),
      observations.length === 0 ? undefined : adjusted(observations, larger),
    ];
    const found = [all, onlyTouches].find((one) => one?.ok === true && explainsReadings(one.fit));
    if (found === undefined || !found.ok) continue;
    const which = found === all ? 'the readings' : 'the touches';
    const remedy: Remedy = {
      kind: 'correct-readings',
      step: `write ${which} in mm: the display showed ${name}, so multiply each of them by ${millimetres}, or better let it show mm and read again`,
    };
    return {
      remedy,
      warning: {
        code: 'likely-slip',
        kind: name === 'cm' ? 'centimetres' : 'inches',
        message: `Probably ${which} are ${name === 'cm' ? 'centimetres' : name}, not millimetres. With that put right they agree to ${mm(found.fit.rms)} rms.`,
        remedies: [remedy],
      },
    };
  }
  return undefined;
};

/**
 * A map of the bed that the readings contradict.
 *
 * @param adjusted the fit without it
 * @param written how the job names the key
 */
export const wrongBedMap = (
  outcome: FitOutcome,
  adjusted: () => FitOutcome | undefined,
  written: string,
): OtherReadings | undefined => {
  if (!isContradicted(outcome)) return undefined;
  const without = adjusted();
  if (without === undefined || !without.ok || !explainsReadings(without.fit)) return undefined;
  const now = outcome.ok ? ` instead of ${mm(outcome.fit.rms)}` : '';
  const remedy: Remedy = {
    kind: 'change-job',
    step: `take ${written} out, or correct it, and measure the bed again`,
  };
  return {
    remedy,
    warning: {
      code: 'size-changed',
      message: `The readings contradict the map of the bed: without it they agree to ${mm(without.fit.rms)} rms${now}.`,
      remedies: [remedy],
    },
  };
};

/** The same where the readings give no placement at all. */
export const failureOf = ({ warning, remedy }: OtherReadings, { reason }: FitFailure): FitFailure => ({
  reason: `${reason} ${warning.message}`,
  cure: `${remedy.step.replace(/^./, (c) => c.toUpperCase())}.`,
});
