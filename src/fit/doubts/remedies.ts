/** What settles a doubt about the readings, for each cause that was found. */

import type { Point } from '../../geometry/point.js';
import type { Remedy, Warning } from '../../job/messages.js';
import { toWrite } from '../../job/to-write.js';
import { placeWords, type Retyping } from '../../marks/typed-marks.js';
import type { Fit, Observation } from '../fit.js';
import {
  axisOfSign,
  type SlipExplanation,
  suggestedReadings,
  type TypedReadings,
} from '../slips/explanations.js';
import { decimalsOf } from '../slips/typed-number.js';
import { listed, turnInWords } from '../words.js';

/** What the job says of the things that may be behind contradicting readings. */
export interface Stated {
  readonly face: 'up' | 'down';
  readonly axes: 'y-up' | 'y-down';
  /** Neither the job nor its profile says which way y counts: `axes` is what holds then. */
  readonly axesAssumed: boolean;
  /** The job does not say which face is up: `face` is what holds then. Absent: it does. */
  readonly faceAssumed?: boolean;
  /** The drawing itself says how long its units are. */
  readonly unitStated?: boolean;
  /** Where positions of marks are typed: what may be wrong with them. */
  readonly typed?: TypedDesign;
  /** How the job file has to name a key and its value (job/to-write.ts). */
  readonly toWrite: (key: string, value: string) => string;
}

/** The part of it that says how the part lies. */
export type Orientation = Pick<Stated, 'face' | 'axes' | 'axesAssumed' | 'toWrite'>;

export const nothingStated: Stated = {
  face: 'up',
  axes: 'y-up',
  axesAssumed: true,
  toWrite: (key, value) => toWrite({}, key, value),
};

export const changeKey = (
  key: string,
  value: string,
  why: string,
  { toWrite }: Pick<Stated, 'toWrite'>,
): Remedy => ({
  kind: 'change-job',
  step: `write ${toWrite(key, value)}${why}`,
  set: { key, value },
});

/** @param why a clause with what precedes it, or nothing */
export const readAgainAt = (marks: readonly string[], why = ''): Remedy => ({
  kind: 'read-again',
  step: `read again at ${listed(marks)}${why}`,
  marks,
});

/** Where nothing but the disagreement itself is known. */
export const readLargest = (fit: Fit): Remedy => {
  const sizes = [
    ...fit.marks.map(({ mark, residual }) => ({ name: mark, size: Math.hypot(residual.x, residual.y) })),
    ...(fit.touches ?? []).map(({ touch, residual }) => ({ name: touch, size: Math.abs(residual) })),
  ];
  const largest = Math.max(...sizes.map(({ size }) => size));
  const marks = sizes.filter(({ size }) => size > (1 - equallyLarge) * largest).map(({ name }) => name);
  return {
    kind: 'read-again',
    step: `read again where the residuals are largest, at ${listed(marks)}`,
    marks,
  };
};

/** Residuals within this share of the largest accuse their marks alike. */
const equallyLarge = 0.05;

export const otherAxes = (stated: Orientation): Remedy => {
  const value = stated.axes === 'y-up' ? 'y-down' : 'y-up';
  const way = value === 'y-down' ? 'downwards' : 'upwards';
  return changeKey('machine.axes', value, `, if the display counts y ${way}`, stated);
};

export const otherFace = (stated: Orientation): Remedy =>
  stated.face === 'up'
    ? changeKey('face', 'down', ', if the part lies on its face', stated)
    : changeKey('face', 'up', ', if the part lies face up', stated);

/**
 * For readings that fit the mirror image of the marks. Display and drawing differ in it as well where y counts
 * downwards and nobody said so: the first thing to look at then.
 *
 * @param mostBelieved of the slips that explain it: y before x in all readings shows in how the part would lie turned
 */
export const mirrorRemedies = (stated: Stated, mostBelieved?: SlipExplanation): Remedy[] => {
  const typed = typedMirrored(stated);
  if (mostBelieved?.kind === 'axes-swapped')
    return [exchangeAll, ...typed, otherAxes(stated), otherFace(stated)];
  return stated.axesAssumed
    ? [...typed, otherAxes(stated), otherFace(stated), exchangeAll]
    : [...typed, otherFace(stated), exchangeAll, otherAxes(stated)];
};

/**
 * For a pattern that fits its mirror image as well, in a job that says neither which way the display counts y nor which
 * face is up.
 *
 * @param turn of the part as the readings have it, radians counter-clockwise
 */
export const unsaidOrientation = (stated: Stated, turn = 0): Warning['unsaid'] | undefined => {
  if (!stated.axesAssumed || stated.faceAssumed !== true) return undefined;
  const axes = (value: string, way: string): Remedy =>
    changeKey('machine.axes', value, `, if the display counts y ${way}`, stated);
  return {
    reason:
      'Nothing says which way the display counts y, nor which face of the part is up ("axes" and "face"), and the readings fit a mirror image as well: y counted upwards and face up are supposed.',
    remedies: [
      ...(isOnItsSide(turn) ? [exchangeOnItsSide(turn)] : []),
      axes('y-up', 'upwards'),
      axes('y-down', 'downwards'),
      otherFace(stated),
    ],
  };
};

/** Positions of all marks that are typed as their mirror image. */
const typedMirrored = ({ typed }: Stated): Remedy[] => (typed?.mirrored ?? []).map(({ remedy }) => remedy);

/**
 * A reading that does not fit may be right, and the typed position of its mark wrong: where one slip of the finger explains
 * it that is the likelier by far, for no reading strays to such a place by chance.
 */
