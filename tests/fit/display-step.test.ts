/** A display that counts in steps, against simulated displays and plain counting. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Observation } from '../../src/fit/fit.js';
import {
  foundStep,
  inStepWith,
  largestRounding,
  varianceBetweenAlike,
  varianceOfMean,
  withSharedSteps,
} from '../../src/fit/solve/display-step.js';
import { compose, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import { normalCdf } from '../../src/numeric/distributions.js';
import { createRandom } from '../../src/numeric/random.js';

const q = 0.1;
/** Means of n readings of places anywhere within a step, as a display of step q shows them, less the places. */
const shownMeans = (noise: number, n: number, trials: number): number[] => {
  const random = createRandom(`step ${noise} ${n}`);
  return Array.from({ length: trials }, () => {
    const place = q * random.uniform();
    let sum = 0;
    for (let i = 0; i < n; i++) sum += q * Math.round((place + noise * random.normal()) / q);
    return sum / n - place;
  });
};
const variance = (values: readonly number[]): number =>
  values.reduce((sum, v) => sum + v * v, 0) / values.length;

describe('the mean of readings from a display of coarse steps', () => {
  it('varies as that of a simulated display, however often it is read', () => {
    for (const noise of [0.035, 0.06, 0.15])
      for (const n of [1, 2, 6]) {
        const trials = 20_000;
        // What repeats scatter by on the display: the noise and the rounding.
        const shown = Math.sqrt(noise ** 2 + q ** 2 / 12);
        const { whole, shared } = varianceOfMean(shown, q, n);
        // Four standard errors of a variance: sqrt(2 / trials).
        expect(Math.abs(whole / variance(shownMeans(noise, n, trials)) - 1)).toBeLessThan(
          4 * Math.sqrt(2 / trials),
        );
        expect(shared).toBeLessThan(whole);
        expect(whole).toBeCloseTo(shared + (shown ** 2 - shared) / n, 15);
      }
  });

  it('keeps the whole rounding where the noise hides in it, and none where there is no step', () => {
    expect(varianceOfMean(0.01, q, 4)).toEqual({ whole: 0.01 ** 2 / 4 + q ** 2 / 12, shared: q ** 2 / 12 });
    expect(varianceOfMean(0.01, 0, 4)).toEqual({ whole: 0.01 ** 2 / 4, shared: 0 });
    // From 0.3 steps of noise on, the scatter holds the rounding: 0.3 typed to four digits counts as that.
    const at = (share: number) => Math.sqrt((share * q) ** 2 + q ** 2 / 12);
    expect(varianceOfMean(at(0.301), q, 1).whole).toBeCloseTo(at(0.301) ** 2, 12);
    expect(varianceOfMean(at(0.29), q, 1).whole).toBeCloseTo(at(0.29) ** 2 + q ** 2 / 12, 12);
    expect(varianceOfMean(at(0.29991), q, 1).whole).toBeCloseTo(at(0.29991) ** 2, 12);
  });

  it('is off by half a step at most, and by less the more noise carries it over the limits', () => {
    expect(largestRounding(0.01, q)).toBe(q / 2);
    expect(largestRounding(0.01, 0)).toBe(0);
    for (const noise of [0.032, 0.045, 0.06]) {
      // The expected figure at a place x: a step more for each limit that is passed. Its largest difference from x is kept.
      const expected = (x: number): number => {
        let sum = -10 * q;
        for (let k = -9; k <= 10; k++) sum += q * normalCdf((x - (k - 0.5) * q) / noise);
        return sum;
      };
      const largest = Math.max(
        ...Array.from({ length: 50 }, (_, i) => Math.abs(expected((i * q) / 50) - (i * q) / 50)),
      );
      const shown = Math.sqrt(noise ** 2 + q ** 2 / 12);
      expect(Math.abs(largestRounding(shown, q) - largest)).toBeLessThan(0.02 * largest);
    }
  });

  it('may vary by a quarter of the squared step next to a limit, where marks are rounded alike', () => {
    expect(varianceBetweenAlike(0.01, q, 1) + varianceOfMean(0.01, q, 1).whole).toBeCloseTo(q ** 2 / 4, 12);
    expect(varianceBetweenAlike(0.01, q, 4)).toBeCloseTo(varianceBetweenAlike(0.01, q, 1) / 4, 15);
    expect(varianceBetweenAlike(0.06, q, 1)).toBe(0);
    expect(varianceBetweenAlike(0.01, 0, 1)).toBe(0);
    expect(varianceBetweenAlike(Math.sqrt((0.28 * q) ** 2 + q ** 2 / 12), q, 1)).toBeGreaterThan(0);
  });
});

