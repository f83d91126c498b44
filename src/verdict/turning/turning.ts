/**
 * The value of one figure at which the risk of a job reaches the accepted one, its clearance and all other figures as they
 * are.
 *
 * The clearance is fixed, so a point of an edge is a row: the room left there, and the coefficients of n . d. Where the
 * point alone is touched with the accepted risk the job's risk is at least as large: that bounds the value from above without
 * any draw. From there on only the rows that are touched first in some draw count, at the vertices of the bounds that leave
 * the fewest sds.
 */

import { chiSquareQuantile, studentQuantile } from '../../numeric/distributions.js';
import type { ErrorField } from '../risk/error-field.js';
import { type Bounded, nothingBounded } from '../risk/vertices.js';
import { type Bounds, choicesOf } from './choices.js';
import type { Problem } from './problem.js';
import { type Find, isAnyOver, leastRoot, leastRoughRoot } from './root.js';
import { type Rows, type RowsInput, rowsOf } from './rows.js';
import { type State, stateOf } from './state.js';

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
    this.ownState ??= stateOf(field);
    const own = this.ownState;
    const found = find(problem, () => own, 0, high);
    return found ?? (high < limit ? high : undefined);
  }

  private ofSd({ at }: GrowingSd, from: number, limit: number, find: Find): number | undefined {
    const { input } = this;
    const stateAt = (value: number): State | undefined => {
      const field = at(value)?.field;
      return field === undefined ? undefined : stateOf(field);
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
  private nearest(
    sds: Float64Array,
    field: ErrorField,
    bounds: Bounds & { readonly inCut: boolean },
  ): Problem | undefined {
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

/** A row that keeps so many sds more than the nearest adds less than a hundredth of the risk. */
const farther = 1.4;

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

const least = (values: Float64Array): number => {
  let smallest = Number.POSITIVE_INFINITY;
  for (const value of values) if (value < smallest) smallest = value;
  return smallest;
};
