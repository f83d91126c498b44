/** What is in a drawing, and how a job understands it; of a drawing on its own, one that names no roles. */
import type { Files } from '../job/files.js';
import { defaultRoles, type Job, type LengthUnit, type PixelsToInch } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { readJob } from '../job/read-job.js';
import { scaleWarnings } from './assumed-scale.js';
import { describeDrawing, type ShapeRow } from './describe.js';
import type { Drawing } from './drawing.js';
import { drawingOf, joinedDrawingOf, joinedUnder, rolesOfJob } from './job-drawing.js';
import { defaultJoin, type JoinReport } from './join/join.js';
import { nestedOpenings } from './nested-openings.js';
import { readDrawing } from './read.js';
import { assignRoles, type RoleAssignment } from './roles.js';

/** A drawing with its shapes described. */
export interface ListedDrawing {
  readonly drawing: Drawing;
  readonly joined: JoinReport;
  readonly roles: RoleAssignment;
  /** Of all shapes; made when they are asked for. */
  readonly rows: readonly ShapeRow[];
  readonly warnings: readonly Warning[];
}

/**
 * @param path for messages, and for the format where the bytes do not say it
 * @param options.units of a drawing that states none
 * @param options.dpi px to the inch of a drawing in px
 * @param options.join the join distance, mm
 * @throws InputError for a drawing that cannot be read
 */
export const listDrawing = (
  bytes: Uint8Array,
  path: string,
  options: { readonly units?: LengthUnit; readonly join?: number; readonly dpi?: PixelsToInch } = {},
): ListedDrawing => {
  const { join = defaultJoin, ...reading } = options;
  const read = readDrawing(bytes, { path, ...reading });
  const { drawing, report } = joinedUnder(read, defaultRoles, { distance: join });
  return described(drawing, report, assignRoles(drawing, defaultRoles));
};

/**
 * The drawing of a job as the job understands it; readings need not be there yet.
 *
 * @param source the job file's path, for messages, and its text
 * @throws InputError for a job or a drawing that cannot be read
 */
export const listJob = (
  source: { readonly path: string; readonly text: string },
  files: Files,
): ListedDrawing => {
  const job = readJob(source, files, { withoutReadings: true });
  const { drawing, report } = joinedDrawingOf(job, drawingOf(job, files));
  return described(drawing, report, rolesOfJob(job, drawing), job.machine);
};

const described = (
  drawing: Drawing,
  joined: JoinReport,
  roles: RoleAssignment,
  machine?: Job['machine'],
): ListedDrawing => {
  let rows: readonly ShapeRow[] | undefined;
  return {
    drawing,
    joined,
    roles,
    get rows() {
      rows ??= describeDrawing(roles);
      return rows;
    },
    warnings: [
      ...scaleWarnings(drawing, roles, machine),
      ...drawing.warnings,
      ...roles.warnings,
      // Where roles are in doubt, so is what is an island.
      ...(roles.doubt === undefined ? nestedOpenings(roles) : []),
    ],
  };
};
