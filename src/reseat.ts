/**
 * The whole job in order. Everything else is one of these steps:
 *
 *     design --(face)--> design --fit--> true bed mm --clearance, kerf--> true bed mm --bed map^-1, beam offset--> machine
 */
import { ageWarnings, doubtBed } from './calibration/age.js';
import { materialOfJob } from './calibration/material.js';
import { checkBed } from './cut/bed.js';
import { inOrderOfWeight } from './cut/cut-warnings.js';
import { findingWarnings } from './cut/findings/finding-words.js';
import { refuseEmptyCut } from './cut/findings/nothing-left.js';
import { cutFileOf, cutOf, filmOf } from './cut/job/cut-file.js';
import { cutInput, findingsOfJob } from './cut/job/cut-input.js';
import { edgesToCut, refuseDoubt } from './cut/job/edges-to-cut.js';
import { openPathWarnings } from './cut/job/nearly-closed.js';
import { judgeRims } from './cut/measured.js';
import { edgesOffBed, readingsOffBed, withReadingsOffBed } from './cut/off-bed.js';
import { panelBox, scaleWarnings } from './drawing/assumed-scale.js';
import { withEdgeSd } from './drawing/edge-sd.js';
import { drawingOf, joinedDrawingOf, rolesOfJob } from './drawing/job-drawing.js';
import { refuseDoubtfulRoles } from './drawing/roles/assumed-warning.js';
import { doubtIn } from './fit/doubts/doubted.js';
import { checkScale } from './fit/doubts/other-scale.js';
import { placesFirst } from './fit/job/common-cause.js';
import { fitLoaded } from './fit/job/fit-loaded.js';
import type { FittedJob, LoadedJob } from './fit/job/loaded-job.js';
import { fitOptionsOf } from './fit/options.js';
import { refuseFit, unplacedWarning, whereDrawn } from './fit/unplaced.js';
import type { Point } from './geometry/point.js';
import type { Files } from './job/files.js';
import { isUnplaced, type Job, whereInJob } from './job/job.js';
import type { Warning } from './job/messages.js';
import { readJob } from './job/read/read-job.js';
import { approachWarnings } from './marks/approach.js';
import { drawnMarks } from './marks/drawn-marks.js';
import { placesAround } from './marks/mark-ground.js';
import { observationsOf } from './marks/marks.js';
import { resolveMarks } from './marks/resolve-marks.js';
import { touchesOf } from './marks/touches.js';
import { placeWarnings } from './marks/typed-marks.js';
import { type Plan, planMarks } from './plan/plan.js';
import type { PlanInput } from './plan/plan-input.js';
import { refuseStrayWitness, typedWitness } from './verdict/advice/stray-witness.js';
import { hasBound } from './verdict/edges/line-edges.js';
import { judgeJob, refuseMissingBound } from './verdict/job/judge-job.js';
import { isQuicklyChecked } from './verdict/job/quick.js';
import type { CheckJob, CutJob } from './verdict/job/results.js';
import { grossContradiction, whyUnproven } from './verdict/proof.js';

/** A job file as given: its path, for messages, and its text. */
export interface JobSource {
  readonly path: string;
  readonly text: string;
}

/**
 * Reads a job file, its machine, its readings and its drawing.
 *
 * @throws InputError at the first thing that is wrong
 */
export const loadJob = (source: JobSource, files: Files): LoadedJob => loaded(readJob(source, files), files);

/** A job with its drawing read, joined and understood. */
const withDrawing = (stated: Job, files: Files) => {
  const { drawing } = joinedDrawingOf(stated, drawingOf(stated, files));
  const job = withEdgeSd(stated, drawing);
  return { job, drawing, roles: rolesOfJob(job, drawing) };
};

const loaded = (stated: Job, files: Files): LoadedJob => {
  const { job, drawing, roles } = withDrawing(stated, files);
  const drawn = drawnMarks(drawing, roles, job.readings);
  const marks = resolveMarks(job, drawn);
  const observations = observationsOf(job, marks, drawn);
  // On which side of an edge the material lies hangs on its role.
  if (job.touches !== undefined) refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
  const touches = touchesOf(job, drawing, roles, marks);
  refuseStrayWitness(typedWitness(job), drawing.shapes, [...marks.values()]);
  const agree = checkScale(job, drawing, panelBox(drawing, roles), observations);
  const { edges, warnings: ofEdges } = edgesToCut(job, drawing, roles);
  const warnings = [
    ...placeWarnings(job, drawn, placesAround({ drawing, roles })),
    ...scaleWarnings(drawing, roles, job.machine, agree),
    ...openPathWarnings(drawing.warnings, job, roles),
    ...ofEdges,
    ...approachWarnings(job),
    ...ageWarnings(job.machine, job.date),
  ];
  const isScaleOpen = drawing.scale !== undefined && touches.length > 0;
  return {
    job,
    drawing,
    roles,
    marks,
    observations,
    touches,
    edges,
    ...(isScaleOpen ? { atScale: ({ keys }) => loaded({ ...job, ...keys }, files) } : {}),
    warnings,
  };
};

/**
 * Fits the job's model to its readings, and doubts them.
 *
 * @throws InputError for readings of one mark that lie millimetres apart, and for a job of pieces that need no placing
 */
