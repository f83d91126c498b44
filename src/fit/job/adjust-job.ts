/** The fit of a job as it stands, before anything is doubted. */

import { compose } from '../../geometry/affine.js';
import { trueToPointerMatrix } from '../../marks/frames.js';
import { adjust } from '../adjust.js';
import { bearsOut, otherScale, scalesToTry } from '../doubts/other-scale.js';
import type { FitOptions, FitOutcome } from '../fit.js';
import { withSharedSteps } from '../solve/display-step.js';
import { contextOf } from './job-context.js';
import type { FittedJob, LoadedJob } from './loaded-job.js';

/** Where the part lies tells which marks the display rounds alike; where it does, the fit is made once more. */
export const adjustJob = (
  { job, roles, observations, touches }: LoadedJob,
  options: FitOptions,
): Pick<FittedJob, 'outcome' | 'observations'> => {
  const context = contextOf({ job, roles });
  const outcome = adjust(observations, options, touches, context);
  if (!outcome.ok || options.displayStep === undefined) return { outcome, observations };
  const toDisplay = compose(trueToPointerMatrix(job.machine), outcome.fit.matrix);
  const shared = withSharedSteps(observations, toDisplay, options.displayStep);
  if (shared === observations) return { outcome, observations };
  const again = adjust(shared, options, touches, { ...context, near: outcome.fit });
  if (!again.ok) return { outcome, observations };
  const { ambiguous } = outcome;
  return { outcome: { ...again, ...(ambiguous === undefined ? {} : { ambiguous }) }, observations: shared };
};

/** @throws InputError where the touches contradict an assumed scale, and bear out another one */
export const refuseScaleOfTouches = ({ atScale, ...asAssumed }: LoadedJob): void => {
  const { scale } = asAssumed.drawing;
  if (atScale === undefined || scale === undefined) return;
  const rigid = ({ job, roles, observations, touches }: LoadedJob): FitOutcome =>
    adjust(observations, { ...job.fit, model: 'rigid' }, touches, contextOf({ job, roles }));
  if (bearsOut(rigid(asAssumed))) return;
  const other = scalesToTry(scale).find((one) => bearsOut(rigid(atScale(one))));
  if (other !== undefined)
    throw otherScale(asAssumed.job, 'touches that lie on no edge of the drawing', other);
};
