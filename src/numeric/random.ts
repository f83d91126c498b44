/**
 * Seeded random numbers: the same seed gives the same sequence on every machine.
 *
 * Generator: xoshiro128** 1.1, D. Blackman & S. Vigna, *Scrambled linear pseudorandom number
 * generators*, ACM TOMS 47 (2021), seeded by the 32-bit finalizer of MurmurHash3 (A. Appleby) over
 * a running count. Normal draws by the polar method (G. Marsaglia & T. A. Bray, SIAM Review 6
 * (1964)), chi-square by G. Marsaglia & W. W. Tsang,
 * *A simple method for generating gamma variables*, ACM TOMS 26 (2000).
 */
import { cubed, power } from './powers.js';

export interface RandomSource {
  /** 32 random bits, 0 .. 2^32 - 1. */
  readonly bits: () => number;
  /** Uniform on [0, 1), 53 bits. */
  readonly uniform: () => number;
  /** A whole number 0 .. below - 1. */
  readonly index: (below: number) => number;
  /** Standard normal. */
  readonly normal: () => number;
  /** Chi-square with any number of degrees above 0. */
  readonly chiSquare: (degrees: number) => number;
}

export const createRandom = (seed: string | number): RandomSource => sourceFrom(stateFrom(String(seed)));

/**
 * The generator from its raw state of four 32-bit words, not all zero: for checks against the
 * reference.
 */
export const sourceFrom = (state: readonly [number, number, number, number]): RandomSource => {
  let [s0, s1, s2, s3] = state;

  const bits = (): number => {
    const product = Math.imul(s1, 5);
    const result = Math.imul((product << 7) | (product >>> 25), 9) >>> 0;
    const shifted = s1 << 9;
    s2 ^= s0;
    s3 ^= s1;
    s1 ^= s2;
    s0 ^= s3;
    s2 ^= shifted;
    s3 = (s3 << 11) | (s3 >>> 21);
    return result;
  };

  const uniform = (): number => ((bits() >>> 5) * 67108864 + (bits() >>> 6)) / 9007199254740992;

  let spare: number | undefined;
  const normal = (): number => {
    if (spare !== undefined) {
      const value = spare;
      spare = undefined;
      return value;
    }
    for (;;) {
      const u = 2 * uniform() - 1;
      const v = 2 * uniform() - 1;
      const square = u * u + v * v;
      if (square > 0 && square < 1) {
        const stretch = Math.sqrt((-2 * Math.log(square)) / square);
        spare = v * stretch;
        return u * stretch;
      }
    }
  };

  /** Gamma(shape, 1) for shape >= 1. */
  const gamma = (shape: number): number => {
    const d = shape - 1 / 3;
    const c = 1 / Math.sqrt(9 * d);
    for (;;) {
      const z = normal();
      const v = cubed(1 + c * z);
      if (v > 0 && Math.log(1 - uniform()) < 0.5 * z * z + d - d * v + d * Math.log(v)) return d * v;
    }
  };

  const chiSquare = (degrees: number): number => {
    if (!(degrees > 0)) throw new RangeError(`chi-square with ${degrees} degrees of freedom, expected > 0`);
    const shape = degrees / 2;
    return shape >= 1 ? 2 * gamma(shape) : 2 * gamma(shape + 1) * power(1 - uniform(), 1 / shape);
  };

  return { bits, uniform, index: (below) => Math.floor(uniform() * below), normal, chiSquare };
};

const stateFrom = (seed: string): [number, number, number, number] => {
  let hash = 0x9e3779b9;
  for (let i = 0; i < seed.length; i++) hash = mix(hash ^ seed.charCodeAt(i)) + 0x9e3779b9;
  return [mix(hash + 1), mix(hash + 2), mix(hash + 3), mix(hash + 4) | 1];
};

const mix = (word: number): number => {
  let w = word | 0;
  w = Math.imul(w ^ (w >>> 16), 0x85ebca6b);
  w = Math.imul(w ^ (w >>> 13), 0xc2b2ae35);
  return w ^ (w >>> 16);
};