export const fitJob = (loadedJob: LoadedJob): FittedJob => {
  const { job, roles, edges, warnings } = loadedJob;
  if (isUnplaced(job)) refuseFit(job);
  const fitted = fitLoaded(loadedJob);
  const { outcome } = fitted;
  const fit = outcome.ok ? outcome.fit : undefined;
  const ofReadings = withReadingsOffBed(
    doubtBed(fitted.warnings, job.machine),
    readingsOffBed(job, job.machine),
  );
  const ofParts = fit === undefined ? [] : [...edgesOffBed(edges, fit, job), ...judgeRims(fit, job)];
  const ofMaterial = materialOfJob(job, roles, fit);
  return { ...fitted, warnings: placesFirst([...ofReadings, ...ofParts, ...ofMaterial, ...warnings]) };
};

/** The fit; pieces from a board of their own lie where they are drawn, without one. */
const placeJob = (loadedJob: LoadedJob): FittedJob => {
  const { job, drawing, warnings } = loadedJob;
  if (!isUnplaced(job)) return fitJob(loadedJob);
  return {
    outcome: { ok: true, fit: whereDrawn(job, drawing) },
    observations: [],
    options: fitOptionsOf(job),
    warnings: [unplacedWarning(job), ...warnings],
  };
};

/**
 * Fits the job and says whether the error fits its clearance.
 *
 * @throws InputError when roles are in doubt, no opening has a closed path, and for a cut as drawn that states no allowed deviation
 */
export const checkJob = (loadedJob: LoadedJob): CheckJob => {
  refuseDoubt(loadedJob);
  const fitted = placeJob(loadedJob);
  const { outcome, warnings: fitWarnings } = fitted;
  if (!outcome.ok) return { ...outcome, warnings: fitWarnings };
  const { fit } = outcome;
  refuseMissingBound(loadedJob, fitted, fit, fitWarnings);
  const findings = findingsOfJob(loadedJob, fit);
  const check = judgeJob(loadedJob, fitted, fit, fitWarnings, findings);
  const ofPiece = findingWarnings(findings, loadedJob.job.cut.kind);
  return { ok: true, fit, check, fitWarnings, warnings: [...ofPiece, ...fitWarnings, ...check.warnings] };
};

/**
 * Fits the job and makes the paths of its cut.
 *
 * @throws InputError when roles are in doubt, there is nothing to cut, or a path lies off a bed of known size
 */
export const cutJob = (loadedJob: LoadedJob): CutJob => {
  refuseDoubt(loadedJob);
  const { job, edges } = loadedJob;
  const fitted = placeJob(loadedJob);
  const { outcome, warnings: fitWarnings } = fitted;
  if (!outcome.ok) return { ...outcome, warnings: fitWarnings };
  const { fit } = outcome;
  const input = cutInput(loadedJob, fit);
  const cut = cutOf(input);
  refuseEmptyCut(cut, job, input.openings);
  const cause = doubtIn(fitWarnings.filter(({ code }) => code !== 'outside-bed'));
  const ofBed = checkBed(cut.paths, job.machine, { file: job.path }, cause?.remedies[0]?.step);
  const film = filmOf(job, fit, input, cut.paths);
  const warnings = [...inOrderOfWeight(fitWarnings, cut.warnings), ...(film?.warnings ?? []), ...ofBed];
  const isJudged = hasBound(job) && isQuicklyChecked(edges, job.cut.kind);
  const check = isJudged
    ? judgeJob(loadedJob, fitted, fit, warnings, cut.findings, { onlyNearest: true })
    : undefined;
  const unproven = whyUnproven(job, check);
  const contradiction = grossContradiction(fit, job);
  return {
    ok: true,
    fit,
    cut,
    file: cutFileOf(job, cut.paths, unproven),
    ...(film ? { film } : {}),
    ...(check ? { check } : {}),
    ...(unproven === undefined ? {} : { unproven }),
    ...(contradiction === undefined ? {} : { contradiction }),
    fitWarnings,
    warnings,
  };
};

/** A job before anything is pierced, with its drawing read and understood. */
export interface LoadedPlan extends PlanInput {
  readonly warnings: readonly Warning[];
}

/**
 * Reads a job file for its plan: it needs no readings, and no marks.
 *
 * @throws InputError at the first thing that is wrong
 */
export const loadPlan = (source: JobSource, files: Files): LoadedPlan => {
  const { job, drawing, roles } = withDrawing(readJob(source, files, { withoutReadings: true }), files);
  refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
  const drawn = drawnMarks(drawing, roles, []);
  const isMarked = job.marks !== undefined || drawn.marks.size > 0;
  const present = isMarked ? resolveMarks({ ...job, readings: [] }, drawn) : new Map<string, Point>();
  const { edges, warnings: ofEdges } = edgesToCut(job, drawing, roles);
  const warnings = [
    ...scaleWarnings(drawing, roles, job.machine),
    ...drawing.warnings,
    ...ofEdges,
    ...ageWarnings(job.machine, job.date),
  ];
  return { job, drawing, roles, edges, present, warnings };
};

/** Where to put marks, or what to touch, so that the worst opening needs the least clearance. */
export const planJob = (loadedPlan: LoadedPlan): Plan => {
  const plan = planMarks(loadedPlan);
  return { ...plan, warnings: [...loadedPlan.warnings, ...plan.warnings] };
};
