/**
 * The inspection of a finished piece in order: the job's fit and what it predicts, the gaps that were measured, and the
 * adjustment that holds one against the other. A walk of its own beside reseat.ts, so that other commands do not load it.
 */
import { cutInput } from './cut/job/cut-input.js';
import { refuseDoubtfulRoles } from './drawing/roles/assumed-warning.js';
import { contextOf } from './fit/job/job-context.js';
import type { LoadedJob } from './fit/job/loaded-job.js';
import { mapErrors } from './fit/solve/map-error.js';
import { apply, compose, invert } from './geometry/affine.js';
import type { Point } from './geometry/point.js';
import type { ChosenPlaces } from './inspect/choose-places.js';
import { clearOf } from './inspect/clear-places.js';
import type { Gap } from './inspect/cut-error.js';
import { type EdgePlace, nearestPlace, type Walk, walkEdges } from './inspect/edge-walk.js';
import { frameOf, type Inspection, inspectCut, placesToMeasure } from './inspect/inspection.js';
import type { PieceSays } from './inspect/learn.js';
import type { LeastGap } from './inspect/least-gaps.js';
import { type Predicted, predictedOf } from './inspect/predicted.js';
import { grossOnes } from './inspect/scanned/gross.js';
import {
  kerfByGamma,
  kerfByShape,
  type ScanGaps,
  type ScanGapsInput,
  type SeenGap,
  scanGaps,
  usualGamma,
} from './inspect/scanned/scan-gaps.js';
import { isUnplaced, type Job, type MeasuredGap, whereInJob } from './job/job.js';
import { InputError, type Warning } from './job/messages.js';
import { nearestWord } from './job/nearest.js';
import { quoted } from './job/quoted.js';
import { faceMatrix } from './marks/frames.js';
import { checkJob, fitJob } from './reseat.js';
import { type Edge, placedEdges } from './verdict/edges/edge.js';
import { commonOf } from './verdict/job/common-of-job.js';
import { judgedFit } from './verdict/job/judge-job.js';
import type { FromFit } from './verdict/job/results.js';
import { boundedErrors } from './verdict/risk/common-errors.js';
import { errorField } from './verdict/risk/error-field.js';

/** A job with what its finished piece is held against. */
export type InspectableJob = FromFit<{
  readonly loaded: LoadedJob;
  readonly walk: Walk;
  readonly edges: readonly Edge[];
  readonly predicted?: Predicted;
  readonly unpredicted?: string;
}>;
export type InspectableFit = Extract<InspectableJob, { ok: true }>;

/** @throws InputError for a job whose cut leaves no gap, or whose drawing is in doubt */
export const inspectable = (loaded: LoadedJob): InspectableJob => {
  const { job } = loaded;
  refuseWithoutGaps(job);
  refuseDoubtfulRoles(loaded.roles.doubt, whereInJob(job, 'drawing'));
  const fitted = fitJob(loaded);
  const { outcome, warnings } = fitted;
  if (!outcome.ok) return { ...outcome, warnings };
  const fit = judgedFit(job, outcome.fit);
  const { openings, pierced } = cutInput(loaded, fit);
  const kind = job.cut.kind as 'opening' | 'inlay';
  const grown = pierced.compensated ? 0 : pierced.kerf / 2;
  const toBed = compose(fit.matrix, faceMatrix(job.face));
  const walk = walkEdges({ openings, toBed, grown, kind });
  const edges = placedEdges(openings, toBed, {
    kind,
    corners: job.cut.corners,
    mitreLimit: job.cut.mitreLimit,
    pierced: grown,
    tools: { beam: job.cut.kerf / 2, piercing: pierced.kerf / 2, clearance: job.cut.clearance },
  });
  const { observations, options } = fitted;
  const { touches } = loaded;
  const field = errorField(fit, {
    cutSd: job.check.cutSd,
    kerfSd: job.check.kerfSd,
    machine: mapErrors({ observations, touches, options, context: contextOf(loaded), fit }, job.machine),
  });
  const bounded = boundedErrors({ fit, observations, touches, options, settings: commonOf(loaded) });
  const { centre } = frameOf(walk);
  return {
    ok: true,
    fit,
    fitWarnings: warnings,
    warnings,
    loaded,
    walk,
    edges,
    ...(field === undefined
      ? {
          unpredicted:
            'The readings claim no uncertainty, so there is nothing to hold the cut against: state "reading-sd", or read another mark.',
        }
      : { predicted: predictedOf(field, bounded, centre) }),
  };
};

const refuseWithoutGaps = (job: Job): void => {
  if (job.cut.kind === 'as-drawn') {
    throw new InputError({
      found: 'a cut as drawn, whose new edges lie on the existing ones',
      expected: 'a cut with a clearance: opening or inlay',
      where: whereInJob(job, 'cut'),
      next: 'Only gaps between two edges can be inspected.',
    });
  }
  if (isUnplaced(job)) {
    throw new InputError({
      found: 'pieces from a board of their own, which lie loose in their openings',
      expected: 'a cut that was placed by readings',
      where: whereInJob(job, 'readings'),
      next: 'Measure such a piece itself with a caliper: "reseat calibrate kerf" takes pairs of hole and piece.',
    });
  }
};

