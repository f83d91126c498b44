/**
 * How wide the scanner blurs: one sd for all edges of a picture, with which the blurred steps of a sample of stretches leave least.
 *
 * How the scanner's values follow the light is not found here, although a power of the light makes one side of a blurred step
 * steeper: what that leaves in a profile cannot be told from the shape of the blur. With steps of 30 to 130 to 225 of 255, blurred by
 * 0.7 pixels, a free power came out at 0.8 for values that were linear, and at 1.1 to 1.5 for a power of 2.2, without any noise.
 */
import { blurredSteps, type Steps } from './steps.js';
import type { Profile } from './windows.js';

export interface Fitted {
  readonly profile: Profile;
  readonly steps: Steps;
}

/** Of so many profiles at most. */
const mostProfiles = 40;

/**
 * mm
 *
 * @param pixel mm
 */
export const blurOf = (fitted: readonly Fitted[], pixel: number, gamma: number, white: number): number => {
  const every = Math.ceil(fitted.length / mostProfiles);
  const some = fitted.filter((_, i) => i % every === 0);
  const squares = (logBlur: number): number =>
    some.reduce((sum, { profile, steps }) => {
      const found = blurredSteps(profile, steps, Math.exp(logBlur), gamma, white);
      // What does not settle counts as what sharp steps leave.
      return sum + (found?.squares ?? steps.squares);
    }, 0);
  return Math.exp(least(squares, Math.log(0.4 * pixel), Math.log(3 * pixel)));
};

const golden = (Math.sqrt(5) - 1) / 2;
const cuts = 12;

/** Where a function of one minimum has it, to a 300th of the distance of both bounds. */
const least = (f: (v: number) => number, low: number, high: number): number => {
  let a = low;
  let b = high;
  let c = b - golden * (b - a);
  let d = a + golden * (b - a);
  let fc = f(c);
  let fd = f(d);
  for (let i = 0; i < cuts; i += 1) {
    if (fc < fd) {
      b = d;
      d = c;
      fd = fc;
      c = b - golden * (b - a);
      fc = f(c);
    } else {
      a = c;
      c = d;
      fc = fd;
      d = a + golden * (b - a);
      fd = f(d);
    }
  }
  return (a + b) / 2;
};
