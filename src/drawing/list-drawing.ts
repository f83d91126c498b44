/** A drawing on its own: what is in it, and how a job that names no roles would understand it. */
import { defaultRoles, type LengthUnit, type PixelsToInch } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { describeDrawing, type ShapeRow } from './describe.js';
import type { Drawing } from './drawing.js';
import { defaultJoin, type JoinReport, joinDrawing } from './join/join.js';
import { kindsBy } from './join/kinds.js';
import { readDrawing } from './read.js';
import { assignRoles, type RoleAssignment, rolesBy } from './roles.js';

/** A drawing with its shapes described. */
export interface ListedDrawing {
  readonly drawing: Drawing;
  readonly joined: JoinReport;
  readonly roles: RoleAssignment;
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
  const kindOf = kindsBy(rolesBy(read, defaultRoles));
  const { drawing, report } = joinDrawing(read, { distance: join, kindOf });
  const roles = assignRoles(drawing, defaultRoles);
  return {
    drawing,
    joined: report,
    roles,
    rows: describeDrawing(roles),
    warnings: [...drawing.warnings, ...roles.warnings],
  };
};
