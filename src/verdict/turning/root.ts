/** The value of a figure at which the risk of a problem reaches the accepted one. */

import { type AtVertex, addTouchedFirst, atVertex, logRisk } from './lengths.js';
import type { Problem } from './problem.js';
import type { Row } from './rows.js';
import type { StateAt } from './state.js';

const closeEnough = 1e-3;
const mostSteps = 25;

/** @returns undefined where the risk stays below the accepted one up to `high` */
export type Find = (problem: Problem, stateAt: StateAt, low: number, high: number) => number | undefined;

/** `high` where one of the vertices has the accepted risk there. */
export const isAnyOver: Find = (problem, stateAt, _low, high) => {
  const state = stateAt(high);
  if (state === undefined) return undefined;
  const pool = new Set<Row>();
  for (const choice of problem.choices) {
    addTouchedFirst(atVertex(problem, problem.rows, choice), state.few, high, pool);
    const some = atVertex(problem, [...pool], choice);
    if (logRisk(some, state.draws, high, problem.acceptedRisk) >= 0) return high;
  }
  return undefined;
};

/** The least value at which one of the vertices has the accepted risk; undefined where none has it up to `high`. */
export const leastRoot: Find = (problem, stateAt, low, high) => {
  const { acceptedRisk } = problem;
  const found = rowsAtRoot(problem, stateAt, low, high);
  return found && polished(found.rows, stateAt, { low, value: found.value }, acceptedRisk);
};

export const leastRoughRoot: Find = (problem, stateAt, low, high) =>
  rowsAtRoot(problem, stateAt, low, high)?.value;

interface Root {
  readonly value: number;
  /** The rows that count at the worst vertex. */
  readonly rows: AtVertex;
}

const rowsAtRoot = (problem: Problem, stateAt: StateAt, low: number, high: number): Root | undefined => {
  const { acceptedRisk, rows } = problem;
  let highest = high;
  let state = stateAt(highest);
  let found: Root | undefined;
  // Rows that some draw touches first at some vertex: far fewer than all.
  const pool = new Set<Row>();
  for (const choice of problem.choices) {
    let all: AtVertex | undefined;
    // Rows touched first at the value found join those touched first at a larger one.
    for (let round = 0; round < mostRounds && state !== undefined; round++) {
      if (pool.size > 0 && found !== undefined && round === 0) {
        const some = atVertex(problem, [...pool], choice);
        if (logRisk(some, state.few, highest, acceptedRisk) < hopelessAtOnce) break;
        if (logRisk(some, state.draws, highest, acceptedRisk) < hopeless) break;
      }
      const before = pool.size;
      all ??= atVertex(problem, rows, choice);
      addTouchedFirst(all, state.few, highest, pool);
      if (round > 0 && pool.size === before) break;
      const some = atVertex(problem, [...pool], choice);
      const over = logRisk(some, state.draws, highest, acceptedRisk);
      if (over < (found === undefined ? 0 : passing)) break;
      highest = rootOf(some, stateAt, { low, high: highest, over }, acceptedRisk);
      found = { value: highest, rows: some };
      state = stateAt(highest);
    }
  }
  return found;
};

/** Share of a value over which ln of the risk is taken as straight. */
const nearby = 0.03;

/** One step towards the root with many draws, by the slope that the fewer ones have. */
const polished = (
  rows: AtVertex,
  stateAt: StateAt,
  { low, value }: { readonly low: number; readonly value: number },
  acceptedRisk: number,
): number => {
  const state = stateAt(value);
  const lower = value - nearby * (value - low);
  const before = stateAt(lower);
  if (state === undefined || before === undefined) return value;
  const over = logRisk(rows, state.draws, value, acceptedRisk);
  const slope = over - logRisk(rows, before.draws, lower, acceptedRisk);
  const step = logRisk(rows, state.many(), value, acceptedRisk) / slope;
  return slope > 0 && Math.abs(step) <= farthestStep ? value - step * nearby * (value - low) : value;
};

/** Beyond so many times `nearby` nothing is straight. */
const farthestStep = 4;

const mostRounds = 3;
/** ln of the risk over the accepted one: worth another round, or another vertex. */
const passing = 0.01;
const hopeless = -0.15;
/** The same for what a few draws say, whose risk is off by a fifth at most. */
const hopelessAtOnce = -0.5;

/** Regula falsi (Illinois) on ln of the risk. */
const rootOf = (
  rows: AtVertex,
  stateAt: StateAt,
  within: { readonly low: number; readonly high: number; readonly over: number },
  acceptedRisk: number,
): number => {
  const overAt = (value: number): number => {
    const state = stateAt(value);
    return state === undefined ? 1 : logRisk(rows, state.draws, value, acceptedRisk);
  };
  let { low, high, over: overHigh } = within;
  let overLow = overHigh;
  // By steps: far below there is no risk whose logarithm would lead anywhere.
  for (let share = 0.85; overLow >= 0; share -= 0.2) {
    high = low === within.low ? high : low;
    overHigh = overLow;
    low = within.low + Math.max(0, share) * (within.high - within.low);
    overLow = overAt(low);
    if (share <= 0) break;
  }
  if (overLow >= 0) return low;
  let side = 0;
  for (let i = 0; i < mostSteps && high - low > closeEnough * high; i++) {
    const cut = (low * overHigh - high * overLow) / (overHigh - overLow);
    const x = cut > low && cut < high ? cut : (low + high) / 2;
    const over = overAt(x);
    if (over >= 0) {
      if (high - x < closeEnough * x && side === 1) return x;
      high = x;
      overHigh = over;
      if (side === 1) overLow /= 2;
      side = 1;
    } else {
      if (x - low < closeEnough * x && side === -1) return x;
      low = x;
      overLow = over;
      if (side === -1) overHigh /= 2;
      side = -1;
    }
  }
  return (low + high) / 2;
};
