/** One thing that is wrong with many readings alike: a rim, the map of the bed, the display's unit. */

import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { drawnMarks } from '../../marks/drawn-marks.js';
import { observationsOf } from '../../marks/marks.js';
import { isRoundEdge, touchesOf } from '../../marks/touches.js';
import { adjust } from '../adjust.js';
import { type OtherReadings, otherDisplayUnit, wrongBedMap } from '../doubts/other-readings.js';
import type { FitOptions, FitOutcome } from '../fit.js';
import { type RimTrial, wrongRim } from '../touches/wrong-rim.js';
import { contextOf, statedIn } from './job-context.js';
import type { LoadedJob } from './loaded-job.js';

/** What is wrong with many readings alike, where that alone explains what they have against each other. */
export const causeOfAll = (
  loaded: LoadedJob,
  options: FitOptions,
  outcome: FitOutcome,
): OtherReadings | undefined => {
  const { job, roles, observations, touches } = loaded;
  const context = contextOf({ job, roles });
  return (
    wrongRim(outcome, rimTrials(loaded, options), touches, statedIn(job)) ??
    wrongBedMap(outcome, () => withoutBedMap(loaded, options), bedMapWritten(job)) ??
    otherDisplayUnit(outcome, observations, touches, (marks, touched) =>
      adjust(marks, options, touched, context),
    )
  );
};

/** Undefined for a job without a map of the bed. */
const withoutBedMap = (
  { job, drawing, roles, marks }: LoadedJob,
  options: FitOptions,
): FitOutcome | undefined => {
  const { scale, skew } = job.machine.bedMap;
  if (scale[0] === 1 && scale[1] === 1 && skew === 0) return undefined;
  const tried: Job = { ...job, machine: { ...job.machine, bedMap: { scale: [1, 1], skew: 0 } } };
  const drawn = drawnMarks(drawing, roles, job.readings);
  return adjust(
    observationsOf(tried, marks, drawn),
    options,
    touchesOf(tried, drawing, roles, marks),
    contextOf({ job: tried, roles }),
  );
};

const bedMapWritten = ({ profile }: Job): string =>
  profile === undefined ? '"bed-map" under "machine:"' : `"bed-map" in ${profile}`;

/** One job for each round edge that was touched: as it would be with its radius unknown. */
const rimTrials = (
  { job, drawing, roles, marks, observations, touches }: LoadedJob,
  options: FitOptions,
): RimTrial[] => {
  const listed = job.touches ?? [];
  const edges = [...new Set(touches.map(({ edge }) => edge))];
  return edges.flatMap((edge): RimTrial[] => {
    const own = touches.flatMap((touch, i) => (touch.edge === edge ? [i] : []));
    const stated = own.map((i) => listed[i]!.radius).find((radius) => radius !== undefined);
    if (stated === 'unknown' || !isRoundEdge(edge.name, roles)) return [];
    const tried: Job = {
      ...job,
      touches: listed.map((touch, i) => (own.includes(i) ? { ...touch, radius: 'unknown' } : touch)),
    };
    const adjusted = (): FitOutcome =>
      adjust(
        observations,
        options,
        touchesOf(tried, drawing, roles, marks),
        contextOf({ job: tried, roles }),
      );
    const statedAt = own.filter((i) => listed[i]!.radius !== undefined);
    return [{ touches: own, stated, statedAt, adjusted }];
  });
};

/** What readings say where they are held against something that is wrong itself. */
const effectsOfPlaces: readonly Warning['code'][] = [
  'mirrored',
  'likely-slip',
  'suspect-reading',
  'size-changed',
  'marks-disagree',
];

/** What the readings have against each other is the effect of one cause. */
export const withCause = (warnings: readonly Warning[], { warning }: OtherReadings): Warning[] => [
  warning,
  ...warnings.filter(({ code }) => !effectsOfPlaces.includes(code)),
];

/** Marks that are typed at wrong places: what the readings say against them is their effect, not another cause. */
export const placesFirst = (warnings: readonly Warning[]): Warning[] => {
  const isOfPlaces = ({ code }: Warning): boolean => code === 'mark-misplaced';
  if (!warnings.some(isOfPlaces)) return [...warnings];
  const others = warnings.filter((w) => !isOfPlaces(w) && !effectsOfPlaces.includes(w.code));
  return [...warnings.filter(isOfPlaces), ...others];
};
