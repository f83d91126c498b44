/** A cut without a single path is no cut. */
import type { Shape } from '../../drawing/model/drawing.js';
import { type Job, roleWords, whereInJob } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import type { CutResult } from '../cut.js';

/** @throws InputError saying why no path came out of a cut */
export const refuseEmptyCut = (cut: CutResult, job: Job, openings: readonly Shape[]): void => {
  if (cut.paths.length > 0) return;
  if (job.cut.kind === 'as-drawn') {
    throw new InputError({
      found: `nothing to cut as drawn in ${job.drawing}`,
      expected: 'at least one line that is not a mark',
      where: whereInJob(job, 'drawing'),
      next: 'Call "reseat list" on the drawing to see how it was understood.',
    });
  }
  if (cut.vanished.length > 0) {
    throw new InputError({
      found: `no path to cut: nothing is left of any of the ${openings.length} openings`,
      expected: 'openings wider than the offset on both sides',
      where: whereInJob(job, 'cut.clearance'),
      next: 'Make "clearance" smaller, or check the unit of the drawing.',
    });
  }
  throw new InputError({
    found: `no closed path among the openings of ${job.drawing}`,
    expected: `closed paths in "${roleWords(job.roles.openings)}"`,
    where: whereInJob(job, 'drawing'),
    next: 'Call "reseat list" on the drawing and name the openings under "roles:".',
  });
};
