/** The cut of a job, and what a writer and a film plan take of it. */

import type { CutFile } from '../../drawing/write/cut-file.js';
import type { Fit } from '../../fit/fit.js';
import { compose } from '../../geometry/affine.js';
import type { Job } from '../../job/job.js';
import { faceMatrix, trueToMachineMatrix, trueToPointerMatrix } from '../../marks/frames.js';
import { cutAsDrawn } from '../as-drawn.js';
import { type CutInput, type CutPath, type CutResult, cutOpenings } from '../cut.js';
import { type FilmPlan, planFilm } from '../film/film.js';

export const cutOf = (input: CutInput): CutResult => {
  const { openings, toBed, toMachine, cut } = input;
  if (cut.kind !== 'as-drawn') return cutOpenings(input);
  return cutAsDrawn({ shapes: openings, toMachine: compose(toMachine, toBed), tolerance: cut.tolerance });
};

/** @param unproven why the cut is not proven to fit, for the file to say */
export const cutFileOf = (job: Job, paths: readonly CutPath[], unproven: string | undefined): CutFile => ({
  axes: job.machine.axes,
  ...(job.machine.size === undefined ? {} : { size: job.machine.size }),
  ...(job.machine.nc === undefined ? {} : { nc: job.machine.nc }),
  title: job.title ?? job.path.replace(/^.*[/\\]/, ''),
  paths: paths.map((path) => ({
    get segments() {
      return path.segments;
    },
    box: path.box,
    open: path.open ?? false,
    layer: path.layer ?? 'cut',
    id: path.openings.join('+'),
  })),
  ...(unproven === undefined ? {} : { remarks: [`NOT PROVEN. ${unproven}`] }),
});

/** The strips of film, where the job asks for them. */
export const filmOf = (
  job: Job,
  fit: Fit,
  { outline }: CutInput,
  paths: readonly CutPath[],
): FilmPlan | undefined =>
  job.film &&
  planFilm({
    job: { ...job, film: job.film },
    outline,
    toBed: compose(fit.matrix, faceMatrix(job.face)),
    toPointer: trueToPointerMatrix(job.machine),
    toMachine: trueToMachineMatrix(job.machine),
    paths,
  });
