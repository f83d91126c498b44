import fc from 'fast-check';
import { expect, test } from 'vitest';
import { decreasingRoot } from '../../src/numeric/decreasing-root.js';

test('finds where a tail meets a level, from any guess', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
      fc.double({ min: 1e-6, max: 0.999, noNaN: true }),
      fc.double({ min: 0, max: 1e3, noNaN: true }),
      fc.double({ min: 1e-3, max: 1e2, noNaN: true }),
      (scale, level, guess, step) => {
        const x = decreasingRoot((v) => Math.exp(-v / scale), level, guess, step);
        expect(x / (-scale * Math.log(level))).toBeCloseTo(1, 5);
        const heavy = decreasingRoot((v) => 1 / (1 + v / scale), level, guess, step);
        expect(heavy / (scale * (1 / level - 1))).toBeCloseTo(1, 5);
      },
    ),
    { seed: 20261125, numRuns: 300 },
  );
});

test('is 0 where the function is below the level from the start, and infinite where it never gets there', () => {
  expect(decreasingRoot(() => 0.01, 0.05, 1, 0.1)).toBe(0);
  expect(decreasingRoot(() => 0.5, 0.05, 1, 0.1)).toBe(Number.POSITIVE_INFINITY);
});

test('ends where it is expected at 0, to within nothing', () => {
  expect(decreasingRoot(() => 1, 0.05, 0, 0)).toBe(Number.POSITIVE_INFINITY);
  expect(decreasingRoot((v) => Math.exp(-v), 0.05, 0, 0)).toBeCloseTo(-Math.log(0.05), 5);
});

test('asks little: a good guess takes at most eight calls', () => {
  let calls = 0;
  decreasingRoot(
    (v) => {
      calls++;
      return Math.exp(-v * v);
    },
    0.05,
    1.71,
    0.03,
  );
  expect(calls).toBeLessThanOrEqual(8);
});
