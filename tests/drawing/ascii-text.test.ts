import fc from 'fast-check';
import { expect, it } from 'vitest';
import { AsciiText } from '../../src/drawing/write/ascii-text.js';
import { decimal } from '../../src/drawing/write/cut-file.js';

const written = (value: number, decimals: number): string => {
  const text = new AsciiText();
  text.number(value, decimals);
  return text.take();
};

it('numbers are written as short as they can be, without exponent or minus zero', () => {
  expect(written(0, 7)).toBe('0');
  expect(written(-0, 7)).toBe('0');
  expect(written(-4e-8, 7)).toBe('0');
  expect(written(1e-7, 7)).toBe('0.0000001');
  expect(written(-0.05, 7)).toBe('-0.05');
  expect(written(120, 0)).toBe('120');
  expect(written(1000.1, 3)).toBe('1000.1');
  expect(written(99.9999999999, 7)).toBe('100');
  expect(written(1e20, 7)).toBe('100000000000000000000');
});

it('numbers are those the platform writes, but for halves of the last place', () => {
  const value = fc.oneof(
    fc.double({ min: -2000, max: 2000, noNaN: true }),
    fc.integer({ min: -2e6, max: 2e6 }).map((n) => n / 1000),
    fc.double({ noNaN: true, noDefaultInfinity: true, min: -1e18, max: 1e18 }),
  );
  fc.assert(
    fc.property(value, fc.constantFrom(0, 3, 7, 10), (v, decimals) => {
      const ours = written(v, decimals);
      const theirs = decimal(v, decimals);
      if (ours === theirs) return;
      const past = (Math.abs(v) * 10 ** decimals) % 1;
      expect(Math.abs(past - 0.5)).toBeLessThan(1e-3);
      expect(Math.abs(Number(ours) - Number(theirs))).toBeLessThan(1.01 * 10 ** -decimals);
    }),
    { seed: 20261125, numRuns: 20_000 },
  );
});

it('texts follow one another, however long', () => {
  const text = new AsciiText();
  const long = 'M1,2'.repeat(5000);
  text.add(long);
  expect(text.take()).toBe(long);
  text.add('Z');
  expect(text.take()).toBe('Z');
});
