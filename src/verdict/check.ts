/** The verdict on a job: whether the alignment error fits inside the clearance, how sure that is, and what to do next. */

import { asMeasured, pathRadius } from '../cut/measured.js';
import type { Shape } from '../drawing/model/drawing.js';
import { applicableTransform, openingPoints } from '../fit/applicable.js';
import { leftOverWords, lessLeftOver } from '../fit/doubts/left-over.js';
import type { Fit, FitOptions, Observation } from '../fit/fit.js';
import { mm } from '../fit/words.js';
import { apply, compose, type Matrix } from '../geometry/affine.js';
import { boxOfPoints, type Point } from '../geometry/point.js';
import type { Job } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { faceMatrix } from '../marks/frames.js';
import type { TouchReadings } from '../marks/touches.js';
import { adviceFor } from './advice/advice.js';
import { assumptionsOf, restsOn, turningAssumptions, type Unstated } from './advice/assumptions.js';
import { readingVariance } from './advice/further-readings.js';
import { provisoOf } from './advice/proviso.js';
import { reliabilityOf } from './advice/reliability.js';
import { unclaimedAdvice } from './advice/unclaimed.js';
import { unseenBy } from './advice/unseen.js';
import { witnessPoints } from './advice/witness.js';
import type { Check, OpeningCheck } from './check-result.js';
import { decide, type Verdict } from './decide.js';
import { betweenPoints } from './edges/between-points.js';
import { type Edge, placedEdges } from './edges/edge.js';
import { lineEdges } from './edges/line-edges.js';
import { leastMargin } from './edges/worst-point.js';
import { explain, neededWithKnownSd, verdictOrder, whyUnclaimed } from './explain.js';
import { extrapolationOf, extrapolationWarnings } from './extrapolation.js';
import { boundedErrors, type CommonSettings, contradiction, noCommon } from './risk/common-errors.js';
import { edgeErrorOf, losing } from './risk/edge-error.js';
import { errorField } from './risk/error-field.js';
import { remainingField } from './risk/remaining.js';
import { edgesWithRims } from './risk/rims.js';
import { assessRisk, indexEdges, type JobRisk, type OpeningRisk } from './risk/risk.js';
import { asRounded, type WayOfRounding, waysOfRounding } from './risk/rounded-alike.js';
import { hasBounds } from './risk/vertices.js';
import { checkUnplaced } from './unplaced.js';

export interface CheckInput {
  readonly fit: Fit;
  /** What `fit` was made of, witness readings included. */
  readonly observations: readonly Observation[];
  readonly touches?: readonly TouchReadings[];
  readonly options: FitOptions;
  /**
   * As drawn, before `face`; for a cut as drawn the lines that are cut again. Rims that the fit has measured are judged as large
   * as they were found.
   */
  readonly openings: readonly Shape[];
  readonly face: Job['face'];
  readonly pierced: Job['pierced'];
  readonly cut: Pick<Job['cut'], 'kind' | 'clearance' | 'kerf' | 'corners' | 'mitreLimit' | 'apply'>;
  readonly check: Job['check'];
  /** Common errors that are bounded; absent: none. */
  readonly common?: CommonSettings;
  /** What nobody says: what the verdict then rests on is worked out. Absent: everything is said. */
  readonly unstated?: Unstated;
  /** Errors of the machine that are not the same everywhere: see error-field.ts. */
  readonly machineErrors?: readonly Matrix[];
  /** Marks of the job without a reading, as drawn, before `face`: reading one of them may be the best advice. */
  readonly unreadMarks?: ReadonlyMap<string, Point>;
  /** Draws per opening and for the job; by default as many as a call of a tenth of a second allows (draws.ts). */
  readonly draws?: number;
  /** Verdict, risk and assumptions alone: no advice, witness points or reliability; for a clearance that follows the hand. */
  readonly brief?: boolean;
  /** Of `unstated` only what turns the verdict first: for the word that goes along with a cut. */
  readonly onlyNearest?: boolean;
}

/**
 * @throws InputError when no opening has a closed path, RangeError for a clearance, risk or sd out of range: the job
 * file's reader has refused those before.
 */
