import { describe, expect, test } from 'vitest';
import { sdBeforeRounding, sharedRounding, varianceOfRounded } from '../../src/numeric/display-rounding.js';
import { createRandom } from '../../src/numeric/random.js';

describe('Rounding by a display step', () => {
  // sd of the mean over the step, by the exact formula; computed independently with numpy.
  test.each([
    [0, 0.2885, [0.2887, 0.2886, 0.2885, 0.2885]],
    [0.05, 0.24, [0.293, 0.2678, 0.2543, 0.2459]],
    [0.1, 0.1921, [0.3055, 0.2552, 0.2259, 0.2063]],
    [0.2, 0.1023, [0.3512, 0.2587, 0.1967, 0.1475]],
    [0.3, 0.0381, [0.4163, 0.2956, 0.2108, 0.1365]],
    [0.5, 0.0016, [0.5774, 0.4082, 0.2887, 0.1826]],
  ])(
    'with noise of %d steps leaves a shared sd of %d steps that repeats do not average',
    (sd, shared, means) => {
      expect(Math.sqrt(sharedRounding(sd, 1))).toBeCloseTo(shared, 3);
      for (const [i, n] of [1, 2, 4, 10].entries())
        expect(Math.sqrt(varianceOfRounded(sd, 1, n))).toBeCloseTo(means[i]!, 3);
      expect(varianceOfRounded(0.1 * sd, 0.1, 4)).toBeCloseTo(0.01 * varianceOfRounded(sd, 1, 4), 12);
    },
  );

  test('comes out as simulated: variance of the mean of three, and the scatter that is seen', () => {
    const random = createRandom('rounding');
    const trials = 40000;
    for (const sd of [0.1, 0.25, 0.6]) {
      let squares = 0;
      let scatter = 0;
      for (let trial = 0; trial < trials; trial++) {
        const x = random.uniform();
        const shown = [0, 1, 2].map(() => Math.round(x + sd * random.normal()));
        const mean = (shown[0]! + shown[1]! + shown[2]!) / 3;
        squares += (mean - x) ** 2;
        scatter += shown.reduce((sum, v) => sum + (v - mean) ** 2, 0) / 2;
      }
      expect(squares / trials / varianceOfRounded(sd, 1, 3)).toBeCloseTo(1, 1);
      expect(sdBeforeRounding(Math.sqrt(scatter / trials), 1)).toBeCloseTo(sd, 1);
    }
  });

  test('is taken off a scatter again, whatever the noise; no step takes nothing off', () => {
    for (const sd of [0.05, 0.2, 0.4, 0.56, 3]) {
      const scatter = sd ** 2 + 1 / 12 - sharedRounding(sd, 1);
      expect(sdBeforeRounding(Math.sqrt(scatter), 1)).toBeCloseTo(sd, 5);
    }
    expect(sdBeforeRounding(0, 0.1)).toBeLessThan(1e-3);
    expect(sdBeforeRounding(0.3, 0)).toBe(0.3);
    expect(varianceOfRounded(0.3, 0, 4)).toBeCloseTo(0.0225, 12);
  });
});
