/**
 * Marks that the display rounds alike, where the step hides the noise. What is left of that noise depends on where in a step
 * their common place lies, which nothing tells:
 *
 *   alike  away from the limits between two steps all readings fall to the same side: the same error at all marks, up to
 *          q/2, and next to no scatter beside it
 *   apart  next to a limit each falls to either side: no common error, and a variance of q^2/4 for each reading
 *
 * A verdict takes the worse of the two; without the second where hardly any place lies so near a limit. N readings still all
 * fall to the same side, with a chance of 0.05, where the place lies z(1 - 0.05^(1/N)) sds beyond the limit, z the normal
 * quantile; so much noise is left beside q/2.
 */

import type { Fit, FitOptions, Observation } from '../../fit/fit.js';
import { varianceOfMean } from '../../fit/solve/display-step.js';
import { normalQuantile } from '../../numeric/distributions.js';
import { power } from '../../numeric/powers.js';
import { roundsAlike } from './common-errors.js';

export type Rounded = 'alike' | 'apart';

export interface WayOfRounding {
  /** Undefined: no mark is rounded as another is. */
  readonly way?: Rounded;
  /** Share of the places in a step for which it holds, at most. */
  readonly share: number;
}

/** Both where the display rounds marks alike and its step hides the noise; otherwise there is but one case. */
export const waysOfRounding = (
  fit: Fit,
  observations: readonly Observation[],
  options: FitOptions,
  acceptedRisk: number,
): readonly WayOfRounding[] => {
  const isShared = fit.marks.some((_, i) => {
    const { x = false, y = false } = observations[i]?.inStep ?? {};
    return x || y;
  });
  if (!isShared || !roundsAlike(fit, options)) return [{ share: 1 }];
  const nearLimit = (axes * nearSds * (fit.sd.stated ?? 0)) / (options.displayStep ?? 1);
  const alike: WayOfRounding = { way: 'alike', share: 1 };
  return nearLimit > acceptedRisk / 2 ? [alike, { way: 'apart', share: Math.min(1, nearLimit) }] : [alike];
};

const axes = 2;
/** Within so many sds, to both sides together, a place lies next to a limit. */
const nearSds = 4;

const chance = 0.05;

/** The fit with the covariance that its readings have when they are rounded so. */
export const asRounded = (
  fit: Fit,
  observations: readonly Observation[],
  { displayStep = 0 }: FitOptions,
  way: Rounded | undefined,
): Fit => {
  const { covariance, rimCovariance, sd } = fit;
  if (way === undefined || covariance === undefined) return fit;
  const noise = sd.stated ?? 0;
  const reference = varianceOfMean(noise, displayStep, 1).whole;
  const factor = sd.used === undefined || reference === 0 ? 1 : sd.used ** 2 / reference;
  const isAlike = (i: number, axis: 'x' | 'y'): boolean => observations[i]?.inStep?.[axis] === true;
  const more = { x: 0, y: 0 };
  for (const axis of ['x', 'y'] as const) {
    const count = fit.marks.reduce((sum, { readings }, i) => sum + (isAlike(i, axis) ? readings : 0), 0);
    if (count === 0) continue;
    const beyond = Math.max(0, normalQuantile(power(chance, 1 / count)) * -1);
    const usual = -normalQuantile(chance) / Math.sqrt(count);
    more[axis] =
      way === 'apart'
        ? Math.max(0, displayStep ** 2 / 4 - noise ** 2)
        : -factor * noise ** 2 * (1 - Math.min(1, beyond / usual) ** 2);
  }
  const changed = (rows: readonly (readonly number[])[]): number[][] =>
    rows.map((row, r) =>
      row.map((value, c) => {
        let sum = value;
        fit.marks.forEach(({ influence, readings }, i) => {
          for (const axis of ['x', 'y'] as const)
            if (isAlike(i, axis))
              sum += (more[axis] / readings) * (influence[axis][r] ?? 0) * (influence[axis][c] ?? 0);
        });
        return value === 0 && sum === 0 ? 0 : sum;
      }),
    );
  return {
    ...fit,
    covariance: changed(covariance),
    ...(rimCovariance === undefined ? {} : { rimCovariance: changed(rimCovariance) }),
  };
};
