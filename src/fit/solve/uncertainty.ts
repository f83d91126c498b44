/**
 * How well the readings are known: from what was stated and from what the data say themselves.
 *
 * The variance of a mark's mean of n readings is  mark-sd^2 + reading-sd^2 / n  per axis (a mark's own error does
 * not average out), or the square of `Observation.sd` where that is given. Before the adjustment there is a
 * reference sd of one reading with degrees of freedom nu:
 *
 *   stated, known                      sd,  nu infinite
 *   stated with nu0                    sqrt((nu0 sd^2 + W) / (nu0 + w)),  nu = nu0 + w
 *   not stated, repeated readings      sqrt(W / w),  nu = w
 *   neither                            none: every mark counts alike
 *
 * W is the scatter of the readings about the means of their marks, w = 2 x sum(n - 1) its degrees of freedom. A touch
 * counts only across its edge: along it repeated readings need not agree. It adds to W the scatter of their distances
 * from the edge, to w its n - 1.
 * A display that counts in steps q adds to each mean what display-step.ts says; then sd stands for the scatter of what it
 * shows, and where that is small against q the reference sd of one reading holds the rounding as well.
 * Where nothing tells from which side a mark was reached, a quarter of the lost motion's square is added per axis, and to a touch
 * that of the axis that has more of it.
 *
 * The adjustment yields Q = sum (residual / sd)^2 with r = redundancy. The variance factor v that scales every
 * covariance is then
 *
 *   nu infinite   1                         normal distribution
 *   nu finite     (nu + Q) / (nu + r)       Student-t, nu + r        (pooled, JCGM 100:2008 H.3, G.6 in spirit)
 *   no reference  Q / r                     Student-t, r             (Q formed with sd = 1)
 *
 * Residuals larger than the reference sd explains (F or chi-square test, `consistencyLevel`) show something that
 * neither the statement nor the repeats know of. Then the residuals alone set the scale, v = Q / r (R. T. Birge,
 * Phys. Rev. 40 (1932)), and because that scale comes from r residuals only, Student-t with r degrees.
 */
import type { Point } from '../../geometry/point.js';
import type { UnknownSide } from '../../marks/sides.js';
import { roundingSd } from '../../numeric/display-rounding.js';
import { chiSquareCdf, fCdf } from '../../numeric/distributions.js';
import type { Fit, FitOptions, Observation } from '../fit.js';
import { finestStep, varianceBetweenAlike, varianceOfMean } from './display-step.js';

/**
 * Level of the consistency test. One in forty, not one in twenty: together with the tests for single readings
 * and slips a clean job must raise a warning in less than one case in twenty.
 */
export const consistencyLevel = 0.025;

export interface ReadingScale {
  /** sd of the mean per mark and axis, mm; relative only when `reference` is undefined. */
  readonly sds: readonly Point[];
  /** sd of the mean per touch, across its edge, mm. */
  readonly touchSds: readonly number[];
  /**
   * Share of each mark's variance per axis, mm^2, that is not drawn for that mark alone but bounded: it counts against
   * the residuals, and the verdict takes it at its worst (verdict/risk/common-errors.ts), so the covariance leaves it out.
   */
  readonly bounded: readonly Point[];
  /** The same of each touch, across its edge. */
  readonly boundedTouches: readonly number[];
  /** sd of one reading, its rounding included, that the sds were formed with. */
  readonly reference?: { readonly sd: number /** undefined: known */; readonly degrees?: number };
  /** Sum of squares within the marks and touches, mm^2, and its degrees of freedom. */
  readonly scatter: number;
  readonly scatterDegrees: number;
}

export const meanReading = (readings: readonly Point[]): Point => {
  const first = readings[0]!;
  let x = 0;
  let y = 0;
  for (const p of readings) {
    x += p.x - first.x;
    y += p.y - first.y;
  }
  return { x: first.x + x / readings.length, y: first.y + y / readings.length };
};

/** Sum of squares about the mean. */
export const squaresAbout = (values: readonly number[]): number => {
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  return values.reduce((sum, v) => sum + (v - mean) ** 2, 0);
};

/** How often each touch was read, and the scatter of those readings across their edges, mm^2. */
export interface TouchRepeats {
  readonly counts: readonly number[];
  readonly scatter: number;
  /** Half the lost motion across each edge at most, mm, where each touch was reached from a side of its own that nothing tells. */
  readonly halves: readonly number[];
}

