/**
 * The whole job in order. Everything else is one of these steps:
 *
 *     design --(face)--> design --fit--> true bed mm --clearance, kerf--> true bed mm --bed map^-1, beam offset--> machine
 */
import { ageWarnings, doubtBed } from './calibration/age.js';
import { materialWarnings, panelLength } from './calibration/material.js';
import { cutAsDrawn, linesToCut } from './cut/as-drawn.js';
import { checkBed } from './cut/bed.js';
import { type CutInput, type CutResult, cutOpenings } from './cut/cut.js';
import { type FilmPlan, planFilm } from './cut/film/film.js';
import type { Finding } from './cut/findings/finding.js';
import { findingWarnings } from './cut/findings/finding-words.js';
import { refuseEmptyCut } from './cut/findings/nothing-left.js';
import { findingsOfCut } from './cut/findings/remains-of-cut.js';
import { asMeasured, judgeRims } from './cut/measured.js';
import { offBedWarnings, readingsOffBed } from './cut/off-bed.js';
import { type OtherScale, panelBox, scaleWarnings } from './drawing/assumed-scale.js';
import { drawingOf, joinedDrawingOf, rolesOfJob } from './drawing/job-drawing.js';
import { defaultJoin } from './drawing/join/join.js';
import { joinFor } from './drawing/join/join-warnings.js';
import type { Drawing, Shape } from './drawing/model/drawing.js';
import { refuseVast } from './drawing/model/vast.js';
import { openOutline } from './drawing/open-outline.js';
import { refuseDoubtfulRoles } from './drawing/roles/assumed-warning.js';
import { nestedOpenings } from './drawing/roles/nested-openings.js';
import type { RoleAssignment } from './drawing/roles/roles.js';
import type { CutFile } from './drawing/write/cut-file.js';
import { adjust } from './fit/adjust.js';
import { applicableTransform, openingPoints } from './fit/applicable.js';
import { doubtIn } from './fit/doubts/doubted.js';
import { failureOf, type OtherReadings, otherDisplayUnit, wrongBedMap } from './fit/doubts/other-readings.js';
import { bearsOut, checkScale, otherScale, scalesToTry } from './fit/doubts/other-scale.js';
import { changeKey, type Stated } from './fit/doubts/remedies.js';
import { refuseScatteredReadings } from './fit/doubts/repeats.js';
import { typedDesign } from './fit/doubts/typed-positions.js';
import type { Fit, FitFailure, FitOptions, FitOutcome, Observation } from './fit/fit.js';
import { type DisplayStep, displayStepOf, fitOptionsOf } from './fit/options.js';
import { withSharedSteps } from './fit/solve/display-step.js';
import { claimedFit, typedStep } from './fit/solve/last-digit.js';
import { mapErrors } from './fit/solve/map-error.js';
import type { TouchContext } from './fit/touches/touch-words.js';
import { type RimTrial, wrongRim } from './fit/touches/wrong-rim.js';
import { refuseFit, unplacedWarning, whereDrawn } from './fit/unplaced.js';
import { reviewFit } from './fit/warnings.js';
import { apply, compose } from './geometry/affine.js';
import { boxOfPoints, joinBoxes, type Point } from './geometry/point.js';
import { sizeOfPath } from './geometry/stored-path.js';
import type { Files } from './job/files.js';
import { isUnplaced, type Job, type JobReading, whereInJob } from './job/job.js';
import type { Warning } from './job/messages.js';
import { readJob } from './job/read/read-job.js';
import { toWrite } from './job/to-write.js';
import { approachWarnings } from './marks/approach.js';
import { drawnMarks } from './marks/drawn-marks.js';
import {
  displayToTrue,
  faceMatrix,
  trueToMachineMatrix,
  trueToPointer,
  trueToPointerMatrix,
} from './marks/frames.js';
import { observationsOf } from './marks/marks.js';
import { resolveMarks, unreadMarks } from './marks/resolve-marks.js';
import { asArrived, unknownOffsetSides, unknownSideOf } from './marks/sides.js';
import { isRoundEdge, type TouchReadings, touchableEdges, touchesOf } from './marks/touches.js';
import { type MarkGround, placeWarnings } from './marks/typed-marks.js';
import { type Plan, planMarks } from './plan/plan.js';
import type { PlanInput } from './plan/plan-input.js';
import { turningAssumptions, type Unstated } from './verdict/advice/assumptions.js';
import { refuseStrayWitness, typedWitness } from './verdict/advice/stray-witness.js';
import { type Check, checkFit } from './verdict/check.js';
import { hasBound, missingBound } from './verdict/edges/line-edges.js';
import { grossContradiction, objectionsTo, whyUnproven, withObjections } from './verdict/proof.js';
import type { CommonSettings } from './verdict/risk/common-errors.js';
import { spoiledBy } from './verdict/spoiled.js';

