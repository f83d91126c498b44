/**
 * The value of one figure at which the risk of a job reaches the accepted one, its clearance and all other figures as they
 * are.
 *
 * The clearance is fixed, so a point of an edge is a row: the room left there, and the coefficients of n . d. Where the
 * point alone is touched with the accepted risk the job's risk is at least as large: that bounds the value from above without
 * any draw. From there on only the rows that are touched first in some draw count, at the vertices of the bounds that leave
 * the fewest sds.
 */

import { boxCentre, type Point } from '../../geometry/point.js';
import { chiSquareQuantile, studentQuantile } from '../../numeric/distributions.js';
import { edgeBox } from '../edges/edge.js';
import { angleNumber } from '../edges/edge-index.js';
import { type Displacement, displacedBy } from '../risk/displacement.js';
import { type Draws, drawErrors, firstDraws } from '../risk/draws.js';
import type { ErrorField } from '../risk/error-field.js';
import { alongNormal, type Bounded, nothingBounded } from '../risk/vertices.js';
import { type Row, type Rows, type RowsInput, rowsOf } from './turning-rows.js';

export interface TurningInput extends RowsInput {
  readonly acceptedRisk: number;
}

/** What the job is judged by at some value of the figure; `bounded` where the bounds change with it. */
export interface Changed {
  readonly field: ErrorField;
  readonly bounded?: Bounded;
}

/** Common errors: per unit of the figure so much more of each. */
export interface GrowingBounds {
  readonly kind: 'bounded';
  readonly perUnit: Bounded;
  /** Takes of the room in the cut as well, by `unitLoss`. */
  readonly inCut?: boolean;
  /** What the job would be judged by if so much were stated: what the residuals then say of the sd. */
  readonly judged?: (x: number) => Changed | undefined;
}

/** Errors with an sd; undefined: no fit there. */
export interface GrowingSd {
  readonly kind: 'sd';
  readonly at: (x: number) => Changed | undefined;
}

/** What grows with the figure. */
export type Growing = GrowingBounds | GrowingSd;

/** Draws that find the value; twice as many where the sd is estimated from so few degrees of freedom. */
const drawCount = 1024;
const fewDegrees = 8;
/** Draws that it is brought to agree with in a last step: as many as a check takes (draws.ts). */
const manyDraws = 4096;
/** Draws that say which rows can be touched first. */
const fewDraws = 128;
/** So many vertices are tried. */
const mostVertices = 8;
/** Directions told apart in each quadrant. */
const directions = 2;
const wholeDirections = 16;
/** A row that keeps so many sds more than the nearest adds less than a hundredth of the risk. */
const farther = 1.4;
/** Longer errors have no probability left that counts. */
const longest = 9;
const closeEnough = 1e-3;
const mostSteps = 25;

/** A choice of signs for the bounds there are, for those that grow, and one direction for shifts to any side. */
interface Choice {
  readonly signs: readonly number[];
  readonly growing: readonly number[];
  readonly x: number;
  readonly y: number;
}

/** One job, made ready for any number of figures. */
export class Turning {
  private ownState: State | undefined;

  private readonly rows: Rows;

  constructor(
    private readonly input: TurningInput,
    rows?: Rows,
  ) {
    this.rows = rows ?? rowsOf(input);
  }

  /** The same job judged by other errors. */
  by(changed: Changed): Turning {
    const { field, bounded = this.input.bounded } = changed;
    return new Turning({ ...this.input, field, bounded }, this.rows.with(field, bounded));
  }

  /**
   * @param from the value it has now, at which the job fits
   * @param limit beyond it nobody asks
   * @returns undefined where the verdict does not turn up to the limit
   */
  of(growing: Growing, from: number, limit: number): number | undefined {
    return this.found(growing, from, limit, leastRoot);
  }

  /** The same from fewer draws alone: for a value at which something else is looked at. */
  roughlyOf(growing: Growing, from: number, limit: number): number | undefined {
    return this.found(growing, from, limit, leastRoughRoot);
  }

  /** Whether the verdict turns at a value or before; several times as fast. */
  turnsBy(growing: Growing, from: number, value: number): boolean {
    return this.found(growing, from, value, isAnyOver) !== undefined;
  }

  private found(growing: Growing, from: number, limit: number, find: Find): number | undefined {
    return growing.kind === 'bounded'
      ? this.ofBounded(growing, limit, find)
      : this.ofSd(growing, from, limit, find);
  }