/** Before their edges are known across which repeated readings scatter. */
export const touchRepeats = (
  touches: readonly { readonly readings: readonly Point[]; readonly side?: UnknownSide }[],
  scatter = 0,
): TouchRepeats => ({
  counts: touches.map((t) => t.readings.length),
  scatter,
  halves: touches.map(({ side }) =>
    side === undefined ? 0 : Math.max(side.alike[0] ? 0 : side.x, side.alike[1] ? 0 : side.y),
  ),
});

/** The sds an adjustment starts from. Throws RangeError where `sd` is given for some marks and nothing for the rest. */
export const readingScale = (
  observations: readonly Observation[],
  options: FitOptions,
  touches: TouchRepeats = touchRepeats([]),
): ReadingScale => {
  let { scatter } = touches;
  let scatterDegrees = 0;
  for (const count of touches.counts) scatterDegrees += count - 1;
  for (const { readings } of observations) {
    const mean = meanReading(readings);
    for (const p of readings) scatter += (p.x - mean.x) ** 2 + (p.y - mean.y) ** 2;
    scatterDegrees += 2 * (readings.length - 1);
  }
  const { readingSd, readingSdDof, markSd } = options;
  const displayStep = stepOf(options);
  const given = observations.filter((o) => o.sd !== undefined);
  const nothingElse = given.length === observations.length && touches.counts.length === 0;
  const bounded = observations.map(() => ({ x: 0, y: 0 }));
  if (nothingElse && given.length > 0 && readingSd === undefined) {
    let squares = 0;
    for (const { sd } of given) squares += (sd!.x ** 2 + sd!.y ** 2) / 2;
    const degrees = readingSdDof === undefined ? {} : { degrees: readingSdDof };
    const reference = { sd: Math.sqrt(squares / given.length), ...degrees };
    const sds = given.map((o) => o.sd!);
    return { sds, touchSds: [], bounded, boundedTouches: [], reference, scatter, scatterDegrees };
  }
  if (given.length > 0 && readingSd === undefined)
    throw new RangeError('an sd is given for some marks only; the others need a reading-sd');

  const shown = shownSd(options, scatter, scatterDegrees);
  if (shown === undefined) {
    // Relative to each other; what else is known of is smaller than the residuals will tell.
    const relative = (count: number): number => 1 / Math.sqrt(count);
    const sds = observations.map(
      ({ readings, sd }): Point => sd ?? { x: relative(readings.length), y: relative(readings.length) },
    );
    const touchSds = touches.counts.map(relative);
    const boundedTouches = touchSds.map(() => 0);
    return { sds, touchSds, bounded, boundedTouches, scatter, scatterDegrees };
  }
  const sds = observations.map((o): Point => o.sd ?? meanSds(o, shown.sd, options));
  const boundedTouches = touches.halves.map((half) => half ** 2);
  const touchSds = touches.counts.map((count, i) =>
    Math.sqrt(markSd ** 2 + boundedTouches[i]! + varianceOfMean(shown.sd, displayStep, count).whole),
  );
  const { degrees } = shown;
  const reference = {
    sd: Math.sqrt(varianceOfMean(shown.sd, displayStep, 1).whole),
    ...(degrees === undefined ? {} : { degrees }),
  };
  return {
    sds,
    touchSds,
    bounded: observations.map((o) =>
      o.sd === undefined ? boundedShare(o, shown.sd, options) : { x: 0, y: 0 },
    ),
    boundedTouches,
    reference,
    scatter,
    scatterDegrees,
  };
};

/** The step that counts, mm: an estimated sd is never finer than what an eye reads. */
const stepOf = ({ readingSd, displayStep = 0 }: FitOptions): number =>
  readingSd === undefined ? Math.max(displayStep, finestStep) : displayStep;

/** sd per axis of a mark's mean reading about its place as designed, mm, for the sd that the display shows. */
const meanSds = (observation: Observation, shown: number, options: FitOptions): Point => {
  const { readings, side, inStep } = observation;
  const { markSd } = options;
  const { whole } = varianceOfMean(shown, stepOf(options), readings.length);
  const between = varianceBetweenAlike(shown, stepOf(options), readings.length);
  const along = (axis: 0 | 1, isInStep: boolean | undefined): number => {
    const half = side === undefined || side.alike[axis] ? 0 : axis === 0 ? side.x : side.y;
    return Math.sqrt(markSd ** 2 + half ** 2 + whole + (isInStep === true ? between : 0));
  };
  return { x: along(0, inStep?.x), y: along(1, inStep?.y) };
};