/** A job with everything it names read and understood. */
export interface LoadedJob {
  readonly job: Job;
  readonly drawing: Drawing;
  readonly roles: RoleAssignment;
  /** Design frame, before `face`, mm. */
  readonly marks: ReadonlyMap<string, Point>;
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  /** What is cut or cut beside: the openings; for a drawing cut as drawn all of its lines. */
  readonly edges: readonly Shape[];
  /** The same job with its drawing at another scale; present where the scale is assumed and edges were touched. */
  readonly atScale?: (scale: OtherScale) => LoadedJob;
  readonly warnings: readonly Warning[];
}

/**
 * Reads a job file, its machine, its readings and its drawing.
 *
 * @param source the path as given, for messages, and the text of the job file
 * @throws InputError at the first thing that is wrong
 */
export const loadJob = (source: { readonly path: string; readonly text: string }, files: Files): LoadedJob =>
  loaded(readJob(source, files), files);

/** The job, with the sd of the edges that its drawing states where the job states none. */
const withEdgeSd = (job: Job, { edgeSd }: Drawing): Job =>
  edgeSd === undefined || job.check.edgeSd !== undefined ? job : { ...job, check: { ...job.check, edgeSd } };

const loaded = (stated: Job, files: Files): LoadedJob => {
  const { drawing } = joinedDrawingOf(stated, drawingOf(stated, files));
  const job = withEdgeSd(stated, drawing);
  const roles = rolesOfJob(job, drawing);
  const drawn = drawnMarks(drawing, roles, job.readings);
  const marks = resolveMarks(job, drawn);
  const observations = observationsOf(job, marks, drawn);
  // On which side of an edge the material lies hangs on its role.
  if (job.touches !== undefined) refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
  const touches = touchesOf(job, drawing, roles, marks);
  refuseStrayWitness(typedWitness(job), drawing.shapes, [...marks.values()]);
  const agree = checkScale(job, drawing, panelBox(drawing, roles), observations);
  const edges = job.cut.kind === 'as-drawn' ? linesToCut(roles) : undefined;
  refuseVast(drawing, [...(edges?.shapes ?? roles.openings), ...roles.outline]);
  // Open lines are cut as drawn like all others: one that nearly closes is only told of as one that was not joined.
  const ofDrawing = drawing.warnings.map((warning): Warning => {
    if (warning.code !== 'open-path-left-out') return warning;
    return edges !== undefined
      ? { ...warning, code: 'lines-joined' }
      : doubtNearlyClosed(warning, job, roles);
  });
  const warnings = [
    ...placeWarnings(job, drawn, placesAround({ drawing, roles })),
    ...scaleWarnings(drawing, roles, job.machine, agree),
    ...ofDrawing,
    ...(edges?.warnings ?? [...openOutline(roles, job.join), ...ofOpenings(roles)]),
    ...approachWarnings(job),
    ...ageWarnings(job.machine, job.date),
  ];
  return {
    job,
    drawing,
    roles,
    marks,
    observations,
    touches,
    edges: edges?.shapes ?? roles.openings,
    ...(drawing.scale === undefined || touches.length === 0
      ? {}
      : { atScale: ({ keys }: OtherScale) => loaded({ ...job, ...keys }, files) }),
    warnings,
  };
};

