/** Everything that may be behind readings that do not agree, before it is weighed. */
import type { Point } from '../../geometry/point.js';
import { subtract } from '../../geometry/point.js';
import type { SlipKind } from '../../job/messages.js';
import { ambiguities } from '../doubts/ambiguity.js';
import type { Observation } from '../fit.js';
import { decimalsOf, type NumberVariant, variantsOf } from './typed-number.js';

/** A slip without freedom: it says what the readings, or the design, should have been. */
export interface SlipExplanation {
  readonly kind: SlipKind;
  /** Indices of the marks whose readings are wrong; all of them where every reading is. */
  readonly marks: readonly number[];
  /** How plausible it is beside "nothing is wrong" at 1. */
  readonly prior: number;
  /** The readings as they were probably meant, display coordinates, per mark that changes. */
  readonly meant: ReadonlyMap<number, readonly Point[]>;
  /** The design mirrored instead. */
  readonly mirroredDesign?: boolean;
  /** The one coordinate concerned, where it is one. */
  readonly coordinate?: {
    readonly reading: number;
    readonly axis: 'x' | 'y';
    readonly variant: NumberVariant;
  };
  /** Beside what concerns the whole job, the readings of these two are swapped. */
  readonly alsoSwapped?: readonly [number, number];
  /** More marks than two in another order. */
  readonly order?: boolean;
}

/**
 * How often each slip happens, beside 1 for a job without any: judgement of the trade, no source. Where readings
 * decide they outweigh these by far; where two slips explain equally well these only set which is named first.
 */
export const slipPriors = {
  plainCoordinate: 0.05,
  plainMark: 0.03,
  noisy: 0.05,
  sizeChanged: 0.05,
  exchanged: 0.03,
  'exchanged-over-point': 0.003,
  'one-digit': 0.03,
  'digit-missing': 0.01,
  'digit-too-many': 0.01,
  'point-lost': 0.02,
  'point-moved': 0.004,
  sign: 0.005,
  swapped: 0.02,
  otherOrder: 0.0002,
  halfTurn: 0.005,
  axesOfOne: 0.01,
  axesOfAll: 0.003,
  signOfAll: 0.001,
  /** A display that counts y downwards, where the job does not say which way it counts. */
  yDownUnsaid: 0.01,
  inches: 0.003,
  centimetres: 0.003,
  faceDown: 0.01,
} as const;

/** Readings as typed, with the way from there to true millimetres. */
export interface TypedReadings {
  /** Display coordinates as typed, one list per observation in the order of its readings. */
  readonly typed: readonly (readonly Point[])[];
  readonly toTrue: (display: Point, mark: number, reading: number) => Point;
  /** Nobody says which way the display counts y. */
  readonly axesAssumed?: boolean;
}

/** Whether a mark could have been read there at all: one of its readings replaced by `meant` (display). */
export type CouldBe = (mark: number, reading: number, meant: Point) => boolean;

/**
 * All slips that could be behind the readings. `possible` tells quickly whether a mark could have been read there at
 * all; mistyped numbers for which it is false are left out.
 */
export const explanationsFor = (
  observations: readonly Observation[],
  { typed, axesAssumed = false }: TypedReadings,
  possible: CouldBe,
): SlipExplanation[] => [
  ...mistypedNumbers(typed, possible),
  ...swappedAxes(typed),
  ...wrongOrder(observations, typed),
  ...wholeJob(typed, axesAssumed ? slipPriors.yDownUnsaid : slipPriors.signOfAll),
  ...twoCauses(typed, axesAssumed ? slipPriors.yDownUnsaid : slipPriors.signOfAll),
];

const mistypedNumbers = (typed: TypedReadings['typed'], possible: CouldBe): SlipExplanation[] => {
  const decimals = decimalsOf(typed.flat().flatMap((p) => [p.x, p.y]));
  const coordinates = 2 * typed.flat().length;
  const all: SlipExplanation[] = [];
  typed.forEach((readings, mark) => {
    readings.forEach((p, reading) => {
      for (const axis of ['x', 'y'] as const) {
        const variants = variantsOf(p[axis], decimals);
        const counts = new Map<string, number>();
        for (const { way } of variants) counts.set(way, (counts.get(way) ?? 0) + 1);
        for (const variant of variants) {
          const single = axis === 'x' ? { x: variant.value, y: p.y } : { x: p.x, y: variant.value };
          if (!possible(mark, reading, single)) continue;
          all.push({
            kind: variant.kind,
            marks: [mark],
            prior: slipPriors[variant.way] / coordinates / counts.get(variant.way)!,
            meant: new Map([[mark, readings.map((q, k) => (k === reading ? single : q))]]),
            coordinate: { reading, axis, variant },
          });
        }
      }
    });
  });
  return all;
};

const crossed = (p: Point): Point => ({ x: p.y, y: p.x });

const swappedAxes = (typed: TypedReadings['typed']): SlipExplanation[] => {
  const singles = typed.flatMap((readings, mark) => {
    const share = slipPriors.axesOfOne / typed.length;
    const whole = {
      kind: 'axes-swapped' as const,
      marks: [mark],
      prior: share,
      meant: new Map([[mark, readings.map(crossed)]]),
    };
    if (readings.length === 1) return [whole];
    const each = readings.map((_, k) => ({
      ...whole,
      prior: share / readings.length,
      meant: new Map([[mark, readings.map((p, i) => (i === k ? crossed(p) : p))]]),
    }));
    return [whole, ...each];
  });
  return singles;
};