describe('the step that typed figures show', () => {
  const figures = (step: number, count: number, decimals: number) => {
    const random = createRandom(`figures ${step}`);
    const value = (): number => Number((step * random.index(9000)).toFixed(decimals));
    return Array.from({ length: count }, () => ({ x: value(), y: value() }));
  };

  it.each([
    [0.01, 2, 0.01],
    [0.02, 2, 0.02],
    [0.05, 2, 0.05],
    [0.25, 2, 0.25],
    [0.025, 3, 0.025],
    [0.1, 1, 0.1],
    [0.5, 1, 0.5],
  ])('of %d mm is found in figures of %i decimals', (step, decimals, found) => {
    expect(foundStep(figures(step, 12, decimals), true)).toBeCloseTo(found, 12);
  });

  it('is the last digit where too few figures agree in more', () => {
    // Five figures are all even by chance once in 32, ten once in 1,024.
    const even = [0.02, 0.04, 0.46, 0.88, 1.02, 2.04, 0.26, 0.08, 0.62, 0.84];
    const points = (count: number) => even.slice(0, count).map((v, i) => ({ x: v, y: even[(i + 3) % 10]! }));
    expect(foundStep(points(4), true)).toBe(0.01);
    expect(foundStep(points(5), true)).toBe(0.02);
    expect(foundStep([], true)).toBeUndefined();
  });

  it('is not believed of whole millimetres beside a stated sd, nor of figures without end', () => {
    const whole = figures(1, 12, 0);
    expect(foundStep(whole, true)).toBeUndefined();
    expect(foundStep(whole, false)).toBe(1);
    const tens = figures(25, 12, 0);
    expect(foundStep(tens, false)).toBe(25);
    expect(foundStep([{ x: 1 / 3, y: 2 / 3 }], false)).toBeUndefined();
    expect(foundStep([{ x: 1.00001, y: 2 }], true)).toBeCloseTo(1e-5, 15);
    expect(foundStep([{ x: 1.000001, y: 2 }], true)).toBeUndefined();
  });
});

describe('marks that are rounded as others are', () => {
  const along: Matrix = translation(300.037, 120.012);
  const marks = [
    { x: 0, y: 0 },
    { x: 100, y: 0.03 },
    { x: 200.05, y: 80 },
  ];

  it('are those whose places differ by whole steps, axis by axis', () => {
    expect(inStepWith(marks, along, 0.1)).toEqual([
      { x: true, y: true },
      { x: true, y: false },
      { x: false, y: true },
    ]);
    // A tenth of a step apart is not alike.
    const two = (off: number) =>
      inStepWith(
        [
          { x: 0, y: 5.05 },
          { x: 50 + off, y: 0 },
        ],
        along,
        0.1,
      )[0]!;
    expect([two(0.0099).x, two(0.0101).x, two(-0.0099).x, two(0.0901).x]).toEqual([true, false, true, true]);
    expect(two(0).y).toBe(false);
  });

  it('lie on a panel along the axes, at any quarter turn, to a step over its length', () => {
    for (const quarter of [0, 1, 2, 3]) {
      const matrix = compose(along, rotation((quarter * Math.PI) / 2));
      expect(inStepWith([marks[0]!, { x: 100, y: 200 }], matrix, 0.1)).toEqual([
        { x: true, y: true },
        { x: true, y: true },
      ]);
    }
    const square = [marks[0]!, { x: 100, y: 0 }, { x: 0, y: 100 }];
    const turned = (angle: number) =>
      inStepWith(square, compose(along, rotation(angle)), 0.1).some(({ x, y }) => x || y);
    const limit = 0.1 / Math.hypot(100, 100);
    expect([turned(0.95 * limit), turned(-0.95 * limit)]).toEqual([true, true]);
    expect([turned(1.05 * limit), turned(-1.05 * limit), turned(1)]).toEqual([false, false, false]);
  });

  it('are none without a step or a second mark', () => {
    expect(inStepWith(marks, along, 0)).toEqual(marks.map(() => ({ x: false, y: false })));
    expect(inStepWith([marks[0]!], along, 0.1)).toEqual([{ x: false, y: false }]);
    const observations = marks.map((design, i) => ({
      mark: 'ABC'[i]!,
      design,
      readings: [design],
    })) as Observation[];
    expect(withSharedSteps(observations, compose(along, rotation(1)), 0.1)).toBe(observations);
    expect(withSharedSteps(observations, along, 0.1).map(({ inStep }) => inStep)).toEqual(
      inStepWith(marks, along, 0.1),
    );
  });

  it('do not depend on where the panel lies, or on the order of the marks', () => {
    const whole = fc.integer({ min: -3000, max: 3000 });
    fc.assert(
      fc.property(
        fc.array(fc.record({ x: whole, y: whole }), { minLength: 2, maxLength: 5 }),
        whole,
        whole,
        (places, x, y) => {
          const designs = places.map((p) => ({ x: p.x / 30, y: p.y / 30 }));
          const here = inStepWith(designs, along, 0.1);
          expect(inStepWith(designs, translation(x / 7, y / 7), 0.1)).toEqual(here);
          expect(inStepWith([...designs].reverse(), along, 0.1).reverse()).toEqual(here);
        },
      ),
      { seed: 20261201, numRuns: 60 },
    );
  });
});
