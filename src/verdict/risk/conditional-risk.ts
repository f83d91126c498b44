/**
 * The risk where part of the approach is known: a cutter that cannot apply the whole fit, lost motion in the cut, one vertex
 * of the bounds within which common errors lie.
 *
 * Along one draw the approach of point i is  h_i + r a_i  for errors of length r, and its room  gain_i c + extra_i  at the
 * clearance c. While no point is touched without any error the lengths that touch nothing are those below
 *
 *     min over i with a_i > 0 of  (gain_i c + extra_i - h_i) / a_i
 *
 * The line of the point that is touched first stays much the same from clearance to clearance: it is kept for each draw,
 * gives a bound at another clearance at once, and is replaced where a search finds a point that is touched sooner.
 */
import { decreasingRoot } from '../../numeric/decreasing-root.js';
import { approachSlope, raiseApproach } from '../edges/approach.js';
import { type EdgeIndex, scaleTo } from '../edges/edge-index.js';
import { type KnownApproach, knownAt } from '../edges/known-approach.js';
import type { Draws } from './draws.js';

/** Longer draws have no probability left. */
const longest = 14;

/** One opening's edge with what is known of its approach. */
export interface KnownPart {
  readonly index: EdgeIndex;
  readonly known: KnownApproach;
}

export class ConditionalRisk {
  /** Of each draw the line touched first: slope a; h, gain and extra. Slope 0: none within `longest`. */
  private readonly slope: Float64Array;
  private readonly level: Float64Array;
  private readonly gain: Float64Array;
  private readonly extra: Float64Array;
  private readonly lengths: Float64Array;
  private readonly best: Float64Array;
  private readonly points: Int32Array;
  /** Below this clearance some point is touched without any error. */
  private readonly floor: number;

  constructor(
    private readonly parts: readonly KnownPart[],
    private readonly draws: Draws,
  ) {
    const { count } = draws;
    const rows = new Float64Array(6 * count);
    const row = (k: number): Float64Array => rows.subarray(k * count, (k + 1) * count);
    this.slope = row(0);
    this.level = row(1);
    this.gain = row(2);
    this.extra = row(3);
    this.lengths = row(4);
    this.best = row(5);
    this.points = new Int32Array(count);
    let floor = 0;
    for (const { index, known } of parts) {
      floor = Math.max(floor, known.floor);
      if (index.room !== undefined) floor = Math.max(floor, index.room.floor);
    }
    this.floor = floor;
  }

  /** P(touch) at a clearance, mm. */
  risk(clearance: number): number {
    if (clearance <= this.floor) return this.riskBelowFloor(clearance);
    this.search(clearance);
    return this.riskByLines(clearance);
  }

  /** The clearance with the accepted risk, to `passing` of itself; `guess` and `step` as for `decreasingRoot`. */
  needed(acceptedRisk: number, guess: number, step: number, passing = 1e-4): number {
    if (!(step > 0)) return Math.max(this.floor, 0);
    // Below the floor every second error touches or more (a half-space that holds none at all).
    if (acceptedRisk >= 0.45) return decreasingRoot((c) => this.risk(c), acceptedRisk, guess, step);
    const least = this.floor + 1e-6 * step;
    let clearance = Math.max(guess, least);
    for (let i = 0; i < 20; i++) {
      this.search(clearance);
      // Lines not yet found only add to the risk: the root comes nearer from below.
      const root = decreasingRoot((c) => this.riskByLines(c), acceptedRisk, clearance, step / 4);
      const next = Math.max(root, least);
      const isSettled = Math.abs(next - clearance) <= passing * next;
      clearance = next;
      if (isSettled) break;
    }
    return clearance;
  }

  private riskByLines(clearance: number): number {
    const { slope, level, gain, extra, draws } = this;
    const { beyond } = draws.tail;
    let sum = 0;
    for (let j = 0; j < slope.length; j++) {
      if (slope[j] === 0) continue;
      sum += beyond((gain[j]! * clearance + extra[j]! - level[j]!) / slope[j]!);
    }
    return sum / slope.length;
  }

