/**
 * What a verdict rests on: every figure that nobody stated, with the value at which the verdict would turn. One at a time,
 * the others as they are.
 */
import { adjust } from '../fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../fit/fit.js';
import type { Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { UnknownSide } from '../marks/sides.js';
import type { TouchReadings } from '../marks/touches.js';
import { chiSquareCdf } from '../numeric/distributions.js';
import { bowError, type CommonSettings, sidesOfReadings, sizeError } from './common-errors.js';
import { commonPractice } from './common-practice.js';
import { type Displacement, displacedBy, shiftBy } from './displacement.js';
import type { Edge } from './edge.js';
import type { EdgeIndex } from './edge-index.js';
import { type CutUncertainty, type ErrorField, errorField } from './error-field.js';
import type { Objection } from './proof.js';
import { type JobRisk, neededForJob } from './risk.js';
import type { Bounded } from './vertices.js';

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
  /** What is supposed, in a clause that follows "if". */
  readonly text: string;
  /** The value that the verdict takes. */
  readonly supposed: number;
  /** The value at which the verdict turns; undefined where none within reason does, or where it does not fit as it is. */
  readonly turnsAt?: number;
  readonly unit: 'mm' | 'share';
  /** The largest value that the readings leave possible; undefined where they show nothing of it. */
  readonly atMost?: number;
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
  readonly indexes: readonly EdgeIndex[];
  readonly risk: JobRisk;
  readonly clearance: number;
  readonly acceptedRisk: number;
  readonly systematic?: Matrix;
  readonly bounded: Bounded;
  readonly uncertainty: CutUncertainty;
  readonly asDrawn: boolean;
  /** Edges of some openings, by number, with what 1 mm of lost motion on both axes takes in the cut. */
  readonly edgesWithLoss: (which: readonly number[]) => readonly Edge[];
}

/** One figure changed: what the verdict would be made of. */
interface Change {
  readonly field?: ErrorField | undefined;
  readonly bounded?: Bounded;
  readonly edges?: readonly Edge[];
}

/** The needed clearance of this many openings, those that need most, stands for that of the job. */
const mostOpenings = 3;
const draws = 512;

export const assumptionsOf = (input: AssumptionInput): Assumption[] => {
  const found = [...ofReadings(input), ...ofPanel(input), ...ofMachine(input)];
  const { isWitnessed } = input.unstated;
  const isSettled = ({ atMost, turnsAt }: Assumption): boolean =>
    isWitnessed && atMost !== undefined && (turnsAt === undefined || atMost < turnsAt);
  return found.filter((assumption) => !isSettled(assumption)).sort((a, b) => nearness(a) - nearness(b));
};

/** The value at which the verdict turns over the one to be reckoned with: below 1 it is not safe. */
const nearness = ({ turnsAt, usual, atMost }: Assumption): number =>
  turnsAt === undefined ? Number.POSITIVE_INFINITY : turnsAt / Math.min(usual, atMost ?? usual);

const ofReadings = (input: AssumptionInput): Assumption[] => {
  const { fit, observations, touches, options, unstated, uncertainty } = input;
  const refitted = (change: Partial<FitOptions>): Change => {
    const { readingSdDof, ...others } = options;
    const dof = change.readingSd === undefined && readingSdDof !== undefined ? { readingSdDof } : {};
    const outcome = adjust(observations, { ...others, ...dof, ...change }, touches, { near: fit });
    return { field: outcome.ok ? errorField(outcome.fit, uncertainty) : undefined };
  };
  const found: Assumption[] = [];
  if (unstated.markSd && fit.marks.length > 0 && fit.sd.stated !== undefined) {
    const atMost = largestMarkSd(fit);
    found.push({
      code: 'mark-sd',
      text: 'the marks were made with an sd of',
      supposed: 0,
      ...turn(input, commonPractice.markSd, (x) => refitted({ markSd: x })),
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
      ...turn(input, commonPractice.readingSd, (x) => refitted({ readingSd: x }), fit.sd.used),
      unit: 'mm',
      usual: commonPractice.readingSd,
      cure: 'State fit: {reading-sd: ...}; "reseat calibrate pointer" measures it.',
    });
  }
  if (unstated.pointing) {
    found.push({
      code: 'pointing-bias',
      text: 'the eye placed the pointer to one side of every mark by',
      supposed: 0,
      ...turn(input, commonPractice.pointingBias, (x) => ({
        bounded: { ...input.bounded, anyDirection: input.bounded.anyDirection + x },
      })),
      unit: 'mm',
      usual: commonPractice.pointingBias,
      cure: 'State fit: {pointing-sd: ...} or {pointing-bias: ...}, by the marks of one sheet read by two people (calibrate pointer, column who).',
    });
  }
  return found;
};

