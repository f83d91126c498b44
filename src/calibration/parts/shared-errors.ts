/**
 * Adjustment of measurements that share errors: two lengths that end at one cross share what that cross is out by, two
 * measurements of one cut share what that cut is wider by. Each shared error is one unknown draw with a common sd that
 * nobody knows; the error of measuring is each measurement's own.
 *
 *     observed = design x + shared u + e,    u ~ N(0, c^2),  e ~ N(0, (f sd)^2),   f = 1 where the sds are stated
 *
 * c is not estimated once and then taken as known, which claims too much with few measurements. Each ratio of c to the
 * measuring error is weighed by its restricted likelihood (H. D. Patterson & R. Thompson, Biometrika 58 (1971)), and
 * what is stated of x is the mixture of the distributions under each: normal, or Student's where f is unknown. The
 * weight before any measurement is Jeffreys' for a variance beside a known one, and a share at c = 0; that this makes
 * limits hold as often as they say is shown by simulation (tests/evidence/calibration.ts).
 */

import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import { studentCdf, studentQuantile } from '../../numeric/distributions.js';
import { type Row, solve } from '../../numeric/least-squares.js';
import { power } from '../../numeric/powers.js';
import type { Estimate } from '../estimate.js';
import { c4, confidence } from '../spread.js';

export interface SharedRow extends Row {
  /** Which shared errors are in it, each with its coefficient. */
  readonly shared: readonly (readonly [error: number, coefficient: number])[];
}

/** One of the distributions that make up the mixture. */
interface Supposition {
  readonly share: number;
  /** c^2 over f^2. */
  readonly ratio: number;
  readonly solution: readonly number[];
  /** Covariance of the solution, scale included. */
  readonly covariance: readonly (readonly number[])[];
  /** f^2; 1 where known. */
  readonly factor: number;
  /** Weighted squares left over, over `factor` degrees. */
  readonly squares: number;
}

export interface MistakeEvidence {
  readonly log: number;
  /** Of unknown ones: the multiple, and its sd. */
  readonly size: number;
  readonly sizeSd: number;
}

export interface SharedFit {
  readonly redundancy: number;
  /** Means of the mixture. */
  readonly solution: readonly number[];
  /** A linear function of the solution with its limits; `extra` is the variance of c^2 that is added (a further draw). */
  readonly estimate: (gradient: readonly number[], furtherDraws?: number) => Estimate;
  /**
   * How much better the observations agree when a mistake is put right that enters them by these amounts, or by an
   * unknown multiple of them: ln of the ratio of the likelihoods, for an unknown size with a flat density of it.
   */
  readonly mistake: (enters: readonly number[], isKnown: boolean) => MistakeEvidence;
  /** Of one shared error, mm, one sd: middle of its distribution and 95 % limits; absent where nothing tells. */
  readonly sharedSd?: { readonly value: number; readonly limits: readonly [number, number] };
  /** Of the likeliest ratio, where sds are stated: what measuring alone leaves over, a chi-square or less. */
  readonly leastSquares: number;
  /** BLUP of each measurement: residual of measuring and shared errors together at the mean, observed minus computed. */
  readonly residuals: readonly number[];
}

/** Share of c = 0 before any measurement, in units of the density below: chosen by simulation. */
const usualAtNone = 1.2;
/** One combination that shows shared errors says nothing of their sd: its distribution would have no end. */
const fewestModes = 2;
const steps = 40;
/** The range of the ratio about the one at which shared and measuring error weigh the same. */
const range = [1e-3, 1e5] as const;
const noEigenvalue = 1e-9;

/**
 * @param stated whether the rows' sds are known, or only their ratios
 * @param atNone share of c = 0 before any measurement
 */
