import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { editDistance, nearestWord } from '../../src/job/nearest.js';

describe('The nearest known word', () => {
  const keys = ['kind', 'clearance', 'kerf', 'corners', 'mitre-limit', 'tolerance', 'smallest-land', 'apply'];

  test.each([
    ['clearence', 'clearance'],
    ['Clearance', 'clearance'],
    ['clearnace', 'clearance'],
    ['mitre_limit', 'mitre-limit'],
    ['mitre limit', 'mitre-limit'],
    ['miter-limit', 'mitre-limit'],
    ['kerv', 'kerf'],
    ['smallest', 'smallest-land'],
    ['tol', 'tolerance'],
  ])('to %s is %s', (typed, meant) => {
    expect(nearestWord(typed, keys)).toBe(meant);
  });

  test.each(['sandwich', 'to', '', 'x', 'kerfuffle-and-more'])('to %j is none', (typed) => {
    expect(nearestWord(typed, keys)).toBeUndefined();
  });

  test('of a mark with one letter is the same letter only', () => {
    expect(nearestWord('E', ['A', 'B', 'F'])).toBeUndefined();
    expect(nearestWord('b', ['A', 'B', 'F'])).toBe('B');
  });

  test('is the first of those equally near', () => {
    expect(nearestWord('hole-9', ['hole-1', 'hole-2'])).toBe('hole-1');
  });

  test('costs little for very long words', () => {
    const long = 'fern'.repeat(100_000);
    expect(nearestWord(long, [`${long}s`, 'kerf'])).toBe(`${long}s`);
  });
});

describe('The edit distance', () => {
  test.each([
    ['', '', 0],
    ['kerf', 'kerf', 0],
    ['kerf', '', 4],
    ['kitten', 'sitting', 3],
    ['form', 'from', 1],
  ])('from %j to %j is %i', (a, b, distance) => {
    expect(editDistance(a, b)).toBe(distance);
  });

  test('is the same both ways, and at most the length of the longer word', () => {
    const words = fc.string({ unit: fc.constantFrom(...'abc'), maxLength: 8 });
    fc.assert(
      fc.property(words, words, (a, b) => {
        const distance = editDistance(a, b);
        expect(distance).toBe(editDistance(b, a));
        expect(distance).toBeGreaterThanOrEqual(Math.abs(a.length - b.length));
        expect(distance).toBeLessThanOrEqual(Math.max(a.length, b.length));
        expect(distance === 0).toBe(a === b);
      }),
      { seed: 20261125, numRuns: 500 },
    );
  });
});
