/** What the command line and the page need beside the public API; not shipped as such, and free to change. */

export { calibrate } from './calibration/calibrate.js';
export { type DriftJob, driftOf } from './calibration/drift.js';
export { readRule } from './calibration/parts/rule.js';
export { sheetOnBed } from './calibration/sheet/sheet.js';
export { sheetDxf, sheetSvg } from './calibration/sheet/sheet-drawing.js';
export { beamForm, bedForm, kerfForm, pointerForm } from './calibration/sheet/sheet-forms.js';
export { cutOpenings } from './cut/cut.js';
export { findingsOfJob } from './cut/job/cut-input.js';
export { type ListedDrawing, listDrawing, listJob } from './drawing/list-drawing.js';
export { marksIn } from './drawing/mark-sites/marks-in.js';
export { millimetresIn } from './drawing/model/units.js';
export { drawingFormatOf, layerForMarks, markedDrawing, markRadius } from './drawing/write/marked-drawing.js';
export { pathData } from './drawing/write/path-data.js';
export { applicableTransform, openingPoints } from './fit/applicable.js';
export { type Doubt, doubtIn } from './fit/doubts/doubted.js';
export { fitOptionsOf } from './fit/options.js';
export { positionCovariance } from './fit/solve/position.js';
export * from './index.js';
export type { Inspection } from './inspect/inspection.js';
export { type LearningPiece, learnInto } from './inspect/learn-profile.js';
export { type InspectedPiece, judgePieces } from './inspect/pieces.js';
export {
  allWarnings,
  expectedGap,
  type InspectableFit,
  type InspectableJob,
  inspectable,
  inspectByHand,
  inspectGaps,
  inspectScan,
  pieceSays,
  placesOf,
  statedRisk,
  toDrawing,
} from './inspected-job.js';
export { bounds, limits } from './job/bounds.js';
export { cautions } from './job/cautions.js';
export { isDate } from './job/dates.js';
export { decodeText } from './job/decode-text.js';
export { besideJob } from './job/files.js';
export type { MachinePart, PixelsToInch } from './job/job.js';
export { jobKeys } from './job/job-keys.js';
export { nearestWord } from './job/nearest.js';
export { readProfileText } from './job/read/read-machine.js';
export { trueToMachineMatrix, trueToPointer } from './marks/frames.js';
export { driftJson, driftText } from './report/drift-report.js';
export { calibrationJson } from './report/json/calibration-json.js';
export { type InspectReport, inspectJson } from './report/json/inspect-json.js';
export { listJson } from './report/json/list-json.js';
export { scanJson } from './report/json/scan-json.js';
export { sheetForm } from './report/paper/sheet-form.js';
export { inspectionPictureSvg } from './report/picture/inspect-picture.js';
export { listPicture } from './report/picture/list/list-picture.js';
export { planPicture } from './report/picture/plan/plan-picture.js';
export { scanPictureSvg } from './report/picture/scan-picture.js';
export { diamond, saltire, signs, triangle } from './report/picture/signs.js';
export { piecesJson, piecesText } from './report/pieces-report.js';
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
export { knownScale, readKnownLength } from './scan/known.js';
export { type DecodedPicture, decodePicture, shrunkPicture } from './scan/picture/decode.js';
export { scanPicture, type Tone, usualSmallest } from './scan/scan.js';
export { scanDxf, scanSvg } from './scan/scan-drawing.js';
export { nextStep } from './verdict/advice/next-step.js';
export { placedEdges } from './verdict/edges/edge.js';
export { hasBound } from './verdict/edges/line-edges.js';
export { judgeAt, judgedFit } from './verdict/job/judge-job.js';
