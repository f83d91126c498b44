/**
 * What a verdict rests on: every figure that nobody stated, with the value at which the verdict would turn. One at a time,
 * the others as they are.
 */

import { adjust } from '../../fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../fit/fit.js';
import { bowedBy, grownBy } from '../../fit/solve/panel-change.js';
import type { Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { UnknownSide } from '../../marks/sides.js';
import type { TouchReadings } from '../../marks/touches.js';
import { chiSquareCdf } from '../../numeric/distributions.js';
import type { Edge } from '../edges/edge.js';
import type { Objection } from '../objection.js';
import { bowError, type CommonSettings, sidesOfReadings, sizeError } from '../risk/common-errors.js';
import { type Displacement, displacedBy, nothingMoved, shiftBy } from '../risk/displacement.js';
import { type CutUncertainty, errorField } from '../risk/error-field.js';
import type { Bounded } from '../risk/vertices.js';
import { type Changed, type Growing, Turning } from '../turning/turning.js';
import { commonPractice } from './common-practice.js';

export type AssumptionCode =
  | 'mark-sd'
  | 'reading-sd'
  | 'bow'
  | 'size-change'
  | 'lost-motion'
  | 'cut-sd'
  | 'kerf-sd'
  | 'pointing-bias';

export interface Assumption {
  readonly code: AssumptionCode;
  /** What is supposed, in a clause that follows "if" and that a value ends. */
  readonly text: string;
  /** The value that the verdict takes. */
  readonly supposed: number;
  /** The value at which the verdict turns; undefined where none within reason does, or where it does not fit as it is (nor where the readings disagree). */
  readonly turnsAt?: number;
  readonly unit: 'mm' | 'share';
  /** The largest value that the readings leave possible; undefined where they show nothing of it. */
  readonly atMost?: number;
  /** The readings show that it is smaller than where the verdict turns: nothing rests on it. */
  readonly controlled: boolean;
  /** Common practice: a value as large as this has to be reckoned with. */
  readonly usual: number;
  /** What to write or to read. */
  readonly cure: string;
}

/** What nobody says, for a figure each. */
export interface Unstated {
  readonly markSd: boolean;
  readonly readingSd: boolean;
  readonly bow: boolean;
  readonly sizeChange: boolean;
  readonly cutSd: boolean;
  readonly kerfSd: boolean;
  readonly pointing: boolean;
  /** Where the machine's lost motion is not stated: what 1 mm of it would leave unknown. */
  readonly lostMotion?: {
    readonly side?: UnknownSide;
    readonly offsetSides: readonly Point[];
    readonly inCut: boolean;
  };
  /** Somebody looked at a witness point: what the readings then show needs no mention. */
  readonly isWitnessed: boolean;
}

export interface AssumptionInput {
  readonly fit: Fit;
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  readonly options: FitOptions;
  readonly common: CommonSettings;
  readonly unstated: Unstated;
  readonly edges: readonly Edge[];
  /** Whether the risk is accepted as it is. */
  readonly isAccepted: boolean;
  readonly clearance: number;
  readonly acceptedRisk: number;
  readonly systematic?: Matrix;
  readonly bounded: Bounded;
  /** The same for a fit with other sds. */
  readonly boundedOf: (fit: Fit, options: FitOptions) => Bounded;
  /** The covariance of such a fit by how the display rounds its readings. */
  readonly roundedAs: (fit: Fit, options: FitOptions) => Fit;
  readonly uncertainty: CutUncertainty;
  readonly asDrawn: boolean;
  /** Edge by edge what 1 mm of lost motion on both axes takes in the cut; present where that is an assumption. */
  readonly unitLoss?: readonly (Float64Array | undefined)[];
  /** Only the one nearest to turning the verdict is wanted: others have no value at which it turns. */
  readonly onlyNearest?: boolean;
  /** Where the panel may be bowed: how far apart points of an edge lie, mm. */
  readonly longest?: number;
}

/** An assumption, and where it would turn the verdict of this job. */
type Supposed = Omit<Assumption, 'turnsAt' | 'controlled'> & { readonly growing: Growing };

/** Beyond so many times what is usual nobody asks any more. */
const farthest = 40;

export const assumptionsOf = (input: AssumptionInput): Assumption[] => {
  const { fit, edges, clearance, acceptedRisk, systematic, bounded, uncertainty, isAccepted } = input;
  const { unitLoss, longest } = input;
  const field = errorField(fit, uncertainty);
  const turning =
    field === undefined || !isAccepted || fit.consistency?.consistent === false
      ? undefined
      : new Turning({
          edges,
          field,
          clearance,
          acceptedRisk,
          known: systematic === undefined ? nothingMoved : { matrix: systematic },
          bounded,
          ...(unitLoss === undefined ? {} : { unitLoss }),
          ...(longest === undefined ? {} : { longest }),
        });
  const { isWitnessed } = input.unstated;
  let nearestYet = Number.POSITIVE_INFINITY;
  return [...ofReadings(input), ...ofPanel(input), ...ofMachine(input)]
    .map(({ growing, ...one }): Assumption => {
      const limit = farthest * Math.max(one.usual, one.supposed);
      if (input.onlyNearest === true) {
        // A value farther off than the nearest one, or than the readings leave possible, is not asked for.
        const nearer = nearestYet === Number.POSITIVE_INFINITY ? limit : nearestYet * baseOf(one);
        const least = Math.min(limit, nearer, one.atMost ?? limit);
        if (least <= one.supposed || turning?.turnsBy(growing, one.supposed, least) !== true)
          return { ...one, controlled: one.atMost !== undefined };
      }
      const turnsAt = turning && turningValue(turning, growing, one.supposed, limit);
      const { atMost } = one;
      const controlled = atMost !== undefined && (turnsAt === undefined || atMost < turnsAt);
      if (!controlled)
        nearestYet = Math.min(
          nearestYet,
          nearness({ ...one, ...(turnsAt === undefined ? {} : { turnsAt }) }),
        );
      return { ...one, controlled, ...(turnsAt === undefined ? {} : { turnsAt }) };
    })
    .filter(({ controlled }) => !(isWitnessed && controlled))
    .sort((a, b) => Number(a.controlled) - Number(b.controlled) || nearness(a) - nearness(b));
};

const turningValue = (
  turning: Turning,
  growing: Growing,
  from: number,
  limit: number,
): number | undefined => {
  if (growing.kind !== 'bounded' || growing.judged === undefined) return turning.of(growing, from, limit);
  // An sd of so many degrees of freedom is estimated from the residuals as well, which the stated figure explains in part.
  const found = turning.roughlyOf(growing, from, limit);
  if (found === undefined) return undefined;
  const judged = growing.judged(found);
  return (judged === undefined ? turning : turning.by(judged)).of(growing, from, limit);
};

/** The value at which the verdict turns over the one to be reckoned with: below 1 it is not safe. */
const nearness = ({ turnsAt, ...one }: Pick<Assumption, 'turnsAt' | 'usual' | 'atMost'>): number =>
  turnsAt === undefined ? Number.POSITIVE_INFINITY : turnsAt / baseOf(one);

const baseOf = ({ usual, atMost }: Pick<Assumption, 'usual' | 'atMost'>): number =>
  Math.min(usual, atMost ?? usual);

/** What the job would be judged by with other options of its fit. */
const refitted = (
  {
    fit,
    observations,
    touches,
    options,
    uncertainty,
    boundedOf,
    roundedAs,
  }: Omit<AssumptionInput, 'common' | 'unstated' | 'edges' | 'isAccepted'>,
  change: Partial<FitOptions>,
): Changed | undefined => {
  const { readingSdDof, ...others } = options;
  const dof = change.readingSd === undefined && readingSdDof !== undefined ? { readingSdDof } : {};
  const changed = { ...others, ...dof, ...change };
  const outcome = adjust(observations, changed, touches, { near: fit });
  const field = outcome.ok ? errorField(roundedAs(outcome.fit, changed), uncertainty) : undefined;
  return outcome.ok && field !== undefined ? { field, bounded: boundedOf(outcome.fit, changed) } : undefined;
};

const ofReadings = (input: AssumptionInput): Supposed[] => {
  const { fit, unstated } = input;
  const found: Supposed[] = [];
  if (unstated.markSd && fit.marks.length > 0 && fit.sd.stated !== undefined) {
    const atMost = largestMarkSd(fit);
    found.push({
      code: 'mark-sd',
      text: 'the marks were off by an sd of',
      supposed: 0,
      growing: { kind: 'sd', at: (x) => refitted(input, { markSd: x }) },
      unit: 'mm',
      ...(atMost === undefined ? {} : { atMost }),
      usual: commonPractice.markSd,
      cure: 'State fit: {mark-sd: ...}, how truly the marks were made.',
    });
  }
  if (unstated.readingSd && fit.sd.used !== undefined) {
    found.push({
      code: 'reading-sd',
      text: 'a reading had an sd of',
      supposed: fit.sd.used,
      growing: { kind: 'sd', at: (x) => refitted(input, { readingSd: x }) },
      unit: 'mm',
      usual: commonPractice.readingSd,
      cure: 'State fit: {reading-sd: ...}; "reseat calibrate pointer" measures it.',
    });
  }
  if (unstated.pointing) {
    found.push({
      code: 'pointing-bias',
      text: 'the eye saw every mark to one side by',
      supposed: 0,
      growing: { kind: 'bounded', perUnit: { generators: [], anyDirection: 1 } },
      unit: 'mm',
      usual: commonPractice.pointingBias,
      cure: 'State fit: {pointing-sd: ...} or {pointing-bias: ...}, by the marks of one sheet read by two people (calibrate pointer, column who).',
    });
  }
  return found;
};

/** Of a panel that is no longer as drawn. */
const ofPanel = (input: AssumptionInput): Supposed[] => {
  const { fit, common, unstated, options } = input;
  const found: Supposed[] = [];
  const growing = (one: Displacement, moved: (x: number) => (design: Point) => Point): Growing => ({
    kind: 'bounded',
    perUnit: { generators: [one], anyDirection: 0 },
    ...(fit.sd.usedDof === undefined
      ? {}
      : { judged: (x) => refitted(input, { panelErrors: [...(options.panelErrors ?? []), moved(x)] }) }),
  });
  const panel = common.panel();
  const size = Math.max(panel.maxX - panel.minX, panel.maxY - panel.minY);
  if (unstated.bow && size > 0) {
    const one = bowError(fit, 1, panel);
    const atMost = largestShown(fit, one);
    found.push({
      code: 'bow',
      text: 'the middle of the panel were bowed by',
      supposed: 0,
      growing: growing(one, (x) => bowedBy(x, panel)),
      unit: 'mm',
      ...(atMost === undefined ? {} : { atMost }),
      usual: commonPractice.bowPerLength * size,
      cure: 'Read a witness point in the middle of the panel, or state check: {bow: ...}.',
    });
  }
  if (unstated.sizeChange && (fit.model === 'rigid' || fit.model === 'shift')) {
    const one = sizeError(fit, 1);
    const atMost = largestShown(fit, one);
    found.push({
      code: 'size-change',
      text: 'the panel had grown or shrunk by',
      supposed: 0,
      growing: growing(one, grownBy),
      unit: 'share',
      ...(atMost === undefined ? {} : { atMost }),
      usual: commonPractice.sizeChange,
      cure: 'Read a mark or witness point far from the others, or state check: {size-change: ...}.',
    });
  }
  return found;
};

const ofMachine = (input: AssumptionInput): Supposed[] => {
  const { fit, unstated, uncertainty, asDrawn } = input;
  const found: Supposed[] = [];
  const growing = (change: (x: number) => Partial<CutUncertainty>): Growing => ({
    kind: 'sd',
    at: (x) => {
      const field = errorField(fit, { ...uncertainty, ...change(x) });
      return field === undefined ? undefined : { field };
    },
  });
  if (unstated.cutSd)
    found.push({
      code: 'cut-sd',
      text: 'the cut landed elsewhere by an sd of',
      supposed: 0,
      growing: growing((x) => ({ cutSd: Math.hypot(uncertainty.cutSd, x) })),
      unit: 'mm',
      usual: commonPractice.cutSd,
      cure: 'State cut-sd in the machine profile; "reseat calibrate beam" measures it.',
    });
  if (unstated.kerfSd && !asDrawn)
    found.push({
      code: 'kerf-sd',
      text: 'the kerf varied with an sd of',
      supposed: 0,
      // The error of drawn edges is in it already.
      growing: growing((x) => ({ kerfSd: Math.hypot(uncertainty.kerfSd, x) })),
      unit: 'mm',
      usual: commonPractice.kerfSd,
      cure: 'State kerf-sd in the machine profile; "reseat calibrate kerf" measures it.',
    });
  const { lostMotion } = unstated;
  if (lostMotion === undefined) return found;
  const { side, offsetSides, inCut } = lostMotion;
  const reachedWith = (x: number): Pick<AssumptionInput, 'observations' | 'touches'> => {
    if (side === undefined) return input;
    const sided = { side: { ...side, x: side.x * x, y: side.y * x } };
    return {
      observations: input.observations.map((o) => ({ ...o, ...sided })),
      touches: input.touches.map((t) => ({ ...t, ...sided })),
    };
  };
  const ofSides = sidesOfReadings({ fit, ...reachedWith(1) });
  const ofOffset = offsetSides.flatMap(({ x, y }) => [shiftBy(x, 0), shiftBy(0, y)]);
  const generators = [...ofSides, ...ofOffset].filter(({ matrix }) => matrix.some((value) => value !== 0));
  found.push({
    code: 'lost-motion',
    text: 'the axes had a lost motion of',
    supposed: 0,
    growing: {
      kind: 'bounded',
      perUnit: { generators, anyDirection: 0 },
      inCut,
      // Sides that differ from mark to mark count in the sds of the readings.
      ...(side === undefined || side.alike.every(Boolean)
        ? {}
        : { judged: (x: number) => refitted({ ...input, ...reachedWith(x) }, {}) }),
    },
    unit: 'mm',
    usual: commonPractice.lostMotion,
    cure: 'State reversal in the machine profile; "reseat calibrate pointer" measures it.',
  });
  return found;
};

/** The chance below which residuals as small as these are no accident. */
const tooSmall = 0.05;

/** The sd of marks above which residuals as small as these would be an accident; undefined where nothing is spare. */
const largestMarkSd = ({ consistency, redundancy, sd }: Fit): number | undefined => {
  if (consistency === undefined || redundancy === 0 || sd.used === undefined) return undefined;
  let low = 1;
  let high = 1e6;
  for (let i = 0; i < 60; i++) {
    const middle = Math.sqrt(low * high);
    if (chiSquareCdf(consistency.chiSquare / middle, redundancy) > tooSmall) low = middle;
    else high = middle;
  }
  // Variance over the stated one; less than 1: hardly room for any error of the marks.
  return sd.used * Math.sqrt(Math.max(0, low - 1));
};

/** What the residuals show of a common error of size 1: its estimate and twice its sd; undefined where they see none. */
export const largestShown = (fit: Fit, one: Displacement): number | undefined => {
  if (fit.sd.used === undefined || fit.redundancy === 0) return undefined;
  let seen = 0;
  let product = 0;
  let variance = 0;
  for (const { reading, residual, readings } of fit.marks) {
    // The residual that the error leaves is the displacement with its sign turned.
    const { x, y } = displacedBy(one, reading);
    seen += readings * (x * x + y * y);
    product -= readings * (x * residual.x + y * residual.y);
    variance += readings * (x * x + y * y);
  }
  for (const { reading, normal, residual, readings } of fit.touches ?? []) {
    const moved = displacedBy(one, reading);
    const across = normal.x * moved.x + normal.y * moved.y;
    seen += readings * across * across;
    product -= readings * across * residual;
    variance += readings * across * across;
  }
  const largest = Math.max(...fit.marks.map(({ design }) => Math.hypot(design.x, design.y)), 1);
  if (seen <= (1e-9 * largest) ** 2) return undefined;
  return Math.abs(product / seen) + (2 * fit.sd.used) / Math.sqrt(variance);
};

/** `0.12 mm`, or `0.8 mm per metre`. */
export const inUnit = (value: number, { unit }: Pick<Assumption, 'unit'>): string =>
  unit === 'share' ? `${(1000 * value).toFixed(2)} mm per metre` : `${value.toFixed(2)} mm`;

/** The sentence of the verdict: the nearest one that the readings do not show. Undefined where none turns it. */
export const restsOn = (assumptions: readonly Assumption[]): string | undefined => {
  const worst = assumptions.find((one) => one.turnsAt !== undefined && !one.controlled);
  if (worst === undefined) return undefined;
  return `It would not fit if ${worst.text} ${inUnit(worst.turnsAt!, worst)} or more, which these readings cannot show.`;
};

/** Those that turn the verdict at a value that is common practice. */
export const turningAssumptions = (assumptions: readonly Assumption[]): Objection[] =>
  assumptions
    .filter((one) => nearness(one) < 1 && !one.controlled)
    .slice(0, 1)
    .map((one) => ({
      kind: 'assumption',
      reason: `It would not fit if ${one.text} ${inUnit(one.turnsAt!, one)}, and nothing says that it is less.`,
      advice: [{ kind: 'state-figure', message: one.cure }],
    }));
