/** A job whose part needs no placing: pieces cut from a board of their own lie where they are drawn. */
import type { Drawing } from '../drawing/model/drawing.js';
import { identity, type Matrix, translation } from '../geometry/affine.js';
import { type Job, whereInJob } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import type { Fit } from './fit.js';

/**
 * The placement of such a job: design frame and bed frame are one. What is turned over, by `face: down` or by a display that
 * counts y downwards, is turned over within the page (without a page: within what is drawn), so that it does not leave the bed.
 */
export const whereDrawn = (job: Job, { page, box }: Pick<Drawing, 'page' | 'box'>): Fit => {
  const { minX, minY, maxX, maxY } = page ?? box;
  const across = job.face === 'down' ? minX + maxX : 0;
  const up = job.machine.axes === 'y-down' ? -(minY + maxY) : 0;
  const matrix: Matrix = across === 0 && up === 0 ? identity : translation(across, up);
  return {
    model: 'shift',
    matrix,
    unplaced: true,
    unknowns: 0,
    redundancy: 0,
    sumOfSquares: 0,
    rms: 0,
    sd: {},
    marks: [],
    centre: { x: 0, y: 0 },
  };
};

/** What a cut and a check of such a job begin with. */
export const unplacedWarning = ({ face }: Job): Warning => ({
  code: 'not-placed',
  message: `The job has no readings, so the pieces are taken to come from a board of their own: they are cut where they are drawn${face === 'down' ? ', turned over within the page' : ''}, and how the panel lies does not matter to them. The board has to lie under them on the bed.`,
});

/** @throws InputError always: nothing says where a part lies, and nothing has to */
export const refuseFit = (job: Job): never => {
  throw new InputError({
    found: 'a job of kind inlay without readings: there is nothing to fit',
    expected: 'readings or touches, to place a part; pieces from a board of their own need none',
    where: whereInJob(job, 'cut'),
    next: 'Call "reseat check" and "reseat cut" on it: the pieces are cut where they are drawn. To cut them out of a part that lies on the bed, write its readings.',
  });
};
