/**
 * The largest approach over an edge, found without looking at every point of it.
 *
 * The approach at a point is n . d(p), plus half the kerf's error and, on a round edge that was measured, that of its radius, times clearance over room where those differ
 * (corner-room.ts): it touches when that exceeds the clearance. The points of an edge are kept in runs of neighbours, each run sorted by the
 * angle of its normals. Across a run d differs from its value d0 at the run's middle by little: |d - d0| <= slack.
 * So only points whose normal lies close enough to d0 can be the largest: from the normal nearest to d0 the search
 * goes both ways until n . d0 + slack falls below the best found. The result is exact (where it is negative, and
 * nothing can touch, an upper bound).
 */
import type { Draws } from '../risk/draws.js';
import { angleNumber, type EdgeIndex, type Run, sectors } from './edge-index.js';
import type { KnownApproach } from './known-approach.js';

/** What a search runs over: the draws with a length for each. */
export interface Search {
  readonly draws: Draws;
  /** Length of each draw, 1 for all when undefined. */
  readonly lengths?: Float64Array;
  /** What is known of the approach; absent where nothing is. */
  readonly known?: KnownApproach;
  /** In: what has to be exceeded; out: the largest approach. Infinity leaves a draw out. */
  readonly best: Float64Array;
  /** Out: the point in run order that exceeded `best`, -1 where none did. */
  readonly points?: Int32Array;
}

/**
 * For every draw the largest of  scale x (n . length x d(p) + known approach + length x kerf)  over the points of a run
 * (by its number), raised from `best`.
 */
export const raiseApproach = (index: EdgeIndex, runNumber: number, search: Search): void => {
  const { normalX, normalY, arms, angle, room } = index;
  const run = index.runs[runNumber]!;
  const { start, end, sector, leverX, leverY, radius } = run;
  const { draws, lengths, known, best, points } = search;
  const rest = known?.rest;
  const { shiftX, shiftY, spread, lever } = draws;
  const kerf = offsetsOf(run, draws);
  const scale = room?.scale;
  const largestScale = room === undefined ? 1 : room.largestScale;
  const size = lever.length;
  const count = end - start;
  const knownX = known === undefined ? 0 : known.x[runNumber]!;
  const knownY = known === undefined ? 0 : known.y[runNumber]!;
  const knownSlack = known === undefined ? 0 : known.reach[runNumber]!;
  const [lever0, lever1, lever2, lever3] = lever;
  const [reach0 = 0, reach1 = 0, reach2 = 0, reach3 = 0] = run.armReach;
  for (let j = 0; j < draws.count; j++) {
    const length = lengths === undefined ? 1 : lengths[j]!;
    let x = length * shiftX[j]! + knownX;
    let y = length * shiftY[j]! + knownY;
    let t0 = 0;
    let t1 = 0;
    let t2 = 0;
    let t3 = 0;
    let slack = 0;
    if (size > 0) {
      t0 = length * lever0![j]!;
      x += t0 * leverX[0]!;
      y += t0 * leverY[0]!;
      slack = Math.abs(t0) * reach0;
      if (size > 1) {
        t1 = length * lever1![j]!;
        x += t1 * leverX[1]!;
        y += t1 * leverY[1]!;
        slack += Math.abs(t1) * reach1;
        if (size > 2) {
          t2 = length * lever2![j]!;
          t3 = length * lever3![j]!;
          x += t2 * leverX[2]! + t3 * leverX[3]!;
          y += t2 * leverY[2]! + t3 * leverY[3]!;
          slack += Math.abs(t2) * reach2 + Math.abs(t3) * reach3;
        }
        const bySpread = length * spread[j]! * radius;
        if (bySpread < slack) slack = bySpread;
      }
    }
    const offset = length * kerf[j]!;
    slack += knownSlack + offset;
    let largest = best[j]!;
    let point = -1;
    if ((Math.sqrt(x * x + y * y) + slack) * largestScale > largest) {
      const towards = x === 0 && y === 0 ? 0 : angleNumber(x, y);
      let first = sector[Math.min(sectors - 1, (towards * sectors) / 4) | 0]!;
      while (first < end && angle[first]! < towards) first++;
      let seen = 0;
      // First by rising angle, then by falling.
      for (let step = 1; step >= -1; step -= 2) {
        let i = step === 1 ? first : first - 1;
        for (; seen < count; seen++) {
          if (i >= end) i = start;
          else if (i < start) i = end - 1;
          const along = normalX[i]! * x + normalY[i]! * y;
          if ((along + slack) * largestScale <= largest) break;
          let value = along + offset + atArm(arms, size, i, t0, t1, t2, t3);
          if (rest !== undefined) value += rest[i]!;
          if (scale !== undefined) value *= scale[i]!;
          if (value > largest) {
            largest = value;
            point = i;
          }
          i += step;
        }
      }
      best[j] = largest;
    }
    if (points !== undefined) points[j] = point;
  }
};

/** What comes to the approach at every point of a run: half the kerf, and on a round edge that was measured its radius. */
const offsetsOf = ({ rim }: Run, { kerf, offsets }: Draws): Float64Array =>
  rim === undefined ? kerf : offsets[rim]!;

/** Sum over the levers of t_k times the arm of point i; small, so that it is compiled into the search. */
const atArm = (
  arms: Float64Array,
  size: number,
  i: number,
  t0: number,
  t1: number,
  t2: number,
  t3: number,
): number => {
  if (size === 1) return arms[i]! * t0;
  if (size === 0) return 0;
  const k = size * i;
  const two = arms[k]! * t0 + arms[k + 1]! * t1;
  return size === 2 ? two : two + arms[k + 2]! * t2 + arms[k + 3]! * t3;
};

/** Approach of a point in run order per unit of length of draw j, the kerf's part included. */
export const approachSlope = (
  index: EdgeIndex,
  runNumber: number,
  draws: Draws,
  j: number,
  point: number,
): number => {
  const run = index.runs[runNumber]!;
  let x = draws.shiftX[j]!;
  let y = draws.shiftY[j]!;
  let sum = offsetsOf(run, draws)[j]!;
  const size = draws.lever.length;
  for (let k = 0; k < size; k++) {
    const t = draws.lever[k]![j]!;
    x += t * run.leverX[k]!;
    y += t * run.leverY[k]!;
    sum += t * index.arms[point * size + k]!;
  }
  return index.normalX[point]! * x + index.normalY[point]! * y + sum;
};