  private ofBounded(
    { perUnit, inCut = false }: GrowingBounds,
    limit: number,
    find: Find,
  ): number | undefined {
    const { rows, input } = this;
    const { field, bounded, acceptedRisk } = input;
    const alone = leastSdsAlone(acceptedRisk);
    const takes = rows.takes(perUnit, inCut);
    const high = rows.leastValue(takes, alone, limit);
    const sds = rows.sdsWithout(takes, high);
    const problem = this.nearest(sds, field, { bounded, perUnit, inCut });
    if (problem === undefined) return undefined;
    this.ownState ??= withDraws(field);
    const own = this.ownState;
    const found = find(problem, () => own, 0, high);
    return found ?? (high < limit ? high : undefined);
  }

  private ofSd({ at }: GrowingSd, from: number, limit: number, find: Find): number | undefined {
    const { input } = this;
    const stateAt = (value: number): State | undefined => {
      const field = at(value)?.field;
      return field === undefined ? undefined : withDraws(field);
    };
    const bracket = this.bracketOf(at, from, limit);
    if (bracket === undefined) return undefined;
    const { high, field, bounded = input.bounded, sds } = bracket;
    const problem = this.nearest(sds, field, { bounded, perUnit: nothingBounded, inCut: false });
    if (problem === undefined) return undefined;
    const found = find(problem, stateAt, from, high);
    return found ?? (high < limit ? high : undefined);
  }

  /**
   * The least value found at which one row alone has the accepted risk, or the limit. Variances grow nearly with the square
   * of the figure, so secants lead there.
   */
  private bracketOf(at: GrowingSd['at'], from: number, limit: number) {
    const { acceptedRisk } = this.input;
    const stateAt = (high: number) => {
      const changed = at(high);
      if (changed === undefined) return undefined;
      const sds = this.rows.sdsWith(changed.field, changed.bounded ?? this.input.bounded);
      const nearest = least(sds);
      const square = nearest > 0 ? 1 / nearest ** 2 : Number.POSITIVE_INFINITY;
      return { ...changed, high, sds, square };
    };
    let best = stateAt(limit);
    const start = stateAt(from);
    if (best === undefined || start === undefined) return best;
    let low = { u: from * from, square: start.square };
    for (let i = 0; i < mostSecants; i++) {
      const wanted = 1 / Math.max(leastAlone, leastSdsAlone(acceptedRisk)) ** 2;
      if (best.square <= 1.05 * wanted) break;
      const share = Number.isFinite(best.square) ? (wanted - low.square) / (best.square - low.square) : 0.1;
      if (!(share > 0)) break;
      const there = stateAt(Math.sqrt(low.u + (best.high ** 2 - low.u) * Math.min(0.95, 1.02 * share)));
      if (there === undefined) break;
      if (there.square >= wanted) best = there;
      else low = { u: there.high ** 2, square: there.square };
    }
    return best;
  }

  /** The rows that can be touched first, and the vertices that bring them nearest; undefined: none comes near. */
  private nearest(sds: Float64Array, field: ErrorField, bounds: Bounds): Problem | undefined {
    const { acceptedRisk } = this.input;
    const first = least(sds);
    // With a known sd hardly any error is so long that all rows together have the accepted risk.
    const dimensions = 3 + field.levers.length + (field.rims?.cross.length ?? 0);
    if (field.degrees === undefined && first > Math.sqrt(chiSquareQuantile(1 - acceptedRisk, dimensions)))
      return undefined;
    const known = leastSdsAlone(acceptedRisk);
    const scale = known > 0 ? Math.max(1, aloneWith(acceptedRisk, field) / known) : 1;
    const few = this.rows.nearest(sds, first + farther * scale, field);
    return { rows: few, choices: choicesOf(few, bounds, this.rows), ...bounds, acceptedRisk };
  }
}

const leastAlone = 0.1;
const mostSecants = 6;

/**
 * So many sds away one point alone has at least the accepted risk. Where some of the errors follow a Student-t and others a
 * normal distribution it lies between the two; the normal one is the nearer.
 */
const leastSdsAlone = (acceptedRisk: number): number => studentQuantile(1 - acceptedRisk, undefined);

/** The same for errors that are all of the field's degrees of freedom. */
const aloneWith = (acceptedRisk: number, { degrees }: ErrorField): number =>
  studentQuantile(1 - acceptedRisk, degrees);

const withDraws = (field: ErrorField): State => {
  const { degrees = Number.POSITIVE_INFINITY } = field;
  const count = degrees < fewDegrees ? 2 * drawCount : drawCount;
  const draws = drawErrors(field, count);
  let many: Draws | undefined;
  return {
    field,
    draws,
    // Of an estimated sd the draws have their ratios in order: the first ones are no sample of all.
    few: field.degrees === undefined ? firstDraws(draws, fewDraws) : drawErrors(field, fewDraws),
    many: () => {
      many ??= drawErrors(field, manyDraws);
      return many;
    },
  };
};

