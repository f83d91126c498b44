/** The variance of a displacement anywhere, made ready for many points. */
import { type ErrorField, wholeCovariance } from './error-field.js';

/**
 * The covariance of d(p), mm^2: each of its three entries is a quadratic in the place, for the displacement is linear in it.
 * Coefficients of 1, x, y, x^2, x y, y^2, the place measured from the field's centre. The cut's own shift and the kerf are not in it.
 */
export interface PositionSpread {
  readonly xx: Float64Array;
  readonly xy: Float64Array;
  readonly yy: Float64Array;
}

export const positionSpread = (field: ErrorField): PositionSpread => {
  const { levers } = field;
  const covariance = wholeCovariance(field);
  // d = sum over the unknowns of (row of x or y) . (1, x, y).
  const alongX = [[1, 0, 0], [0, 0, 0], ...levers.map(([xx, xy]) => [0, xx, xy])];
  const alongY = [[0, 0, 0], [1, 0, 0], ...levers.map(([, , yx, yy]) => [0, yx, yy])];
  const product = (a: readonly (readonly number[])[], b: readonly (readonly number[])[]): Float64Array => {
    const m = (i: number, j: number): number => {
      let sum = 0;
      covariance.forEach((row, k) => {
        row.forEach((c, l) => {
          sum += a[k]![i]! * c * b[l]![j]!;
        });
      });
      return sum;
    };
    return Float64Array.of(
      m(0, 0),
      m(0, 1) + m(1, 0),
      m(0, 2) + m(2, 0),
      m(1, 1),
      m(1, 2) + m(2, 1),
      m(2, 2),
    );
  };
  return { xx: product(alongX, alongX), xy: product(alongX, alongY), yy: product(alongY, alongY) };
};

/** One entry at a place given from the field's centre, mm^2. */
export const spreadAt = (c: Float64Array, x: number, y: number): number =>
  c[0]! + c[1]! * x + c[2]! * y + c[3]! * x * x + c[4]! * x * y + c[5]! * y * y;