/** An opening that nearly closes is not cut: what was meant has to be said. */
const doubtNearlyClosed = (warning: Warning, job: Job, { openOpenings }: RoleAssignment): Warning => {
  const distance = job.join ?? defaultJoin;
  const nearly = openOpenings.filter(({ openGap }) => openGap !== undefined && openGap.gap > distance);
  if (nearly.length === 0) return warning;
  const value = joinFor(Math.max(...nearly.map(({ openGap }) => openGap!.gap)));
  const names = nearly.map(({ id }) => `"not ${id}"`);
  const shown = names.length > 3 ? [...names.slice(0, 3), '...'] : names;
  return {
    ...warning,
    remedies: [
      ...(value === undefined
        ? []
        : [changeKey('join', value, ', which closes it', { toWrite: (key, to) => toWrite(job, key, to) })]),
      {
        kind: 'change-job',
        step: `close it in the drawing; or write ${shown.join(', ')} among the openings under "roles:", if it is none`,
      },
    ],
  };
};

const groundOf = ({ drawing, roles }: Pick<LoadedJob, 'drawing' | 'roles'>): MarkGround => {
  const panel = panelBox(drawing, roles);
  const { page } = drawing;
  return { ...(panel === undefined ? {} : { panel }), ...(page === undefined ? {} : { page }) };
};

/** Where marks may lie: without an outline the panel reaches past its openings, nobody knows how far, and over the page. */
const placesAround = (loaded: Pick<LoadedJob, 'drawing' | 'roles'>): MarkGround => {
  const ground = groundOf(loaded);
  if (ground.panel === undefined || loaded.roles.outline.length > 0) return ground;
  const { minX, minY, maxX, maxY } = ground.panel;
  const past = Math.max(maxX - minX, maxY - minY);
  const around = { minX: minX - past, minY: minY - past, maxX: maxX + past, maxY: maxY + past };
  return { ...ground, panel: ground.page === undefined ? around : joinBoxes(around, ground.page) };
};

/** Lines that are cut as drawn are cut whatever their roles. */
const refuseDoubt = ({ job, roles }: LoadedJob): void => {
  if (job.cut.kind !== 'as-drawn') refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
};

const ofOpenings = (roles: RoleAssignment): Warning[] => [...roles.warnings, ...nestedOpenings(roles)];

/** @throws InputError where the touches contradict an assumed scale, and bear out another one */
const refuseScaleOfTouches = ({ atScale, ...asAssumed }: LoadedJob): void => {
  const { scale } = asAssumed.drawing;
  if (atScale === undefined || scale === undefined) return;
  const rigid = ({ job, roles, observations, touches }: LoadedJob): FitOutcome =>
    adjust(observations, { ...job.fit, model: 'rigid' }, touches, contextOf({ job, roles }));
  if (bearsOut(rigid(asAssumed))) return;
  const other = scalesToTry(scale).find((one) => bearsOut(rigid(atScale(one))));
  if (other !== undefined)
    throw otherScale(asAssumed.job, 'touches that lie on no edge of the drawing', other);
};

const statedIn = (job: Job): Stated => ({
  face: job.face,
  axes: job.machine.axes,
  axesAssumed: job.machine.axesAssumed ?? false,
  faceAssumed: job.faceAssumed ?? false,
  toWrite: (key, value) => toWrite(job, key, value),
});

export const contextOf = ({ job, roles }: Pick<LoadedJob, 'job' | 'roles'>): TouchContext => ({
  stated: statedIn(job),
  toDisplay: trueToPointer(job.machine),
  touchable: () => touchableEdges(job, roles),
});

/** Where the part lies. */
export interface FittedJob {
  readonly outcome: FitOutcome;
  /** What the fit was made of: as loaded, and which of them the display rounds alike. */
  readonly observations: readonly Observation[];
  readonly options: FitOptions;
  readonly displayStep?: DisplayStep;
  /** Of the job and its fit. */
  readonly warnings: readonly Warning[];
}

