/** The verdict on a job, with all that objects to it. */

import type { Finding } from '../../cut/findings/finding.js';
import { doubtIn } from '../../fit/doubts/doubted.js';
import type { Fit } from '../../fit/fit.js';
import { contextOf } from '../../fit/job/job-context.js';
import type { FittedJob, LoadedJob } from '../../fit/job/loaded-job.js';
import { claimedFit, typedStep } from '../../fit/solve/last-digit.js';
import { mapErrors } from '../../fit/solve/map-error.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { unreadMarks } from '../../marks/resolve-marks.js';
import { turningAssumptions } from '../advice/assumptions.js';
import { type CheckInput, checkFit } from '../check.js';
import type { Check } from '../check-result.js';
import { hasBound, missingBound } from '../edges/line-edges.js';
import { objectionsTo, withObjections } from '../proof.js';
import { spoiledBy } from '../spoiled.js';
import { commonOf, unstatedOf } from './common-of-job.js';

/** How thoroughly, see CheckInput. */
export type JudgeOptions = Partial<Pick<CheckInput, 'onlyNearest' | 'brief' | 'draws'>>;

/**
 * @param warnings of the job, its fit and, where there is one, its cut
 * @param findings of the cut
 */
export const judgeJob = (
  loaded: LoadedJob,
  { observations, options }: Pick<FittedJob, 'observations' | 'options'>,
  fit: Fit,
  warnings: readonly Warning[],
  findings: readonly Finding[],
  how: JudgeOptions = {},
): Check => {
  const { job, edges, marks, touches } = loaded;
  const unread = unreadMarks(job, marks);
  const check = checkFit({
    fit: fit.unplaced ? fit : judgedFit(job, fit),
    observations,
    touches,
    options,
    openings: edges,
    face: job.face,
    pierced: job.pierced,
    cut: job.cut,
    check: job.check,
    machineErrors: fit.unplaced
      ? []
      : mapErrors({ observations, touches, options, context: contextOf(loaded), fit }, job.machine),
    common: commonOf(loaded),
    ...(fit.unplaced ? {} : { unstated: unstatedOf(job) }),
    ...how,
    unreadMarks: new Map(unread.map((name) => [name, marks.get(name)!])),
  });
  return withObjections(
    check,
    objectionsTo(fit, warnings, [
      ...spoiledBy(findings, job.cut.kind),
      ...(check.verdict === 'fits' ? turningAssumptions(check.assumptions ?? []) : []),
    ]),
  );
};

/** Errors drawn while a hand moves the clearance: a tenth of those of a check, so that it follows. */
const quickDraws = 256;

/**
 * The verdict at another clearance, as `judgeJob` gives it, from fewer draws and without advice; nothing else of the job is worked
 * out again.
 * @param findings of the cut at that clearance
 */
export const judgeAt = (
  loaded: LoadedJob,
  clearance: number,
  fitted: Pick<FittedJob, 'observations' | 'options'>,
  fit: Fit,
  warnings: readonly Warning[],
  findings: readonly Finding[],
): Check => {
  const { job } = loaded;
  const there: Job =
    job.cut.kind === 'as-drawn'
      ? { ...job, check: { ...job.check, allowedDeviation: clearance } }
      : { ...job, cut: { ...job.cut, clearance } };
  const how = { onlyNearest: true, brief: true, draws: quickDraws };
  return judgeJob({ ...loaded, job: there }, fitted, fit, warnings, findings, how);
};

/** The fit with as much of its uncertainty as a verdict may rest on. */
export const judgedFit = ({ readings, touches = [], witness = [] }: Job, fit: Fit): Fit =>
  claimedFit(fit, typedStep([...readings, ...touches, ...witness].flatMap(({ at }) => at)));

/** @throws InputError for a cut as drawn that states no allowed deviation; it names the one that would fit */
export const refuseMissingBound = (
  loaded: LoadedJob,
  fitted: FittedJob,
  fit: Fit,
  warnings: readonly Warning[],
): void => {
  const { job } = loaded;
  if (hasBound(job)) return;
  // What is needed is the same whatever is allowed.
  const allowing = { ...loaded, job: { ...job, check: { ...job.check, allowedDeviation: 1 } } };
  const { neededClearance } = judgeJob(allowing, fitted, fit, warnings, []);
  throw missingBound(job, doubtIn(warnings), neededClearance);
};
