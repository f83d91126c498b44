/**
 * What the search weighs patterns by. For every opening the needed clearance is its largest sd times a ratio that
 * changes little from one good pattern to the next: so with the ratios of one good pattern (row-needs.ts)
 *
 *     max over the openings of  ratio x largest sd along the edge
 *
 * stands for the needed clearance of the worst opening of another. A hundred thousand times as fast.
 */

import type { Place } from '../places/place.js';
import type { EdgeRows } from './edge-rows.js';
import { inverter } from './information.js';

/**
 * The largest of ratio x sd, mm; infinity where the sum of information does not determine the unknowns, and where it
 * reaches `bound`. The pattern itself is looked at only where patterns of as many places differ in more than their sum.
 */
export type Spread = (
  sum: Float64Array,
  bound: number,
  pattern: readonly { readonly place: Place }[],
) => number;

/** What the errors consist of beside the covariance of the unknowns. */
export interface SpreadScale {
  /** Multiplies the sds that come from the marks. */
  readonly width: number;
  /** Of what does not come from the marks: this cut and half the kerf, mm^2. */
  readonly fixedVariance: number;
}

/** Rows looked at before all others: those that ruled out patterns lately. */
const remembered = 6;

/** @param ratios needed clearance over largest sd of each opening */
export const largestSpread = (
  openings: readonly EdgeRows[],
  ratios: Float64Array,
  unknowns: number,
  { width, fixedVariance }: SpreadScale,
): ((sum: Float64Array, bound: number) => number) => {
  const count = openings.reduce((sum, { rows }) => sum + rows.length / unknowns, 0);
  // Scaled by the ratio, and squared out: one product per pair of unknowns.
  const pairs = (unknowns * (unknowns + 1)) / 2;
  const products = new Float64Array(count * pairs);
  const fixed = new Float64Array(count);
  let row = 0;
  openings.forEach(({ rows }, o) => {
    const scale = ratios[o]! ** 2;
    for (let at = 0; at < rows.length; at += unknowns, row++) {
      fixed[row] = scale * fixedVariance;
      let to = row * pairs;
      for (let i = 0; i < unknowns; i++)
        for (let j = i; j < unknowns; j++)
          products[to++] = (i === j ? 1 : 2) * scale * width * width * rows[at + i]! * rows[at + j]!;
    }
  });
  const recent = Int32Array.from({ length: Math.min(remembered, count) }, (_, i) => i);
  const covariance = new Float64Array(pairs);
  const invert = inverter(unknowns);
  const inverse = new Float64Array(unknowns * unknowns);
  const variance = (index: number): number => {
    let sum = fixed[index]!;
    const at = index * pairs;
    for (let k = 0; k < pairs; k++) sum += products[at + k]! * covariance[k]!;
    return sum;
  };
  const remember = (index: number, from: number): void => {
    for (let k = Math.min(from, recent.length - 1); k > 0; k--) recent[k] = recent[k - 1]!;
    recent[0] = index;
  };
  return (sum, bound) => {
    if (!invert(sum, inverse)) return Number.POSITIVE_INFINITY;
    let k = 0;
    for (let i = 0; i < unknowns; i++)
      for (let j = i; j < unknowns; j++) covariance[k++] = inverse[i * unknowns + j]!;
    const square = bound * bound;
    for (let r = 0; r < recent.length; r++) {
      if (variance(recent[r]!) < square) continue;
      remember(recent[r]!, r);
      return Number.POSITIVE_INFINITY;
    }
    let most = 0;
    for (let index = 0; index < count; index++) {
      const value = variance(index);
      if (value <= most) continue;
      if (value >= square) {
        remember(index, recent.length - 1);
        return Number.POSITIVE_INFINITY;
      }
      most = value;
    }
    return Math.sqrt(most);
  };
};

/** The largest sd along the edge of each opening, mm; undefined where the unknowns are not determined. */
export const largestSds = (
  openings: readonly EdgeRows[],
  sum: Float64Array,
  unknowns: number,
  { width, fixedVariance }: SpreadScale,
): Float64Array | undefined => {
  const covariance = new Float64Array(unknowns * unknowns);
  if (!inverter(unknowns)(sum, covariance)) return undefined;
  return Float64Array.from(openings, ({ rows }) => {
    let largest = 0;
    for (let at = 0; at < rows.length; at += unknowns) {
      let variance = 0;
      for (let i = 0; i < unknowns; i++)
        for (let j = 0; j < unknowns; j++)
          variance += rows[at + i]! * covariance[i * unknowns + j]! * rows[at + j]!;
      largest = Math.max(largest, variance);
    }
    return Math.sqrt(width * width * largest + fixedVariance);
  });
};
