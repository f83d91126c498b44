/**
 * A display that counts in steps: how its rounding enters the mean of a mark's readings, and which step the readings
 * themselves show. Formulas: numeric/display-rounding.ts.
 *
 * The sd of a reading stands for the scatter of displayed figures. From 0.42 steps on it holds the rounding already (the
 * noise before rounding is then 0.3 steps or more); smaller ones hold next to none of it, and the whole rounding is added as
 * a part that repeats do not average. So the step never counts twice.
 */

import { apply, compose, type Matrix, rotation } from '../../geometry/affine.js';
import { boxDiagonal, boxOfPoints, type Point } from '../../geometry/point.js';
import { roundingSd, sharedRounding } from '../../numeric/display-rounding.js';
import { power, powerOfTen } from '../../numeric/powers.js';
import type { Observation } from '../fit.js';
import { decimalsOf } from '../slips/typed-number.js';

/**
 * Estimated sds never go below the rounding of this step, mm: no pointer is read finer by eye. Common practice, no source.
 */
export const finestStep = 0.01;
/** The largest step taken from readings alone beside a stated sd, mm. Common practice, no source: none shows whole ones. */
const largestFound = 0.5;

export interface MeanVariance {
  /** Of the mean of n readings of one place, mm^2 per axis. */
  readonly whole: number;
  /** The part of it that all readings of the place share. */
  readonly shared: number;
}

/** Noise before rounding, in steps, from which on the scatter of displayed figures holds the rounding. */
const noisy = 0.3;

/** @param shown sd of one reading as displayed, mm */
export const varianceOfMean = (shown: number, step: number, readings: number): MeanVariance => {
  if (!(step > 0)) return { whole: shown ** 2 / readings, shared: 0 };
  const rounding = roundingSd(step) ** 2;
  const before = shown ** 2 - rounding;
  // Rounded up by a hair, so that 0.3 steps typed to four digits are 0.3 steps.
  if (before < (noisy * step) ** 2 * 0.999)
    return { whole: shown ** 2 / readings + rounding, shared: rounding };
  const shared = sharedRounding(Math.sqrt(before), step);
  return { whole: shared + (shown ** 2 - shared) / readings, shared };
};

/**
 * What the mean of n readings may vary by beyond `varianceOfMean`, mm^2, where other marks are rounded alike and the step hides
 * the noise: with their common place next to a limit between two steps each falls to either side of it, a variance of q^2/4.
 */
export const varianceBetweenAlike = (shown: number, step: number, readings: number): number => {
  if (!(step > 0) || shown ** 2 - roundingSd(step) ** 2 >= (noisy * step) ** 2 * 0.999) return 0;
  return Math.max(0, step ** 2 / 4 - roundingSd(step) ** 2 - shown ** 2) / readings;
};

/**
 * The most by which rounding shifts the mean of many readings of one place, mm: q/2 without noise; with noise of sd s
 * before rounding the largest of  sum over k of q / (pi k) exp(-2 pi^2 k^2 s^2 / q^2) sin(2 pi k x / q)  over the places x.
 */
export const largestRounding = (shown: number, step: number): number => {
  if (!(step > 0)) return 0;
  const before = shown ** 2 - roundingSd(step) ** 2;
  if (before < (noisy * step) ** 2 * 0.999) return step / 2;
  // Noise of 0.3 steps leaves less than 1e-3 of the first term to the second one.
  return (step / Math.PI) * Math.exp((-2 * Math.PI ** 2 * before) / step ** 2);
};

/**
 * The step that all typed figures are multiples of: 1 in the last digit, or 2, 5 or 25 of it where so many agree in that. Undefined where nothing can be told: whole millimetres beside a stated sd are taken for figures typed short.
 */
export const foundStep = (typed: readonly Point[], isSdStated: boolean): number | undefined => {
  const figures = typed.flatMap((p) => [p.x, p.y]);
  if (figures.length === 0) return undefined;
  const decimals = decimalsOf(figures);
  if (decimals > 5) return undefined;
  const last = powerOfTen(-decimals);
  const multiple = [25, 5, 2].find(
    (m) => power(m, -figures.length) < byChance && figures.every((value) => isMultiple(value, m * last)),
  );
  const step = last * (multiple ?? 1);
  return isSdStated && (decimals === 0 || step > largestFound) ? undefined : step;
};

/** Figures that agree in more than their last digit less often than this by chance show a step. */
const byChance = 1e-3;

const isMultiple = (value: number, step: number): boolean =>
  Math.abs(value / step - Math.round(value / step)) < 1e-6;

/** Places whose parts of a step agree to this share of it are rounded alike. */
const alike = 0.1;

/**
 * The axes on which each mark is rounded as some other mark is: on a panel that lies along the axes, to a step over its
 * length, the marks' places differ by whole steps where their distances do. One unknown shift then, which many marks do not
 * average.
 *
 * @param designs of the marks, mm
 * @param toDisplay design -> display, by the fit
 */
export const inStepWith = (
  designs: readonly Point[],
  toDisplay: Matrix,
  step: number,
): { readonly x: boolean; readonly y: boolean }[] => {
  const none = designs.map(() => ({ x: false, y: false }));
  if (!(step > 0) || designs.length < 2) return none;
  const turn = Math.atan2(toDisplay[1], toDisplay[0]);
  const off = turn - (Math.PI / 2) * Math.round(turn / (Math.PI / 2));
  if (Math.abs(off) * boxDiagonal(boxOfPoints(designs)) > step) return none;
  const along = compose(rotation(-off), toDisplay);
  const places = designs.map((q) => apply(along, q));
  const has = (axis: 'x' | 'y', i: number): boolean =>
    places.some((p, k) => {
      if (k === i) return false;
      const steps = (p[axis] - places[i]![axis]) / step;
      return Math.abs(steps - Math.round(steps)) < alike;
    });
  return places.map((_, i) => ({ x: has('x', i), y: has('y', i) }));
};

/** Observations with `inStep` where the display's rounding is not each mark's own. */
export const withSharedSteps = (
  observations: readonly Observation[],
  toDisplay: Matrix,
  step: number,
): readonly Observation[] => {
  const shared = inStepWith(
    observations.map((o) => o.design),
    toDisplay,
    step,
  );
  if (!shared.some(({ x, y }) => x || y)) return observations;
  return observations.map((o, i) => ({ ...o, inStep: shared[i]! }));
};