export const checkFit = (input: CheckInput): Check => {
  refuseOutOfRange(input);
  const { observations, options, cut, check, pierced, brief = false } = input;
  const plain = lessLeftOver(input.fit);
  const asDrawn = cut.kind === 'as-drawn';
  const clearance = asDrawn ? (check.allowedDeviation ?? Number.NaN) : cut.clearance;
  const { acceptedRisk, cutSd } = check;
  // A beam that runs along the line itself runs along it whatever it takes away.
  const ownKerfSd = asDrawn ? 0 : check.kerfSd;
  const face = faceMatrix(input.face);
  const placed = compose(plain.matrix, face);
  const openings = asMeasured(input.openings, plain, input.face);
  const common = input.common ?? noCommon;
  const listed = input.unstated;
  const longest = common.bow > 0 || listed?.bow === true ? betweenPoints(common.panel(), placed) : undefined;
  const loses = common.cutReversal.some((r) => r !== 0);
  const placedWith = (shapes: readonly Shape[], cutReversal?: readonly [number, number]): Edge[] =>
    cut.kind === 'as-drawn'
      ? lineEdges(shapes, placed, {
          ...(cutReversal === undefined ? {} : { cutReversal }),
          ...(longest === undefined ? {} : { longest }),
        })
      : placedEdges(shapes, placed, {
          kind: cut.kind,
          corners: cut.corners,
          mitreLimit: cut.mitreLimit,
          pierced: pierced.compensated ? 0 : pierced.kerf / 2,
          tools: { beam: cut.kerf / 2, piercing: pierced.kerf / 2, clearance },
          ...(cutReversal === undefined ? {} : { cutReversal }),
          ...(longest === undefined ? {} : { longest }),
        });
  const asksLoss = !loses && listed?.lostMotion?.inCut === true;
  const all = placedWith(openings, loses ? common.cutReversal : asksLoss ? [1, 1] : undefined);
  const placedThere = all.filter((edge) => edge.x.length > 0);
  const unitLoss = asksLoss ? placedThere.map(({ loss }) => loss) : undefined;
  const there = asksLoss ? placedThere.map(({ loss: _, ...edge }): Edge => edge) : placedThere;
  const ofRims = edgesWithRims(there, plain, asDrawn ? pathRadius : ({ radius }) => radius);
  const asPierced = ofRims ?? there;
  if (asPierced.length === 0) throw nothingToCheck(input);
  const drawn = edgeErrorOf(check.edgeSd, asPierced.length, acceptedRisk);
  const edges = losing(asPierced, drawn.loss);
  // Both move the edge along its normal: half the kerf's error, and that of the drawn edge itself.
  const kerfSd = Math.hypot(ownKerfSd, 2 * drawn.sd);

  if (plain.unplaced) {
    const draws = input.draws === undefined ? {} : { draws: input.draws };
    return checkUnplaced({
      fit: plain,
      edges,
      clearance,
      acceptedRisk,
      kerfSd: ownKerfSd,
      drawnSd: drawn.sd,
      ...draws,
    });
  }

  const points = () => openingPoints(openings, face, asDrawn);
  const applied =
    cut.apply === 'full' ? plain.matrix : applicableTransform(plain.matrix, cut.apply, points());
  const systematic = remainingField(plain.matrix, applied, edges);
  const margins = edges.map((edge) => leastMargin(edge, clearance, systematic));
  const uncertainty = {
    cutSd,
    kerfSd,
    machine: input.machineErrors ?? [],
    ...(ofRims === undefined ? {} : { rims: true }),
  };
  const touches = input.touches ?? [];
  const draws = input.draws === undefined ? {} : { draws: input.draws };
  const judgedIn = ({ way, share }: WayOfRounding) => {
    const of = asRounded(plain, observations, options, way);
    const boundedOf = (other: Fit, by: FitOptions) =>
      boundedErrors({ fit: other, observations, touches, options: by, settings: common }, way);
    const bounded = boundedOf(of, options);
    const settings = {
      clearance,
      // What holds for a share of the places only may touch more often there.
      acceptedRisk: Math.min(Math.max(mostOften, acceptedRisk), acceptedRisk / share),
      ...(systematic === undefined ? {} : { systematic }),
      ...(hasBounds(bounded) ? { bounded } : {}),
    };
    const field = errorField(of, uncertainty);
    const indexes = field === undefined ? undefined : indexEdges(edges, field);
    const risk =
      field === undefined || indexes === undefined
        ? undefined
        : lessOften(assessRisk({ edges, field, indexes, ...settings, ...draws }), share);
    return { way, fit: of, boundedOf, bounded, settings, indexes, risk };
  };
  const cases = waysOfRounding(plain, observations, options, acceptedRisk).map(judgedIn);
  const { way, fit, boundedOf, bounded, settings, indexes } = cases.reduce((a, b) =>
    (b.risk?.neededClearance ?? 0) > (a.risk?.neededClearance ?? 0) ? b : a,
  );
  const risk = worstOf(cases.flatMap((one) => (one.risk === undefined ? [] : [one.risk])));

  const margin = Math.min(...margins);
  const verdict = decide(risk?.risk, acceptedRisk, margin <= 0);
  const context = {
    fit,
    observations,
    touches,
    options,
    edges,
    ...settings,
    acceptedRisk,
    uncertainty,
    ...(indexes === undefined ? {} : { indexes }),
    margin,
    asDrawn,
    openingsBox: () => boxOfPoints(points()),
    face,
    unread: placedMarks(input.unreadMarks, face),
  };
  const assumptions =
    listed === undefined || risk === undefined
      ? undefined
      : assumptionsOf({
          fit,
          observations,
          touches,
          options,
          common,
          unstated: listed,
          edges,
          isAccepted: risk.risk <= acceptedRisk,
          clearance,
          acceptedRisk: settings.acceptedRisk,
          ...(systematic === undefined ? {} : { systematic }),
          bounded,
          boundedOf,
          roundedAs: (other, by) => asRounded(other, observations, by, way),
          uncertainty,
          asDrawn,
          ...(unitLoss === undefined ? {} : { unitLoss }),
          ...(longest === undefined ? {} : { longest }),
          ...(input.onlyNearest === undefined ? {} : { onlyNearest: input.onlyNearest }),
        });
  const cutLoss = loses ? Math.max(...asPierced.map(({ loss }) => Math.max(...(loss ?? [0])))) : 0;
  const variance = readingVariance(input.fit, observations, options);
  const extrapolation = brief ? [] : extrapolationOf(fit, edges);
  const reliability = brief ? [] : reliabilityOf(fit, edges);
  const judged = edges.map((edge, i) => openingCheck(edge, margins[i]!, risk?.openings[i], { acceptedRisk }));
  const alone = judged.reduce<Verdict>(
    (worst, o) => (verdictOrder.indexOf(o.verdict) > verdictOrder.indexOf(worst) ? o.verdict : worst),
    'fits',
  );
  const tightest = edges[margins.indexOf(margin)]!.id;
  const explained = explain({
    ...context,
    verdict,
    tightest,
    alone,
    ...(risk === undefined ? {} : { risk }),
  });
  const withKnownSd =
    brief || risk === undefined || clearance === 0 || margin <= 0
      ? undefined
      : neededWithKnownSd({ ...context, risk });
  // Where common practice turns it that is an objection, which says it itself.
  const rest =
    verdict === 'fits' && assumptions !== undefined && turningAssumptions(assumptions).length === 0
      ? restsOn(assumptions)
      : undefined;
  const systematicRest = risk === undefined ? undefined : leftOverSentence(fit);
  const said = [explained, systematicRest, rest].filter((part) => part !== undefined).join(' ');
  const proviso = verdict === 'fits' ? provisoOf(fit, reliability, clearance, asDrawn) : undefined;
  return {
    verdict,
    ...(risk === undefined
      ? { riskUnknown: whyUnclaimed(fit) }
      : { risk: risk.risk, neededClearance: risk.neededClearance }),
    ...(withKnownSd === undefined ? {} : { neededWithKnownSd: withKnownSd }),
    acceptedRisk,
    clearance,
    openings: judged,
    explanation: proviso === undefined ? said : `${proviso} ${said}`,
    ...(proviso === undefined ? {} : { proviso }),
    ...(assumptions === undefined ? {} : { assumptions }),
    ...(cutLoss > 0 ? { cutLoss } : {}),
    advice: brief
      ? []
      : risk === undefined
        ? unclaimedAdvice(context)
        : verdict === 'fits'
          ? []
          : adviceFor({ ...context, risk }),
    reliability,
    extrapolation,
    witness: brief
      ? []
      : witnessPoints(
          input.fit,
          openings,
          face,
          variance && variance.mark + variance.reading,
          asDrawn,
          unseenBy(fit, common.panel()),
        ),
    warnings: extrapolationWarnings(extrapolation, {
      what: asDrawn ? 'line' : 'opening',
      read: fit.touches === undefined ? 'marks' : 'places that were read',
    }),
  };
};

