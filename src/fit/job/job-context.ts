/** What a fit has to know of the job it belongs to. */

import { apply } from '../../geometry/affine.js';
import { type Box, boxOfPoints } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import { toWrite } from '../../job/to-write.js';
import { faceMatrix, trueToPointer } from '../../marks/frames.js';
import { touchableEdges } from '../../marks/touches.js';
import { openingPoints } from '../applicable.js';
import type { Stated } from '../doubts/remedies.js';
import type { TouchContext } from '../touches/touch-words.js';
import type { LoadedJob } from './loaded-job.js';

export const statedIn = (job: Job): Stated => ({
  face: job.face,
  axes: job.machine.axes,
  axesAssumed: job.machine.axesAssumed ?? false,
  faceAssumed: job.faceAssumed ?? false,
  toWrite: (key, value) => toWrite(job, key, value),
});

export const contextOf = ({ job, roles }: Pick<LoadedJob, 'job' | 'roles'>): TouchContext => ({
  stated: statedIn(job),
  toDisplay: trueToPointer(job.machine),
  touchable: () => touchableEdges(job, roles),
});

/** The box of the panel after `face`, mm: of its outline, or of edges and marks where none is drawn. Worked out once. */
export const panelOfJob = ({ job, roles, edges, marks }: LoadedJob): (() => Box) => {
  let box: Box | undefined;
  return () => {
    if (box !== undefined) return box;
    const face = faceMatrix(job.face);
    const isOutlined = roles.outline.length > 0;
    const drawn = openingPoints(isOutlined ? roles.outline : edges, face, true);
    const others = isOutlined ? [] : [...marks.values()].map((p) => apply(face, p));
    box = boxOfPoints([...drawn, ...others]);
    return box;
  };
};