const least = (values: Float64Array): number => {
  let smallest = Number.POSITIVE_INFINITY;
  for (const value of values) if (value < smallest) smallest = value;
  return smallest;
};

/** What the rows that keep the fewest sds ask for, the nearest first. */
const choicesOf = (rows: readonly Row[], { bounded, perUnit }: Bounds, all: Rows): Choice[] => {
  const towardsAny = bounded.anyDirection + perUnit.anyDirection > 0;
  const found = new Map<string, Choice>();
  const generators = [...bounded.generators, ...perUnit.generators];
  let keyBefore: string | undefined;
  for (const { points, i } of rows) {
    const x = towardsAny ? points.normalX[i]! : 0;
    const y = towardsAny ? points.normalY[i]! : 0;
    let key = '';
    for (const generator of generators) key += alongNormal(generator, points, i) >= 0 ? '+' : '-';
    if (towardsAny) key += Math.floor(directions * angleNumber(x, y));
    if (key === keyBefore) continue;
    keyBefore = key;
    if (found.has(key)) continue;
    const signs = generators.map((_, k) => (key[k] === '+' ? 1 : -1));
    const own = bounded.generators.length;
    found.set(key, { signs: signs.slice(0, own), growing: signs.slice(own), x, y });
    if (found.size === mostVertices) break;
  }
  const nearest = rows[0];
  if (nearest !== undefined && generators.length > 2)
    for (const choice of wholeMoves(nearest, all.edgeOf(nearest), { bounded, perUnit }, towardsAny)) {
      const signs = [...choice.signs, ...choice.growing].map((sign) => (sign > 0 ? '+' : '-')).join('');
      const key = towardsAny ? `${signs} ${choice.x.toFixed(2)}` : signs;
      if (!found.has(key)) found.set(key, choice);
    }
  return [...found.values()];
};

/** The vertices that move the middle of an edge farthest, each towards some side: it may be touched on two sides there. */
const wholeMoves = (
  { points }: Row,
  [start, end]: readonly [start: number, end: number],
  { bounded, perUnit }: Pick<Bounds, 'bounded' | 'perUnit'>,
  towardsAny: boolean,
): Choice[] => {
  const middle = boxCentre(edgeBox(points, start, end));
  const moves = (generators: readonly Displacement[]) => generators.map((one) => displacedBy(one, middle));
  const [own, growing] = [moves(bounded.generators), moves(perUnit.generators)];
  return Array.from({ length: wholeDirections }, (_, k): Choice => {
    const angle = (2 * Math.PI * (k + 0.5)) / wholeDirections;
    const [c, s] = [Math.cos(angle), Math.sin(angle)];
    const sign = ({ x, y }: Point): number => (c * x + s * y >= 0 ? 1 : -1);
    return { signs: own.map(sign), growing: growing.map(sign), x: towardsAny ? c : 0, y: towardsAny ? s : 0 };
  });
};

interface Bounds {
  readonly bounded: Bounded;
  readonly perUnit: Bounded;
  readonly inCut: boolean;
}

interface Problem extends Bounds {
  readonly rows: readonly Row[];
  readonly choices: readonly Choice[];
  readonly acceptedRisk: number;
}

/** The rows of a problem at one vertex: room there, and what a unit of the figure takes of it, mm. */
interface AtVertex {
  readonly rows: readonly Row[];
  readonly left: Float64Array;
  readonly take: Float64Array;
}

