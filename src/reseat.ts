/**
 * The whole job in order. Everything else is one of these steps:
 *
 *     design --(face)--> design --fit--> true bed mm --clearance, kerf--> true bed mm --bed map^-1, beam offset--> machine
 */
import { checkBed } from './cut/bed.js';
import { type CutResult, cutOpenings } from './cut/cut.js';
import type { CutFile } from './drawing/cut-file.js';
import type { Drawing } from './drawing/drawing.js';
import { readDrawing } from './drawing/read.js';
import { assignRoles, type RoleAssignment } from './drawing/roles.js';
import { adjust } from './fit/adjust.js';
import type { Fit, FitFailure, FitOutcome, Observation } from './fit/fit.js';
import { compose } from './geometry/affine.js';
import type { Point } from './geometry/point.js';
import { besideJob, type Files } from './job/files.js';
import { type Job, whereInJob } from './job/job.js';
import { InputError, type Warning } from './job/messages.js';
import { readJob } from './job/read-job.js';
import { drawnMarks } from './marks/drawn-marks.js';
import { faceMatrix, trueToMachineMatrix } from './marks/frames.js';
import { observationsOf } from './marks/marks.js';
import { resolveMarks } from './marks/resolve-marks.js';

/** A job with everything it names read and understood. */
export interface LoadedJob {
  readonly job: Job;
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
  /** Design frame, before `face`, mm. */
  readonly marks: ReadonlyMap<string, Point>;
  readonly observations: readonly Observation[];
  readonly warnings: readonly Warning[];
}

/**
 * Reads a job file, its machine, its readings and its drawing.
 *
 * @param source the path as given, for messages, and the text of the job file
 * @throws InputError at the first thing that is wrong
 */
export const loadJob = (
  source: { readonly path: string; readonly text: string },
  files: Files,
): LoadedJob => {
  const job = readJob(source, files);
  const bytes = files.read(job.drawing);
  if (bytes === undefined) {
    throw new InputError({
      found: `the drawing ${job.drawing}, which is not there`,
      expected: `a file ${besideJob(job.path, job.drawing)}`,
      where: whereInJob(job, 'drawing'),
      next: 'Correct the path; it counts from the folder of the job file.',
    });
  }
  const drawing = readDrawing(bytes, {
    path: besideJob(job.path, job.drawing),
    ...(job.units === undefined ? {} : { units: job.units }),
  });
  const roles = assignRoles(drawing, job.roles);
  const drawn = drawnMarks(drawing, roles, job.readings);
  const marks = resolveMarks(job, drawn);
  const observations = observationsOf(job, marks, drawn);
  return { job, drawing, roles, marks, observations, warnings: [...drawing.warnings, ...roles.warnings] };
};

/** Where the part lies. */
export interface FittedJob {
  readonly outcome: FitOutcome;
  /** Of the job and its fit. */
  readonly warnings: readonly Warning[];
}

/** Fits the job's model to its readings. */
export const fitJob = ({ job, observations, warnings }: LoadedJob): FittedJob => {
  const outcome = adjust(observations, job.fit);
  return { outcome, warnings };
};

/** The cut of a job, or why its part cannot be placed. */
export type CutJob =
  | { readonly ok: false; readonly failure: FitFailure }
  | {
      readonly ok: true;
      readonly fit: Fit;
      readonly cut: CutResult;
      /** What a writer takes. */
      readonly file: CutFile;
      /** Of the job and its fit. */
      readonly fitWarnings: readonly Warning[];
      /** Of the job, its fit and its cut. */
      readonly warnings: readonly Warning[];
    };

/**
 * Fits the job and makes the paths of its cut.
 *
 * @throws InputError when there is nothing to cut, or a path lies off a bed of known size
 */
export const cutJob = (loaded: LoadedJob): CutJob => {
  const { job, roles } = loaded;
  const { outcome, warnings: fitWarnings } = fitJob(loaded);
  if (!outcome.ok) return outcome;
  const { fit } = outcome;
  const cut = cutOpenings({
    openings: roles.openings,
    outline: roles.outline,
    toBed: compose(fit.matrix, faceMatrix(job.face)),
    toMachine: trueToMachineMatrix(job.machine),
    pierced: job.pierced,
    cut: job.cut,
  });
  if (cut.paths.length === 0) throw nothingToCut(loaded, cut);
  const bedWarnings = checkBed(cut.paths, job.machine, { file: job.path });
  const file: CutFile = {
    axes: job.machine.axes,
    ...(job.machine.size === undefined ? {} : { size: job.machine.size }),
    paths: cut.paths.map(({ segments, openings }) => ({ segments, layer: 'cut', id: openings.join('+') })),
  };
  const warnings = [...fitWarnings, ...cut.warnings, ...bedWarnings];
  return { ok: true, fit, cut, file, fitWarnings, warnings };
};

const nothingToCut = ({ job, drawing, roles }: LoadedJob, cut: CutResult): InputError =>
  cut.vanished.length > 0
    ? new InputError({
        found: `no path to cut: nothing is left of any of the ${roles.openings.length} openings`,
        expected: 'openings wider than the offset on both sides',
        where: whereInJob(job, 'cut.clearance'),
        next: 'Make "clearance" smaller, or check the unit of the drawing.',
      })
    : new InputError({
        found: 'no closed path among the openings',
        expected: `openings in the layer "${job.roles.openings}" of the drawing`,
        where: { file: drawing.path },
        next: 'Call "reseat list" on the drawing and name the openings under "roles:".',
      });
