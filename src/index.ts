/** The stable public API: load, fit, check, cut, plan, their results, and the writer. src/reseat.ts is the job in order; start reading there. */

export type { CutPath, CutResult, ThinLand } from './cut/cut.js';
export type { FilmPlan, FilmSeam, FilmStrip } from './cut/film/film.js';
export type { Finding, FindingCode } from './cut/findings/finding.js';
export type { Drawing, LeftOut, Role, Shape } from './drawing/model/drawing.js';
export {
  type CutFile,
  type CutFilePath,
  type CutFormat,
  cutFormats,
  formatOf,
} from './drawing/write/cut-file.js';
export { writeCutFile } from './drawing/write/write.js';
export type {
  Fit,
  FitFailure,
  FitOptions,
  FitOutcome,
  FittedMark,
  FittedTouch,
  Observation,
} from './fit/fit.js';
export type { FittedJob, LoadedJob } from './fit/job/loaded-job.js';
export type { Matrix } from './geometry/affine.js';
export type { Arc, Cubic, EllipticalArc, Line, Path, Segment } from './geometry/curve.js';
export type { Box, Point } from './geometry/point.js';
export type { Files } from './job/files.js';
export type { Film, Job, JobMaterial, LengthUnit, Machine, Material, Model, Roles } from './job/job.js';
export { InputError, type Warning, type WarningCode, type Where } from './job/messages.js';
export type { Plan, PlannedPattern, PlannedPlace } from './plan/plan.js';
export type { FilmJson } from './report/film-report.js';
export { type CheckJson, type CheckReport, checkJson } from './report/json/check-json.js';
export { type CutJson, type CutReport, cutJson } from './report/json/cut-json.js';
export { type FitJson, fitJson, type MarkJson, type TouchJson } from './report/json/fit-json.js';
export { type PlanJson, planJson } from './report/json/plan-json.js';
export { schemaVersion } from './report/json/schema-version.js';
export { jobPicture } from './report/picture/job/job-picture.js';
export { pictureSvg } from './report/picture/job/picture.js';
export {
  checkJob,
  cutJob,
  fitJob,
  type JobSource,
  type LoadedPlan,
  loadJob,
  loadPlan,
  planJob,
} from './reseat.js';
export type { WitnessPoint } from './verdict/advice/witness.js';
export type { Check, OpeningCheck } from './verdict/check-result.js';
export type { Verdict } from './verdict/decide.js';
export type { CheckJob, CutJob, FromFit } from './verdict/job/results.js';
export type { Objection } from './verdict/objection.js';
