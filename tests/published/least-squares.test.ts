/** Published values for the one least-squares core. Tags: seen, memory, recomputed (see DEVELOPERS.md). */
import { describe, expect, it } from 'vitest';
import { solve } from '../../src/numeric/least-squares.js';

/** Equal to the last digit printed: half a unit there, and the spacing of doubles (fifteen digits leave none over). */
const asPrinted = (value: number, printed: string): void => {
  const [mantissa, exponent = '0'] = printed.toLowerCase().split('e');
  const places = mantissa!.split('.')[1]?.length ?? 0;
  const halfUnit = 0.5 * 10 ** (Number(exponent) - places);
  expect(Math.abs(value - Number(printed)), `got ${value}, expected ${printed}`).toBeLessThanOrEqual(
    halfUnit + Math.abs(value) * Number.EPSILON,
  );
};

/** NIST Statistical Reference Datasets, linear regression, Norris. Seen, recomputed. */
const norrisX = [
  0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777, 558.2, 0.4, 0.6, 775.5, 666.9, 338, 447.5,
  11.6, 556, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999, 779, 11.1, 118.3, 229.2, 669.1,
  448.9, 0.5,
];
const norrisY = [
  0.1, 338.8, 118.1, 888, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9,
  10.8, 557.7, 228.3, 998, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4,
  449.2, 0.2,
];

describe('NIST StRD Norris (seen, recomputed)', () => {
  it('comes out to every digit printed', () => {
    // In tenths the data are whole numbers, exact in binary: all fifteen digits can be asked for.
    const rows = norrisX.map((x, i) => ({
      design: [1, Math.round(10 * x)],
      observed: Math.round(10 * norrisY[i]!),
      sd: 1,
    }));
    const solved = solve(rows, 2);
    if (!solved.ok) throw new Error('rank');
    const s = Math.sqrt(solved.weightedSquares / solved.redundancy);
    expect(solved.redundancy).toBe(34);
    asPrinted(solved.solution[0]! / 10, '-0.262323073774029');
    asPrinted(solved.solution[1]!, '1.00211681802045');
    asPrinted((Math.sqrt(solved.cofactor[0]![0]!) * s) / 10, '0.232818234301152');
    asPrinted(Math.sqrt(solved.cofactor[1]![1]!) * s, '0.429796848199937e-3');
    asPrinted(s / 10, '0.884796396144373');
  });

  it('loses only what the decimals lose in binary when it is given as printed', () => {
    const solved = solve(
      norrisX.map((x, i) => ({ design: [1, x], observed: norrisY[i]!, sd: 1 })),
      2,
    );
    if (!solved.ok) throw new Error('rank');
    // Data up to 1000 carry 5e-14 of rounding each; their mean enters B0.
    expect(Math.abs(solved.solution[0]! + 0.262323073774029)).toBeLessThan(2e-14);
    expect(Math.abs(solved.solution[1]! - 1.00211681802045)).toBeLessThan(6e-15);
  });
});

describe('GUM H.3, straight line through a thermometer calibration (JCGM 100:2008; seen, recomputed)', () => {
  const t = [21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511];
  const b = [-171, -169, -166, -159, -164, -165, -156, -157, -159, -161, -160];

  it('gives intercept, slope, their sds and correlation, and the prediction at 30 degrees as printed', () => {
    const solved = solve(
      t.map((x, i) => ({ design: [1, x - 20], observed: b[i]! / 1000, sd: 1 })),
      2,
    );
    if (!solved.ok) throw new Error('rank');
    const variance = solved.weightedSquares / solved.redundancy;
    const [[q11, q12], [, q22]] = solved.cofactor as [[number, number], [number, number]];
    asPrinted(solved.solution[0]!, '-0.1712');
    asPrinted(solved.solution[1]!, '0.00218');
    asPrinted(Math.sqrt(q11 * variance), '0.0029');
    asPrinted(Math.sqrt(q22 * variance), '0.00067');
    asPrinted(q12 / Math.sqrt(q11 * q22), '-0.93');
    asPrinted(Math.sqrt(variance), '0.00350');
    asPrinted(solved.solution[0]! + 10 * solved.solution[1]!, '-0.1494');
    asPrinted(Math.sqrt(variance * (q11 + 20 * q12 + 100 * q22)), '0.0041');
  });
});
