/** Many pieces of one workshop: is the risk that was stated true, and are errors as large as they were stated to be? */
import { chiSquareQuantile, fQuantile } from '../numeric/distributions.js';
import type { Agreement } from './predicted.js';

export interface InspectedPiece {
  readonly job: string;
  /** The risk that `check` states for this job; undefined where it states none. */
  readonly risk?: number;
  /** The least gap anywhere, mm. */
  readonly leastGap: number;
  readonly agreement?: Agreement;
}

export interface Pieces {
  readonly pieces: number;
  /** Of those with a stated risk: how many touched, and how many were to be expected. */
  readonly touched: { readonly of: number; readonly observed: number; readonly stated: number };
  /** The share that touches, with its 95 % limits (C. J. Clopper and E. S. Pearson, Biometrika 26 (1934), from memory). */
  readonly share?: { readonly value: number; readonly low: number; readonly high: number };
  /** Chance of so many touches or more, and of so few or fewer, if the stated risks are true. */
  readonly asMany?: number;
  readonly asFew?: number;
  /** Errors found over errors stated, with 95 % limits; undefined where nothing could be compared. */
  readonly size?: {
    readonly ratio: number;
    readonly low: number;
    readonly high: number;
    readonly dof: number;
  };
}

export const judgePieces = (pieces: readonly InspectedPiece[]): Pieces => {
  const stated = pieces.flatMap(({ risk, leastGap }) =>
    risk === undefined ? [] : [{ risk, touches: leastGap < 0 }],
  );
  const observed = stated.filter(({ touches }) => touches).length;
  const n = stated.length;
  const chances = countChances(stated.map(({ risk }) => risk));
  const compared = pieces.flatMap(({ agreement }) => (agreement === undefined ? [] : [agreement]));
  const dof = compared.reduce((sum, { errors }) => sum + errors, 0);
  // Each as the chi-square of the same chance, where an sd was estimated.
  const squares = compared.reduce(
    (sum, { errors, pValue, statistic, dof: of }) =>
      sum + (of === undefined ? statistic : chiSquareQuantile(1 - Math.max(pValue, 1e-12), errors)),
    0,
  );
  return {
    pieces: pieces.length,
    touched: { of: n, observed, stated: stated.reduce((sum, { risk }) => sum + risk, 0) },
    ...(n === 0
      ? {}
      : {
          share: { value: observed / n, ...exactLimits(observed, n) },
          asMany: chances.slice(observed).reduce((a, b) => a + b, 0),
          asFew: chances.slice(0, observed + 1).reduce((a, b) => a + b, 0),
        }),
    ...(dof === 0
      ? {}
      : {
          size: {
            ratio: Math.sqrt(squares / dof),
            low: Math.sqrt(squares / chiSquareQuantile(0.975, dof)),
            high: Math.sqrt(squares / chiSquareQuantile(0.025, dof)),
            dof,
          },
        }),
  };
};

/** P(k of them) for events of unlike chances. */
const countChances = (chances: readonly number[]): number[] => {
  let result = [1];
  for (const p of chances) {
    const next = new Array<number>(result.length + 1).fill(0);
    result.forEach((q, k) => {
      next[k]! += q * (1 - p);
      next[k + 1]! += q * p;
    });
    result = next;
  }
  return result;
};

/** 95 % limits of a share of which x of n were seen. */
export const exactLimits = (x: number, n: number): { readonly low: number; readonly high: number } => {
  const tail = 0.025;
  const low = x === 0 ? 0 : 1 / (1 + (n - x + 1) / (x * fQuantile(tail, 2 * x, 2 * (n - x + 1))));
  const f = x === n ? 0 : fQuantile(1 - tail, 2 * (x + 1), 2 * (n - x));
  const high = x === n ? 1 : ((x + 1) * f) / (n - x + (x + 1) * f);
  return { low, high };
};