/** Two marks swapped, a half turn of a nearly symmetric pattern, and for up to five marks every other order. */
const wrongOrder = (
  observations: readonly Observation[],
  typed: TypedReadings['typed'],
): SlipExplanation[] => {
  const n = observations.length;
  const design = observations.map((o) => o.design);
  const pairs = (n * (n - 1)) / 2;
  const orders: { order: readonly number[]; prior: number; kind: 'swapped' | 'half-turn' }[] = [];
  const seen = new Set<string>();
  const add = (order: readonly number[], prior: number, kind: 'swapped' | 'half-turn') => {
    const key = order.join(' ');
    if (!seen.has(key) && order.some((to, k) => to !== k)) orders.push({ order, prior, kind });
    seen.add(key);
  };
  if (n > 2) {
    for (const { kind, image } of ambiguities(design, looseTolerance(design)))
      if (kind === 'half-turn') add(image, slipPriors.halfTurn, 'half-turn');
  }
  for (let i = 0; i < n; i++) {
    for (let j = i + 1; j < n; j++) {
      const order = design.map((_, k) => (k === i ? j : k === j ? i : k));
      add(order, slipPriors.swapped / pairs, 'swapped');
    }
  }
  if (n <= 5) {
    const all = permutations(n);
    for (const order of all) add(order, slipPriors.otherOrder / all.length, 'swapped');
  }
  return orders.map(({ order, prior, kind }) => {
    const marks = order.flatMap((to, k) => (to === k ? [] : [k]));
    return {
      kind,
      marks,
      prior,
      meant: new Map(marks.map((k) => [k, typed[order[k]!]!])),
      ...(marks.length > 2 ? { order: true } : {}),
    };
  });
};

/** A pattern within a seventh of its reach of a half turn can be taken for turned by a hasty eye. */
const looseTolerance = (design: readonly Point[]): number => {
  let reach = 0;
  for (const p of design) {
    const d = subtract(p, design[0]!);
    reach = Math.max(reach, Math.hypot(d.x, d.y));
  }
  return reach / 7;
};

const permutations = (n: number): number[][] => {
  if (n === 0) return [[]];
  return permutations(n - 1).flatMap((rest) =>
    Array.from({ length: n }, (_, at) => [...rest.slice(0, at), n - 1, ...rest.slice(at)]),
  );
};

/** Marks beyond which two causes at once are not tried: their pairs grow with the square. */
const mostForTwo = 12;

/** The whole job mirrored or counted the other way, and two marks swapped besides. */
const twoCauses = (typed: TypedReadings['typed'], yPrior: number): SlipExplanation[] => {
  const n = typed.length;
  if (n < 3 || n > mostForTwo) return [];
  const pairs = (n * (n - 1)) / 2;
  const whole = wholeJob(typed, yPrior).filter(({ kind }) => kind !== 'inches' && kind !== 'centimetres');
  return whole.flatMap((slip) =>
    Array.from({ length: n }, (_, i) => i).flatMap((i) =>
      Array.from({ length: n - 1 - i }, (_, k) => i + 1 + k).map((j): SlipExplanation => {
        const of = (k: number): number => (k === i ? j : k === j ? i : k);
        const meantOf = (k: number): readonly Point[] => slip.meant.get(of(k)) ?? typed[of(k)]!;
        const marks = slip.mirroredDesign ? [i, j] : slip.marks;
        return {
          ...slip,
          prior: (slip.prior * slipPriors.swapped) / pairs,
          meant: new Map(marks.map((k) => [k, meantOf(k)])),
          alsoSwapped: [i, j],
        };
      }),
    ),
  );
};

const wholeJob = (typed: TypedReadings['typed'], yPrior: number): SlipExplanation[] => {
  const marks = typed.map((_, k) => k);
  const each = (kind: SlipKind, prior: number, change: (p: Point) => Point): SlipExplanation => ({
    kind,
    marks,
    prior,
    meant: new Map(typed.map((readings, k) => [k, readings.map(change)])),
  });
  return [
    each('inches', slipPriors.inches, (p) => ({ x: p.x * 25.4, y: p.y * 25.4 })),
    each('centimetres', slipPriors.centimetres, (p) => ({ x: p.x * 10, y: p.y * 10 })),
    each('axes-swapped', slipPriors.axesOfAll, crossed),
    each('sign', yPrior, (p) => ({ x: p.x, y: -p.y })),
    each('sign', slipPriors.signOfAll, (p) => ({ x: -p.x, y: p.y })),
    { kind: 'face-down', marks, prior: slipPriors.faceDown, meant: new Map(), mirroredDesign: true },
  ];
};

/** The axis that is counted the other way in all readings: the other one keeps its figures, if at another mark. */
export const axisOfSign = (
  { meant, alsoSwapped: [i, j] = [-1, -1] }: SlipExplanation,
  typed: TypedReadings['typed'],
): 'x' | 'y' => {
  const [mark, readings] = [...meant][0]!;
  const from = mark === i ? j : mark === j ? i : mark;
  return readings[0]!.x === typed[from]![0]!.x ? 'y' : 'x';
};

/** The readings as they were probably meant: the corrected one, or the mean of all that change. */
export const suggestedReadings = (
  slip: SlipExplanation,
  observations: readonly Observation[],
): Record<string, [number, number]> => {
  const suggested: Record<string, [number, number]> = {};
  for (const [k, readings] of slip.meant) {
    const p =
      slip.coordinate === undefined
        ? readings.length === 1
          ? readings[0]!
          : mean(readings)
        : readings[slip.coordinate.reading]!;
    suggested[observations[k]!.mark] = [rounded(p.x), rounded(p.y)];
  }
  return suggested;
};

export const mean = (points: readonly Point[]): Point => ({
  x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
  y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
});

/** A product such as 4.43 x 25.4 without the dust of binary fractions. */
export const rounded = (value: number): number => Number(value.toFixed(6));
