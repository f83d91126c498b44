/** The errors at one value of a figure, and what each draw of them takes of a row. */

import { type Draws, drawErrors, firstDraws } from '../risk/draws.js';
import type { ErrorField } from '../risk/error-field.js';
import type { Row } from './rows.js';

/** Draws that find the value; twice as many where the sd is estimated from so few degrees of freedom. */
const drawCount = 1024;
const fewDegrees = 8;
/** Draws that it is brought to agree with in a last step: as many as a check takes (draws.ts). */
const manyDraws = 4096;
/** Draws that say which rows can be touched first. */
const fewDraws = 128;

/** Errors at one value of the figure. */
export interface State {
  readonly draws: Drawn;
  /** A few of them. */
  readonly few: Drawn;
  readonly many: () => Drawn;
}

/** Undefined: no fit there. */
export type StateAt = (value: number) => State | undefined;

export const stateOf = (field: ErrorField): State => {
  const { degrees = Number.POSITIVE_INFINITY } = field;
  const count = degrees < fewDegrees ? 2 * drawCount : drawCount;
  const draws = drawErrors(field, count);
  let many: Drawn | undefined;
  return {
    draws: new Drawn(field, draws),
    // Of an estimated sd the draws have their ratios in order: the first ones are no sample of all.
    few: new Drawn(
      field,
      field.degrees === undefined ? firstDraws(draws, fewDraws) : drawErrors(field, fewDraws),
    ),
    many: () => {
      many ??= new Drawn(field, drawErrors(field, manyDraws));
      return many;
    },
  };
};

/** Draws with the approach of each to the rows that were asked for: figures that leave the errors as they are share them. */
export class Drawn {
  private readonly known = new Map<Row, Float64Array>();

  constructor(
    private readonly field: ErrorField,
    readonly draws: Draws,
  ) {}

  /** n . d at a row per unit of length, for each draw. */
  approachTo(row: Row): Float64Array {
    let approach = this.known.get(row);
    if (approach === undefined) {
      approach = approachOf(row, this.field, this.draws);
      this.known.set(row, approach);
    }
    return approach;
  }
}

/** The coefficients of a lever that there is not. */
let nowhere = new Float64Array(manyDraws);

const approachOf = (
  { points, i, offset: own }: Row,
  { centre, levers }: ErrorField,
  { count, shiftX, shiftY, lever, kerf, offsets }: Draws,
): Float64Array => {
  if (nowhere.length < count) nowhere = new Float64Array(count);
  const offset = own >= 0 && offsets.length > 0 ? offsets[own]! : kerf;
  const nx = points.normalX[i]!;
  const ny = points.normalY[i]!;
  const dx = points.x[i]! - centre.x;
  const dy = points.y[i]! - centre.y;
  const arm = (l: number): number => {
    const one = levers[l];
    return one === undefined ? 0 : nx * (one[0] * dx + one[1] * dy) + ny * (one[2] * dx + one[3] * dy);
  };
  const approach = new Float64Array(count);
  addUp(
    count,
    shiftX,
    shiftY,
    offset,
    lever[0] ?? nowhere,
    lever[1] ?? nowhere,
    lever[2] ?? nowhere,
    lever[3] ?? nowhere,
    nx,
    ny,
    arm(0),
    arm(1),
    arm(2),
    arm(3),
    approach,
  );
  return approach;
};

/** In a loop of its own, which is compiled soon. */
const addUp = (
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
  a0: number,
  a1: number,
  a2: number,
  a3: number,
  into: Float64Array,
): void => {
  for (let j = 0; j < count; j++)
    into[j] =
      nx * shiftX[j]! + ny * shiftY[j]! + offset[j]! + a0 * t0[j]! + a1 * t1[j]! + a2 * t2[j]! + a3 * t3[j]!;
};
