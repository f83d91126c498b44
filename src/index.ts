/** Public API: re-exports only. src/reseat.ts is the whole job in order; start reading there. */

export {
  type Calibrated,
  type CalibrateOptions,
  calibrate,
  type PartResult,
} from './calibration/calibrate.js';
export { type Drift, type DriftJob, driftOf } from './calibration/drift.js';
export { materialWarnings, movementOf } from './calibration/material.js';
export { type Rule, readRule } from './calibration/parts/rule.js';
export type { Proposal } from './calibration/proposal.js';
export { layOutSheet, type Sheet, usualSheet } from './calibration/sheet/sheet.js';
export { sheetSvg } from './calibration/sheet/sheet-drawing.js';
export { beamForm, bedForm, kerfForm, pointerForm } from './calibration/sheet/sheet-forms.js';
export type { CutPath, CutResult, ThinLand } from './cut/cut.js';
export { cutOpenings } from './cut/cut.js';
export type { FilmPlan, FilmSeam, FilmStrip } from './cut/film/film.js';
export type { Finding, FindingCode } from './cut/findings/finding.js';
export { findingsOfCut } from './cut/findings/remains-of-cut.js';
export type { ShapeRow } from './drawing/describe.js';
export { type JoinedDrawing, type JoinOptions, type JoinReport, joinDrawing } from './drawing/join/join.js';
export { type ListedDrawing, listDrawing, listJob } from './drawing/list-drawing.js';
export { type DrawnMark, marksIn } from './drawing/mark-sites/marks-in.js';
export type { Drawing, LeftOut, Role, Shape } from './drawing/model/drawing.js';
export { millimetresIn } from './drawing/model/units.js';
export { readDrawing } from './drawing/read.js';
export {
  type CutFile,
  type CutFilePath,
  type CutFormat,
  cutFormats,
  formatOf,
} from './drawing/write/cut-file.js';
export {
  type DrawingFormat,
  drawingFormatOf,
  layerForMarks,
  type MarkedDrawing,
  markedDrawing,
  markRadius,
  type NewMark,
} from './drawing/write/marked-drawing.js';
export { pathData } from './drawing/write/path-data.js';
export { writeCutFile } from './drawing/write/write.js';
export { adjust } from './fit/adjust.js';
export { applicableTransform, openingPoints } from './fit/applicable.js';
export { type Doubt, doubtIn } from './fit/doubts/doubted.js';
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
export { fittedPosition, positionCovariance, positionJacobian } from './fit/solve/position.js';
export { type ReviewContext, reviewFit } from './fit/warnings.js';
export type { Matrix } from './geometry/affine.js';
export type { Arc, Cubic, EllipticalArc, Line, Path, Segment } from './geometry/curve.js';
export type { Box, Point } from './geometry/point.js';
export {
  allWarnings,
  expectedGap,
  type InspectableFit,
  type InspectableJob,
  inspectable,
  inspectByHand,
  inspectGaps,
  placesOf,
  toDrawing,
} from './inspected-job.js';
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
export { jobKeys } from './job/job-keys.js';
export { InputError, type Warning, type WarningCode, type Where } from './job/messages.js';
export { nearestWord } from './job/nearest.js';
export { readJob } from './job/read/read-job.js';
export { readProfileText } from './job/read/read-machine.js';
export { displayToTrue, trueToMachineMatrix, trueToPointer } from './marks/frames.js';
export { type Plan, type PlannedPattern, type PlannedPlace, planMarks } from './plan/plan.js';
export { type DriftJson, driftJson, driftText } from './report/drift-report.js';
export type { FilmJson } from './report/film-report.js';
export { type CalibrationJson, calibrationJson } from './report/json/calibration-json.js';
export { type CheckJson, type CheckReport, checkJson } from './report/json/check-json.js';
export { type CutJson, type CutReport, cutJson } from './report/json/cut-json.js';
export { type FitJson, fitJson, type MarkJson, type TouchJson } from './report/json/fit-json.js';
export { type InspectJson, type InspectReport, inspectJson } from './report/json/inspect-json.js';
export { type ListJson, listJson } from './report/json/list-json.js';
export { type PlanJson, planJson } from './report/json/plan-json.js';
export { type ScanJson, scanJson } from './report/json/scan-json.js';
export { schemaVersion } from './report/json/schema-version.js';
export { sheetForm } from './report/paper/sheet-form.js';
export { type JobInPicture, jobPicture } from './report/picture/job-picture.js';
export { listPicture } from './report/picture/list-picture.js';
export { pictureSvg } from './report/picture/picture.js';
export type {
  PictureDetail,
  PictureFilm,
  PictureInput,
  PictureLand,
  PictureMark,
  PictureRole,
  PictureShape,
} from './report/picture/picture-input.js';
export { type PlanInPicture, planPicture } from './report/picture/plan/plan-picture.js';
export { scanPictureSvg } from './report/picture/scan-picture.js';
export { calibrationText } from './report/text/calibration-text.js';
export { checkText, verdictWords } from './report/text/check-text.js';
export { cautionsText, cutText } from './report/text/cut-text.js';
export { failureText, faultText } from './report/text/fault-text.js';
export { doubtWord, firstStep, fitText } from './report/text/fit-text.js';
export { inspectText } from './report/text/inspect-text.js';
export { shellWord } from './report/text/layout.js';
export { listText } from './report/text/list-text.js';
export { planText } from './report/text/plan-text.js';
export { scanText } from './report/text/scan-text.js';
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
export { type KnownLength, type KnownScale, knownScale, readKnownLength } from './scan/known.js';
export { type DecodedPicture, decodePicture, shrunkPicture } from './scan/picture/decode.js';
export type { GreyPicture, PixelSize } from './scan/picture/grey-picture.js';
export {
  type Scan,
  type ScannedEdge,
  type ScanSettings,
  scanPicture,
  type Tone,
  usualSmallest,
} from './scan/scan.js';
export { scanDxf, scanSvg, segmentsOf } from './scan/scan-drawing.js';
export { type NextStep, nextStep } from './verdict/advice/next-step.js';
export type { WitnessPoint } from './verdict/advice/witness.js';
export { type Check, type CheckInput, checkFit, type OpeningCheck } from './verdict/check.js';
export type { Verdict } from './verdict/decide.js';
export { type Edge, type EdgeSettings, placedEdges } from './verdict/edges/edge.js';
export { hasBound } from './verdict/edges/line-edges.js';
export { grossContradiction, type Objection, objectionsTo, withObjections } from './verdict/proof.js';
export { type CutUncertainty, type ErrorField, errorField } from './verdict/risk/error-field.js';
export { assessRisk, type JobRisk, type OpeningRisk, type RiskInput } from './verdict/risk/risk.js';
export { spoiledBy } from './verdict/spoiled.js';
