/** Marks nearly on one line under an affine fit: across it the part's size and lean are hardly held. */
import type { Warning } from '../job/messages.js';
import type { Fit, Observation } from './fit.js';
import { mm } from './words.js';

/** Width over length of the pattern below which it is called a line; common practice, no source. */
const flattest = 1 / 50;
/** sd of the size across the line above which nothing can be said of it. */
const leastKnown = 0.01;

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
  const sd = fit.sd.used ?? 0;
  if (across > flattest * along && sd < leastKnown * across) return undefined;
  return {
    code: 'extrapolation',
    message: `The marks lie nearly on one line, within ${mm(across / Math.sqrt(n))} of it. An affine fit hardly knows the size and the lean of the part across that line: errors of reading make it large or small there. Read a mark well off the line, or use a rigid fit.`,
  };
};
