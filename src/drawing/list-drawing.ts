/**
 * What is in a drawing, and how a job understands it; of a drawing on its own, one that names no
 * roles.
 */

import type { Point } from '../geometry/point.js';
import type { Files } from '../job/files.js';
import { defaultRoles, type Job, type LengthUnit, type PixelsToInch } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { readJob } from '../job/read/read-job.js';
import { scaleWarnings } from './assumed-scale.js';
import { describeDrawing, type ShapeRow } from './describe.js';
import { drawingOf, joinedDrawingOf, joinedUnder, rolesOfJob } from './job-drawing.js';
import { defaultJoin } from './join/join.js';
import type { JoinReport } from './join/join-findings.js';
import { centreNamed, marksSeen } from './mark-sites/marks-in.js';
import type { Drawing } from './model/drawing.js';
import { openOutline } from './open-outline.js';
import { readDrawing } from './read.js';
import { type ProposedMarks, proposedMarks } from './roles/equal-crosses.js';
import { nestedOpenings } from './roles/nested-openings.js';
import { assignRoles, type RoleAssignment } from './roles/roles.js';

/** A mark, drawn or typed; design frame, mm. */
export interface ListedMark {
  readonly name: string;
  readonly at: Point;
  /** `typed` in the job, or the shapes whose centre it is. */
  readonly from: 'typed' | readonly string[];
}

/** A drawing with its shapes described. */
export interface ListedDrawing {
  /** The job whose drawing it is; undefined: it was listed on its own. */
  readonly job?: string;
  readonly drawing: Drawing;
  /**
   * What was said of the drawing when it was listed, or what its job says of its scale, as lines of
   * a job: `units: mm`.
   */
  readonly stated: readonly string[];
  readonly joined: JoinReport;
  readonly roles: RoleAssignment;
  /** Of all shapes; made when they are asked for. */
  readonly rows: readonly ShapeRow[];
  /**
   * Those that the job lists, else those drawn; made when they are asked for. A shape that is not
   * there has none.
   */
  readonly marks: readonly ListedMark[];
  /**
   * Shapes without a role that are probably the marks, where there are none; made when they are
   * asked for.
   */
  readonly proposed: ProposedMarks | undefined;
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
  const stated = Object.entries(options).map(([key, value]) => `${key}: ${value}`);
  return described(drawing, report, assignRoles(drawing, defaultRoles), { stated });
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
  return described(drawing, report, rolesOfJob(job, drawing), { job, stated: scaleStated(job) });
};

const scaleStated = ({ units, dpi }: Job): string[] => [
  ...(units === undefined ? [] : [`units: ${units}`]),
  ...(dpi === undefined ? [] : [`dpi: ${dpi}`]),
];

const described = (
  drawing: Drawing,
  joined: JoinReport,
  roles: RoleAssignment,
  { job, stated = [] }: { readonly job?: Job; readonly stated?: readonly string[] },
): ListedDrawing => {
  let rows: readonly ShapeRow[] | undefined;
  let marks: readonly ListedMark[] | undefined;
  let proposed: { readonly marks: ProposedMarks | undefined } | undefined;
  return {
    ...(job === undefined ? {} : { job: job.path }),
    stated,
    drawing,
    joined,
    roles,
    get rows() {
      rows ??= describeDrawing(roles);
      return rows;
    },
    get marks() {
      marks ??= job?.marks === undefined ? drawnMarksOf(roles) : listedMarksOf(job.marks, drawing);
      return marks;
    },
    get proposed() {
      proposed ??= { marks: job?.marks === undefined ? proposedMarks(drawing, roles) : undefined };
      return proposed.marks;
    },
    warnings: [
      ...scaleWarnings(drawing, roles, job?.machine),
      ...drawing.warnings,
      ...roles.warnings,
      ...openOutline(roles, joined.distance).map(withFirstStep),
      // Where roles are in doubt, so is what is an island.
      ...(roles.doubt === undefined ? nestedOpenings(roles) : []),
    ],
  };
};

const drawnMarksOf = (roles: RoleAssignment): ListedMark[] =>
  roles.marks.length === 0
    ? []
    : marksSeen(roles).map(({ name, centre, shapes }) => ({
        name,
        at: centre,
        from: shapes.map(({ id }) => id),
      }));

const listedMarksOf = (marks: NonNullable<Job['marks']>, drawing: Drawing): ListedMark[] =>
  [...marks].flatMap(([name, source]): ListedMark[] => {
    if ('at' in source) return [{ name, at: source.at, from: 'typed' }];
    const at = centreNamed(drawing, source.shape);
    return at === undefined ? [] : [{ name, at, from: [source.shape] }];
  });

/** A list shows no advice beside its warnings. */
const withFirstStep = (warning: Warning): Warning => {
  const step = warning.remedies?.[0]?.step;
  return step === undefined
    ? warning
    : { ...warning, message: `${warning.message} ${step.slice(0, 1).toUpperCase()}${step.slice(1)}.` };
};