export const withTypedPosition = (
  marks: readonly string[],
  { typed }: Stated,
  again: readonly Remedy[],
): Remedy[] => {
  const mistyped = marks.flatMap((mark) => typed?.mistyped(mark)?.remedy ?? []);
  if (mistyped.length > 0) return [...mistyped, ...again];
  const known = marks.length === 1 ? typed?.byOthers(marks[0]!) : undefined;
  return known === undefined
    ? [...again]
    : [
        ...again,
        {
          kind: 'correct-marks',
          step: `correct the position of ${marks[0]} under "marks:", if it reads the same again: typed are ${placeWords(known.typed)}, by the other marks it is about ${aboutWords(known.found)}`,
        },
      ];
};

const aboutWords = ({ x, y }: Point): string => `[${(x + 0).toFixed(1)}, ${(y + 0).toFixed(1)}]`;

const mistypedPosition = (marks: readonly string[], { typed }: Stated): Remedy[] =>
  marks.flatMap((mark) => typed?.mistyped(mark)?.remedy ?? []);

/** Two readings taken one for the other, or the positions of their marks. */
const exchangedPositions = ([one, other]: readonly string[], { typed }: Stated): Remedy[] => {
  const remedy = one === undefined || other === undefined ? undefined : typed?.exchanged(one, other);
  return remedy === undefined ? [] : [remedy];
};

/** Turned by a quarter, more or less: y written before x looks so, where a mirror image fits as well. */
const isOnItsSide = (turn: number): boolean => Math.abs(Math.sin(turn)) > Math.SQRT1_2;

const exchangeOnItsSide = (turn: number): Remedy => ({
  kind: 'correct-readings',
  step: `exchange x and y in every reading, if y was written first: as they are, the part would lie turned by ${turnInWords((180 * turn) / Math.PI, 0)}`,
});

const exchangeAll: Remedy = {
  kind: 'correct-readings',
  step: 'exchange x and y in every reading, if y was written first',
};

/** For one slip that explains the readings. */
export const slipRemedies = (
  slip: SlipExplanation,
  observations: readonly Observation[],
  typed: TypedReadings,
  stated: Stated,
): Remedy[] => {
  const names = slip.marks.map((k) => observations[k]!.mark);
  const isWhole = names.length === observations.length;
  const example = (): string => {
    const [name, [x, y]] = Object.entries(suggestedReadings(slip, observations))[0]!;
    return `as ${name}: [${x}, ${y}]`;
  };
  if (slip.alsoSwapped !== undefined) {
    const pair = slip.alsoSwapped.map((k) => observations[k]!.mark);
    return [readAgainAt(pair, ', taken one for the other'), ...mirrorRemedies(stated, slip)];
  }
  switch (slip.kind) {
    case 'face-down':
      return [
        ...typedMirrored(stated),
        otherFace(stated),
        ...(stated.axesAssumed ? [otherAxes(stated)] : []),
      ];
    case 'inches':
      return [{ kind: 'correct-readings', step: `write the readings in mm, not in inches: ${example()}` }];
    case 'centimetres':
      return [{ kind: 'correct-readings', step: `write the readings in mm, not in cm: ${example()}` }];
    case 'axes-swapped':
      return isWhole
        ? [{ kind: 'correct-readings', step: `exchange x and y in every reading: ${example()}` }]
        : [readAgainAt(names, ', where y was probably written before x'), ...mistypedPosition(names, stated)];
    case 'sign':
      return slip.coordinate === undefined
        ? countedOtherWay(slip, typed, stated)
        : [readAgainAt(names, probably(slip, typed)), ...mistypedPosition(names, stated)];
    case 'digits':
    case 'decimal-point':
      return [readAgainAt(names, probably(slip, typed)), ...mistypedPosition(names, stated)];
    case 'swapped':
      return [
        readAgainAt(names, ', taken one for the other'),
        ...(names.length === 2 ? exchangedPositions(names, stated) : []),
      ];
    case 'half-turn':
      return [readAgainAt(names, ', taken one for the other: the part lies turned by half a turn')];
  }
};

/** No key says that x counts to the left: a part on its face looks the same. */
const countedOtherWay = (slip: SlipExplanation, { typed }: TypedReadings, stated: Stated): Remedy[] => {
  return axisOfSign(slip, typed) === 'y'
    ? [...typedMirrored(stated), otherAxes(stated), otherFace(stated)]
    : [...typedMirrored(stated), otherFace(stated), otherAxes(stated)];
};

const probably = (slip: SlipExplanation, { typed }: TypedReadings): string => {
  const { axis, variant } = slip.coordinate!;
  const decimals = decimalsOf(typed.flat().flatMap((p: Point) => [p.x, p.y]));
  return `, where ${axis} is probably ${variant.value.toFixed(decimals)}`;
};

/** What may be wrong with the typed positions of marks, held against the readings when it is asked for. */
export interface TypedDesign {
  /** Every mark that is read is typed: the unit of the drawing has no say in where they lie. */
  readonly isAll: boolean;
  /** The whole list typed so that the marks are mirrored; first the one for which the part lies nearest to the way it is drawn. */
  readonly mirrored: readonly Retyping[];
  /** The whole list typed in another unit. */
  readonly scaled: Retyping | undefined;
  /** One mark at a place that differs from the typed one by one slip of the finger; undefined where none explains the readings. */
  readonly mistyped: (mark: string) => Mistyped | undefined;
  /** Where the other marks put this one, for a mark that is typed; design frame before `face`, mm. */
  readonly byOthers: (mark: string) => { readonly typed: Point; readonly found: Point } | undefined;
  /** The places of two marks typed one for the other. */
  readonly exchanged: (one: string, other: string) => Remedy | undefined;
}

export interface Mistyped {
  /** As a clause: `the position of mark C was typed with 2 and 7 exchanged, [327, 275] for [372, 275]`. */
  readonly cause: string;
  readonly remedy: Remedy;
}
