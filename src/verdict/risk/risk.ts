/** How likely the new edge touches the existing one, opening by opening and anywhere in the job. */
import type { Matrix } from '../../geometry/affine.js';
import { decreasingRoot } from '../../numeric/decreasing-root.js';
import { raiseApproach } from '../edges/approach.js';
import type { Edge } from '../edges/edge.js';
import { type EdgeIndex, indexEdges, scaleTo } from '../edges/edge-index.js';
import { type WorstPoint, worstPoints } from '../edges/worst-point.js';
import { assessAtWorst, neededAtWorst } from './at-worst.js';
import { type DrawCounts, type Draws, drawErrors, firstDraws, usualDraws, usualSeed } from './draws.js';
import type { ErrorField } from './error-field.js';
import { type Bounded, hasBounds } from './vertices.js';

export { indexEdges } from '../edges/edge-index.js';

export interface RiskInput {
  readonly edges: readonly Edge[];
  readonly field: ErrorField;
  /** mm. */
  readonly clearance: number;
  readonly acceptedRisk: number;
  /** Known displacement of a bed point, mm; see remaining.ts. */
  readonly systematic?: Matrix;
  /** Common errors within bounds: each opening, and the job, counts them at its own worst. */
  readonly bounded?: Bounded;
  /** Per opening and for the job; by default as many as a call of a tenth of a second allows (draws.ts). */
  readonly draws?: number;
  readonly seed?: string;
  /** Of `indexEdges` for these edges and a field of the same model and placement, to be used again; made here if absent. */
  readonly indexes?: readonly EdgeIndex[];
}

export interface OpeningRisk {
  readonly id: string;
  /** P(the new edge touches the existing one somewhere on this opening). */
  readonly risk: number;
  /** The clearance at which `risk` would equal the accepted risk, mm. */
  readonly neededClearance: number;
  /** Undefined for an opening without a closed path. */
  readonly worst?: WorstPoint;
}

export interface JobRisk {
  /** P(any opening is touched): the openings share one alignment error. */
  readonly risk: number;
  readonly neededClearance: number;
  readonly openings: readonly OpeningRisk[];
}

/**
 * The openings one by one, and the job by draws of its own, more of them: there an opening that cannot be the worst is
 * ruled out at a glance. An opening is never said to be worse than the job.
 *
 * Cost: for each draw and opening a search of a few points (approach.ts), so draws x openings, with the sorting of
 * the edge points, points x log, before it.
 */
export const assessRisk = (input: RiskInput): JobRisk => {
  const { edges, field, clearance, acceptedRisk, systematic, seed = usualSeed } = input;
  const count = countsOf(input);
  const jobDraws = drawErrors(field, count.job, seed);
  const draws =
    jobDraws.count === count.openings
      ? jobDraws
      : field.degrees === undefined && count.openings < jobDraws.count
        ? firstDraws(jobDraws, count.openings)
        : drawErrors(field, count.openings, seed);
  const indexes = input.indexes ?? indexEdges(edges, field);
  const worst = worstPoints(edges, field, clearance, systematic, input.bounded);
  const named = (i: number, risk: number, neededClearance: number): OpeningRisk => {
    const at = worst[i];
    return { id: edges[i]!.id, risk, neededClearance, ...(at === undefined ? {} : { worst: at }) };
  };
  if (isKnownInPart(input)) {
    const { risk, neededClearance, openings } = assessAtWorst({ ...input, indexes, draws, worst });
    return { risk, neededClearance, openings: openings.map((o, i) => named(i, o.risk, o.neededClearance)) };
  }
  // Half the draws for openings that hardly ever are the worst; only a prefix of a known sd's draws is evenly spread.
  const isShort = input.draws === undefined && draws.count < jobDraws.count && field.degrees === undefined;
  const all = new Approaches(draws);
  const half = isShort ? new Approaches(firstDraws(draws, draws.count / 2)) : all;
  let largestSd = 0;
  for (const w of worst) if (w !== undefined && w.predictedError > largestSd) largestSd = w.predictedError;
  const passing = draws.count < jobDraws.count ? closeEnough.fewDraws : closeEnough.usual;
  const usualRatio = draws.tail.exceededWith(acceptedRisk);
  let nextRatio = usualRatio;
  const own = indexes.map((index, k) => {
    const one = (worst[k]?.predictedError ?? 0) < farFromWorst * largestSd ? half : all;
    one.of([index]);
    one.at(clearance);
    const risk = one.risk(clearance);
    const needed = one.needed(acceptedRisk, nextRatio, passing);
    if (needed.ratio > 0) nextRatio = needed.ratio;
    return { risk, neededClearance: needed.clearance };
  });
  const whole = new Approaches(jobDraws);
  whole.of(farthestFirst(indexes));
  whole.at(clearance);
  const risk = whole.risk(clearance);
  const neededClearance = whole.needed(acceptedRisk, usualRatio).clearance;
  const openings = own.map((o, k) =>
    named(k, Math.min(o.risk, risk), Math.min(o.neededClearance, neededClearance)),
  );
  return { risk, neededClearance, openings };
};