/** How far the cut was out by the gaps of the job; undefined where it lists none. */
export const inspectByHand = (job: InspectableFit): Inspection | undefined => {
  const { gaps = [], gapSd } = job.loaded.job;
  return inspectGaps(job, gapsAt(job, gaps), 'measured', gapSd);
};

/** @param scanned of a scan: what moves all its gaps alike, as an sd of the kerf, mm */
export const inspectGaps = (
  { loaded, walk, edges, predicted, unpredicted }: InspectableFit,
  gaps: readonly Gap[],
  source: Inspection['source'],
  gapSd?: number,
  scanned?: { readonly kerfSd: number },
): Inspection | undefined =>
  inspectCut({
    walk,
    edges,
    clearance: loaded.job.cut.clearance,
    gaps,
    source,
    ...(gapSd === undefined ? {} : { gapSd }),
    ...(scanned === undefined ? {} : { scanned }),
    ...(predicted === undefined ? {} : { predicted }),
    ...(unpredicted === undefined ? {} : { unpredicted }),
  });

/** What a scan of the finished piece says. */
export interface InspectedScan {
  readonly inspection: Inspection;
  readonly scan: ScanGaps;
}

/** @throws InputError where the piece, or its edges, cannot be told in the picture */
export const inspectScan = (
  job: InspectableFit,
  picture: Pick<ScanGapsInput, 'picture' | 'pixel' | 'file' | 'turned' | 'gamma'>,
): InspectedScan => {
  const { walk, loaded } = job;
  const scan = scanGaps({
    ...picture,
    walk,
    clearance: loaded.job.cut.clearance,
    expected: expectedGap(job),
  });
  const scanned = { kerfSd: kerfByShape(scan, loaded.job.cut.clearance) };
  const whole = (gaps: readonly Gap[]): Inspection => inspectGaps(job, gaps, 'scan', undefined, scanned)!;
  const first = whole(scan.gaps);
  const gross = grossOnes(scan.gaps, first.error);
  const gaps = scan.gaps.filter((_, i) => !gross[i]);
  const inspection = gaps.length === scan.gaps.length ? first : whole(gaps);
  return {
    inspection: {
      ...inspection,
      least: withSeen(inspection.least, scan.seen),
      warnings: [...inspection.warnings, ...scanWarningsOf(scan, gross.filter(Boolean).length)],
    },
    scan,
  };
};

/** With the least gap that was seen at a stretch of each opening. */
const withSeen = (least: readonly LeastGap[], seen: readonly SeenGap[]): LeastGap[] =>
  least.map((one) => {
    const own = seen.filter(({ place }) => place.opening === one.opening);
    if (own.length === 0) return one;
    const { gap, place } = own.reduce((a, b) => (b.gap < a.gap ? b : a));
    return { ...one, seen: { gap, at: place.at } };
  });

/** A share of the edges that is not seen, of which nothing is said. */
const fewUnseen = 0.1;

const scanWarningsOf = (scan: ScanGaps, gross: number): Warning[] => {
  const warnings: Warning[] = [];
  const { unseen, gamma } = scan;
  if (unseen.share > fewUnseen) {
    const names = `${unseen.openings.slice(0, 4).join(', ')}${unseen.openings.length > 4 ? ' ...' : ''}`;
    warnings.push({
      code: 'places-unseen',
      message: `At ${(100 * unseen.share).toFixed(0)} % of the edges' length the two edges could not be told (${names}).`,
    });
  }
  if (gross > 0)
    warnings.push({
      code: 'places-unseen',
      message: `${gross === 1 ? 'One stretch departs' : `${gross} stretches depart`} so much from what explains the others that ${gross === 1 ? 'it was' : 'they were'} left out, as dust or scratches would be.`,
    });
  if (!gamma.stated)
    warnings.push({
      code: 'gamma-unstated',
      message: `The picture's values were taken as light. If the scanner writes them for the eye (sRGB, a gamma of ${usualGamma}), the kerf is ${Math.abs(kerfByGamma(scan)).toFixed(3)} mm ${kerfByGamma(scan) < 0 ? 'less' : 'more'} than found: say so with --gamma ${usualGamma}, or --gamma 1.`,
    });
  return warnings;
};

