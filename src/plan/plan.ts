/** The plan: where to put marks, or what to touch, so that the worst opening needs the least clearance. */
import type { Shape } from '../drawing/model/drawing.js';
import { knownNames } from '../drawing/roles/drawn-names.js';
import { openingPoints } from '../fit/applicable.js';
import { ambiguities } from '../fit/doubts/ambiguity.js';
import { patternWarning } from '../fit/doubts/ambiguity-words.js';
import { identity } from '../geometry/affine.js';
import { type Box, boxCentre, boxDiagonal, boxOfPoints, joinBoxes } from '../geometry/point.js';
import { type Job, whereInJob } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { createRandom } from '../numeric/random.js';
import { type Edge, edgeBox } from '../verdict/edges/edge.js';
import { commonErrorsOf, isShiftOnly } from './judge/common-errors.js';
import { type Compared, comparisonOf } from './judge/comparison.js';
import { type Judged, judgedBy } from './judge/judged.js';
import { judgedEdges } from './judge/judged-edges.js';
import type { PlannedReadings } from './judge/planned-fit.js';
import { type Candidates, candidatesFor } from './places/candidates.js';
import type { Nearby } from './places/land.js';
import { type Place, readingsAt } from './places/place.js';
import type { PlanInput } from './plan-input.js';
import { bestPattern, type Found } from './search.js';
import { distinctBy, type PlanChoices, readingsOf } from './settings.js';

export interface PlannedPlace extends Place {
  readonly name: string;
  readonly readings: number;
  readonly nearestOpening?: Nearby;
  /** mm from the outline; undefined without one. */
  readonly fromEdge?: number;
}

/** A pattern of places and what it would be worth. */
export interface PlannedPattern extends Judged {
  readonly places: readonly PlannedPlace[];
}

export interface Plan {
  readonly choices: PlanChoices;
  /** Of the outline and the openings, design frame, mm; undefined without an outline. */
  readonly panel?: Box;
  readonly readings: PlannedReadings;
  /** mm; for a cut as drawn what it may deviate by, undefined where nobody says. */
  readonly clearance?: number;
  readonly acceptedRisk: number;
  /** Places the search chose from. */
  readonly candidates: number;
  /** By number of places, from two up to four or to what was asked for; those that could be found. */
  readonly patterns: readonly PlannedPattern[];
  /** The one with as many places as were asked for, or `present` where the whole job needs no more with that. */
  readonly chosen: PlannedPattern;
  /** The marks that are there already, as they are. */
  readonly present?: PlannedPattern;
  /** Existing edges of the openings, design frame. */
  readonly edges: readonly Edge[];
  /** What this cut and its kerf add to the errors of the marks. */
  readonly uncertainty: { readonly cutSd: number; readonly kerfSd: number };
  readonly warnings: readonly Warning[];
}

/** Numbers of places that are compared. */
const fewest = 2;
const usuallyMost = 4;
/** Corners are looked at for no smaller clearance, mm. */
const smallestClearance = 0.01;
/** Marks that are there and need no more than this share of the best need no new one: the figures' own noise. */
const equallyGood = 1.005;
/** Places of the land are looked at this closely at first, as a share of the panel's diagonal. */
const firstStep = 1 / 24;

/**
 * @throws InputError where no opening has a closed path, where there are too few places, and where no pattern of as
 * many places as are asked for can be used
 */
