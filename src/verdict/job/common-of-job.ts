/** What a job says, and leaves unsaid, of errors that all of it shares. */
import { panelOfJob } from '../../fit/job/job-context.js';
import type { LoadedJob } from '../../fit/job/loaded-job.js';
import type { Job } from '../../job/job.js';
import { unknownOffsetSides, unknownSideOf } from '../../marks/sides.js';
import type { Unstated } from '../advice/assumptions.js';
import type { CommonSettings } from '../risk/common-errors.js';

/** What the job says of them. */
export const commonOf = (loaded: LoadedJob): CommonSettings => {
  const { machine, fit, check } = loaded.job;
  return {
    offsetSides: unknownOffsetSides(machine),
    cutReversal: machine.cutReversal ?? machine.reversal ?? [0, 0],
    pointingBias: fit.pointingBias ?? 0,
    sizeChange: check.sizeChange ?? 0,
    bow: check.bow ?? 0,
    panel: panelOfJob(loaded),
  };
};

/** What it does not say. */
export const unstatedOf = ({ machine, fit, check, witness = [] }: Job): Unstated => {
  const perMillimetre = { ...machine, reversal: [1, 1] as const };
  const side = unknownSideOf({ fit, machine: perMillimetre });
  return {
    markSd: fit.markSdStated !== true,
    readingSd: fit.readingSd === undefined,
    bow: check.bow === undefined,
    sizeChange: check.sizeChange === undefined,
    cutSd: check.stated?.cutSd === false,
    kerfSd: check.stated?.kerfSd === false,
    pointing: fit.pointingSd === undefined && fit.pointingBias === undefined,
    ...(machine.reversal === undefined
      ? {
          lostMotion: {
            ...(side === undefined ? {} : { side }),
            offsetSides: unknownOffsetSides(perMillimetre),
            inCut: machine.cutReversal === undefined,
          },
        }
      : {}),
    isWitnessed: witness.length > 0,
  };
};
