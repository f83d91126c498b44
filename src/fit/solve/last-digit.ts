/** Readings that agree as far as the display shows them: they do not tell how well a reading is known. */

import type { Point } from '../../geometry/point.js';
import { powerOfTen } from '../../numeric/powers.js';
import type { Fit } from '../fit.js';
import { decimalsOf } from '../slips/typed-number.js';

/** The last digit of the display, from the places that were typed, mm. */
export const typedStep = (typed: readonly Point[]): number =>
  powerOfTen(-decimalsOf(typed.flatMap((p) => [p.x, p.y])));

/** Rounding of the fit itself, mm. */
const dust = 1e-9;

/**
 * The fit as a verdict may use it. Where no sd is stated and no residual is larger than half of the last digit, rounding
 * alone explains all of them: an sd estimated from them would claim that there is no other error.
 *
 * @param step last digit of the display, mm
 */
export const claimedFit = (fit: Fit, step: number): Fit => {
  const { sd, marks, touches = [] } = fit;
  if (sd.stated !== undefined || sd.used === undefined || sd.used > step / 2) return fit;
  const residuals = [
    ...marks.flatMap(({ residual }) => [residual.x, residual.y]),
    ...touches.map(({ residual }) => residual),
  ];
  if (residuals.some((residual) => Math.abs(residual) > step / 2 + dust)) return fit;
  const { covariance: _, ...unclaimed } = fit;
  const { used: __, usedDof: ___, ...others } = sd;
  return { ...unclaimed, sd: others };
};