export const planMarks = (input: PlanInput): Plan => {
  const { job } = input;
  const whole = wholePanel(input);
  const { edges, clearance, check } = judgedEdges(job, input.edges, whole);
  if (edges.length === 0) throw noOpenings(input.edges, job);
  const panel = edges.map((edge) => edgeBox(edge)).reduce(joinBoxes);
  const candidates = candidatesFor(input, panel);
  const { choices } = candidates;
  const readings = readingsOf(job.fit, job.machine);
  const { model } = job.fit;
  const reachBox = joinBoxes(panel, boxOfPoints(candidates.places.map((place) => place.at)));
  const diagonal = boxDiagonal(reachBox);
  const frame = { model, centre: boxCentre(reachBox), reach: diagonal / 2 };
  const { acceptedRisk } = check;
  const tolerance = distinctBy(readings, diagonal);
  const comparison = comparisonOf({
    edges,
    frame,
    readings,
    check,
    clearance: Math.max(clearance ?? 0, smallestClearance),
    places: candidates.places,
  });
  const common = commonErrorsOf(job, whole);
  const judge = (places: readonly Place[], like: Compared): Judged =>
    judgedBy({
      places,
      model,
      readings,
      common,
      check,
      clearance: clearance ?? 0,
      edges,
      nearMost: isShiftOnly(common) ? comparison.needMost(places, like) : edges,
    });
  const most = Math.max(usuallyMost, choices.marks);
  const patterns: PlannedPattern[] = [];
  let before: Found | undefined;
  for (let count = fewest; count <= most; count++) {
    const best = bestPattern({
      places: candidates.places,
      count,
      spacing: choices.spacing,
      comparison,
      ...(before === undefined ? {} : { like: before.compared }),
      isDistinct: (places) => count < 3 || isDistinct(places, tolerance),
      starts: startsFor(count, before?.places ?? [], candidates),
      beside: candidates.beside,
      steps: stepsFrom(firstStep * diagonal, choices.grid),
      random: createRandom(`plan ${count}`),
    });
    if (best === undefined) continue;
    before = best;
    // The search goes by the opening that needs most; what is advised is what the whole job needs least for.
    const [places, worth] = best.nearly
      .map((each) => [each, judge(each, best.compared)] as const)
      .reduce((a, b) => (needs(b[1]) < needs(a[1]) ? b : a));
    const { drawn } = candidates;
    const asDrawn =
      drawn.length === count && (count < 3 || isDistinct(drawn, tolerance))
        ? judge(drawn, best.compared)
        : undefined;
    const isDrawn = asDrawn !== undefined && needs(asDrawn) <= needs(worth) * equallyGood;
    patterns.push({
      ...(isDrawn ? asDrawn : worth),
      places: named(isDrawn ? drawn : places, input, candidates),
    });
  }
  const best = patterns.find((pattern) => pattern.places.length === choices.marks);
  if (best === undefined || before === undefined) throw noPattern(input, candidates);
  const { compared } = before;
  const present = presentPattern(input, candidates, (places) => judge(places, compared));
  // Who asks for fewer marks than are drawn has a reason, and sees in the table what the drawn ones need.
  const isAsked =
    present !== undefined && (job.plan?.marks ?? present.places.length) >= present.places.length;
  const chosen = isAsked && servesBetter(present, best) ? present : best;
  const ambiguous =
    chosen === present
      ? patternWarning(
          chosen.places.map(({ name, at }) => ({ mark: name, design: at })),
          tolerance,
        )
      : undefined;
  return {
    choices,
    ...(candidates.panel === undefined ? {} : { panel: candidates.panel }),
    readings,
    ...(clearance === undefined ? {} : { clearance }),
    acceptedRisk,
    candidates: candidates.count,
    patterns,
    chosen,
    ...(present === undefined ? {} : { present }),
    edges,
    uncertainty: { cutSd: check.cutSd, kerfSd: check.kerfSd },
    warnings: ambiguous === undefined ? candidates.warnings : [...candidates.warnings, ambiguous],
  };
};

/** What a bow is reckoned from, as in the fit of a job: the outline, or edges and marks where none is drawn; design frame, mm. */
const wholePanel = ({ roles, edges, present }: PlanInput): Box => {
  const isOutlined = roles.outline.length > 0;
  const drawn = openingPoints(isOutlined ? roles.outline : edges, identity, true);
  return boxOfPoints(isOutlined ? drawn : [...drawn, ...present.values()]);
};

