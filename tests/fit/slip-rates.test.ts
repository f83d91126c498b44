/** A small seeded part of the study in tests/evidence/slips.ts; `npm run evidence` has the full one. */
import { describe, expect, it } from 'vitest';
import { slipRate, studiedSlips } from '../evidence/slips.js';

const study = (name: string, pattern: 'four marks' | 'rectangle' | 'three corners', trials = 150) => {
  const kind = studiedSlips.find((s) => s.name === name);
  if (kind === undefined) throw new Error(`no study ${name}`);
  return slipRate(kind, { trials, seed: 'rates', pattern, sd: 0.08 });
};

describe.each(['four marks', 'rectangle'] as const)(
  'rigid fit of four marks (%s), sd 0.08 mm, 600 x 400 mm',
  (pattern) => {
    it.each([
      'two marks swapped',
      'digits before the point exchanged',
      'x and y swapped',
      'decimal point lost',
    ])('%s: named with the right marks and values in at least 95 % of the trials', (name) => {
      const { rate, wrongly, missed } = study(name, pattern);
      expect(rate, missed.join('\n')).toBeGreaterThanOrEqual(0.95);
      expect(wrongly).toBeLessThanOrEqual(0.005);
    });

    it('a plain slip of 1 mm is traced to its mark in at least 90 %', () => {
      const { rate, wrongly, missed } = study('slip of 1 mm traced to its mark', pattern);
      expect(rate, missed.join('\n')).toBeGreaterThanOrEqual(0.9);
      expect(wrongly).toBeLessThanOrEqual(0.01);
    });

    it('clean jobs raise any warning of a mistake in at most 5 %', () => {
      expect(study('no slip: any warning of one', pattern, 300).rate).toBeLessThanOrEqual(0.05);
    });
  },
);

describe('rigid fit of three marks', () => {
  it('a slip that explains itself is still named; a plain slip of 1 mm is often between two marks', () => {
    expect(study('digits before the point exchanged', 'three corners', 100).rate).toBeGreaterThanOrEqual(0.9);
    expect(study('two marks swapped', 'three corners', 100).rate).toBeGreaterThanOrEqual(0.9);
    expect(
      study('slip of 1 mm, its mark among those named', 'three corners', 100).rate,
    ).toBeGreaterThanOrEqual(0.9);
    expect(study('slip of 1 mm traced to its mark', 'three corners', 100).rate).toBeLessThan(0.9);
  });
});