/** The needed clearance of the whole job alone, mm: several times as fast, for weighing what another reading brings. */
export const neededForJob = (input: Omit<RiskInput, 'clearance'>): number => {
  const { edges, field, acceptedRisk, systematic } = input;
  const { job: count } = countsOf(input);
  const draws = drawErrors(field, count, input.seed ?? usualSeed);
  const indexes = input.indexes ?? indexEdges(edges, field);
  if (isKnownInPart(input)) {
    const worst = worstPoints(edges, field, 0, systematic, input.bounded);
    return neededAtWorst({ ...input, indexes, draws, worst });
  }
  const job = new Approaches(draws);
  job.of(farthestFirst(indexes));
  job.at(Number.POSITIVE_INFINITY);
  return job.needed(acceptedRisk, draws.tail.exceededWith(acceptedRisk)).clearance;
};

/** Whether there is anything beside the random errors. */
const isKnownInPart = ({ systematic, bounded, edges }: Omit<RiskInput, 'clearance'>): boolean =>
  systematic !== undefined ||
  (bounded !== undefined && hasBounds(bounded)) ||
  edges.some((edge) => edge.loss !== undefined);

const countsOf = (input: Omit<RiskInput, 'clearance'>): DrawCounts =>
  input.draws === undefined ? usualDraws(input) : { openings: input.draws, job: input.draws };

/** Openings far from the marks are approached most; what comes after them is then ruled out at a glance. */
const farthestFirst = (indexes: readonly EdgeIndex[]): readonly EdgeIndex[] => {
  const away = (index: EdgeIndex): number => {
    const run = index.runs[0];
    if (run === undefined) return 0;
    return run.leverX.reduce((sum, x, k) => sum + x * x + run.leverY[k]! ** 2, 0);
  };
  return indexes
    .map((index) => ({ index, away: away(index) }))
    .sort((a, b) => b.away - a.away)
    .map(({ index }) => index);
};

/** With less than this share of the largest sd an opening is touched first only where the worst one nearly is as well. */
const farFromWorst = 0.85;

/** Relative change of the approach, from clearance to clearance, that is let pass; where draws are few they leave open more. */
const closeEnough = { usual: 1e-3, fewDraws: 4e-3 };

/**
 * The largest approach of some openings per unit of length, for each draw, mm; -infinity without any edge. Where tools
 * round corners it depends a little on the clearance, through the scale of approach.ts.
 */
class Approaches {
  private readonly best: Float64Array;
  /** Of the openings whose room is the clearance, found once. */
  private readonly plain: Float64Array;
  private plainDone = false;
  private indexes: readonly EdgeIndex[] = [];
  private clearance = Number.NaN;
  private certain = false;

  constructor(private readonly draws: Draws) {
    this.best = new Float64Array(draws.count);
    this.plain = new Float64Array(draws.count);
  }

  /** Turns to these openings. */
  of(indexes: readonly EdgeIndex[]): void {
    this.indexes = indexes;
    this.plainDone = false;
  }

  /** Finds them for a clearance. */
  at(clearance: number): void {
    const { best, plain, indexes } = this;
    this.clearance = clearance;
    this.certain = false;
    if (!this.plainDone) {
      plain.fill(Number.NEGATIVE_INFINITY);
      for (const index of indexes) if (index.room === undefined) this.search(index, plain);
      this.plainDone = true;
    }
    best.set(plain);
    for (const index of indexes) {
      if (index.room === undefined) continue;
      if (scaleTo(index, clearance)) this.search(index, best);
      else this.certain = true;
    }
  }