export const adjustShared = (
  rows: readonly SharedRow[],
  unknowns: number,
  errors: number,
  stated: boolean,
  atNone = usualAtNone,
): SharedFit | undefined => {
  const plain = solve(rows, unknowns);
  if (!plain.ok) return undefined;
  const { redundancy, solution, cofactor } = plain;
  // Whitened by the measuring sd; the design's part of the shared errors, and the rest of them.
  const through = new Matrix(unknowns, Math.max(1, errors));
  const gram = Matrix.zeros(Math.max(1, errors), Math.max(1, errors));
  const onResiduals = new Array<number>(errors).fill(0);
  rows.forEach(({ design, sd, shared }, i) => {
    const weight = 1 / sd ** 2;
    for (const [a, p] of shared) {
      onResiduals[a]! += p * weight * plain.residuals[i]!;
      for (let k = 0; k < unknowns; k++) through.set(k, a, through.get(k, a) + design[k]! * weight * p);
      for (const [b, q] of shared) gram.set(a, b, gram.get(a, b) + p * q * weight);
    }
  });
  // H A = (X'X)^-1 X'A, and Z'Z = A'A - A'X (X'X)^-1 X'A.
  const carried = new Matrix(cofactor.map((row) => [...row])).mmul(through);
  const seen = gram.sub(through.transpose().mmul(carried));
  const { values, vectors } = eigen(seen, errors);
  const largest = Math.max(0, ...values);
  const modes = values.flatMap((value, j) => {
    if (!(value > noEigenvalue * Math.max(1, largest))) return [];
    const vector = vectors(j);
    const onMode = vector.reduce((sum, v, a) => sum + v * onResiduals[a]!, 0);
    const carriedMode = Array.from({ length: unknowns }, (_, k) =>
      vector.reduce((sum, v, a) => sum + carried.get(k, a) * v, 0),
    );
    return [{ value, vector, onMode, carriedMode }];
  });
  // Combinations of shared errors that no residual shows: they go into the solution in full.
  const unseen = values.flatMap((value, j) => {
    if (value > noEigenvalue * Math.max(1, largest)) return [];
    const vector = vectors(j);
    return [
      Array.from({ length: unknowns }, (_, k) =>
        vector.reduce((sum, v, a) => sum + carried.get(k, a) * v, 0),
      ),
    ];
  });

  const supposeRatio = (ratio: number): Omit<Supposition, 'share'> & { log: number } => {
    let squares = plain.weightedSquares;
    let log = 0;
    const x = [...solution];
    const covariance = cofactor.map((row) => [...row]);
    for (const { value, onMode, carriedMode } of modes) {
      const grown = 1 + ratio * value;
      squares -= (ratio * onMode ** 2) / grown;
      log -= Math.log(grown) / 2;
      for (let k = 0; k < unknowns; k++) {
        x[k]! -= (carriedMode[k]! * ratio * onMode) / grown;
        for (let l = 0; l < unknowns; l++)
          covariance[k]![l]! += (carriedMode[k]! * carriedMode[l]! * ratio) / grown;
      }
    }
    for (const mode of unseen)
      for (let k = 0; k < unknowns; k++)
        for (let l = 0; l < unknowns; l++) covariance[k]![l]! += mode[k]! * mode[l]! * ratio;
    squares = Math.max(0, squares);
    const factor = stated ? 1 : squares / redundancy;
    log += stated ? -squares / 2 : (-redundancy / 2) * logOf(squares);
    return {
      ratio,
      solution: x,
      covariance: covariance.map((row) => row.map((v) => v * factor)),
      factor,
      squares,
      log,
    };
  };

  /** y'Py after what the shared errors explain, for a whitened vector's products with the residuals and the modes. */
  const mistakeEvidence = (enters: readonly number[], isKnown: boolean): MistakeEvidence => {
    // d'Sd, d'Sy and the product of Sd with each mode, S taking off what the unknowns explain.
    const onDesign = new Array<number>(unknowns).fill(0);
    const onErrors = new Array<number>(errors).fill(0);
    let own = 0;
    let withResiduals = 0;
    rows.forEach(({ design, sd, shared }, i) => {
      const d = enters[i]! / sd ** 2;
      if (d === 0) return;
      own += d * enters[i]!;
      withResiduals += d * plain.residuals[i]!;
      for (let k = 0; k < unknowns; k++) onDesign[k]! += d * design[k]!;
      for (const [a, p] of shared) onErrors[a]! += d * p;
    });
    own -= dot(
      onDesign,
      cofactor.map((row) => dot(row, onDesign)),
    );
    for (let a = 0; a < errors; a++)
      for (let k = 0; k < unknowns; k++) onErrors[a]! -= carried.get(k, a) * onDesign[k]!;
    const onModes = modes.map(({ vector }) => dot(vector, onErrors));
    const each = supposed.map((s) => {
      let dd = own;
      let dy = withResiduals;
      for (const [j, { value, onMode }] of modes.entries()) {
        const part = s.ratio / (1 + s.ratio * value);
        dd -= part * onModes[j]! ** 2;
        dy -= part * onModes[j]! * onMode;
      }
      const unexplained = s.log + (stated ? s.squares / 2 : (redundancy / 2) * logOf(s.squares));
      if (isKnown) {
        const squares = Math.max(0, s.squares - 2 * dy + dd);
        const log = unexplained - (stated ? squares / 2 : (redundancy / 2) * logOf(squares));
        return { log: log + s.prior, size: 1, variance: 0 };
      }
      if (!(dd > 1e-12)) return { log: Number.NEGATIVE_INFINITY, size: 0, variance: 0 };
      const squares = Math.max(0, s.squares - dy ** 2 / dd);
      const width = -Math.log(dd) / 2 + (stated ? Math.log(2 * Math.PI) / 2 : logFreed(redundancy));
      const log = unexplained + width - (stated ? squares / 2 : ((redundancy - 1) / 2) * logOf(squares));
      const factor = stated ? 1 : squares / (redundancy - 1);
      return { log: log + s.prior, size: dy / dd, variance: factor / dd };
    });
    const best = Math.max(...each.map((e) => e.log));
    if (!Number.isFinite(best)) return { log: best, size: 0, sizeSd: 0 };
    const shares = each.map((e) => Math.exp(e.log - best));
    const sum = shares.reduce((x, y) => x + y, 0);
    const size = each.reduce((x, e, i) => x + shares[i]! * e.size, 0) / sum;
    const variance = each.reduce((x, e, i) => x + shares[i]! * (e.variance + (e.size - size) ** 2), 0) / sum;
    return { log: best + Math.log(sum) - top - Math.log(total), size, sizeSd: Math.sqrt(variance) };
  };

  const middle = modes.length / modes.reduce((sum, m) => sum + m.value, 0);
  const grid =
    modes.length < fewestModes
      ? []
      : Array.from({ length: steps }, (_, i) => range[0] * power(range[1] / range[0], i / (steps - 1)));
  const width = Math.log(range[1] / range[0]) / (steps - 1);
  const supposed = [
    { ...supposeRatio(0), prior: Math.log(atNone) },
    ...grid.map((g) => ({ ...supposeRatio(g * middle), prior: Math.log((width * g) / (1 + g)) })),
  ];
  const logs = supposed.map((s) => s.log + s.prior);
  const top = Math.max(...logs);
  const total = logs.reduce((sum, l) => sum + Math.exp(l - top), 0);
  const mixture = supposed.map((s, i): Supposition => ({ ...s, share: Math.exp(logs[i]! - top) / total }));
  const degrees = stated ? undefined : redundancy;
  const likeliest = supposed.reduce((a, b) => (b.log > a.log ? b : a));
  const mean = solution.map((_, k) => mixture.reduce((sum, m) => sum + m.share * m.solution[k]!, 0));
  const shared = sharedSdOf(mixture, modes.length >= fewestModes);
  return {
    redundancy,
    solution: mean,
    estimate: (gradient, furtherDraws = 0) =>
      stated || redundancy > 0
        ? limitsOf(mixture, gradient, furtherDraws, degrees)
        : { value: dot(gradient, mean) },
    mistake: (enters, isKnown) => mistakeEvidence(enters, isKnown),
    ...(shared === undefined ? {} : { sharedSd: shared }),
    leastSquares: likeliest.squares,
    residuals: rows.map(({ observed, design }) => observed - dot(design, mean)),
  };
};