/** For a profile to learn from; undefined where the job predicts nothing, or its gaps claim no uncertainty. */
export const pieceSays = (
  { loaded, predicted }: InspectableFit,
  { error }: Inspection,
  scan?: ScanGaps,
): PieceSays | undefined => {
  if (predicted === undefined || error.covariance === undefined) return undefined;
  const { machine, cut, fit } = loaded.job;
  return {
    error,
    predicted,
    kerf: cut.kerf,
    offset: [machine.beamOffset.x, machine.beamOffset.y],
    sign: machine.axes === 'y-down' ? -1 : 1,
    otherShift: fit.pointingSd ?? 0,
    // As if every gamma between 1 and that of pictures for the eye were as likely.
    otherKerf: scan === undefined || scan.gamma.stated ? 0 : Math.abs(kerfByGamma(scan)) / Math.sqrt(3),
  };
};

/** The risk that `check` states; undefined where it states none. */
export const statedRisk = ({ loaded }: InspectableFit): number | undefined => {
  const done = checkJob(loaded);
  return done.ok ? done.check.risk : undefined;
};

/** What the gap at a place would be, had the cut landed where the job meant it to. */
export const expectedGap = ({ loaded, fit }: InspectableFit): ((place: EdgePlace) => number) => {
  const { job } = loaded;
  const { clearance } = job.cut;
  if (job.cut.apply === 'full') return () => clearance;
  const meant = cutInput(loaded, fit).toBed;
  const exact = compose(fit.matrix, faceMatrix(job.face));
  return ({ drawn, normal }) => {
    const a = apply(meant, drawn);
    const b = apply(exact, drawn);
    return clearance + normal.x * (a.x - b.x) + normal.y * (a.y - b.y);
  };
};

/** A place as typed lies at most so far from the edge it names, mm. */
const mostAway = 2;
/** Nearer to a corner nobody knows which side was measured, mm. */
const leastFromCorner = 0.2;

const gapsAt = (job: InspectableFit, listed: readonly MeasuredGap[]): Gap[] => {
  const { loaded, walk, fit } = job;
  const toBed = compose(fit.matrix, faceMatrix(loaded.job.face));
  const expected = expectedGap(job);
  const isClear = clearOf(walk, loaded.job.cut.clearance);
  return listed.map(({ opening, place: typed, gap, key }): Gap => {
    const where = (part: string) => whereInJob(loaded.job, key.replace(/mm$/, part));
    const index = openingNamed(loaded, opening, where('opening'));
    const nearest = nearestPlace(walk, index, apply(toBed, typed));
    const at = `${typed.x}, ${typed.y}`;
    if (nearest === undefined || nearest.away > mostAway) {
      throw new InputError({
        found: `a gap at ${at}, ${nearest === undefined ? 'of an opening without an edge of its own' : `${nearest.away.toFixed(1)} mm from the edge of ${quoted(opening)}`}`,
        expected: `a place within ${mostAway} mm of that edge, in mm of the drawing`,
        where: where('place'),
        next: 'Correct the place or the opening; "reseat inspect" lists places to measure.',
      });
    }
    const { place } = nearest;
    if ((place.fromCorner ?? Number.POSITIVE_INFINITY) < leastFromCorner || !isClear(place)) {
      throw new InputError({
        found: `a gap at ${at}, where ${quoted(opening)} has a corner, or another edge is nearer to the new one`,
        expected: 'a place along a side, where the gap is square to one edge',
        where: where('place'),
        next: 'Measure beside it; "reseat inspect" lists places to measure.',
      });
    }
    return { place, gap, expected: expected(place) };
  });
};

const openingNamed = ({ edges }: LoadedJob, name: string, where: InputError['where']): number => {
  const exact = edges.findIndex(({ id }) => id === name);
  if (exact >= 0) return exact;
  const labelled = edges.flatMap(({ labels = [] }, i) => (labels.includes(name) ? [i] : []));
  if (labelled.length === 1) return labelled[0]!;
  const nearest = nearestWord(
    name,
    edges.map(({ id }) => id),
  );
  throw new InputError({
    found: `a gap at ${quoted(name)}, which is ${labelled.length > 1 ? `the name of ${labelled.length} openings` : 'no opening of this job'}`,
    expected: 'the id of one opening',
    where,
    next: nearest === undefined ? '"reseat list" shows the openings.' : `Did you mean ${quoted(nearest)}?`,
  });
};

/** Where to measure gaps. */
export const placesOf = ({ walk, loaded }: InspectableFit, count?: number): ChosenPlaces =>
  placesToMeasure(walk, loaded.job.cut.clearance, count);

/** Bed to drawing. */
export const toDrawing = ({ fit, loaded }: InspectableFit): ((p: Point) => Point) => {
  const back = invert(compose(fit.matrix, faceMatrix(loaded.job.face)));
  if (back === undefined) throw new RangeError('a placement that cannot be undone');
  return (p) => apply(back, p);
};

/** Of the job and its fit, and of the piece. */
export const allWarnings = (
  { warnings }: InspectableFit,
  inspection: Inspection | undefined,
): readonly Warning[] => [...(inspection?.warnings ?? []), ...warnings];
