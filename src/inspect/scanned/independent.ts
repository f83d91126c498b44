/** Gaps of a scan lie close together: what departs from the adjustment at one stretch often does so at the next. */
import type { CutError, Gap } from '../cut-error.js';

/** A stretch that departs by more than so many sds, taken from the middle half of all, is a scratch or a speck of dust. */
const grossSds = 6;

/** Which gaps are no departure of the cut but of the picture. */
export const grossOnes = (gaps: readonly Gap[], { residuals }: CutError): boolean[] => {
  const own = residuals.map((residual, i) => Math.abs(residual / (gaps[i]!.ratio ?? 1)));
  const sorted = [...own].sort((a, b) => a - b);
  const usual = 1.4826 * sorted[sorted.length >> 1]!;
  return own.map((v) => usual > 0 && v > grossSds * usual);
};

/**
 * How many independent gaps these are worth, by the correlation r of neighbours on one opening: n (1 - r) / (1 + r), as for a
 * first-order autoregression (from memory). Never more than there are.
 */
export const worthOf = (gaps: readonly Gap[], { residuals }: CutError): number => {
  let together = 0;
  let alone = 0;
  let pairs = 0;
  const own = residuals.map((residual, i) => residual / (gaps[i]!.ratio ?? 1));
  own.forEach((v, i) => {
    alone += v * v;
    const next = gaps[i + 1];
    if (next === undefined || next.place.index !== gaps[i]!.place.index) return;
    together += v * own[i + 1]!;
    pairs += 1;
  });
  const n = gaps.length;
  if (pairs < 10 || alone === 0) return n;
  const r = Math.min(0.95, Math.max(0, together / pairs / (alone / n)));
  return Math.max(6, (n * (1 - r)) / (1 + r));
};