/**
 * Fits the job's model to its readings, and doubts them.
 *
 * @throws InputError for readings of one mark that lie millimetres apart, and for a job of pieces that need no placing
 */
export const fitJob = (loaded: LoadedJob): FittedJob => {
  if (isUnplaced(loaded.job)) refuseFit(loaded.job);
  const { job, roles, touches, warnings } = loaded;
  refuseScaleOfTouches(loaded);
  const options = fitOptionsOf(job, commonOf(loaded).panel);
  const displayStep = displayStepOf(job);
  const adjusted = adjustJob(loaded, options);
  const { observations } = adjusted;
  const cause = causeOfAll(loaded, options, adjusted.outcome);
  const outcome =
    adjusted.outcome.ok || cause === undefined
      ? adjusted.outcome
      : { ok: false as const, failure: failureOf(cause, adjusted.outcome.failure) };
  const inOrder: readonly Pick<JobReading, 'at' | 'directions'>[] = [...job.readings, ...(job.witness ?? [])];
  const toTrue = displayToTrue(job.machine);
  const design = touches.length > 0 ? undefined : typedDesign(job, groundOf(loaded), observations, options);
  const doubts = reviewFit(observations, options, outcome, {
    typed: new Map(observations.map(({ mark }, i) => [mark, inOrder[i]!.at])),
    toTrue: (p, mark, reading) => toTrue(asArrived(p, inOrder[mark]!.directions?.[reading], job.machine)),
    stated: {
      ...statedIn(job),
      unitStated: job.units === undefined && job.dpi === undefined && loaded.drawing.scale === undefined,
      ...(design === undefined ? {} : { typed: design }),
    },
    touches,
  });
  refuseScatteredReadings(observations, job.fit, doubts, (mark) => whereInJob(job, `readings.${mark}`));
  const readingSd = outcome.ok ? outcome.fit.sd.used : job.fit.readingSd;
  const moved = job.material
    ? materialWarnings(job.material, {
        length: panelLength(roles),
        clearance: job.cut.clearance,
        model: job.fit.model,
        ...(readingSd === undefined ? {} : { readingSd }),
      })
    : [];
  const rims = outcome.ok ? judgeRims(outcome.fit, job) : [];
  const offBed = outcome.ok
    ? offBedWarnings({
        edges: loaded.edges,
        toBed: compose(outcome.fit.matrix, faceMatrix(job.face)),
        job,
      })
    : [];
  const ofReadings = cause === undefined || !outcome.ok ? doubts : withCause(doubts, cause);
  const own = withReadingsOffBed(doubtBed(ofReadings, job.machine), readingsOffBed(job, job.machine));
  return {
    outcome,
    observations,
    options,
    ...(displayStep === undefined ? {} : { displayStep }),
    warnings: placesFirst([...own, ...offBed, ...rims, ...moved, ...warnings]),
  };
};

/** What readings say where they are held against something that is wrong itself. */
const effectsOfPlaces: readonly Warning['code'][] = [
  'mirrored',
  'likely-slip',
  'suspect-reading',
  'size-changed',
  'marks-disagree',
];

/** Marks that are typed at wrong places: what the readings say against them is their effect, not another cause. */
const placesFirst = (warnings: readonly Warning[]): Warning[] => {
  const isOfPlaces = ({ code }: Warning): boolean => code === 'mark-misplaced';
  if (!warnings.some(isOfPlaces)) return [...warnings];
  const others = warnings.filter((w) => !isOfPlaces(w) && !effectsOfPlaces.includes(w.code));
  return [...warnings.filter(isOfPlaces), ...others];
};

