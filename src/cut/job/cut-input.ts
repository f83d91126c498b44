/** The cut of a job as the cutter can place it. */

import { applicableTransform, openingPoints } from '../../fit/applicable.js';
import type { Fit } from '../../fit/fit.js';
import type { LoadedJob } from '../../fit/job/loaded-job.js';
import { compose } from '../../geometry/affine.js';
import { faceMatrix, trueToMachineMatrix } from '../../marks/frames.js';
import type { CutInput } from '../cut.js';
import type { Finding } from '../findings/finding.js';
import { findingsOfCut } from '../findings/remains-of-cut.js';
import { asMeasured } from '../measured.js';

export const cutInput = (loadedJob: LoadedJob, fit: Fit): CutInput => {
  const { job, roles } = loadedJob;
  const edges = asMeasured(loadedJob.edges, fit, job.face);
  const face = faceMatrix(job.face);
  const { pierced, cut, machine } = job;
  const points = () => openingPoints(edges, face, cut.kind === 'as-drawn');
  const applied = cut.apply === 'full' ? fit.matrix : applicableTransform(fit.matrix, cut.apply, points());
  return {
    openings: edges,
    outline: asMeasured(roles.outline, fit, job.face),
    toBed: compose(applied, face),
    toMachine: trueToMachineMatrix(machine),
    pierced,
    cut,
  };
};

/** What the cut of a job does to the piece, at another clearance if one is given; display coordinates. */
export const findingsOfJob = (
  loadedJob: LoadedJob,
  fit: Fit,
  clearance = loadedJob.job.cut.clearance,
): readonly Finding[] => {
  const input = cutInput(loadedJob, fit);
  if (input.cut.kind === 'as-drawn') return [];
  return findingsOfCut({ ...input, cut: { ...input.cut, clearance } });
};
