/** Marks nearly on one line under an affine fit: across it the part's size and lean are hardly held. */
import type { Warning } from '../../job/messages.js';
import type { Fit, Observation } from '../fit.js';
import { mm } from '../words.js';

/**
 * Width over length of the pattern below which it is called a line: half its length to the side of it an error of reading
 * counts seven times. Common practice, no source.
 */
const flattest = 1 / 14;
/** sd of the size across the line from which on no change of material can be told from errors of reading. */
const leastKnown = 0.002;

export const collinearWarning = (observations: readonly Observation[], fit: Fit): Warning | undefined => {
  const n = observations.length;
  if (n < 3) return undefined;
  const x = observations.reduce((sum, o) => sum + o.design.x, 0) / n;
  const y = observations.reduce((sum, o) => sum + o.design.y, 0) / n;
  let [xx, yy, xy] = [0, 0, 0];
  for (const { design } of observations) {
    xx += (design.x - x) ** 2;
    yy += (design.y - y) ** 2;
    xy += (design.x - x) * (design.y - y);
  }
  // Principal moments of the pattern: along its line and across it.
  const apart = Math.hypot((xx - yy) / 2, xy);
  const along = Math.sqrt((xx + yy) / 2 + apart);
  const across = Math.sqrt(Math.max(0, (xx * yy - xy ** 2) / ((xx + yy) / 2 + apart)));
  const { used: sd } = fit.sd;
  const share = sd === undefined ? undefined : sd / across;
  if (across > flattest * along && (share === undefined || share < leastKnown)) return undefined;
  const known =
    share === undefined ? '' : `, which the readings hold to ${(100 * share).toPrecision(2)} % (one sd)`;
  return {
    code: 'extrapolation',
    marks: observations.map((o) => o.mark),
    message: `The marks lie nearly on one line, within ${mm(across / Math.sqrt(n))} of it. An affine fit hardly knows the size and the lean of the part across that line${known}: errors of reading make it large or small there. Read a mark well off the line, or write fit: {model: rigid}.`,
  };
};
