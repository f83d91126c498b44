import { describe, expect, test } from 'vitest';
import { c4, chanceOfRatio, displayStep, outliersAmong, spreadOf } from '../../src/calibration/spread.js';
import { roundingSd } from '../../src/numeric/display-rounding.js';
import { createRandom } from '../../src/numeric/random.js';

describe('A spread', () => {
  test('is unbiased by c4 (recomputed from the gamma function, n = 2 to 6)', () => {
    const published = [0.797885, 0.886227, 0.921318, 0.939986, 0.951533];
    for (const [i, value] of published.entries()) expect(c4(i + 2)).toBeCloseTo(value, 6);
    // Asymptotic series 1 - 1/(4n) - 7/(32 n^2) - 19/(128 n^3) (from memory), good to n^-4.
    const n = 4000;
    expect(c4(n)).toBeCloseTo(1 - 1 / (4 * n) - 7 / (32 * n ** 2) - 19 / (128 * n ** 3), 12);
  });

  test('has chi-square limits (NIST/SEMATECH e-Handbook, memory: chi2(.975; 9) = 19.023, chi2(.025; 9) = 2.700)', () => {
    const spread = spreadOf(9 * 0.06 ** 2, 9);
    expect(spread.sd).toBeCloseTo(0.06, 12);
    expect(spread.low).toBeCloseTo(0.06 * Math.sqrt(9 / 19.023), 5);
    expect(spread.high).toBeCloseTo(0.06 * Math.sqrt(9 / 2.7004), 5);
    expect(spread.unbiased).toBeCloseTo(0.06 / 0.9727, 5);
  });

  test('is compared with another by F: F(.95; 1, 2) = 18.513 (NIST/SEMATECH e-Handbook, memory) is 0.10 two-sided', () => {
    const one = spreadOf(18.513, 1);
    const other = spreadOf(2, 2);
    expect(chanceOfRatio(one, other)).toBeCloseTo(0.1, 4);
    expect(chanceOfRatio(other, one)).toBeCloseTo(0.1, 4);
    expect(chanceOfRatio(spreadOf(0, 3), other)).toBe(0);
    expect(chanceOfRatio(spreadOf(0, 3), spreadOf(0, 3))).toBe(1);
  });
});

/** n values whose largest deviation over the sample sd is G: zero-mean, one value out, the rest in pairs about it. */
const groupWith = (n: number, g: number): number[] => {
  const rest = Array.from({ length: n - 1 }, (_, i) => (i % 2 === 0 ? 1 : -1) * (1 + Math.floor(i / 2)));
  const centre = rest.reduce((a, b) => a + b, 0) / (n - 1);
  // Shrinking the rest about its own mean moves G of the first value from below to its largest, (n-1)/sqrt(n).
  const normed = (width: number): number => {
    const values = [1, ...rest.map((v) => -1 / (n - 1) + width * (v - centre))];
    const mean = values.reduce((a, b) => a + b, 0) / n;
    const sd = Math.sqrt(values.reduce((a, b) => a + (b - mean) ** 2, 0) / (n - 1));
    return (values[0]! - mean) / sd;
  };
  let low = 0;
  let high = 100;
  for (let i = 0; i < 200; i++) {
    const middle = (low + high) / 2;
    if (normed(middle) > g) low = middle;
    else high = middle;
  }
  return [1, ...rest.map((v) => -1 / (n - 1) + low * (v - centre))];
};

describe('An outlier', () => {
  test.each([
    [3, 1.1543],
    [4, 1.4813],
    [5, 1.715],
    [6, 1.8871],
    [7, 2.02],
    [8, 2.1266],
    [9, 2.215],
    [10, 2.29],
  ])('among %i values stands out at 5 %% from G = %d on (Grubbs, recomputed from t)', (n, critical) => {
    // Half a unit of the last digit printed on either side.
    const above = outliersAmong([groupWith(n, critical + 0.00006)], n, 0, 0.05);
    expect(above).toHaveLength(1);
    expect(above[0]).toMatchObject({ group: 0, index: 0 });
    expect(above[0]!.pValue).toBeCloseTo(0.05, 2);
    expect(outliersAmong([groupWith(n, critical - 0.00006)], n, 0, 0.05)).toEqual([]);
  });

  test('is sought against the scatter of all groups together', () => {
    const quiet = Array.from({ length: 9 }, (_, i) => [i, i + 0.1, i - 0.1]);
    const [found, ...others] = outliersAmong([...quiet, [50, 50.1, 51.2]], 30);
    expect(others).toEqual([]);
    expect(found).toMatchObject({ group: 9, index: 2 });
  });

  test('in a group of two is not said to be one of them', () => {
    const quiet = Array.from({ length: 9 }, (_, i) => [i, i + 0.1, i - 0.1]);
    const found = outliersAmong([...quiet, [50, 51.5]], 29);
    expect(found).toHaveLength(1);
    expect(found[0]).not.toHaveProperty('index');
  });

  test('is claimed of clean readings as often as its level says, 2 % of cases where none is stated', () => {
    const random = createRandom('clean groups');
    const trials = 4000;
    let claimed = 0;
    let claimedByDefault = 0;
    for (let i = 0; i < trials; i++) {
      const groups = [4, 3, 5].map((n) => Array.from({ length: n }, () => 700 + 0.06 * random.normal()));
      if (outliersAmong(groups, 12, 0, 0.05).length > 0) claimed += 1;
      if (outliersAmong(groups, 12).length > 0) claimedByDefault += 1;
    }
    // Bonferroni is a little conservative for correlated deviations; sd of the rate 0.35 %.
    expect(claimed / trials).toBeGreaterThan(0.038);
    expect(claimed / trials).toBeLessThan(0.06);
    expect(claimedByDefault / trials).toBeGreaterThan(0.013);
    expect(claimedByDefault / trials).toBeLessThan(0.027);
  });

  test('needs scatter to stand out from', () => {
    expect(outliersAmong([[1, 1, 1], [2]], 4)).toEqual([]);
    expect(outliersAmong([[1, 2]], 2)).toEqual([]);
  });
});

describe('The step of a display', () => {
  test.each([
    [[112.4, 96.1, 3], 0.1],
    [[112.45, 96.1], 0.05],
    [[112.42, 96.15], 0.01],
    [[112.4205], 0.0005],
    [[0, 5], 1],
    [[1 / 3], undefined],
  ])('of %j is %s', (values, step) => expect(displayStep(values)).toBe(step));

  test('of 0.01 mm leaves an sd of 0.0029 mm at least', () =>
    expect(roundingSd(0.01)).toBeCloseTo(0.0028868, 7));
});
