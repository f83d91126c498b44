/** What a job says of its fit, with what is found in its readings. */
import type { Box } from '../geometry/point.js';
import type { Job } from '../job/job.js';
import type { FitOptions } from './fit.js';
import { foundStep } from './solve/display-step.js';
import { strainsOf } from './solve/map-error.js';
import { bowedBy, grownBy } from './solve/panel-change.js';

/** The step that counts, and where it comes from; undefined where nothing tells it. */
export interface DisplayStep {
  /** mm. */
  readonly step: number;
  readonly from: 'stated' | 'found';
}

export const displayStepOf = ({
  fit,
  readings,
  touches = [],
  witness = [],
}: Pick<Job, 'fit' | 'readings' | 'touches' | 'witness'>): DisplayStep | undefined => {
  if (fit.displayStep !== undefined) return { step: fit.displayStep, from: 'stated' };
  const typed = [...readings, ...touches, ...witness].flatMap(({ at }) => at);
  const step = foundStep(typed, fit.readingSd !== undefined);
  return step === undefined ? undefined : { step, from: 'found' };
};

/** @param panel after `face`, mm; what a stated bow is reckoned from */
export const fitOptionsOf = (job: Job, panel?: () => Box): FitOptions => {
  const { model, readingSd, readingSdDof, markSd } = job.fit;
  const step = displayStepOf(job)?.step ?? 0;
  const { sizeChange = 0, bow = 0 } = job.check;
  // What the job allows for counts in the tests of residuals as well; its bound as an sd, so that they err to the quiet side.
  const panelErrors = [
    ...(sizeChange > 0 ? [grownBy(sizeChange)] : []),
    ...(bow > 0 && panel !== undefined ? [bowedBy(bow, panel())] : []),
  ];
  const commonErrors = strainsOf(job.machine);
  return {
    model,
    ...(readingSd === undefined ? {} : { readingSd }),
    ...(readingSdDof === undefined ? {} : { readingSdDof }),
    markSd,
    ...(step > 0 ? { displayStep: step } : {}),
    ...(commonErrors.length > 0 ? { commonErrors } : {}),
    ...(panelErrors.length > 0 ? { panelErrors } : {}),
    ...(panel === undefined ? {} : { panel }),
  };
};