const atVertex = (
  { bounded, perUnit, inCut }: Bounds,
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

/** Errors at one value of the figure. */
interface State {
  readonly field: ErrorField;
  readonly draws: Draws;
  /** A few of them. */
  readonly few: Draws;
  readonly many: () => Draws;
}

type StateAt = (value: number) => State | undefined;
type Find = (problem: Problem, stateAt: StateAt, low: number, high: number) => number | undefined;

/** `high` where one of the vertices has the accepted risk there. */
const isAnyOver: Find = (problem, stateAt, _low, high) => {
  const state = stateAt(high);
  if (state === undefined) return undefined;
  const pool = new Set<Row>();
  for (const choice of problem.choices) {
    touchedFirst(atVertex(problem, problem.rows, choice), state, high, pool);
    const some = atVertex(problem, [...pool], choice);
    if (logRisk(some, state.field, state.draws, high, problem.acceptedRisk) >= 0) return high;
  }
  return undefined;
};

/** The least value at which one of the vertices has the accepted risk; undefined where none has it up to `high`. */
const leastRoot: Find = (problem, stateAt, low, high) => {
  const { acceptedRisk } = problem;
  const found = rowsAtRoot(problem, stateAt, low, high);
  return found && polished(found.rows, stateAt, { low, value: found.value }, acceptedRisk);
};

const leastRoughRoot: Find = (problem, stateAt, low, high) => rowsAtRoot(problem, stateAt, low, high)?.value;

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
        if (logRisk(some, state.field, state.few, highest, acceptedRisk) < hopelessAtOnce) break;
        if (logRisk(some, state.field, state.draws, highest, acceptedRisk) < hopeless) break;
      }
      const before = pool.size;
      all ??= atVertex(problem, rows, choice);
      touchedFirst(all, state, highest, pool);
      if (round > 0 && pool.size === before) break;
      const some = atVertex(problem, [...pool], choice);
      const over = logRisk(some, state.field, state.draws, highest, acceptedRisk);
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
  const over = logRisk(rows, state.field, state.draws, value, acceptedRisk);
  const slope = over - logRisk(rows, before.field, before.draws, lower, acceptedRisk);
  const step = logRisk(rows, state.field, state.many(), value, acceptedRisk) / slope;
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
    return state === undefined ? 1 : logRisk(rows, state.field, state.draws, value, acceptedRisk);
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

/** ln of the risk over the accepted one, at a value of the figure. */
const logRisk = (
  at: AtVertex,
  field: ErrorField,
  draws: Draws,
  value: number,
  acceptedRisk: number,
): number => {
  fillLengths(at, field, draws, value);
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

/** Adds the rows that are touched first in one of a few draws. */
const touchedFirst = (at: AtVertex, { field, few }: State, value: number, pool: Set<Row>): void => {
  fillLengths(at, field, few, value);
  for (let j = 0; j < few.count; j++) {
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

/** Filled anew, and read, within one call of `logRisk` or `touchedFirst`. */
let lengths = roomFor(manyDraws);
/** The coefficients of a lever that there is not. */
let nowhere = new Float64Array(manyDraws);

const fillLengths = (
  { rows, left, take }: AtVertex,
  { centre, levers }: ErrorField,
  { count, shiftX, shiftY, lever, kerf, offsets }: Draws,
  value: number,
): void => {
  if (lengths.high.length < count) {
    lengths = roomFor(count);
    nowhere = new Float64Array(count);
  }
  const { high, low, first } = lengths;
  high.fill(longest, 0, count);
  low.fill(0, 0, count);
  first.fill(-1, 0, count);
  const t0 = lever[0] ?? nowhere;
  const t1 = lever[1] ?? nowhere;
  const t2 = lever[2] ?? nowhere;
  const t3 = lever[3] ?? nowhere;
  const arms = new Float64Array(4);
  for (let k = 0; k < rows.length; k++) {
    const { points, i, offset: own } = rows[k]!;
    const offset = own >= 0 && offsets.length > 0 ? offsets[own]! : kerf;
    const nx = points.normalX[i]!;
    const ny = points.normalY[i]!;
    const dx = points.x[i]! - centre.x;
    const dy = points.y[i]! - centre.y;
    for (let l = 0; l < levers.length; l++) {
      const one = levers[l]!;
      arms[l] = nx * (one[0] * dx + one[1] * dy) + ny * (one[2] * dx + one[3] * dy);
    }
    const room = left[k]! - value * take[k]!;
    narrow(count, shiftX, shiftY, offset, t0, t1, t2, t3, nx, ny, arms, room, k, high, low, first);
  }
};

/** The lengths of each draw at which a row with this room is not touched, of those that there were. */
const narrow = (
  count: number,
  shiftX: Float64Array,
  shiftY: Float64Array,
  offset: Float64Array,
  t0: Float64Array,
  t1: Float64Array,
  t2: Float64Array,
  t3: Float64Array,
  nx: number,
  ny: number,
  arms: Float64Array,
  left: number,
  row: number,
  high: Float64Array,
  low: Float64Array,
  first: Int32Array,
): void => {
  const a0 = arms[0]!;
  const a1 = arms[1]!;
  const a2 = arms[2]!;
  const a3 = arms[3]!;
  for (let j = 0; j < count; j++) {
    const a =
      nx * shiftX[j]! + ny * shiftY[j]! + offset[j]! + a0 * t0[j]! + a1 * t1[j]! + a2 * t2[j]! + a3 * t3[j]!;
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