/** Beyond this a risk tells next to nothing of how far errors reach: no quantile is taken so near the median. */
const mostOften = 0.4;

/** The risk of what holds for a share of the places in a step only. */
const lessOften = (risk: JobRisk, share: number): JobRisk =>
  share === 1
    ? risk
    : {
        ...risk,
        risk: share * risk.risk,
        openings: risk.openings.map((o) => ({ ...o, risk: share * o.risk })),
      };

/** Of each opening, and of the job, the worst case; undefined for none. */
const worstOf = ([first, ...others]: readonly JobRisk[]): JobRisk | undefined =>
  first &&
  others.reduce(
    (worst, one): JobRisk => ({
      risk: Math.max(worst.risk, one.risk),
      neededClearance: Math.max(worst.neededClearance, one.neededClearance),
      openings: worst.openings.map((o, i) => {
        const other = one.openings[i]!;
        return other.neededClearance > o.neededClearance ? other : o;
      }),
    }),
    first,
  );

/** What the readings show that the stated sd does not, and what is counted for it. */
const leftOverSentence = (fit: Fit): string | undefined => {
  if (fit.leftOver !== undefined)
    return `The readings show ${leftOverWords(fit.leftOver)}; so much of it is counted to either side.`;
  const size = contradiction(fit);
  return size === undefined
    ? undefined
    : `What the readings leave over is no noise: ${mm(size)} of it is counted as a shift to any side.`;
};

