/** The risk where part of the displacement is known: a cutter that cannot apply the whole fit. */
import { approachSlope, knownPart, raiseApproach } from './approach.js';
import type { Draws } from './draws.js';
import { type EdgeIndex, type Run, scaleTo } from './edge-index.js';

/** Longer draws have no probability left. */
const longest = 14;

/**
 * P(touch) at a clearance, mm, anywhere on the given edges.
 *
 * Along one draw the approach of point i is  s_i + r a_i  for errors of length r: the largest is convex in r, so
 * the lengths without a touch are one stretch low..high. Both ends are found by going from line to line of the
 * largest, each step exact.
 */
export const systematicRisk = (indexes: readonly EdgeIndex[], draws: Draws, clearance: number): number => {
  const { count, tail } = draws;
  if (!indexes.every((index) => scaleTo(index, clearance))) return 1;
  const high = new Float64Array(count).fill(longest);
  const low = new Float64Array(count);
  const walk: Walk = { draws, clearance, best: new Float64Array(count), points: new Int32Array(count) };
  for (const index of indexes) for (const run of index.runs) narrow(index, run, walk, high, 1);
  for (const index of indexes) for (const run of index.runs) narrow(index, run, walk, low, -1);
  let sum = 0;
  for (let j = 0; j < count; j++)
    sum += low[j]! >= high[j]! ? 1 : tail.beyond(high[j]!) + 1 - tail.beyond(low[j]!);
  return sum / count;
};

interface Walk {
  readonly draws: Draws;
  readonly clearance: number;
  readonly best: Float64Array;
  readonly points: Int32Array;
}

/**
 * Moves each length inwards to where the run no longer touches: down for `inwards` 1, up for -1; to 0 or infinity
 * where there is no such length.
 */
const narrow = (index: EdgeIndex, run: Run, walk: Walk, lengths: Float64Array, inwards: 1 | -1): void => {
  const { draws, clearance, best, points } = walk;
  for (let j = 0; j < lengths.length; j++) {
    const isOpen = inwards === 1 ? lengths[j]! > 0 : lengths[j]! < Number.POSITIVE_INFINITY;
    best[j] = isOpen ? clearance : Number.POSITIVE_INFINITY;
    if (!isOpen) lengths[j] = inwards === 1 ? 0 : Number.MAX_VALUE;
  }
  // Each step takes a steeper (shallower) line of the largest, so there are no more steps than lines; few in practice.
  for (let moved = true; moved; ) {
    moved = false;
    raiseApproach(index, run, { draws, lengths, known: 1, best, points });
    for (let j = 0; j < lengths.length; j++) {
      const point = points[j]!;
      if (point < 0) {
        best[j] = Number.POSITIVE_INFINITY;
        continue;
      }
      const slope = approachSlope(index, run, draws, j, point);
      const next = (clearance - knownPart(index, run, point)) / slope;
      const length = lengths[j]!;
      if (inwards === 1) lengths[j] = slope > 0 && next > 0 ? Math.min(next, length) : 0;
      else lengths[j] = slope < 0 ? Math.max(next, length) : Number.MAX_VALUE;
      const isSettled =
        Math.abs(lengths[j]! - length) <= 1e-12 * length ||
        lengths[j] === 0 ||
        lengths[j] === Number.MAX_VALUE;
      best[j] = isSettled ? Number.POSITIVE_INFINITY : clearance;
      if (!isSettled) moved = true;
    }
  }
};
