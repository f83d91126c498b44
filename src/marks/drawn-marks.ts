/** The marks of a drawing, as far as a job needs them. */
import type { Drawing } from '../drawing/drawing.js';
import { centreNamed, marksIn } from '../drawing/marks-in.js';
import type { RoleAssignment } from '../drawing/roles.js';
import type { Job } from '../job/job.js';
import type { DrawnMarks } from './resolve-marks.js';

/**
 * Each drawn mark by its name, or by another name of it (a label, say) where the readings use that one.
 *
 * @throws InputError for a mark whose parts have different centres
 */
export const drawnMarks = (
  drawing: Drawing,
  roles: RoleAssignment,
  readings: Job['readings'],
): DrawnMarks => {
  const read = new Set(readings.map(({ mark }) => mark));
  const marks = new Map(
    marksIn(drawing, roles).flatMap(({ name, otherNames, centre }) => {
      const used = otherNames.filter((other) => read.has(other));
      const names = used.length === 0 || read.has(name) ? [name, ...used] : used;
      return names.map((one) => [one, centre] as const);
    }),
  );
  return {
    marks,
    shapeCentre: (id) => centreNamed(drawing, id),
    shapeIds: drawing.shapes.map(({ id }) => id),
  };
};