  /** Replaces lines by those touched sooner at this clearance, above the floor. */
  private search(clearance: number): void {
    const { parts, slope, level, gain, extra, lengths } = this;
    for (let j = 0; j < lengths.length; j++) {
      const length = slope[j] === 0 ? longest : (gain[j]! * clearance + extra[j]! - level[j]!) / slope[j]!;
      lengths[j] = Math.max(0, Math.min(longest, length));
    }
    for (const part of parts) {
      scaleTo(part.index, clearance);
      for (let run = 0; run < part.index.runs.length; run++) this.searchRun(part, run, clearance);
    }
  }

  private searchRun({ index, known }: KnownPart, run: number, clearance: number): void {
    const { draws, lengths, best, points, slope, level, gain, extra } = this;
    const { room } = index;
    best.fill(clearance);
    // Each step takes a line that is touched sooner, so there are no more steps than lines; few in practice.
    for (let moved = true; moved; ) {
      moved = false;
      raiseApproach(index, run, { draws, lengths, known, best, points });
      for (let j = 0; j < lengths.length; j++) {
        const point = points[j]!;
        if (point < 0) {
          best[j] = Number.POSITIVE_INFINITY;
          continue;
        }
        const a = approachSlope(index, run, draws, j, point);
        const h = knownAt(known, index, run, point);
        const ownGain = room === undefined ? 1 : room.gain[point]!;
        const ownExtra = room === undefined ? 0 : room.extra[point]!;
        const next = (ownGain * clearance + ownExtra - h) / a;
        const length = lengths[j]!;
        // At the edge of what numbers tell apart the same point may seem touched once more.
        if (!(a > 0) || !(next < length * (1 - 1e-12))) {
          best[j] = Number.POSITIVE_INFINITY;
          continue;
        }
        lengths[j] = Math.max(0, next);
        slope[j] = a;
        level[j] = h;
        gain[j] = ownGain;
        extra[j] = ownExtra;
        best[j] = clearance;
        moved = true;
      }
    }
  }

  /**
   * Where a point is touched without any error: the approach is convex in the length, so the lengths without a touch are
   * one stretch low..high, or none. Both ends are found by going from line to line of the largest.
   */
  private riskBelowFloor(clearance: number): number {
    const { parts, draws } = this;
    const { count, tail } = draws;
    if (!parts.every(({ index }) => scaleTo(index, clearance))) return 1;
    const high = new Float64Array(count).fill(longest);
    const low = new Float64Array(count);
    for (const part of parts) {
      for (let run = 0; run < part.index.runs.length; run++) this.narrow(part, run, clearance, high, 1);
    }
    for (const part of parts) {
      for (let run = 0; run < part.index.runs.length; run++) this.narrow(part, run, clearance, low, -1);
    }
    let sum = 0;
    for (let j = 0; j < count; j++)
      sum += low[j]! >= high[j]! ? 1 : tail.beyond(high[j]!) + 1 - tail.beyond(low[j]!);
    return sum / count;
  }

  /**
   * Moves each length inwards to where the run no longer touches: down for `inwards` 1, up for -1; to 0 or infinity
   * where there is no such length.
   */
  private narrow(
    { index, known }: KnownPart,
    run: number,
    clearance: number,
    lengths: Float64Array,
    inwards: 1 | -1,
  ): void {
    const { draws, best, points } = this;
    const { room } = index;
    for (let j = 0; j < lengths.length; j++) {
      const isOpen = inwards === 1 ? lengths[j]! > 0 : lengths[j]! < Number.POSITIVE_INFINITY;
      best[j] = isOpen ? clearance : Number.POSITIVE_INFINITY;
      if (!isOpen) lengths[j] = inwards === 1 ? 0 : Number.MAX_VALUE;
    }
    for (let moved = true; moved; ) {
      moved = false;
      raiseApproach(index, run, { draws, lengths, known, best, points });
      for (let j = 0; j < lengths.length; j++) {
        const point = points[j]!;
        if (point < 0) {
          best[j] = Number.POSITIVE_INFINITY;
          continue;
        }
        const slope = approachSlope(index, run, draws, j, point);
        const left = room === undefined ? clearance : room.gain[point]! * clearance + room.extra[point]!;
        const next = (left - knownAt(known, index, run, point)) / slope;
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
  }
}
