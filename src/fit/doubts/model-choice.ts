/**
 * Do the readings ask for a richer model? F-test of nested models; chi-square where the sd is known. Rigid against
 * similarity (size), similarity against affine (unequal sizes and shear).
 */
import { decompose, determinant, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import { distance } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import type { Remedy, Warning } from '../../job/messages.js';
import type { TouchReadings } from '../../marks/touches.js';
import { fCdf } from '../../numeric/distributions.js';
import type { Fit, FitOptions, Observation } from '../fit.js';
import { fitMarks, type MarkFit, type MarkPair } from '../solve/mark-fit.js';
import { matrixOf, type Placement, unknownsOf } from '../solve/placement.js';
import { placementOfFit } from '../solve/position.js';
import {
  consistencyLevel,
  meanReading,
  readingScale,
  squaresAbout,
  touchRepeats,
} from '../solve/uncertainty.js';
import { fitMixed } from '../touches/mixed-fit.js';
import { mm, oneIn } from '../words.js';
import { changeKey, readLargest, type Stated } from './remedies.js';

/** Level of either test; with the tests for slips a clean job stays below one warning in twenty. */
export const modelLevel = 0.005;

/** Larger than any sheet changes with moisture or warmth: a reading or a mark is wrong. Common practice, no source. */
const largestChange = 0.02;

export interface ModelTest {
  /** Mean square that the richer model explains over the mean square of an error. */
  readonly f: number;
  readonly pValue: number;
  /** Share of the smaller model's sum of squares that the richer one explains. */
  readonly share: number;
  readonly richer: MarkFit & { readonly ok: true };
}

/** Touches that take part, from a placement near the solution. */
export interface Touched {
  readonly touches: readonly TouchReadings[];
  readonly start: Placement;
  /** Of their repeated readings across the edges, mm^2. */
  readonly scatter: number;
}

/**
 * Tests `smaller` against `richer` on the readings. Undefined where the marks do not determine both, or where
 * nothing is known of the error: no sd, no repeated readings and no redundancy left in the richer model.
 */
export const testModels = (
  smaller: Model,
  richer: Model,
  observations: readonly Observation[],
  options: FitOptions,
  touched?: Touched,
): ModelTest | undefined => {
  if (2 * observations.length + (touched?.touches.length ?? 0) < unknownsOf[richer]) return undefined;
  const scale = readingScale(observations, options, touchRepeats(touched?.touches ?? [], touched?.scatter));
  const marks = observations.map(
    (o, i): MarkPair => ({ from: o.design, to: meanReading(o.readings), sd: scale.sds[i]! }),
  );
  const fitted = (model: Model): MarkFit => {
    if (touched === undefined) return fitMarks(model, marks);
    const touches = touched.touches.map(({ edge, readings }, i) => ({
      edge,
      to: readings,
      sd: scale.touchSds[i]!,
    }));
    return fitMixed(model, { marks, touches }, touched.start);
  };
  const small = fitted(smaller);
  const rich = fitted(richer);
  if (!small.ok || !rich.ok) return undefined;
  const more = unknownsOf[richer] - unknownsOf[smaller];
  const explained = Math.max(0, small.solved.weightedSquares - rich.solved.weightedSquares) / more;
  const error = errorOf(rich.solved.weightedSquares, rich.solved.redundancy, scale.reference);
  if (error === undefined || !(error.meanSquare > 0)) return undefined;
  const f = explained / error.meanSquare;
  const share = (explained * more) / small.solved.weightedSquares;
  return { f, pValue: Math.max(0, 1 - fCdf(f, more, error.degrees)), share, richer: rich };
};

/** Mean square of an error in units of the sds, pooled with what the richer model leaves over. */
const errorOf = (
  weightedSquares: number,
  redundancy: number,
  reference: { readonly degrees?: number } | undefined,
): { meanSquare: number; degrees?: number } | undefined => {
  const leftOver = { meanSquare: weightedSquares / redundancy, degrees: redundancy };
  if (reference === undefined) return redundancy === 0 ? undefined : leftOver;
  const { degrees } = reference;
  const surprise = redundancy === 0 ? 1 : 1 - fCdf(weightedSquares / redundancy, redundancy, degrees);
  if (surprise < consistencyLevel) return leftOver;
  if (degrees === undefined) return { meanSquare: 1 };
  return {
    meanSquare: (degrees + weightedSquares) / (degrees + redundancy),
    degrees: degrees + redundancy,
  };
};

/** `size-changed` where the readings, or a fit that follows size, say so. A mirrored fit has no size to speak of. */
export const sizeWarnings = (
  observations: readonly Observation[],
  options: FitOptions,
  fit: Fit,
  stated: Stated,
  touches: readonly TouchReadings[] = [],
): Warning[] => {
  if (options.model === 'shift' || determinant(fit.matrix) < 0) return [];
  const length = largestDistance([
    ...observations.map((o) => o.design),
    ...(fit.touches ?? []).map((t) => t.design),
  ]);
  const touched = touchedIn(fit, touches);
  const size = testModels('rigid', 'similarity', observations, options, touched);
  if (size !== undefined && size.pValue < modelLevel) {
    const [a, b] = size.richer.placement.linear;
    const change = sizeChanged(Math.hypot(a, b) - 1, length, Math.sqrt(size.f), options.model, stated);
    return [{ ...change, ...remediesOfSize(Math.hypot(a, b), fit, stated, size.richer.solved.redundancy) }];
  }
  const shape = testModels('similarity', 'affine', observations, options, touched);
  if (shape !== undefined && shape.pValue < modelLevel)
    return [
      {
        ...shapeChanged(matrixOf(shape.richer.placement), shape.pValue, options.model),
        ...(isBeyondSheets(matrixOf(shape.richer.placement))
          ? { remedies: [readEverything(fit)] }
          : options.model === 'affine' || fit.consistency?.consistent === true
            ? {}
            : { remedies: followOrRead('affine', shape.richer.solved.redundancy, fit, stated) }),
      },
    ];
  const { scale, shear } = decompose(fit.matrix);
  const worst = Math.max(Math.abs(scale[0] - 1), Math.abs(Math.abs(scale[1]) - 1), Math.abs(shear));
  if (worst <= largestChange) return [];
  return [
    {
      code: 'size-changed',
      message: `The ${options.model} fit makes the part ${percent(scale[0] - 1)} in one direction and ${percent(Math.abs(scale[1]) - 1)} in the other, leaning by ${degrees(shear)}; no sheet does that. A reading, or the design position of a mark, is wrong.`,
      ...remediesOfSize(Math.sqrt(Math.abs(scale[0] * scale[1])), fit, stated, fit.redundancy),
    },
  ];
};

/**
 * None for a change that the fit follows, nor for one so small that the stated sd accounts for what the fit leaves of it.
 */
const remediesOfSize = (
  ratio: number,
  fit: Fit,
  stated: Stated,
  redundancy: number,
): Pick<Warning, 'remedies'> => {
  const isLarge = Math.abs(ratio - 1) > largestChange;
  if (isLarge && stated.typed?.scaled !== undefined)
    return { remedies: [stated.typed.scaled.remedy, readEverything(fit)] };
  const shown = isLarge ? displayUnitOf(ratio, stated) : undefined;
  if (shown !== undefined) return { remedies: [inMillimetres(shown), readEverything(fit)] };
  const read = ratioOfUnits(ratio, stated);
  if (isLarge && read !== undefined) {
    const [key, value] = read.set;
    return { remedies: [changeKey(key, value, `: ${read.what}`, stated), readEverything(fit)] };
  }
  if (isLarge) return { remedies: [readEverything(fit)] };
  if (fit.model !== 'rigid' || fit.consistency?.consistent === true) return {};
  return { remedies: followOrRead('similarity', redundancy, fit, stated) };
};

/** A model that leaves no residual explains any mistake as well: then the readings are doubted first. */
const followOrRead = (model: Model, redundancy: number, fit: Fit, stated: Stated): Remedy[] =>
  redundancy > 0 ? [follow(model, stated), readLargest(fit)] : [readLargest(fit), follow(model, stated)];

/** Units that a display may show where the drawing itself says how large it is. */
const displayUnits = [
  { name: 'inches', millimetres: 25.4 },
  { name: 'cm', millimetres: 10 },
] as const;

type DisplayUnit = (typeof displayUnits)[number];

const displayUnitOf = (ratio: number, { unitStated = false }: Stated): DisplayUnit | undefined =>
  unitStated
    ? displayUnits.find(({ millimetres }) => Math.abs(ratio * millimetres - 1) < unitTolerance)
    : undefined;

const inMillimetres = ({ name, millimetres }: DisplayUnit): Remedy => ({
  kind: 'correct-readings',
  step: `write the readings in mm: the display shows ${name}, so multiply each of them by ${millimetres}, or better let it show mm and read again`,
});

const follow = (model: Model, stated: Stated): Remedy =>
  changeKey('fit.model', model, ', if the part itself has changed so', stated);

const readEverything = ({ marks, touches }: Pick<Fit, 'marks' | 'touches'>): Remedy => ({
  kind: 'read-again',
  step:
    marks.length === 0
      ? 'hold the edges that were touched against the drawing, and touch all of them again in one go'
      : `hold the design position of every mark against the part, and read ${touches === undefined ? 'all of them' : 'marks and touches'} again in one go`,
});

const touchedIn = (fit: Fit, touches: readonly TouchReadings[]): Touched | undefined => {
  if (touches.length === 0) return undefined;
  const scatter = (fit.touches ?? []).reduce((sum, { across = [] }) => sum + squaresAbout(across), 0);
  return { touches, start: placementOfFit(fit), scatter };
};

/** Share of the sum of squares that a part of another size would explain; 0 where it cannot be told. */
export const shareOfSize = (
  observations: readonly Observation[],
  options: FitOptions,
  fit: Fit,
  touches: readonly TouchReadings[],
): number =>
  options.model === 'shift' || determinant(fit.matrix) < 0
    ? 0
    : (testModels('rigid', 'similarity', observations, options, touchedIn(fit, touches))?.share ?? 0);

const sizeChanged = (
  relative: number,
  length: number,
  sds: number,
  model: Model,
  stated: Stated,
): Warning => {
  const how = `${mm(Math.abs(relative) * length)} ${relative > 0 ? 'longer' : 'shorter'} over ${length.toFixed(0)} mm (${sds.toFixed(1)} sd)`;
  const unit = ratioOfUnits(1 + relative, stated);
  const shown = displayUnitOf(1 + relative, stated);
  const judged =
    Math.abs(relative) > largestChange
      ? stated.typed?.scaled !== undefined
        ? `no sheet does that: ${stated.typed.scaled.cause}, not in mm.`
        : shown !== undefined
          ? `no sheet does that. The drawing states its unit; the readings are ${shown.name}, not millimetres.`
          : unit === undefined
            ? 'no sheet does that: a reading, or the design position of a mark, is wrong.'
            : `no sheet does that. ${(1 + relative).toFixed(3)} times as large is ${unit.what}: "${unit.set.join(': ')}" would put it right; if it is not that, a reading, or the design position of a mark, is wrong.`
      : model === 'rigid'
        ? 'wood does that. The rigid fit leaves it out; the model similarity would follow it.'
        : 'wood does that. The fit follows it.';
  return { code: 'size-changed', message: `The panel came back ${how}; ${judged}` };
};

/** Ratios of one unit to another that a drawing may have been read in: CSS 2.1, section 4.3.2, and px of other sizes. */
const units: readonly UnitRatio[] = [
  { ratio: 96 / 25.4, what: 'a drawing in mm that was read in px', set: ['units', 'mm'] },
  {
    ratio: 72 / 25.4,
    what: 'a drawing in mm that was read in points or px of 72 to the inch',
    set: ['units', 'mm'],
  },
  { ratio: 96 / 72, what: 'a drawing of 72 px to the inch that was read as one of 96', set: ['dpi', '72'] },
  { ratio: 96 / 90, what: 'a drawing of 90 px to the inch that was read as one of 96', set: ['dpi', '90'] },
  { ratio: 25.4, what: 'a drawing in inches that was read in mm', set: ['units', 'in'] },
  { ratio: 1 / 25.4, what: 'a drawing in mm that was read in inches', set: ['units', 'mm'] },
  { ratio: 10, what: 'a drawing in cm that was read in mm', set: ['units', 'cm'] },
  { ratio: 1 / 10, what: 'a drawing in mm that was read in cm', set: ['units', 'mm'] },
];

interface UnitRatio {
  readonly ratio: number;
  readonly what: string;
  /** Key of the job and its value. */
  readonly set: readonly [key: string, value: string];
}

/** Of a drawing, with which the marks grow: typed ones do not. */
const ratioOfUnits = (ratio: number, { typed }: Stated): UnitRatio | undefined =>
  typed?.isAll === true ? undefined : unitOf(ratio);

const unitOf = (ratio: number): UnitRatio | undefined =>
  units.find((known) => Math.abs(ratio / known.ratio - 1) < unitTolerance);

/** Far wider than what readings leave open, far narrower than units lie apart. */
const unitTolerance = 0.004;

/** Another shape than moisture or warmth gives. */
const isBeyondSheets = (matrix: Matrix): boolean => {
  const { scale, shear } = decompose(matrix);
  return Math.max(Math.abs(scale[0] - 1), Math.abs(Math.abs(scale[1]) - 1), Math.abs(shear)) > largestChange;
};

const shapeChanged = (matrix: Matrix, pValue: number, model: Model): Warning => {
  const { scale, shear } = decompose(matrix);
  if (isBeyondSheets(matrix))
    return {
      code: 'size-changed',
      message: `As read, the panel would be ${percent(scale[0] - 1)} along the drawing's x, ${percent(Math.abs(scale[1]) - 1)} along its y, and out of square by ${degrees(shear)}; no sheet does that. A reading or the design position of a mark is wrong, or the part or the display's zero moved between readings.`,
    };
  const follows = model === 'affine' ? 'The fit follows it.' : 'The model affine would follow it.';
  return {
    code: 'size-changed',
    message: `The panel, or the bed, is not the shape it was: ${perMille(scale[0] - 1)} along the drawing's x, ${perMille(scale[1] - 1)} along its y, out of square by ${(Math.abs(shear) * 1000).toFixed(2)} mm in a metre (by chance: ${oneIn(pValue)}). ${follows} If every part comes out so, measure the bed.`,
  };
};

const perMille = (relative: number): string => {
  const size = (Math.abs(relative) * 1000).toFixed(2);
  return `${size} mm in a metre ${relative < 0 ? 'short' : 'long'}`;
};

const percent = (relative: number): string =>
  `${Math.abs(relative * 100).toFixed(1)} % ${relative < 0 ? 'smaller' : 'larger'}`;

const degrees = (radians: number): string => `${((Math.abs(radians) * 180) / Math.PI).toFixed(1)} degrees`;

const largestDistance = (points: readonly Point[]): number => {
  let largest = 0;
  for (const p of points) for (const q of points) largest = Math.max(largest, distance(p, q));
  return largest;
};
