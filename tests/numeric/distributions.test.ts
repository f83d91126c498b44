import { describe, expect, it } from 'vitest';
import {
  chiSquareCdf,
  chiSquareQuantile,
  fCdf,
  fQuantile,
  normalCdf,
  normalQuantile,
  studentCdf,
  studentQuantile,
} from '../../src/numeric/distributions.js';

describe('distributions', () => {
  it('agree with closed forms', () => {
    // Student with 1 degree is Cauchy, with 2 it is algebraic; chi-square with 2 is exponential.
    for (const t of [-20, -1.3, 0.2, 4]) {
      expect(studentCdf(t, 1)).toBeCloseTo(0.5 + Math.atan(t) / Math.PI, 12);
      expect(studentCdf(t, 2)).toBeCloseTo(0.5 + t / (2 * Math.sqrt(2 + t * t)), 12);
    }
    for (const x of [0.1, 2, 30]) expect(chiSquareCdf(x, 2)).toBeCloseTo(1 - Math.exp(-x / 2), 12);
    expect(normalCdf(0)).toBe(0.5);
    expect(fCdf(3.7, 1, 5)).toBeCloseTo(studentCdf(Math.sqrt(3.7), 5) * 2 - 1, 12);
  });

  it('quantiles undo the distribution functions', () => {
    for (const p of [0.0005, 0.05, 0.5, 0.975, 0.9995]) {
      expect(normalCdf(normalQuantile(p))).toBeCloseTo(p, 12);
      expect(studentCdf(studentQuantile(p, 3), 3)).toBeCloseTo(p, 10);
      expect(chiSquareCdf(chiSquareQuantile(p, 5), 5)).toBeCloseTo(p, 10);
      expect(fCdf(fQuantile(p, 2, 7), 2, 7)).toBeCloseTo(p, 10);
    }
  });

  it('without degrees of freedom the sd is known: Student becomes normal, F becomes chi-square', () => {
    expect(studentQuantile(0.975, undefined)).toBe(normalQuantile(0.975));
    expect(studentCdf(1.2, undefined)).toBe(normalCdf(1.2));
    expect(fCdf(1.7, 4, undefined)).toBe(chiSquareCdf(6.8, 4));
    expect(fQuantile(0.9, 4, undefined)).toBe(chiSquareQuantile(0.9, 4) / 4);
  });
});
