/** Where a decreasing positive function meets a level. */

/**
 * The x > 0 with f(x) = level for a continuous, decreasing f >= 0, to a relative 1e-7; 0 when f is at or below the
 * level from the start. `guess` > 0 sets the scale. Regula falsi (Illinois) on ln f, which is nearly straight for
 * tails of a distribution.
 */
export const decreasingRoot = (f: (x: number) => number, level: number, guess: number): number => {
  const height = (x: number): number => Math.log(Math.max(f(x), 1e-300) / level);
  let low = 0;
  let heightLow = Number.NaN;
  let high = guess;
  let heightHigh = height(high);
  if (heightHigh > 0) {
    do {
      low = high;
      heightLow = heightHigh;
      high *= 2;
      heightHigh = height(high);
    } while (heightHigh > 0 && high < 1e12);
  } else {
    do {
      if (high < guess * 1e-9) return 0;
      const next = high / 2;
      const heightNext = height(next);
      if (heightNext > 0) {
        low = next;
        heightLow = heightNext;
      } else {
        high = next;
        heightHigh = heightNext;
      }
    } while (low === 0);
  }
  let side = 0;
  for (let i = 0; i < 100 && high - low > 1e-7 * high; i++) {
    const cut = (heightLow * high - heightHigh * low) / (heightLow - heightHigh);
    const x = cut > low && cut < high ? cut : (low + high) / 2;
    const h = height(x);
    if (h === 0) return x;
    if (h > 0) {
      if (x - low < 1e-7 * x && side === 1) return x;
      low = x;
      heightLow = h;
      if (side === 1) heightHigh /= 2;
      side = 1;
    } else {
      if (high - x < 1e-7 * x && side === -1) return x;
      high = x;
      heightHigh = h;
      if (side === -1) heightLow /= 2;
      side = -1;
    }
  }
  return (low + high) / 2;
};
