import { describe, expect, it } from 'vitest';
import { decimalsOf, variantsOf } from '../../src/fit/slips/typed-number.js';

const of = (typed: number, decimals: number, way: string) =>
  variantsOf(typed, decimals)
    .filter((v) => v.way === way)
    .map((v) => v.value);

describe('what a typed number may have been meant to be', () => {
  it('two neighbouring digits exchanged, across the point as well', () => {
    expect(of(671.93, 2, 'exchanged')).toEqual([761.93, 617.93, 671.39]);
    expect(of(671.93, 2, 'exchanged-over-point')).toEqual([679.13]);
    // Equal neighbours cannot be seen exchanged.
    expect(of(113.5, 1, 'exchanged')).toEqual([131.5]);
    expect(of(113.5, 1, 'exchanged-over-point')).toEqual([115.3]);
  });

  it('one digit wrong: nine others at every place', () => {
    expect(of(42, 0, 'one-digit')).toHaveLength(18);
    expect(of(42, 0, 'one-digit')).toContain(92);
    expect(of(-4.2, 1, 'one-digit')).toContain(-4.7);
  });

  it('a digit too many or missing', () => {
    // Of two like digits in a row striking out either is the same slip.
    expect(of(6771.93, 2, 'digit-too-many')).toEqual([771.93, 671.93, 677.93, 6771.3, 6771.9]);
    expect(of(6771.93, 2, 'digit-too-many')).toContain(671.93);
    expect(of(61.93, 2, 'digit-missing')).toContain(671.93);
  });

  it('a decimal point lost or moved, seen from the places the other numbers have', () => {
    expect(of(67193, 2, 'point-lost')).toEqual([671.93]);
    expect(of(67.193, 3, 'point-lost')).toEqual([]);
    expect(of(67.193, 3, 'point-moved')).toContain(671.93);
    expect(of(6719.3, 2, 'point-moved')).toContain(671.93);
  });

  it('a sign', () => {
    expect(of(12.5, 1, 'sign')).toEqual([-12.5]);
    expect(of(0, 1, 'sign')).toEqual([]);
  });

  it('never the number itself, and no dust of binary fractions', () => {
    for (const typed of [0, 0.1, 671.93, -20, 100]) {
      for (const { value } of variantsOf(typed, 2)) {
        expect(value).not.toBe(typed);
        expect(Number(value.toFixed(6))).toBe(value);
      }
    }
  });

  it('the places after the point are the most anyone typed', () => {
    expect(decimalsOf([96.1, 112.42, 100])).toBe(2);
    expect(decimalsOf([100, 200])).toBe(0);
    expect(decimalsOf([1 / 3])).toBe(6);
  });
});
