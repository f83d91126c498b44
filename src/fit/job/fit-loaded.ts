/** The fit of a job, with what its own readings have against it. */
import type { Point } from '../../geometry/point.js';
import { type JobReading, whereInJob } from '../../job/job.js';
import { displayToTrue } from '../../marks/frames.js';
import { groundOf } from '../../marks/mark-ground.js';
import { asArrived } from '../../marks/sides.js';
import { failureOf } from '../doubts/other-readings.js';
import { refuseScatteredReadings } from '../doubts/repeats.js';
import { typedDesign } from '../doubts/typed-positions.js';
import { displayStepOf, fitOptionsOf } from '../options.js';
import { reviewFit } from '../warnings.js';
import { adjustJob, refuseScaleOfTouches } from './adjust-job.js';
import { causeOfAll, withCause } from './common-cause.js';
import { panelOfJob, statedIn } from './job-context.js';
import type { FittedJob, LoadedJob } from './loaded-job.js';

/** @throws InputError for readings of one mark that lie millimetres apart, and for touches that contradict an assumed scale */
export const fitLoaded = (loaded: LoadedJob): FittedJob => {
  const { job, touches } = loaded;
  refuseScaleOfTouches(loaded);
  const options = fitOptionsOf(job, panelOfJob(loaded));
  const displayStep = displayStepOf(job);
  const { outcome: first, observations } = adjustJob(loaded, options);
  const cause = causeOfAll(loaded, options, first);
  const outcome =
    first.ok || cause === undefined
      ? first
      : { ok: false as const, failure: failureOf(cause, first.failure) };
  const inOrder: readonly Pick<JobReading, 'at' | 'directions'>[] = [...job.readings, ...(job.witness ?? [])];
  const toTrue = displayToTrue(job.machine);
  const design = touches.length > 0 ? undefined : typedDesign(job, groundOf(loaded), observations, options);
  const doubts = reviewFit(observations, options, outcome, {
    typed: new Map(observations.map(({ mark }, i) => [mark, inOrder[i]!.at])),
    toTrue: (p: Point, mark, reading) =>
      toTrue(asArrived(p, inOrder[mark]!.directions?.[reading], job.machine)),
    stated: {
      ...statedIn(job),
      unitStated: job.units === undefined && job.dpi === undefined && loaded.drawing.scale === undefined,
      ...(design === undefined ? {} : { typed: design }),
    },
    touches,
  });
  refuseScatteredReadings(observations, job.fit, doubts, (mark) => whereInJob(job, `readings.${mark}`));
  return {
    outcome,
    observations,
    options,
    ...(displayStep === undefined ? {} : { displayStep }),
    warnings: cause === undefined || !outcome.ok ? doubts : withCause(doubts, cause),
  };
};
