/** Where a decreasing positive function meets a level. */

/**
 * The x > 0 with f(x) = level for a continuous, decreasing f >= 0, to a relative 1e-6; 0 when f is
 * at or below the level from the start. `guess` >= 0 and `step` > 0 say where it is expected and
 * how well: the nearer, the fewer calls. Regula falsi (Illinois) on ln f, which is nearly straight
 * for tails of a distribution.
 */
export const decreasingRoot = (
  f: (x: number) => number,
  level: number,
  guess: number,
  step: number,
): number => {
  const height = (x: number): number => Math.log(Math.max(f(x), 1e-300) / level);
  let low = guess;
  let high = guess;
  let heightLow = height(guess);
  let heightHigh = heightLow;
  for (let stride = Math.max(step, least); heightHigh > 0; stride *= 2) {
    low = high;
    heightLow = heightHigh;
    high += stride;
    heightHigh = height(high);
    if (high > 1e12) return Number.POSITIVE_INFINITY;
  }
  for (let stride = step; heightLow <= 0; stride *= 2) {
    if (low <= 1e-9 * step) return 0;
    high = low;
    heightHigh = heightLow;
    low = Math.max(low - stride, low > 1e-6 * step ? low / 16 : 0);
    heightLow = height(low);
  }
  let side = 0;
  for (let i = 0; i < 100 && high - low > tolerance * high; i++) {
    const cut = (heightLow * high - heightHigh * low) / (heightLow - heightHigh);
    const x = cut > low && cut < high ? cut : (low + high) / 2;
    const h = height(x);
    if (h > 0) {
      if (x - low < tolerance * x && side === 1) return x;
      low = x;
      heightLow = h;
      if (side === 1) heightHigh /= 2;
      side = 1;
    } else {
      if (high - x < tolerance * x && side === -1) return x;
      high = x;
      heightHigh = h;
      if (side === -1) heightLow /= 2;
      side = -1;
    }
  }
  return (low + high) / 2;
};

const tolerance = 1e-6;
/** A stride of nothing would get nowhere. */
const least = 1e-9;
