import { describe, expect, it } from 'vitest';
import { functions } from '../../src/page/work/functions.js';

/** Minimal standard generator of Park and Miller, so that a failure comes again. */
const random = (seed: number): (() => number) => {
  let state = seed;
  return () => {
    state = (state * 48271) % 2147483647;
    return state / 2147483647;
  };
};

const special = [
  0,
  -0,
  1,
  -1,
  0.5,
  -0.5,
  Infinity,
  -Infinity,
  Number.NaN,
  5e-324,
  1e-300,
  1e300,
  745,
  -745,
  709.5,
];

/** Small, ordinary and large arguments, and such next to multiples of an eighth of a turn. */
const argument = (next: () => number): number => {
  const v = next() - 0.5;
  const kind = Math.floor(4 * next());
  if (kind === 0) return 10 * v;
  if (kind === 1) return 2000 * v;
  if (kind === 2) return v * Number(`1e-${Math.floor(12 * next())}`);
  return (Math.round(100 * v) * Math.PI) / 8 + (next() < 0.5 ? 0 : 1e-12 * (next() - 0.5));
};

const counted = 20_000;

describe('functions of the page', () => {
  it.each(['sin', 'cos', 'tan', 'atan', 'exp', 'log', 'cbrt'] as const)(
    '%s has the digits of the engine that runs the command line, down to the last',
    (name) => {
      const next = random(31);
      for (let i = 0; i < counted; i++) {
        const x = name === 'log' ? Math.abs(argument(next)) : argument(next);
        if (!Object.is(functions[name](x), Math[name](x)))
          expect([x, functions[name](x)]).toEqual([x, Math[name](x)]);
      }
      for (const x of special) expect([x, functions[name](x)]).toEqual([x, Math[name](x)]);
    },
  );

  it.each(['asin', 'acos'] as const)('%s as well', (name) => {
    const next = random(32);
    for (let i = 0; i < counted; i++) {
      const x = 2 * next() - 1;
      if (!Object.is(functions[name](x), Math[name](x)))
        expect([x, functions[name](x)]).toEqual([x, Math[name](x)]);
    }
    for (const x of special) expect([x, functions[name](x)]).toEqual([x, Math[name](x)]);
  });

  it('atan2 as well, on the axes and at infinity too', () => {
    const next = random(33);
    for (let i = 0; i < counted; i++) {
      const [y, x] = [argument(next), argument(next)];
      if (!Object.is(functions.atan2(y, x), Math.atan2(y, x)))
        expect([y, x, functions.atan2(y, x)]).toEqual([y, x, Math.atan2(y, x)]);
    }
    for (const y of special)
      for (const x of special) expect([y, x, functions.atan2(y, x)]).toEqual([y, x, Math.atan2(y, x)]);
  });
});
