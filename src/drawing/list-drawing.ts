/** A drawing on its own: what is in it, and how a job that names no roles would understand it. */
import { defaultRoles, type LengthUnit } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { describeDrawing, type ShapeRow } from './describe.js';
import type { Drawing } from './drawing.js';
import { readDrawing } from './read.js';
import { assignRoles } from './roles.js';

/** A drawing with its shapes described. */
export interface ListedDrawing {
  readonly drawing: Drawing;
  readonly rows: readonly ShapeRow[];
  readonly warnings: readonly Warning[];
}

/**
 * @param path for messages, and for the format where the bytes do not say it
 * @param units of a drawing that states none
 * @throws InputError for a drawing that cannot be read
 */
export const listDrawing = (bytes: Uint8Array, path: string, units?: LengthUnit): ListedDrawing => {
  const drawing = readDrawing(bytes, { path, ...(units === undefined ? {} : { units }) });
  const roles = assignRoles(drawing, defaultRoles);
  return { drawing, rows: describeDrawing(roles), warnings: [...drawing.warnings, ...roles.warnings] };
};
