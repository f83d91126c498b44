/** How long errors have to be to touch one of a few rows, draw by draw, and the risk that follows. */

import { alongNormal, type Bounded } from '../risk/vertices.js';
import type { Choice } from './choices.js';
import type { Problem } from './problem.js';
import type { Row } from './rows.js';
import type { Drawn } from './state.js';

/** Longer errors have no probability left that counts. */
const longest = 9;

/** The rows of a problem at one vertex: room there, and what a unit of the figure takes of it, mm. */
export interface AtVertex {
  readonly rows: readonly Row[];
  readonly left: Float64Array;
  readonly take: Float64Array;
}

export const atVertex = (
  { bounded, perUnit, inCut }: Problem,
  rows: readonly Row[],
  { signs, growing, x, y }: Choice,
): AtVertex => {
  const left = new Float64Array(rows.length);
  const take = new Float64Array(rows.length);
  for (let k = 0; k < rows.length; k++) {
    const row = rows[k]!;
    left[k] = row.left - movedBy(bounded, signs, x, y, row);
    take[k] = movedBy(perUnit, growing, x, y, row) + (inCut ? row.unitLoss : 0);
  }
  return { rows, left, take };
};

/** What bounds take of a row at these signs and this direction, mm. */
const movedBy = (
  { generators, anyDirection }: Bounded,
  signs: readonly number[],
  x: number,
  y: number,
  { points, i }: Row,
): number => {
  let sum = anyDirection * (points.normalX[i]! * x + points.normalY[i]! * y);
  for (let k = 0; k < generators.length; k++) sum += signs[k]! * alongNormal(generators[k]!, points, i);
  return sum;
};

/** ln of the risk over the accepted one, at a value of the figure. */
export const logRisk = (at: AtVertex, drawn: Drawn, value: number, acceptedRisk: number): number => {
  const { draws } = drawn;
  fillLengths(at, drawn, value);
  const sum = sumBeyond(draws.count, lengths.high, lengths.low, draws.tail.beyond);
  return Math.log(Math.max(sum / draws.count, 1e-30) / acceptedRisk);
};

const sumBeyond = (
  count: number,
  high: Float64Array,
  low: Float64Array,
  beyond: (r: number) => number,
): number => {
  let sum = 0;
  for (let j = 0; j < count; j++) {
    if (low[j]! >= high[j]!) sum += 1;
    else sum += beyond(high[j]!) + (low[j]! > 0 ? 1 - beyond(low[j]!) : 0);
  }
  return sum;
};

/** Adds the rows that are touched first in one of the draws. */
export const addTouchedFirst = (at: AtVertex, drawn: Drawn, value: number, pool: Set<Row>): void => {
  fillLengths(at, drawn, value);
  for (let j = 0; j < drawn.draws.count; j++) {
    const k = lengths.first[j]!;
    if (k >= 0) pool.add(at.rows[k]!);
  }
};

interface Lengths {
  /** Of each draw: longer errors, and shorter ones, touch. */
  readonly high: Float64Array;
  readonly low: Float64Array;
  /** Number of the row that does so first, or -1. */
  readonly first: Int32Array;
}

const roomFor = (count: number): Lengths => ({
  high: new Float64Array(count),
  low: new Float64Array(count),
  first: new Int32Array(count),
});

/** Filled anew, and read, within one call of `logRisk` or `addTouchedFirst`. */
let lengths = roomFor(0);

const fillLengths = ({ rows, left, take }: AtVertex, drawn: Drawn, value: number): void => {
  const { count } = drawn.draws;
  if (lengths.high.length < count) lengths = roomFor(count);
  const { high, low, first } = lengths;
  high.fill(longest, 0, count);
  low.fill(0, 0, count);
  first.fill(-1, 0, count);
  for (let k = 0; k < rows.length; k++)
    narrow(count, drawn.approachTo(rows[k]!), left[k]! - value * take[k]!, k, high, low, first);
};

/** The lengths of each draw at which a row with this room is not touched, of those that there were. */
const narrow = (
  count: number,
  approach: Float64Array,
  left: number,
  row: number,
  high: Float64Array,
  low: Float64Array,
  first: Int32Array,
): void => {
  for (let j = 0; j < count; j++) {
    const a = approach[j]!;
    if (a > 0) {
      if (left < a * high[j]!) {
        high[j] = left / a;
        first[j] = row;
      }
    } else if (left < 0) {
      low[j] = a === 0 ? longest : Math.max(low[j]!, left / a);
      if (first[j]! < 0) first[j] = row;
    }
  }
};
