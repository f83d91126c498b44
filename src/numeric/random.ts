/**
 * Random numbers that are the same on every machine: integer arithmetic only until the last step. Normal and
 * chi-square draws go through Math.log, sqrt and the like, whose last digit may differ between engines.
 */
import { normalQuantile } from './distributions.js';

export interface Random {
  /** Uniform in 0..1, both ends excluded, 53 bits. */
  readonly uniform: () => number;
  readonly normal: () => number;
  /** Chi-square with `degrees` > 0 degrees of freedom. */
  readonly chiSquare: (degrees: number) => number;
  /** A whole number in 0..below-1. */
  readonly below: (below: number) => number;
}

/** Throws nothing; any text is a seed, and the same text gives the same numbers. */
export const createRandom = (seed: string): Random => {
  const next = xoshiro(seed);
  const uniform = (): number => ((next() >>> 5) * 67108864 + (next() >>> 6) + 0.5) / 9007199254740992;
  const normal = (): number => normalQuantile(uniform());
  return {
    uniform,
    normal,
    chiSquare: (degrees) => 2 * gamma(degrees / 2, uniform, normal),
    below: (below) => Math.floor(uniform() * below),
  };
};

/** xoshiro128** (Blackman & Vigna 2018), its state filled from the seed by FNV-1a and the finisher of MurmurHash3. */
const xoshiro = (seed: string): (() => number) => {
  let hash = 0x811c9dc5;
  for (let i = 0; i < seed.length; i++) hash = Math.imul(hash ^ seed.charCodeAt(i), 0x01000193);
  const state = [0, 0, 0, 0].map(() => {
    hash = (hash + 0x9e3779b9) | 0;
    let mixed = hash;
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35);
    return mixed ^ (mixed >>> 16);
  });
  let [a, b, c, d] = state as [number, number, number, number];
  const rotate = (v: number, by: number) => (v << by) | (v >>> (32 - by));
  return () => {
    const result = Math.imul(rotate(Math.imul(b, 5), 7), 9);
    const shifted = b << 9;
    c ^= a;
    d ^= b;
    b ^= c;
    a ^= d;
    c ^= shifted;
    d = rotate(d, 11);
    return result >>> 0;
  };
};

/** G. Marsaglia, W. W. Tsang, *A simple method for generating gamma variables*, ACM TOMS 26 (2000). */
const gamma = (shape: number, uniform: () => number, normal: () => number): number => {
  if (shape < 1) return gamma(shape + 1, uniform, normal) * uniform() ** (1 / shape);
  const d = shape - 1 / 3;
  const c = 1 / Math.sqrt(9 * d);
  for (;;) {
    const x = normal();
    const v = (1 + c * x) ** 3;
    if (v > 0 && Math.log(uniform()) < 0.5 * x * x + d - d * v + d * Math.log(v)) return d * v;
  }
};
