import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { withLimits } from '../../src/calibration/estimate.js';
import { readRule, ruleBound, withBound } from '../../src/calibration/parts/rule.js';
import { InputError } from '../../src/job/messages.js';
import { createRandom } from '../../src/numeric/random.js';

describe('the rule that a bed was measured with', () => {
  it.each([
    ['1', { class: 1 }],
    ['2', { class: 2 }],
    ['3', { class: 3 }],
    ['I', { class: 1 }],
    ['ii', { class: 2 }],
    [' III ', { class: 3 }],
    ['0.08', { mmPerMetre: 0.08 }],
    ['.08', { mmPerMetre: 0.08 }],
    ['0.125mm/m', { mmPerMetre: 0.125 }],
    [' 0.08 MM/M ', { mmPerMetre: 0.08 }],
    ['10.5', { mmPerMetre: 10.5 }],
    ['1.', { mmPerMetre: 1 }],
    ['10.', { mmPerMetre: 10 }],
    ['4', { mmPerMetre: 4 }],
    ['12 mm/m', { mmPerMetre: 12 }],
  ])('is named by its class or its certificate: %s', (written, rule) => {
    expect(readRule(written)).toEqual(rule);
  });

  it.each([
    '',
    'IV',
    'x2',
    '2x',
    'a0.08',
    '0.08 mm',
    '0.08mm/m!',
    '0.08 mm/mm',
    '-0.1',
    '0,08',
    '1e-1',
    'mm/m',
    '.',
  ])('is refused in other words: "%s"', (written) => {
    expect(() => readRule(written)).toThrow(InputError);
    expect(() => readRule(written)).toThrow(/class of the rule/);
  });

  // Directive 2014/32/EU, annex VIII (from memory): 0.1 + 0.1 L, 0.3 + 0.2 L, 0.6 + 0.4 L mm, L in whole metres, rounded up.
  it.each([
    [1, 1000, 0.2],
    [1, 1001, 0.3],
    [2, 300, 0.5],
    [2, 2000, 0.7],
    [2, 2000.5, 0.9],
    [3, 700, 1.0],
    [3, 3000, 1.8],
  ] as const)('of class %i may be out over %d mm by %d mm', (of, longest, out) => {
    expect(ruleBound({ class: of }, longest) * longest).toBeCloseTo(out, 9);
  });

  it('a metre that came out of a sum of floating-point lengths is no longer than a metre', () => {
    expect(ruleBound({ class: 1 }, 1000 + 1e-10) * 1000).toBeCloseTo(0.2, 9);
  });

  it('with a certificate may be out by the same share of every length', () => {
    for (const longest of [10, 700, 2500])
      expect(ruleBound({ mmPerMetre: 0.08 }, longest)).toBeCloseTo(8e-5, 15);
  });
});

describe('limits of a figure that a rule bounds', () => {
  it('hold in 95 of 100 measurements with a rule that is out by its whole bound', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 5, noNaN: true }), fc.constantFrom(1, -1), (bound, sign) => {
        const random = createRandom(`rule ${bound}`);
        const { limits } = withBound(withLimits(0, 1, undefined), bound);
        const trials = 10_000;
        let held = 0;
        for (let i = 0; i < trials; i++) {
          const found = 7 + sign * bound + random.normal();
          if (found + limits![0] <= 7 && 7 <= found + limits![1]) held++;
        }
        // Four standard errors of a share of 0.95.
        expect(Math.abs(held / trials - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / trials));
      }),
      { seed: 20261201, numRuns: 15 },
    );
  });

  it('lie a bound and 1.645 sds off where the bound is far larger than the sd, and 1.96 sds where there is none', () => {
    const own = withLimits(3, 0.01, undefined);
    const [low, high] = withBound(own, 1).limits!;
    // Quantiles of the normal distribution from a table: 95 % one-sided, 95 % two-sided.
    expect(high - 3).toBeCloseTo(1 + 1.644854 * 0.01, 7);
    expect(3 - low).toBeCloseTo(high - 3, 12);
    expect(withBound(own, 1).sd).toBe(0.01);
    expect(withBound(own, 0)).toBe(own);
    expect(own.limits![1] - 3).toBeCloseTo(1.959964 * 0.01, 7);
    expect(withBound(own, 1e-9).limits![1] - 3).toBeCloseTo(1.959964 * 0.01, 7);
  });

  it('grow with the units they are written in', () => {
    const [low, high] = withBound(withLimits(0, 1, undefined), 0.1).limits!;
    for (const unit of [25.4, 0.001]) {
      const other = withBound(withLimits(0, unit, undefined), 0.1 * unit).limits!;
      expect(other[0] / unit).toBeCloseTo(low, 9);
      expect(other[1] / unit).toBeCloseTo(high, 9);
    }
  });

  it('are the bound itself where the measurements have no scatter, and nothing where they claim nothing', () => {
    expect(withBound({ value: 3, sd: 0, limits: [3, 3] }, 0.5)).toEqual({
      value: 3,
      sd: 0,
      limits: [2.5, 3.5],
    });
    expect(withBound({ value: 3 }, 0.5)).toEqual({ value: 3 });
  });
});