/** Of a panel that is no longer as drawn. */
const ofPanel = (input: AssumptionInput): Assumption[] => {
  const { fit, common, unstated, bounded } = input;
  const found: Assumption[] = [];
  const plus = (generator: Displacement, x: number): Change => ({
    bounded: { ...bounded, generators: [...bounded.generators, scaled(generator, x)] },
  });
  const panel = common.panel();
  const size = Math.max(panel.maxX - panel.minX, panel.maxY - panel.minY);
  if (unstated.bow && size > 0) {
    const one = bowError(fit, 1, panel);
    const usual = commonPractice.bowPerLength * size;
    const atMost = largestShown(fit, one);
    found.push({
      code: 'bow',
      text: 'the middle of the panel were bowed to one side by',
      supposed: 0,
      ...turn(input, usual, (x) => plus(one, x)),
      unit: 'mm',
      ...(atMost === undefined ? {} : { atMost }),
      usual,
      cure: 'Read a witness point in the middle of the panel, or state check: {bow: ...}.',
    });
  }
  if (unstated.sizeChange) {
    const one = sizeError(fit, 1);
    const atMost = largestShown(fit, one);
    if (fit.model === 'rigid' || fit.model === 'shift')
      found.push({
        code: 'size-change',
        text: 'the panel had grown or shrunk by',
        supposed: 0,
        ...turn(input, commonPractice.sizeChange, (x) => plus(one, x)),
        unit: 'share',
        ...(atMost === undefined ? {} : { atMost }),
        usual: commonPractice.sizeChange,
        cure: 'Read a mark or witness point far from the others, or state check: {size-change: ...}.',
      });
  }
  return found;
};

const ofMachine = (input: AssumptionInput): Assumption[] => {
  const { fit, unstated, uncertainty, asDrawn } = input;
  const found: Assumption[] = [];
  if (unstated.cutSd)
    found.push({
      code: 'cut-sd',
      text: 'the same cut landed elsewhere with an sd of',
      supposed: 0,
      ...turn(input, commonPractice.cutSd, (x) => ({
        field: errorField(fit, { ...uncertainty, cutSd: Math.hypot(uncertainty.cutSd, x) }),
      })),
      unit: 'mm',
      usual: commonPractice.cutSd,
      cure: 'State cut-sd in the machine profile; "reseat calibrate beam" measures it.',
    });
  if (unstated.kerfSd && !asDrawn)
    found.push({
      code: 'kerf-sd',
      text: 'the width of the kerf varied with an sd of',
      supposed: 0,
      ...turn(input, commonPractice.kerfSd, (x) => ({
        field: errorField(fit, { ...uncertainty, kerfSd: x }),
      })),
      unit: 'mm',
      usual: commonPractice.kerfSd,
      cure: 'State kerf-sd in the machine profile; "reseat calibrate kerf" measures it.',
    });
  const { lostMotion } = unstated;
  if (lostMotion !== undefined) {
    const which = worstOf(input);
    const lossy = lostMotion.inCut ? input.edgesWithLoss(which) : undefined;
    const { side } = lostMotion;
    const ofSides = sidesOfReadings({
      fit,
      observations: input.observations.map((o) => ({ ...o, ...(side === undefined ? {} : { side }) })),
      touches: input.touches.map((t) => ({ ...t, ...(side === undefined ? {} : { side }) })),
    });
    const ofOffset = lostMotion.offsetSides.flatMap(({ x, y }) => [shiftBy(x, 0), shiftBy(0, y)]);
    const all = [...ofSides, ...ofOffset].filter(({ matrix }) => matrix.some((value) => value !== 0));
    found.push({
      code: 'lost-motion',
      text: 'the axes had a lost motion of',
      supposed: 0,
      ...turn(input, commonPractice.lostMotion, (x) => ({
        bounded: {
          ...input.bounded,
          generators: [...input.bounded.generators, ...all.map((one) => scaled(one, x))],
        },
        ...(lossy === undefined
          ? {}
          : { edges: lossy.map((edge) => ({ ...edge, loss: edge.loss!.map((value) => value * x) })) }),
      })),
      unit: 'mm',
      usual: commonPractice.lostMotion,
      cure: 'State reversal in the machine profile; "reseat calibrate pointer" measures it.',
    });
  }
  return found;
};