const eigen = (
  symmetric: Matrix,
  size: number,
): { values: readonly number[]; vectors: (j: number) => readonly number[] } => {
  if (size === 0) return { values: [], vectors: () => [] };
  const found = new EigenvalueDecomposition(symmetric, { assumeSymmetric: true });
  return { values: found.realEigenvalues, vectors: (j) => found.eigenvectorMatrix.getColumn(j) };
};

const logOf = (squares: number): number => Math.log(Math.max(squares, Number.MIN_VALUE));

/** One value freed where the scale is unknown: ln of sqrt(pi) G((r - 1) / 2) / G(r / 2), by c4. */
const logFreed = (redundancy: number): number =>
  redundancy < 2
    ? Number.NEGATIVE_INFINITY
    : Math.log(Math.PI) / 2 + Math.log(2 / (redundancy - 1)) / 2 - Math.log(c4(redundancy));

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, k) => sum + v * b[k]!, 0);

interface Part {
  readonly share: number;
  readonly mean: number;
  readonly sd: number;
}

const partsOf = (
  mixture: readonly Supposition[],
  gradient: readonly number[],
  furtherDraws: number,
): Part[] =>
  mixture.map(({ share, solution, covariance, ratio, factor }) => {
    let variance = furtherDraws * ratio * factor;
    for (const [k, g] of gradient.entries())
      for (const [l, h] of gradient.entries()) variance += g * h * covariance[k]![l]!;
    return { share, mean: dot(gradient, solution), sd: Math.sqrt(Math.max(0, variance)) };
  });

