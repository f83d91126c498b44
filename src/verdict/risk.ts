/** How likely the new edge touches the existing one, opening by opening and anywhere in the job. */
import type { Matrix } from '../geometry/affine.js';
import { decreasingRoot } from '../numeric/decreasing-root.js';
import { type EdgeIndex, indexEdge, raiseApproach } from './approach.js';
import { type Draws, drawErrors, usualDraws, usualSeed } from './draws.js';
import type { Edge } from './edge.js';
import type { ErrorField } from './error-field.js';
import { systematicRisk } from './systematic-risk.js';
import { type WorstPoint, worstPoint } from './worst-point.js';

export interface RiskInput {
  readonly edges: readonly Edge[];
  readonly field: ErrorField;
  /** mm. */
  readonly clearance: number;
  readonly acceptedRisk: number;
  /** Known displacement of a bed point, mm; see remaining.ts. */
  readonly systematic?: Matrix;
  readonly draws?: number;
  readonly seed?: string;
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
 * Cost: for each draw and opening a search of a few points (approach.ts), so draws x openings, with the sorting of
 * the edge points, points x log, before it.
 */
export const assessRisk = (input: RiskInput): JobRisk => {
  const { edges, field, clearance, acceptedRisk, systematic } = input;
  const draws = drawErrors(field, input.draws ?? usualDraws(input), input.seed ?? usualSeed);
  const indexes = edges.map((edge) => indexEdge(edge, field, systematic));
  const worst = edges.map((edge) => worstPoint(edge, field, clearance, systematic));
  const named = (i: number, risk: number, neededClearance: number): OpeningRisk => {
    const at = worst[i];
    return { id: edges[i]!.id, risk, neededClearance, ...(at === undefined ? {} : { worst: at }) };
  };
  if (systematic !== undefined) {
    const judge = (which: readonly EdgeIndex[], at: readonly (WorstPoint | undefined)[]) => ({
      risk: systematicRisk(which, draws, clearance),
      neededClearance: systematicNeeded(which, draws, acceptedRisk, at),
    });
    const each = indexes.map((index, i) => judge([index], [worst[i]]));
    return { ...judge(indexes, worst), openings: each.map((r, i) => named(i, r.risk, r.neededClearance)) };
  }
  const job = new Float64Array(draws.count).fill(Number.NEGATIVE_INFINITY);
  const best = new Float64Array(draws.count);
  let usualRatio = draws.tail.exceededWith(acceptedRisk);
  const openings = indexes.map((index, i): OpeningRisk => {
    approaches(index, draws, best);
    for (let j = 0; j < draws.count; j++) if (best[j]! > job[j]!) job[j] = best[j]!;
    const needed = neededAt(best, draws, acceptedRisk, usualRatio);
    usualRatio = needed.ratio;
    return named(i, riskAt(best, draws, clearance), needed.clearance);
  });
  return {
    risk: riskAt(job, draws, clearance),
    neededClearance: neededAt(job, draws, acceptedRisk, usualRatio).clearance,
    openings,
  };
};

/** The needed clearance of the whole job alone, mm: several times as fast, for weighing what another reading brings. */
export const neededForJob = (input: Omit<RiskInput, 'clearance'>): number => {
  const { edges, field, acceptedRisk, systematic } = input;
  const draws = drawErrors(field, input.draws ?? usualDraws(input), input.seed ?? usualSeed);
  const indexes = edges.map((edge) => indexEdge(edge, field, systematic));
  if (systematic !== undefined) {
    const worst = edges.map((edge) => worstPoint(edge, field, 0, systematic));
    return systematicNeeded(indexes, draws, acceptedRisk, worst);
  }
  const best = new Float64Array(draws.count).fill(Number.NEGATIVE_INFINITY);
  for (const index of indexes)
    for (const run of index.runs) raiseApproach(index, run, { draws, known: 0, best });
  for (let j = 0; j < draws.count; j++) best[j]! += draws.kerf[j]!;
  return neededAt(best, draws, acceptedRisk, draws.tail.exceededWith(acceptedRisk)).clearance;
};

/** Largest approach of an opening per unit of length, for each draw, mm; -infinity for an opening without edge. */
const approaches = (index: EdgeIndex, draws: Draws, best: Float64Array): void => {
  best.fill(Number.NEGATIVE_INFINITY);
  for (const run of index.runs) raiseApproach(index, run, { draws, known: 0, best });
  for (let j = 0; j < draws.count; j++) best[j]! += draws.kerf[j]!;
};

const riskAt = (approach: Float64Array, draws: Draws, clearance: number): number => {
  let sum = 0;
  for (let j = 0; j < approach.length; j++) {
    const largest = approach[j]!;
    if (largest > 0) sum += draws.tail.beyond(clearance / largest);
  }
  return sum / approach.length;
};

/** Also its ratio to the root mean square approach: much the same for every opening, a good first guess. */
const neededAt = (
  approach: Float64Array,
  draws: Draws,
  acceptedRisk: number,
  ratio: number,
): { clearance: number; ratio: number } => {
  let squares = 0;
  for (let j = 0; j < approach.length; j++) if (approach[j]! > 0) squares += approach[j]! ** 2;
  const size = Math.sqrt(squares / approach.length);
  if (size === 0) return { clearance: 0, ratio };
  const clearance = decreasingRoot(
    (c) => riskAt(approach, draws, c),
    acceptedRisk,
    size * ratio,
    0.02 * size * ratio,
  );
  return { clearance, ratio: clearance > 0 ? clearance / size : ratio };
};

const systematicNeeded = (
  indexes: readonly EdgeIndex[],
  draws: Draws,
  acceptedRisk: number,
  worst: readonly (WorstPoint | undefined)[],
): number => {
  let guess = 0;
  let step = 0;
  for (const w of worst) {
    if (w === undefined) continue;
    guess = Math.max(guess, w.systematic + 2 * w.predictedError);
    step = Math.max(step, w.predictedError);
  }
  // Without any error the known approach is the needed clearance itself.
  if (step === 0) return guess;
  return decreasingRoot((c) => systematicRisk(indexes, draws, c), acceptedRisk, guess, step / 2);
};