const openingCheck = (
  edge: Edge,
  leastOfEdge: number,
  risk: OpeningRisk | undefined,
  { acceptedRisk }: { acceptedRisk: number },
): OpeningCheck => {
  const verdict = decide(risk?.risk, acceptedRisk, leastOfEdge <= 0);
  const { worst } = risk ?? {};
  return {
    id: edge.id,
    verdict,
    margin: worst?.margin ?? leastOfEdge,
    ...(risk === undefined ? {} : { risk: risk.risk, neededClearance: risk.neededClearance }),
    ...(worst === undefined ? {} : { worstPoint: worst.at, predictedError: worst.predictedError }),
  };
};

const placedMarks = (marks: ReadonlyMap<string, Point> | undefined, face: Matrix): Map<string, Point> =>
  new Map([...(marks ?? [])].map(([name, p]) => [name, apply(face, p)]));

const nothingToCheck = ({ openings }: CheckInput): InputError =>
  new InputError({
    found: `no closed path among ${openings.length} openings`,
    expected: 'openings with an edge that the new one is set back from',
    next: 'Call "reseat list" on the drawing and name the openings under "roles:".',
  });

const refuseOutOfRange = ({ cut, check }: CheckInput): void => {
  const { acceptedRisk, cutSd, kerfSd, allowedDeviation = Number.NaN } = check;
  const clearance = cut.kind === 'as-drawn' ? allowedDeviation : cut.clearance;
  if (!(acceptedRisk > 0 && acceptedRisk < 1))
    throw new RangeError(`acceptedRisk is ${acceptedRisk}, expected a number between 0 and 1`);
  for (const [name, value] of Object.entries({ clearance, cutSd, kerfSd }))
    if (!(value >= 0 && Number.isFinite(value)))
      throw new RangeError(`${name} is ${value}, expected a finite number of at least 0`);
};
