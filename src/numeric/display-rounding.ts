/**
 * What a display's step q does to readings: shown = q round((x + noise) / q), noise of sd s, the
 * place x anywhere within its step. Repeated readings of one place share a part of the rounding;
 * the rest is drawn anew each time.
 *
 *     fixed part         F = sum over k >= 1 of q^2 / (2 pi^2 k^2) exp(-4 pi^2 k^2 s^2 / q^2)
 *     one reading        s^2 + q^2/12
 *     mean of n          F + (s^2 + q^2/12 - F) / n
 *     scatter of repeats s^2 + q^2/12 - F
 *
 * From the characteristic function of the rounded value (quantization theory: B. Widrow & I.
 * Kollar, *Quantization Noise*, 2008, from memory); n = 1 is Sheppard's correction. F is q^2/12
 * without noise and below 5e-6 q^2 from s = q/2 on.
 */

/** sd of rounding to a step: uniform over its width (JCGM 100:2008, 4.3.7). */
export const roundingSd = (step: number): number => step / Math.sqrt(12);

/** F, mm^2: the variance of the rounding that all readings of one place share. */
export const sharedRounding = (sd: number, step: number): number => {
  if (!(step > 0)) return 0;
  const t = 2 * Math.PI * (sd / step);
  // Without noise the terms fall too slowly to be summed: sum 1 / k^2 = pi^2 / 6.
  if (t < 0.01) return step ** 2 / 12;
  let sum = 0;
  for (let k = 1; k < 1000; k++) {
    const term = Math.exp(-((k * t) ** 2)) / k ** 2;
    sum += term;
    if (term < 1e-15) break;
  }
  return (step ** 2 * sum) / (2 * Math.PI ** 2);
};

/**
 * Variance of the mean of repeated readings of one place, mm^2 per axis.
 * @param sd of a reading before rounding, mm
 */
export const varianceOfRounded = (sd: number, step: number, readings: number): number => {
  const shared = sharedRounding(sd, step);
  return shared + (sd ** 2 + step ** 2 / 12 - shared) / readings;
};

/**
 * The sd before rounding whose repeats scatter by `shown` on average (as displayed, mm); 0 where
 * they show no scatter. Above 0.42 steps that is sqrt(shown^2 - step^2 / 12).
 */
export const sdBeforeRounding = (shown: number, step: number): number => {
  if (!(step > 0)) return shown;
  const scatter = (sd: number): number => sd ** 2 + step ** 2 / 12 - sharedRounding(sd, step);
  if (shown >= 0.55 * step) return Math.sqrt(shown ** 2 - step ** 2 / 12);
  let [low, high] = [0, 0.6 * step];
  for (let i = 0; i < 50; i++) {
    const middle = (low + high) / 2;
    if (scatter(middle) < shown ** 2) low = middle;
    else high = middle;
  }
  return low;
};
