/** The drawing that a job names. */
import { besideJob, type Files } from '../job/files.js';
import { type Job, whereInJob } from '../job/job.js';
import { InputError } from '../job/messages.js';
import type { Drawing } from './drawing.js';
import { readDrawing } from './read.js';

/** @throws InputError for a drawing that is not there or cannot be read */
export const drawingOf = (job: Job, files: Files): Drawing => {
  const path = besideJob(job.path, job.drawing);
  const bytes = files.read(job.drawing);
  if (bytes === undefined) {
    throw new InputError({
      found: `the drawing ${job.drawing}, which is not there`,
      expected: `a file ${path}`,
      where: whereInJob(job, 'drawing'),
      next: 'Correct the path; it counts from the folder of the job file.',
    });
  }
  return readDrawing(bytes, { path, ...(job.units === undefined ? {} : { units: job.units }) });
};