/** Whether the marks that are there need no new one: nothing is pierced for a job that then needs more. */
const servesBetter = (present: PlannedPattern, best: PlannedPattern): boolean =>
  present.jobNeededClearance !== undefined &&
  best.places.some(({ kind }) => kind === 'land' || kind === 'given') &&
  needs(present) <= needs(best) * equallyGood;

/** Of the whole job, as `check` will say it. */
const needs = ({ jobNeededClearance = Number.POSITIVE_INFINITY }: Judged): number => jobNeededClearance;

const isDistinct = (places: readonly Place[], tolerance: number): boolean =>
  ambiguities(
    places.map((place) => place.at),
    tolerance,
  ).length === 0;

/** The pattern with one place less, places far from each other, and the marks that are there. */
const startsFor = (count: number, before: readonly Place[], { outermost, drawn }: Candidates): Place[][] => [
  [...before],
  outermost(count),
  ...(drawn.length === count ? [[...drawn]] : []),
];

/** Halved from the first to the grid. */
const stepsFrom = (first: number, grid: number): number[] => {
  const steps: number[] = [];
  for (let times = 2 ** Math.ceil(Math.log2(Math.max(1, first / grid))); times >= 1; times /= 2)
    steps.push(times * grid);
  return steps;
};

/** Marks that are there keep their names; others are named by letters that are free, counter-clockwise from the lower left. */
const named = (places: readonly Place[], input: PlanInput, { land }: Candidates): PlannedPlace[] => {
  const { present, drawing } = input;
  const middle = boxCentre(boxOfPoints(places.map((place) => place.at)));
  const angle = ({ at }: Place): number =>
    (Math.atan2(at.y - middle.y, at.x - middle.x) + 2 * Math.PI) % (2 * Math.PI);
  const fromLowerLeft = (place: Place): number => (angle(place) + 0.9 * Math.PI) % (2 * Math.PI);
  const taken = new Set([...present.keys(), ...knownNames(drawing.shapes)]);
  const letters = [...'ABCDEFGHIJKLMNOPQRSTUVWXYZ'].filter((letter) => !taken.has(letter));
  let made = 0;
  const nextName = (): string => letters[made++] ?? `mark-${made}`;
  return [...places]
    .sort((a, b) => fromLowerLeft(a) - fromLowerLeft(b))
    .map((place) => withDistances({ ...place, name: place.mark ?? nextName() }, land));
};

const withDistances = (place: Place & { readonly name: string }, land: Candidates['land']): PlannedPlace => {
  const opening = land.nearestOpening(place.at);
  const edge = land.fromOutline(place.at);
  return {
    ...place,
    readings: readingsAt(place),
    ...(opening === undefined ? {} : { nearestOpening: opening }),
    ...(edge === undefined ? {} : { fromEdge: edge }),
  };
};

const presentPattern = (
  { present }: PlanInput,
  { land }: Candidates,
  judge: (places: readonly Place[]) => Judged,
): PlannedPattern | undefined => {
  if (present.size < fewest) return undefined;
  const places = [...present].map(([name, at]) => withDistances({ kind: 'drawn', at, name }, land));
  return { ...judge(places), places };
};

const noOpenings = (openings: readonly Shape[], job: Job): InputError =>
  new InputError({
    found: `no closed path among ${openings.length} openings`,
    expected: 'openings whose edges the next cut has to keep clear of',
    where: whereInJob(job, 'drawing'),
    next: 'Call "reseat list" on the drawing and name the openings under "roles:".',
  });

const noPattern = ({ job }: PlanInput, { choices, count }: Candidates): InputError =>
  new InputError({
    found: `no pattern of ${choices.marks} among ${count} places that lie ${choices.spacing} mm apart, determine the fit and differ from themselves turned or mirrored`,
    expected: 'at least one',
    where: whereInJob(job, 'plan'),
    next: 'Allow more places: a smaller spacing, from-openings or from-edge, another number of marks, or more under use.',
  });