const boundedShare = ({ readings, side, inStep }: Observation, shown: number, options: FitOptions): Point => {
  const { shared } = varianceOfMean(shown, stepOf(options), readings.length);
  const between = varianceBetweenAlike(shown, stepOf(options), readings.length);
  const along = (axis: 0 | 1, isInStep: boolean | undefined): number => {
    const half = side === undefined || side.alike[axis] ? 0 : axis === 0 ? side.x : side.y;
    return half ** 2 + (isInStep === true ? shared + between : 0);
  };
  return { x: along(0, inStep?.x), y: along(1, inStep?.y) };
};

/** sd of one reading as the display shows it, stated or from repeats. */
const shownSd = (
  { readingSd, readingSdDof }: FitOptions,
  scatter: number,
  scatterDegrees: number,
): { readonly sd: number; readonly degrees?: number } | undefined => {
  if (readingSd !== undefined) {
    if (readingSdDof === undefined) return { sd: readingSd };
    const degrees = readingSdDof + scatterDegrees;
    return { sd: Math.sqrt((readingSdDof * readingSd ** 2 + scatter) / degrees), degrees };
  }
  return scatterDegrees > 0
    ? { sd: Math.sqrt(scatter / scatterDegrees), degrees: scatterDegrees }
    : undefined;
};

export interface Uncertainty {
  readonly sd: Fit['sd'];
  readonly consistency?: NonNullable<Fit['consistency']>;
  /** Multiplies the cofactors; undefined when no uncertainty can be claimed. */
  readonly factor?: number;
}

/** What is known after the adjustment; `weightedSquares` was formed with `scale.sds`. */
export const uncertaintyOf = (
  options: FitOptions,
  scale: ReadingScale,
  weightedSquares: number,
  redundancy: number,
): Uncertainty => {
  const { reference, scatter, scatterDegrees } = scale;
  const stated = {
    ...(options.readingSd === undefined ? {} : { stated: options.readingSd }),
    ...(options.readingSdDof === undefined ? {} : { statedDof: options.readingSdDof }),
  };
  const fromData = redundancy + scatterDegrees;
  const unit = reference?.sd ?? 1;
  const estimated =
    fromData === 0 ? {} : { estimated: Math.sqrt((weightedSquares * unit ** 2 + scatter) / fromData) };

  if (reference === undefined) {
    if (redundancy === 0) return { sd: { ...stated, ...estimated } };
    // Less than the marks' own error and the rounding is not believed, however well the residuals happen to agree.
    const rounding = roundingSd(stepOf(options));
    const factor = Math.max(weightedSquares / redundancy, options.markSd ** 2 + rounding ** 2);
    return { sd: { ...stated, ...estimated, used: Math.sqrt(factor), usedDof: redundancy }, factor };
  }
  const { degrees } = reference;
  const consistency =
    redundancy === 0 ? undefined : consistencyOf(weightedSquares, redundancy, reference.degrees);
  const widened = consistency !== undefined && !consistency.consistent;
  const factor = widened
    ? weightedSquares / redundancy
    : degrees === undefined
      ? 1
      : (degrees + weightedSquares) / (degrees + redundancy);
  const usedDof = widened ? redundancy : degrees === undefined ? undefined : degrees + redundancy;
  return {
    sd: {
      ...stated,
      ...estimated,
      used: unit * Math.sqrt(factor),
      ...(usedDof === undefined ? {} : { usedDof }),
    },
    ...(consistency === undefined ? {} : { consistency }),
    factor,
  };
};

/** Against a known sd chi-square; against one with `degrees` of freedom (Q / r) follows F(r, degrees). */
const consistencyOf = (
  chiSquare: number,
  redundancy: number,
  degrees: number | undefined,
): NonNullable<Fit['consistency']> => {
  const below =
    degrees === undefined
      ? chiSquareCdf(chiSquare, redundancy)
      : fCdf(chiSquare / redundancy, redundancy, degrees);
  const pValue = Math.max(0, 1 - below);
  return { chiSquare, pValue, consistent: pValue >= consistencyLevel };
};