/** What is wrong with many readings alike, where that alone explains what they have against each other. */
const causeOfAll = (
  loaded: LoadedJob,
  options: FitOptions,
  outcome: FitOutcome,
): OtherReadings | undefined => {
  const { job, roles, observations, touches } = loaded;
  const context = contextOf({ job, roles });
  return (
    wrongRim(outcome, rimTrials(loaded, options), touches, statedIn(job)) ??
    wrongBedMap(outcome, () => withoutBedMap(loaded, options), bedMapWritten(job)) ??
    otherDisplayUnit(outcome, observations, touches, (marks, touched) =>
      adjust(marks, options, touched, context),
    )
  );
};

/** Undefined for a job without a map of the bed. */
const withoutBedMap = (
  { job, drawing, roles, marks }: LoadedJob,
  options: FitOptions,
): FitOutcome | undefined => {
  const { scale, skew } = job.machine.bedMap;
  if (scale[0] === 1 && scale[1] === 1 && skew === 0) return undefined;
  const tried: Job = { ...job, machine: { ...job.machine, bedMap: { scale: [1, 1], skew: 0 } } };
  const drawn = drawnMarks(drawing, roles, job.readings);
  return adjust(
    observationsOf(tried, marks, drawn),
    options,
    touchesOf(tried, drawing, roles, marks),
    contextOf({ job: tried, roles }),
  );
};

const bedMapWritten = ({ profile }: Job): string =>
  profile === undefined ? '"bed-map" under "machine:"' : `"bed-map" in ${profile}`;

/** What the readings have against each other is the effect of one cause. */
const withCause = (warnings: readonly Warning[], { warning }: OtherReadings): Warning[] => [
  warning,
  ...warnings.filter(({ code }) => !effectsOfPlaces.includes(code)),
];

/** One job for each round edge that was touched: as it would be with its radius unknown. */
const rimTrials = (
  { job, drawing, roles, marks, observations, touches }: LoadedJob,
  options: FitOptions,
): RimTrial[] => {
  const listed = job.touches ?? [];
  const edges = [...new Set(touches.map(({ edge }) => edge))];
  return edges.flatMap((edge): RimTrial[] => {
    const own = touches.flatMap((touch, i) => (touch.edge === edge ? [i] : []));
    const stated = own.map((i) => listed[i]!.radius).find((radius) => radius !== undefined);
    if (stated === 'unknown' || !isRoundEdge(edge.name, roles)) return [];
    const tried: Job = {
      ...job,
      touches: listed.map((touch, i) => (own.includes(i) ? { ...touch, radius: 'unknown' } : touch)),
    };
    const adjusted = (): FitOutcome =>
      adjust(
        observations,
        options,
        touchesOf(tried, drawing, roles, marks),
        contextOf({ job: tried, roles }),
      );
    const statedAt = own.filter((i) => listed[i]!.radius !== undefined);
    return [{ touches: own, stated, statedAt, adjusted }];
  });
};

/** Where the part lies tells which marks the display rounds alike; where it does, the fit is made once more. */
const adjustJob = (
  { job, roles, observations, touches }: LoadedJob,
  options: FitOptions,
): Pick<FittedJob, 'outcome' | 'observations'> => {
  const context = contextOf({ job, roles });
  const outcome = adjust(observations, options, touches, context);
  if (!outcome.ok || options.displayStep === undefined) return { outcome, observations };
  const toDisplay = compose(trueToPointerMatrix(job.machine), outcome.fit.matrix);
  const shared = withSharedSteps(observations, toDisplay, options.displayStep);
  if (shared === observations) return { outcome, observations };
  const again = adjust(shared, options, touches, { ...context, near: outcome.fit });
  if (!again.ok) return { outcome, observations };
  const { ambiguous } = outcome;
  return { outcome: { ...again, ...(ambiguous === undefined ? {} : { ambiguous }) }, observations: shared };
};

/**
 * Readings off the bed that exchanging x and y puts on it say more than residuals do: two marks, or a square of them, fit
 * either way. Otherwise what was found at single marks goes first.
 */
