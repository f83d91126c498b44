/** The drawing that a job names. */

import { besideJob, type Files, whereMissing } from '../job/files.js';
import { type Job, type Roles, whereInJob } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { defaultJoin, joinDrawing } from './join/join.js';
import type { JoinReport } from './join/join-findings.js';
import { kindsBy, kindsByRole } from './join/kinds.js';
import type { Drawing } from './model/drawing.js';
import { readDrawing } from './read.js';
import { assignRoles, type RoleAssignment, rolesBefore } from './roles/roles.js';

/**
 * A page asks for the same drawing again with every key that is typed: what was read last from the
 * same bytes, and joined last from the same drawing, is given again where nothing it hangs on has
 * changed. A drawing is never changed.
 */
const lastRead = new WeakMap<Uint8Array, { readonly key: string; readonly drawing: Drawing }>();
const lastJoined = new WeakMap<
  Drawing,
  { readonly key: string; readonly joined: { drawing: Drawing; report: JoinReport } }
>();

/** @throws InputError for a drawing that is not there or cannot be read */
export const drawingOf = (job: Job, files: Files): Drawing => {
  const path = besideJob(job.path, job.drawing);
  const bytes = files.read(job.drawing);
  if (bytes === undefined) {
    throw new InputError({
      found: `the drawing ${job.drawing}, which is not there`,
      expected: `a file ${path}`,
      where: whereInJob(job, 'drawing'),
      next: whereMissing(files, job.drawing, ['svg', 'dxf'], 'drawing'),
    });
  }
  const options = {
    path,
    ...(job.units === undefined ? {} : { units: job.units }),
    ...(job.dpi === undefined ? {} : { dpi: job.dpi }),
  };
  const key = JSON.stringify(options);
  const known = lastRead.get(bytes);
  if (known?.key === key) return known.drawing;
  const drawing = readDrawing(bytes, options);
  lastRead.set(bytes, { key, drawing });
  return drawing;
};

/** The drawing with its loose lines joined; shapes that the job calls by name stay as they are. */
export const joinedDrawingOf = (job: Job, drawing: Drawing): { drawing: Drawing; report: JoinReport } => {
  const called = new Set<string>();
  for (const source of job.marks?.values() ?? []) if ('shape' in source) called.add(source.shape);
  for (const { point } of job.witness ?? []) if ('name' in point) called.add(point.name);
  const asDrawn = job.cut.kind === 'as-drawn';
  const entries = [job.roles.marks, job.roles.openings, job.roles.outline].map((role) =>
    role.map(({ text }) => text),
  );
  const key = JSON.stringify([entries, job.roles.stated, job.join ?? null, [...called], asDrawn]);
  const known = lastJoined.get(drawing);
  if (known?.key === key) return known.joined;
  const { drawing: joined, report } = joinedUnder(drawing, job.roles, {
    distance: job.join ?? defaultJoin,
    called,
    // Each line keeps its layer in the file that is cut.
    ...(asDrawn ? { cutAlike: cutAlike(job) } : {}),
  });
  lastJoined.set(drawing, { key, joined: { drawing: joined, report } });
  return { drawing: joined, report };
};

interface Joining {
  readonly distance: number;
  /** Names of shapes that stay as they are. */
  readonly called?: ReadonlySet<string>;
  /** For lines that are cut as they are drawn: see `kindsByRole`. */
  readonly cutAlike?: (roles: readonly string[]) => string;
}

/** A drawing with its loose lines joined as roles allow. */
export const joinedUnder = (
  drawing: Drawing,
  roles: Roles,
  how: Joining,
): { drawing: Drawing; report: JoinReport } => {
  const { distance, called, cutAlike } = how;
  const { byName, byLayer } = rolesBefore(drawing, roles);
  const joined = joinDrawing(drawing, {
    distance,
    kindOf: kindsBy(byName, called),
    widerKindOf: kindsByRole(byLayer, called, cutAlike),
    widerCopiesOnly: cutAlike !== undefined,
  });
  if (!joined.isMixed) return joined;
  const again = (other: Roles): Drawing => joinedUnder(drawing, other, how).drawing;
  return { drawing: { ...joined.drawing, joinedUnder: again }, report: joined.report };
};

/** The roles of its shapes as the job understands them. */
export const rolesOfJob = (job: Job, drawing: Drawing): RoleAssignment => {
  const typed = [...(job.marks?.values() ?? [])].flatMap((source) => ('at' in source ? [source.at] : []));
  return assignRoles(drawing, job.roles, typed);
};

/**
 * A cut as drawn takes the lines of all roles alike; where the job states the openings, no line
 * that has no role.
 */
const cutAlike =
  ({ roles: { stated } }: Job) =>
  (roles: readonly string[]): string =>
    stated.openings && roles.length === 0 ? 'left' : 'cut';