const scaled = ({ matrix, bend }: Displacement, factor: number): Displacement => ({
  matrix: matrix.map((value) => value * factor) as unknown as Matrix,
  ...(bend === undefined
    ? {}
    : { bend: { ...bend, each: { x: bend.each.x * factor, y: bend.each.y * factor } } }),
});

/** The numbers of the openings that need most. */
const worstOf = ({ risk }: AssumptionInput): number[] =>
  risk.openings
    .map((o, i) => ({ i, needed: o.neededClearance }))
    .sort((a, b) => b.needed - a.needed)
    .slice(0, mostOpenings)
    .map(({ i }) => i);

/** The openings that count for a change: those that need most as it is, and those that the change moves most. */
const countedFor = (input: AssumptionInput, { bounded }: Change): number[] => {
  const which = new Set(worstOf(input));
  const extra = bounded?.generators.at(-1);
  if (extra === undefined || input.edges.length <= mostOpenings) return [...which];
  const moved = input.edges.map(({ x, y }, i) => {
    const at = displacedBy(extra, { x: x[0]!, y: y[0]! });
    return { i, size: Math.hypot(at.x, at.y) };
  });
  for (const { i } of moved.sort((a, b) => b.size - a.size).slice(0, mostOpenings)) which.add(i);
  return [...which];
};

/** Where the needed clearance reaches the one there is: it grows with the error nearly along a straight line or a hyperbola. */
const turn = (
  input: AssumptionInput,
  usual: number,
  change: (x: number) => Change,
  from = 0,
): { turnsAt?: number } => {
  const { clearance, acceptedRisk, systematic, fit, uncertainty, risk } = input;
  if (risk.risk > acceptedRisk) return {};
  const which = countedFor(input, change(usual));
  const indexes = which.map((i) => input.indexes[i]!);
  const own = errorField(fit, uncertainty)!;
  const needed = (x: number): number => {
    const { field = own, bounded = input.bounded, edges } = change(x);
    return neededForJob({
      edges: edges ?? which.map((i) => input.edges[i]!),
      indexes,
      field,
      acceptedRisk,
      bounded,
      draws,
      ...(systematic === undefined ? {} : { systematic }),
    });
  };
  // Secants; the two ends of the bracket hold them where the curve is bent.
  let low = from;
  let high = Number.POSITIVE_INFINITY;
  let before = { x: from, over: risk.neededClearance - clearance };
  let x = Math.max(usual, 2 * from);
  for (let i = 0; i < mostSteps; i++) {
    const over = needed(x) - clearance;
    if (Math.abs(over) < closeEnough * clearance) return { turnsAt: x };
    if (over < 0) low = x;
    else high = x;
    if (low > farthest * Math.max(usual, from)) return {};
    const slope = (over - before.over) / (x - before.x);
    before = { x, over };
    const next = slope > 0 ? x - over / slope : 3 * x;
    if (high === Number.POSITIVE_INFINITY) x = Math.min(Math.max(next, 1.02 * x), 6 * x);
    else x = next > low && next < high ? next : (low + high) / 2;
  }
  return high === Number.POSITIVE_INFINITY ? {} : { turnsAt: (low + high) / 2 };
};

const closeEnough = 0.003;
const mostSteps = 20;
/** Beyond so many times what is usual nobody asks any more. */
const farthest = 40;

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

/** Whether the readings show that the value is not as large as where the verdict turns. */
const isShown = ({ atMost, turnsAt }: Assumption): boolean =>
  atMost !== undefined && turnsAt !== undefined && atMost < turnsAt;

/** The sentence of the verdict: the nearest one that the readings do not show. Undefined where none turns it. */
export const restsOn = (assumptions: readonly Assumption[]): string | undefined => {
  const worst = assumptions.find((one) => one.turnsAt !== undefined && !isShown(one));
  if (worst === undefined) return undefined;
  return `It would not fit if ${worst.text} ${inUnit(worst.turnsAt!, worst)} or more, which these readings cannot show.`;
};

/** Those that turn the verdict at a value that is common practice. */
export const turningAssumptions = (assumptions: readonly Assumption[]): Objection[] =>
  assumptions
    .filter((one) => nearness(one) < 1 && !isShown(one))
    .slice(0, 1)
    .map((one) => ({
      kind: 'assumption',
      reason: `It would not fit if ${one.text} ${inUnit(one.turnsAt!, one)}, and nothing says that it is less.`,
      advice: [{ kind: 'state-figure', message: one.cure }],
    }));
