/**
 * Sums of products in twice the working precision, as an unevaluated pair high + low. Error-free
 * transforms: T. J. Dekker, Numer. Math. 18 (1971); T. Ogita, S. M. Rump, S. Oishi, *Accurate sum
 * and dot product*, SIAM J. Sci. Comput. 26 (2005), algorithms 3.3 (TwoProduct) and 5.3 (Dot2). No
 * fused multiply-add in JavaScript, hence the splitting. Magnitudes up to about 1e290; no bed comes
 * near.
 */

/** 2^27 + 1 splits a double into two halves of 26 bits. */
const splitter = 134217729;

/**
 * start + more + sum of a[i] * b[i], rounded once at the end: as if computed in about 32 digits.
 */
export const preciseDot = (a: ArrayLike<number>, b: ArrayLike<number>, start = 0, more = 0): number => {
  let high = start + more;
  const part = high - start;
  let low = start - (high - part) + (more - part);
  for (let i = 0; i < a.length; i++) {
    const x = a[i]!;
    const y = b[i]!;
    const product = x * y;
    const xs = splitter * x;
    const xHigh = xs - (xs - x);
    const xLow = x - xHigh;
    const ys = splitter * y;
    const yHigh = ys - (ys - y);
    const yLow = y - yHigh;
    const productLow = xLow * yLow - (product - xHigh * yHigh - xLow * yHigh - xHigh * yLow);
    const sum = high + product;
    const back = sum - high;
    low += high - (sum - back) + (product - back) + productLow;
    high = sum;
  }
  return high + low;
};

/** The same in plain double precision. */
export const plainDot = (a: ArrayLike<number>, b: ArrayLike<number>, start = 0, more = 0): number => {
  let sum = start + more;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
};
