/** The marks of a drawing, as far as a job needs them. */

import { centreNamed, marksIn } from '../drawing/mark-sites/marks-in.js';
import type { Drawing } from '../drawing/model/drawing.js';
import { withoutEscapes } from '../drawing/model/escaped-name.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import type { Job } from '../job/job.js';
import type { DrawnMarks } from './resolve-marks.js';

/**
 * Each drawn mark by its name, or by another name of it (a label, say) where the readings use that
 * one.
 *
 * @throws InputError for a mark whose parts have different centres
 */
export const drawnMarks = (
  drawing: Drawing,
  roles: RoleAssignment,
  readings: Job['readings'],
): DrawnMarks => {
  const read = new Set(readings.map(({ mark }) => mark));
  const drawn = marksIn(drawing, roles);
  const marks = new Map(
    drawn.flatMap(({ name, otherNames, centre }) => {
      const used = otherNames.filter((other) => read.has(other));
      const names = used.length === 0 || read.has(name) ? [name, ...used] : used;
      return names.map((one) => [one, centre] as const);
    }),
  );
  // A reading of "leaf 7" means the mark "leaf_x20_7", where no other mark comes to that.
  for (const mark of read) {
    if (marks.has(mark)) continue;
    const plain = withoutEscapes(mark);
    const same = drawn.filter(({ name, otherNames }) =>
      [name, ...otherNames].some((one) => withoutEscapes(one) === plain),
    );
    if (same.length === 1) marks.set(mark, same[0]!.centre);
  }
  return {
    marks,
    shapeCentre: (id) => centreNamed(drawing, id),
    shapeIds: drawing.shapes.map(({ id }) => id),
  };
};
