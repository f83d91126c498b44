/** Stretches of a scan that show no cut. */
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