const withReadingsOffBed = (doubts: readonly Warning[], offBed: readonly Warning[]): Warning[] => {
  if (doubts.some(({ kind }) => kind === 'axes-swapped' || kind === 'inches' || kind === 'centimetres'))
    return [...doubts];
  const isExchange = offBed.some(({ remedies = [] }) => remedies[0]?.kind === 'correct-readings');
  return isExchange ? [...offBed, ...doubts] : [...doubts, ...offBed];
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

/** What follows from a fit, or why the part cannot be placed; with all warnings up to there. */
export type FromFit<Result> =
  | { readonly ok: false; readonly failure: FitFailure; readonly warnings: readonly Warning[] }
  | ({
      readonly ok: true;
      readonly fit: Fit;
      /** Those of the job and its fit alone. */
      readonly fitWarnings: readonly Warning[];
      readonly warnings: readonly Warning[];
    } & Result);

/** The cut, and what a writer takes of it. */
export type CutJob = FromFit<{
  readonly cut: CutResult;
  readonly file: CutFile;
  /** Where the job asks for film in strips. */
  readonly film?: FilmPlan;
  /**
   * Whether the error fits: a cut that is not proven is made all the same, and says so. Absent for one as drawn that
   * states no allowed deviation, and for drawings so large that it would take longer than the cut.
   */
  readonly check?: Check;
  /** Why the cut is not proven to fit; the file says so, too. Absent: it is. */
  readonly unproven?: string;
  /** Readings that contradict each other so much that the cut should not be written without being asked for. */
  readonly contradiction?: string;
}>;
export type CheckJob = FromFit<{ readonly check: Check }>;

/**
 * Fits the job and makes the paths of its cut.
 *
 * @throws InputError when roles are in doubt, there is nothing to cut, or a path lies off a bed of known size
 */
export const cutJob = (loaded: LoadedJob): CutJob => {
  refuseDoubt(loaded);
  const { job } = loaded;
  const fitted = placeJob(loaded);
  const { outcome, warnings: fitWarnings } = fitted;
  if (!outcome.ok) return { ...outcome, warnings: fitWarnings };
  const { fit } = outcome;
  const input = cutInput(loaded, fit);
  const { openings: edges, outline, toBed, toMachine, cut: how } = input;
  const cut =
    how.kind === 'as-drawn'
      ? cutAsDrawn({ shapes: edges, toMachine: compose(toMachine, toBed), tolerance: how.tolerance })
      : cutOpenings(input);
  refuseEmptyCut(cut, job, edges);
  const cause = doubtIn(fitWarnings.filter(({ code }) => code !== 'outside-bed'));
  const bedWarnings = checkBed(cut.paths, job.machine, { file: job.path }, cause?.remedies[0]?.step);
  const file: CutFile = {
    axes: job.machine.axes,
    ...(job.machine.size === undefined ? {} : { size: job.machine.size }),
    ...(job.machine.nc === undefined ? {} : { nc: job.machine.nc }),
    title: job.title ?? job.path.replace(/^.*[/\\]/, ''),
    paths: cut.paths.map((path) => ({
      get segments() {
        return path.segments;
      },
      box: path.box,
      open: path.open ?? false,
      layer: path.layer ?? 'cut',
      id: path.openings.join('+'),
    })),
  };
  const film =
    job.film &&
    planFilm({
      job: { ...job, film: job.film },
      outline,
      toBed: compose(fit.matrix, faceMatrix(job.face)),
      toPointer: trueToPointerMatrix(job.machine),
      toMachine: trueToMachineMatrix(job.machine),
      paths: cut.paths,
    });
  // What the cut says of open paths is more than what the drawing's reader said of them.
  const isRepeated = ({ code }: Warning): boolean =>
    (code === 'open-path-left-out' || code === 'outside-bed') &&
    cut.warnings.some((other) => other.code === code);
  const before = fitWarnings.filter((warning) => !isRepeated(warning));
  // What it does to the piece goes before all else.
  const ofPiece = cut.warnings.filter(({ places }) => places !== undefined);
  const ofCut = cut.warnings.filter(({ places }) => places === undefined);
  const warnings = [...ofPiece, ...before, ...ofCut, ...(film?.warnings ?? []), ...bedWarnings];
  const check =
    hasBound(job) && isQuicklyChecked(edges, job.cut.kind)
      ? checkOf(loaded, fitted, fit, warnings, cut.findings, true)
      : undefined;
  const unproven = whyUnproven(job, check);
  const contradiction = grossContradiction(fit, job);
  return {
    ok: true,
    fit,
    cut,
    file: unproven === undefined ? file : { ...file, remarks: [`NOT PROVEN. ${unproven}`] },
    ...(film ? { film } : {}),
    ...(check ? { check } : {}),
    ...(unproven === undefined ? {} : { unproven }),
    ...(contradiction === undefined ? {} : { contradiction }),
    fitWarnings,
    warnings,
  };
};

/** The cut as the cutter can place it. */
export const cutInput = (loadedJob: LoadedJob, fit: Fit): CutInput => {
  const { job, roles } = loadedJob;
  const edges = asMeasured(loadedJob.edges, fit, job.face);
  const face = faceMatrix(job.face);
  const { pierced, cut, machine } = job;
  const points = () => openingPoints(edges, face, cut.kind === 'as-drawn');
  const applied = cut.apply === 'full' ? fit.matrix : applicableTransform(fit.matrix, cut.apply, points());
  return {
    openings: edges,
    outline: asMeasured(roles.outline, fit, job.face),
    toBed: compose(applied, face),
    toMachine: trueToMachineMatrix(machine),
    pierced,
    cut,
  };
};

/**
 * Up to this many lines and curves the cut carries its verdict; beyond it "reseat check" is named. The verdict takes about
 * twice as long as the cut: 1.8 s beside 0.9 s for 16,000 curves. Lines cut as drawn are only moved, which is soon done.
 */
const quicklyChecked = (kind: Job['cut']['kind']): number => (kind === 'as-drawn' ? 5000 : 50_000);

const isQuicklyChecked = (edges: readonly Shape[], kind: Job['cut']['kind']): boolean => {
  const most = quicklyChecked(kind);
  let count = 0;
  for (const shape of edges) {
    for (const path of shape.paths) count += sizeOfPath(path);
    if (count > most) return false;
  }
  return true;
};

/**
 * Fits the job and says whether the error fits its clearance.
 *
 * @throws InputError when roles are in doubt, no opening has a closed path, and for a cut as drawn that states no allowed deviation
 */
export const checkJob = (loaded: LoadedJob): CheckJob => {
  refuseDoubt(loaded);
  const { job } = loaded;
  const fitted = placeJob(loaded);
  const { outcome, warnings: fitWarnings } = fitted;
  if (!outcome.ok) return { ...outcome, warnings: fitWarnings };
  if (!hasBound(job)) {
    // What is needed is the same whatever is allowed.
    const check = { ...job.check, allowedDeviation: 1 };
    const { neededClearance } = checkOf(
      { ...loaded, job: { ...job, check } },
      fitted,
      outcome.fit,
      fitWarnings,
      [],
    );
    throw missingBound(job, doubtIn(fitWarnings), neededClearance);
  }
  const { fit } = outcome;
  const findings = findingsOfJob(loaded, fit);
  const check = checkOf(loaded, fitted, fit, fitWarnings, findings);
  const ofPiece = findingWarnings(findings, job.cut.kind);
  return { ok: true, fit, check, fitWarnings, warnings: [...ofPiece, ...fitWarnings, ...check.warnings] };
};

/** The fit with as much of its uncertainty as a verdict may rest on. */
export const judgedFit = ({ readings, touches = [], witness = [] }: Job, fit: Fit): Fit =>
  claimedFit(fit, typedStep([...readings, ...touches, ...witness].flatMap(({ at }) => at)));

/** What the cut of a job does to the piece, at another clearance if one is given; display coordinates. */
export const findingsOfJob = (
  loadedJob: LoadedJob,
  fit: Fit,
  clearance = loadedJob.job.cut.clearance,
): readonly Finding[] => {
  const input = cutInput(loadedJob, fit);
  if (input.cut.kind === 'as-drawn') return [];
  return findingsOfCut({ ...input, cut: { ...input.cut, clearance } });
};

/** With all that objects to it; with `onlyNearest` of what is supposed only what turns the verdict first: `warnings` of the job, its fit and, where there is one, its cut; `findings` of the cut. */
const checkOf = (
  loaded: LoadedJob,
  { observations, options }: FittedJob,
  fit: Fit,
  warnings: readonly Warning[],
  findings: readonly Finding[],
  onlyNearest = false,
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
    onlyNearest,
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

const unstatedOf = ({ machine, fit, check, witness = [] }: Job): Unstated => {
  const perMillimetre = { ...machine, reversal: [1, 1] as const };
  const side = unknownSideOf({ fit, machine: perMillimetre });
  return {
    markSd: fit.markSdStated !== true,
    readingSd: fit.readingSd === undefined,
    bow: check.bow === undefined,
    sizeChange: check.sizeChange === undefined,
    cutSd: check.stated?.cutSd === false,
    kerfSd: check.stated?.kerfSd === false,
    pointing: fit.pointingSd === undefined && fit.pointingBias === undefined,
    ...(machine.reversal === undefined
      ? {
          lostMotion: {
            ...(side === undefined ? {} : { side }),
            offsetSides: unknownOffsetSides(perMillimetre),
            inCut: machine.cutReversal === undefined,
          },
        }
      : {}),
    isWitnessed: witness.length > 0,
  };
};

/** What the job says of errors that all of it shares; the panel is the outline, or else the marks and openings. */
export const commonOf = ({ job, roles, edges, marks }: LoadedJob): CommonSettings => {
  const { machine, fit, check } = job;
  const face = faceMatrix(job.face);
  const panel = roles.outline.length > 0 ? roles.outline : edges;
  const others = roles.outline.length > 0 ? [] : [...marks.values()].map((p) => apply(face, p));
  return {
    offsetSides: unknownOffsetSides(machine),
    cutReversal: machine.cutReversal ?? machine.reversal ?? [0, 0],
    pointingBias: fit.pointingBias ?? 0,
    sizeChange: check.sizeChange ?? 0,
    bow: check.bow ?? 0,
    panel: once(() => boxOfPoints([...openingPoints(panel, face, true), ...others])),
  };
};

const once = <T>(compute: () => T): (() => T) => {
  let known: { readonly value: T } | undefined;
  return () => {
    known ??= { value: compute() };
    return known.value;
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
export const loadPlan = (
  source: { readonly path: string; readonly text: string },
  files: Files,
): LoadedPlan => {
  const stated = readJob(source, files, { withoutReadings: true });
  const { drawing } = joinedDrawingOf(stated, drawingOf(stated, files));
  const job = withEdgeSd(stated, drawing);
  const roles = rolesOfJob(job, drawing);
  refuseDoubtfulRoles(roles.doubt, whereInJob(job, 'drawing'));
  const drawn = drawnMarks(drawing, roles, []);
  const isMarked = job.marks !== undefined || drawn.marks.size > 0;
  const present = isMarked ? resolveMarks({ ...job, readings: [] }, drawn) : new Map<string, Point>();
  const edges = job.cut.kind === 'as-drawn' ? linesToCut(roles) : undefined;
  refuseVast(drawing, [...(edges?.shapes ?? roles.openings), ...roles.outline]);
  const warnings = [
    ...scaleWarnings(drawing, roles, job.machine),
    ...drawing.warnings,
    ...(edges?.warnings ?? [...openOutline(roles, job.join), ...ofOpenings(roles)]),
    ...ageWarnings(job.machine, job.date),
  ];
  return { job, drawing, roles, edges: edges?.shapes ?? roles.openings, present, warnings };
};

/** Where to put marks, or what to touch, so that the worst opening needs the least clearance. */
export const planJob = (loaded: LoadedPlan): Plan => {
  const plan = planMarks(loaded);
  return { ...plan, warnings: [...loaded.warnings, ...plan.warnings] };
};