  private search(index: EdgeIndex, best: Float64Array): void {
    const search = { draws: this.draws, best };
    for (let run = 0; run < index.runs.length; run++) raiseApproach(index, run, search);
  }

  /** At the clearance they were found for, or one close to it. */
  risk(clearance: number): number {
    if (this.certain) return 1;
    const { best, draws } = this;
    const { beyond } = draws.tail;
    let sum = 0;
    for (let j = 0; j < best.length; j++) {
      const largest = best[j]!;
      if (largest > 0) sum += beyond(clearance / largest);
    }
    return sum / best.length;
  }

  /**
   * The clearance with the accepted risk; also its ratio to the root mean square approach: much the same for every
   * opening, a good first guess. Leaves the approaches changed.
   */
  needed(
    acceptedRisk: number,
    ratio: number,
    passing = closeEnough.usual,
  ): { clearance: number; ratio: number } {
    let floor = 0;
    for (const { room } of this.indexes) if (room !== undefined) floor = Math.max(floor, room.floor);
    const size = this.size();
    if (this.certain || floor > steep * Math.min(this.clearance, size * ratio)) {
      return this.neededAbove(floor, acceptedRisk, ratio);
    }
    if (size === 0) return { clearance: 0, ratio: 0 };
    let guess = size * ratio;
    for (let i = 0; ; i++) {
      const clearance = decreasingRoot((c) => this.risk(c), acceptedRisk, guess, 0.02 * guess);
      // Clearance over room is 1 / (gain + extra / clearance), so between two clearances it changes by this share.
      const change = floor * Math.abs(1 / clearance - 1 / this.clearance);
      if (i === 8 || change <= passing) return { clearance, ratio: clearance / size };
      this.at(clearance);
      // Where the first guess was far above, corners may leave no room at all at what follows from it.
      if (this.certain || floor > steep * clearance) return this.neededAbove(floor, acceptedRisk, ratio);
      guess = clearance;
    }
  }

  private size(): number {
    let squares = 0;
    for (const a of this.best) if (a > 0) squares += a * a;
    return Math.sqrt(squares / this.best.length);
  }

  /**
   * Where a wide beam leaves corners little room the scale changes fast. The approaches found at a clearance have the
   * accepted risk at another one, which falls as the first one grows: where the two are equal lies between them, and above
   * the floor. Secants lead there, halves where they do not.
   */
  private neededAbove(
    floor: number,
    acceptedRisk: number,
    ratio: number,
  ): { clearance: number; ratio: number } {
    if (this.certain) this.at(Number.POSITIVE_INFINITY);
    const size = this.size();
    if (size === 0) return { clearance: floor, ratio: 0 };
    let low = floor;
    let high = Number.POSITIVE_INFINITY;
    let guess = size * ratio;
    let before: { readonly at: number; readonly over: number } | undefined;
    for (let i = 0; i < mostSteps; i++) {
      const at = this.clearance;
      const there = decreasingRoot((c) => this.risk(c), acceptedRisk, guess, 0.02 * guess);
      const over = there - at;
      if (over > 0) low = Math.max(low, at);
      else high = Math.min(high, at);
      const secant = before === undefined ? there : at - (over * (at - before.at)) / (over - before.over);
      if (Math.abs(over) <= nearlyEqual * at && Number.isFinite(at))
        return { clearance: Number.isFinite(secant) ? Math.min(Math.max(secant, low), high) : at, ratio: 0 };
      const middle = Number.isFinite(high) ? (low + high) / 2 : low + guess;
      if (Number.isFinite(high) && high - low <= noWidth * high) return { clearance: middle, ratio: 0 };
      const next = secant > low && secant < high && i < mostSecants ? secant : middle;
      if (Number.isFinite(at)) before = { at, over };
      if (there > 0 && Number.isFinite(there)) guess = there;
      this.at(next);
    }
    return { clearance: (low + high) / 2, ratio: 0 };
  }
}

/** A floor above this share of a clearance makes the scale change fast there. */
const steep = 0.2;
const mostSteps = 100;
/** From then on halves. */
const mostSecants = 20;
/** So near to each other, relatively, one more secant is as good as exact. */
const nearlyEqual = 1e-4;
const noWidth = 1e-6;