const cdfAt = (parts: readonly Part[], at: number, degrees: number | undefined): number =>
  parts.reduce(
    (sum, { share, mean, sd }) =>
      sum + share * (sd > 0 ? studentCdf((at - mean) / sd, degrees) : at < mean ? 0 : 1),
    0,
  );

/** Limits with the same chance on either side; `sd` is that of the normal distribution that has as wide limits. */
const limitsOf = (
  mixture: readonly Supposition[],
  gradient: readonly number[],
  furtherDraws: number,
  degrees: number | undefined,
): Estimate => {
  const parts = partsOf(mixture, gradient, furtherDraws).filter((p) => p.share > 1e-4);
  const total = parts.reduce((sum, p) => sum + p.share, 0);
  const value = parts.reduce((sum, p) => sum + (p.share / total) * p.mean, 0);
  const reach = studentQuantile(1 - 1e-4, degrees);
  const [least, most] = [
    Math.min(...parts.map((p) => p.mean - reach * p.sd)),
    Math.max(...parts.map((p) => p.mean + reach * p.sd)),
  ];
  const finest = 1e-7 * (most - least);
  // Regula falsi in the Illinois form: the distribution is smooth, and each evaluation is many.
  const quantile = (probability: number): number => {
    let [low, high] = [least, most];
    let [below, above] = [-probability, 1 - probability];
    let side = 0;
    for (let i = 0; i < 60 && high - low > finest; i++) {
      const at = (low * above - high * below) / (above - below);
      const off = cdfAt(parts, at, degrees) / total - probability;
      if (Math.abs(off) < 1e-7) return at;
      if (off < 0) {
        [low, below] = [at, off];
        if (side === -1) above /= 2;
        side = -1;
      } else {
        [high, above] = [at, off];
        if (side === 1) below /= 2;
        side = 1;
      }
    }
    return (low + high) / 2;
  };
  const tail = (1 - confidence) / 2;
  const limits = [quantile(tail), quantile(1 - tail)] as const;
  return { value, sd: (limits[1] - limits[0]) / 2 / studentQuantile(1 - tail, degrees), limits };
};

const sharedSdOf = (mixture: readonly Supposition[], isSeen: boolean): SharedFit['sharedSd'] => {
  if (!isSeen) return undefined;
  const at = (probability: number): number => {
    let sum = 0;
    for (const { share, ratio, factor } of mixture) {
      sum += share;
      if (sum >= probability) return Math.sqrt(ratio * factor);
    }
    return Math.sqrt(mixture.at(-1)!.ratio * mixture.at(-1)!.factor);
  };
  const tail = (1 - confidence) / 2;
  return { value: at(0.5), limits: [at(tail), at(1 - tail)] };
};
