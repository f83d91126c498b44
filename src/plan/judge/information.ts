/** Information matrices of patterns, and their inverses. */
import { unknownsOf } from '../../fit/solve/placement.js';
import type { Place } from '../places/place.js';
import type { UnknownsFrame } from './edge-rows.js';
import { type PlannedReadings, rowsAt, sdAt } from './planned-fit.js';

/** What one place adds to the information matrix: its upper triangle, row by row. */
export const informationOf = (
  place: Place,
  frame: UnknownsFrame,
  readings: PlannedReadings,
): Float64Array => {
  const unknowns = unknownsOf[frame.model];
  const sd = sdAt(place, readings);
  const sum = new Float64Array((unknowns * (unknowns + 1)) / 2);
  for (const row of Object.values(rowsAt(place, frame.model, frame.centre))) {
    const scaled = (row as readonly number[]).map((value, k) => value / (sd * (k < 2 ? 1 : frame.reach)));
    let at = 0;
    for (let i = 0; i < unknowns; i++)
      for (let j = i; j < unknowns; j++) sum[at++]! += scaled[i]! * scaled[j]!;
  }
  return sum;
};

/** Below this share of its diagonal element a pivot is nothing but rounding: the unknown is not determined. */
const noPivot = 1e-9;

/**
 * Inverts information matrices of one size, given by their upper triangles, into the n x n numbers of `result`.
 * False where there is no inverse. It works in memory of its own: the search asks for it some hundred thousand times.
 */
export const inverter = (n: number): ((sum: Float64Array, result: Float64Array) => boolean) => {
  const lower = new Float64Array(n * n);
  const inverse = new Float64Array(n * n);
  return (sum, result) => {
    let at = 0;
    for (let i = 0; i < n; i++) for (let j = i; j < n; j++) lower[j * n + i] = sum[at++]!;
    for (let i = 0; i < n; i++) {
      const whole = lower[i * n + i]!;
      for (let j = 0; j <= i; j++) {
        let rest = lower[i * n + j]!;
        for (let k = 0; k < j; k++) rest -= lower[i * n + k]! * lower[j * n + k]!;
        if (i !== j) lower[i * n + j] = rest / lower[j * n + j]!;
        else if (rest > noPivot * whole) lower[i * n + i] = Math.sqrt(rest);
        else return false;
      }
    }
    // The inverse of the triangle, column by column, then its product with itself.
    for (let j = 0; j < n; j++) {
      inverse[j * n + j] = 1 / lower[j * n + j]!;
      for (let i = j + 1; i < n; i++) {
        let rest = 0;
        for (let k = j; k < i; k++) rest -= lower[i * n + k]! * inverse[k * n + j]!;
        inverse[i * n + j] = rest / lower[i * n + i]!;
      }
    }
    for (let i = 0; i < n; i++) {
      for (let j = 0; j <= i; j++) {
        let value = 0;
        for (let k = i; k < n; k++) value += inverse[k * n + i]! * inverse[k * n + j]!;
        result[i * n + j] = value;
        result[j * n + i] = value;
      }
    }
    return true;
  };
};
