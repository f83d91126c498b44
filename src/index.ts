/** Public API: re-exports only. src/reseat.ts is the whole job in order; start reading there. */

export {
  type Calibrated,
  type CalibrateOptions,
  calibrate,
  type PartResult,
} from './calibration/calibrate.js';
export { type Drift, type DriftJob, driftOf } from './calibration/drift.js';
export { materialWarnings, movementOf } from './calibration/material.js';
export type { Proposal } from './calibration/proposal.js';
export { type Rule, readRule } from './calibration/rule.js';
export { layOutSheet, type Sheet, usualSheet } from './calibration/sheet.js';
export { sheetSvg } from './calibration/sheet-drawing.js';
export { beamForm, bedForm, kerfForm, pointerForm } from './calibration/sheet-forms.js';
export type { CutPath, CutResult, ThinLand } from './cut/cut.js';
export { cutOpenings } from './cut/cut.js';
export type { FilmPlan, FilmSeam, FilmStrip } from './cut/film.js';
export type { Finding, FindingCode } from './cut/finding.js';
export { findingsOfCut } from './cut/remains-of-cut.js';
export { type CutFile, type CutFilePath, type CutFormat, cutFormats, formatOf } from './drawing/cut-file.js';
export type { ShapeRow } from './drawing/describe.js';
export type { Drawing, LeftOut, Role, Shape } from './drawing/drawing.js';
export { type JoinedDrawing, type JoinOptions, type JoinReport, joinDrawing } from './drawing/join/join.js';
export { type ListedDrawing, listDrawing, listJob } from './drawing/list-drawing.js';
export {
  type DrawingFormat,
  drawingFormatOf,
  layerForMarks,
  type MarkedDrawing,
  markedDrawing,
  markRadius,
  type NewMark,
} from './drawing/marked-drawing.js';
export { type DrawnMark, marksIn } from './drawing/marks-in.js';
export { pathData } from './drawing/path-data.js';
export { readDrawing } from './drawing/read.js';
export { millimetresIn } from './drawing/units.js';
export { writeCutFile } from './drawing/write.js';
export { adjust } from './fit/adjust.js';
export { applicableTransform, openingPoints } from './fit/applicable.js';
export { type Doubt, doubtIn } from './fit/doubted.js';
export type {
  Fit,
  FitFailure,
  FitOptions,
  FitOutcome,
  FittedMark,
  FittedTouch,
  Observation,
} from './fit/fit.js';
export { fitOptionsOf } from './fit/options.js';
export { fittedPosition, positionCovariance, positionJacobian } from './fit/position.js';
export { type ReviewContext, reviewFit } from './fit/warnings.js';
export type { Matrix } from './geometry/affine.js';
export type { Arc, Cubic, EllipticalArc, Line, Path, Segment } from './geometry/curve.js';
export type { Box, Point } from './geometry/point.js';
export { type Bound, type BoundName, bounds, limits, type NumberRule } from './job/bounds.js';
export { cautions } from './job/cautions.js';
export { isDate } from './job/dates.js';
export { decodeText } from './job/decode-text.js';
export { besideJob, type Files } from './job/files.js';
export type {
  Film,
  Job,
  JobMaterial,
  LengthUnit,
  Machine,
  MachinePart,
  Material,
  Model,
  PixelsToInch,
  Roles,
} from './job/job.js';
export { InputError, type Warning, type WarningCode, type Where } from './job/messages.js';
export { nearestWord } from './job/nearest.js';
export { readJob } from './job/read-job.js';
export { readProfileText } from './job/read-machine.js';
export { displayToTrue, trueToMachineMatrix, trueToPointer } from './marks/frames.js';
export { type Plan, type PlannedPattern, type PlannedPlace, planMarks } from './plan/plan.js';
export { type CalibrationJson, calibrationJson } from './report/calibration-json.js';
export { calibrationText } from './report/calibration-text.js';
export { type CheckJson, type CheckReport, checkJson } from './report/check-json.js';
export { checkText, verdictWords } from './report/check-text.js';
export { type CutJson, type CutReport, cutJson } from './report/cut-json.js';
export { cautionsText, cutText } from './report/cut-text.js';
export { type DriftJson, driftJson, driftText } from './report/drift-report.js';
export { failureText, faultText } from './report/fault-text.js';
export type { FilmJson } from './report/film-report.js';
export { type FitJson, fitJson, type MarkJson, type TouchJson } from './report/fit-json.js';
export { doubtWord, firstStep, fitText } from './report/fit-text.js';
export { type JobInPicture, jobPicture } from './report/job-picture.js';
export { shellWord } from './report/layout.js';
export { type ListJson, listJson } from './report/list-json.js';
export { listPicture } from './report/list-picture.js';
export { listText } from './report/list-text.js';
export { pictureSvg } from './report/picture.js';
export type {
  PictureDetail,
  PictureFilm,
  PictureInput,
  PictureLand,
  PictureMark,
  PictureRole,
  PictureShape,
} from './report/picture-input.js';
export { type PlanJson, planJson } from './report/plan-json.js';
export { type PlanInPicture, planPicture } from './report/plan-picture.js';
export { planText } from './report/plan-text.js';
export { type ScanJson, scanJson } from './report/scan-json.js';
export { scanPictureSvg } from './report/scan-picture.js';
export { scanText } from './report/scan-text.js';
export { schemaVersion } from './report/schema-version.js';
export { sheetForm } from './report/sheet-form.js';
export {
  type CheckJob,
  type CutJob,
  checkJob,
  commonOf,
  cutJob,
  type FittedJob,
  findingsOfJob,
  fitJob,
  judgedFit,
  type LoadedJob,
  type LoadedPlan,
  loadJob,
  loadPlan,
  planJob,
} from './reseat.js';
export { type DecodedPicture, decodePicture, shrunkPicture } from './scan/decode.js';
export type { GreyPicture, PixelSize } from './scan/grey-picture.js';
export { type KnownLength, type KnownScale, knownScale, readKnownLength } from './scan/known.js';
export {
  type Scan,
  type ScannedEdge,
  type ScanSettings,
  scanPicture,
  type Tone,
  usualSmallest,
} from './scan/scan.js';
export { scanDxf, scanSvg, segmentsOf } from './scan/scan-drawing.js';
export { type Check, type CheckInput, checkFit, type OpeningCheck } from './verdict/check.js';
export type { Verdict } from './verdict/decide.js';
export { type Edge, type EdgeSettings, placedEdges } from './verdict/edge.js';
export { type CutUncertainty, type ErrorField, errorField } from './verdict/error-field.js';
export { hasBound } from './verdict/line-edges.js';
export { type NextStep, nextStep } from './verdict/next-step.js';
export { grossContradiction, type Objection, objectionsTo, withObjections } from './verdict/proof.js';
export { assessRisk, type JobRisk, type OpeningRisk, type RiskInput } from './verdict/risk.js';
export { spoiledBy } from './verdict/spoiled.js';
export type { WitnessPoint } from './verdict/witness.js';
