/**
 * The one weighted least-squares core: everything in the project that is adjusted goes through
 * `solve`.
 *
 * Minimises sum ((observed - design . x) / sd)^2 by Householder QR on columns scaled by powers of
 * two, then refines x and the residuals together (A. Bjorck, *Iterative refinement of linear least
 * squares solutions*, BIT 7 (1967)) with residuals formed in double-double, so that the digits lost
 * to conditioning come back. A caller with large offsets centres its data first.
 */
import { Matrix, QrDecomposition, SingularValueDecomposition } from 'ml-matrix';
import { plainDot, preciseDot } from './double-double.js';

/** One observation equation. Units are the caller's; `sd` has those of `observed`. */
export interface Row {
  readonly design: readonly number[];
  readonly observed: number;
  /** Standard uncertainty, > 0; 1 in every row where only ratios matter. */
  readonly sd: number;
}

export interface Solved {
  readonly ok: true;
  readonly solution: readonly number[];
  /** unknowns x unknowns: covariance of the solution when every sd is right. */
  readonly cofactor: readonly (readonly number[])[];
  /** observed minus computed, one per row. */
  readonly residuals: readonly number[];
  /** Sum of (residual / sd)^2. */
  readonly weightedSquares: number;
  /** rows minus unknowns. */
  readonly redundancy: number;
  /**
   * Per row, 0..1: the share of a mistake in this row that shows in its own residual (Baarda 1968).
   */
  readonly redundancyNumbers: readonly number[];
}

export interface RankDeficient {
  readonly ok: false;
  readonly rank: number;
  /** unknowns minus rank: how many combinations of the unknowns the rows say nothing about. */
  readonly deficiency: number;
}

/**
 * A condition number above this leaves no trustworthy digits; the rows then do not determine the
 * unknowns.
 */
const largestCondition = 1e13;
const refinements = 5;

export interface SolveOptions {
  /**
   * Refine the solution with residuals in double-double. Default true; a caller that iterates
   * anyway may do without.
   */
  readonly refine?: boolean;
}

/**
 * Solves `rows` for `unknowns` values. Rows that do not determine them are a returned value; a row
 * of the wrong length, a number that is not finite or an sd that is not positive is a programmer's
 * mistake (RangeError).
 */
export const solve = (
  rows: readonly Row[],
  unknowns: number,
  { refine = true }: SolveOptions = {},
): Solved | RankDeficient => {
  checkRows(rows, unknowns);
  const count = rows.length;
  // The only place where sd becomes a weight.
  const weightRoot = rows.map((row) => 1 / row.sd);
  const columnScale = powerOfTwoScales(rows, weightRoot, unknowns);
  const scaled = new Matrix(count, unknowns);
  for (let i = 0; i < count; i++) {
    const { design } = rows[i]!;
    for (let j = 0; j < unknowns; j++) scaled.set(i, j, design[j]! * weightRoot[i]! * columnScale[j]!);
  }
  if (count < unknowns) return deficient(scaled, unknowns);

  const qr = new QrDecomposition(scaled);
  const inverse = invertUpper(qr.upperTriangularMatrix, unknowns);
  if (inverse === undefined) return deficient(scaled, unknowns);
  const q = qr.orthogonalMatrix;

  const solver: Solver = { rows, weightRoot, columnScale, q, inverse };
  const x = new Array<number>(unknowns).fill(0);
  const residuals = new Array<number>(count).fill(0);
  let lastStep = Number.POSITIVE_INFINITY;
  for (let pass = 0; pass < (refine ? refinements : 1); pass++) {
    const step = improve(solver, x, residuals);
    if (step === 0 || step > lastStep / 2) break;
    lastStep = step;
  }
  const dotOf = refine ? preciseDot : plainDot;
  for (let i = 0; i < count; i++) residuals[i] = -dotOf(rows[i]!.design, x, -rows[i]!.observed);

  const cofactor = columnScale.map((rowScale, i) =>
    columnScale.map((scale, j) => {
      let sum = 0;
      for (let k = Math.max(i, j); k < unknowns; k++) sum += inverse.get(i, k) * inverse.get(j, k);
      return sum * rowScale * scale;
    }),
  );
  const normalized = residuals.map((residual, i) => residual * weightRoot[i]!);
  const redundancyNumbers = rows.map((_, i) => {
    let leverage = 0;
    for (let j = 0; j < unknowns; j++) leverage += q.get(i, j) ** 2;
    return Math.min(1, Math.max(0, 1 - leverage));
  });
  return {
    ok: true,
    solution: x,
    cofactor,
    residuals,
    weightedSquares: preciseDot(normalized, normalized),
    redundancy: count - unknowns,
    redundancyNumbers,
  };
};

interface Solver {
  readonly rows: readonly Row[];
  readonly weightRoot: readonly number[];
  readonly columnScale: readonly number[];
  readonly q: Matrix;
  readonly inverse: Matrix;
}

/**
 * One step on the augmented system  r + A x = b, A' W r = 0.  Changes x and residuals in place and
 * returns the size of the step relative to x (scaled). The first step, from x = 0 and r = 0, is the
 * plain solution by QR.
 */
const improve = (
  { rows, weightRoot, columnScale, q, inverse }: Solver,
  x: number[],
  residuals: number[],
): number => {
  const unknowns = x.length;
  const z = new Array<number>(unknowns).fill(0);
  const c = new Array<number>(unknowns).fill(0);
  const defect = rows.map(
    (row, i) => -preciseDot(row.design, x, residuals[i]!, -row.observed) * weightRoot[i]!,
  );
  const weighted = residuals.map((r, i) => r * weightRoot[i]! ** 2);
  for (let j = 0; j < unknowns; j++) {
    const column = rows.map((row) => row.design[j]!);
    const gradient = -preciseDot(column, weighted) * columnScale[j]!;
    for (let k = j; k < unknowns; k++) z[k]! += inverse.get(j, k) * gradient;
    for (let i = 0; i < rows.length; i++) c[j]! += q.get(i, j) * defect[i]!;
  }
  let stepSize = 0;
  let size = 0;
  for (let j = 0; j < unknowns; j++) {
    let step = 0;
    for (let k = j; k < unknowns; k++) step += inverse.get(j, k) * (c[k]! - z[k]!);
    const before = x[j]!;
    x[j] = before + step * columnScale[j]!;
    stepSize = Math.max(stepSize, Math.abs(x[j]! - before) / columnScale[j]!);
    size = Math.max(size, Math.abs(x[j]!) / columnScale[j]!);
  }
  for (let i = 0; i < rows.length; i++) {
    let change = defect[i]!;
    for (let j = 0; j < unknowns; j++) change += q.get(i, j) * (z[j]! - c[j]!);
    residuals[i]! += change / weightRoot[i]!;
  }
  return size === 0 ? 0 : stepSize / size;
};

/** Powers of two bring every weighted column to a norm of about 1 without rounding anything. */
const powerOfTwoScales = (rows: readonly Row[], weightRoot: readonly number[], unknowns: number): number[] =>
  Array.from({ length: unknowns }, (_, j) => {
    let squares = 0;
    for (let i = 0; i < rows.length; i++) squares += (rows[i]!.design[j]! * weightRoot[i]!) ** 2;
    return squares === 0 ? 1 : 2 ** -Math.round(Math.log2(Math.sqrt(squares)));
  });

/**
 * Inverse of an upper triangle, or undefined where its condition number is beyond
 * `largestCondition`.
 */
const invertUpper = (upper: Matrix, size: number): Matrix | undefined => {
  const inverse = Matrix.zeros(size, size);
  let norm = 0;
  let inverseNorm = 0;
  for (let j = 0; j < size; j++) {
    const pivot = upper.get(j, j);
    if (pivot === 0) return undefined;
    inverse.set(j, j, 1 / pivot);
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0;
      for (let k = i + 1; k <= j; k++) sum += upper.get(i, k) * inverse.get(k, j);
      inverse.set(i, j, -sum / upper.get(i, i));
    }
    for (let i = 0; i <= j; i++) {
      norm += upper.get(i, j) ** 2;
      inverseNorm += inverse.get(i, j) ** 2;
    }
  }
  return Math.sqrt(norm * inverseNorm) < largestCondition ? inverse : undefined;
};

const deficient = (scaled: Matrix, unknowns: number): RankDeficient => {
  if (scaled.rows === 0) return { ok: false, rank: 0, deficiency: unknowns };
  const singular = new SingularValueDecomposition(scaled, { autoTranspose: true }).diagonal;
  const largest = Math.max(...singular);
  const rank = Math.min(
    unknowns - 1,
    singular.filter((s) => s > 0 && s * largestCondition >= largest * Math.sqrt(unknowns)).length,
  );
  return { ok: false, rank, deficiency: unknowns - rank };
};

const checkRows = (rows: readonly Row[], unknowns: number): void => {
  if (!Number.isInteger(unknowns) || unknowns < 1)
    throw new RangeError(`unknowns is ${unknowns}, expected >= 1`);
  rows.forEach((row, i) => {
    if (row.design.length !== unknowns)
      throw new RangeError(`row ${i} has ${row.design.length} coefficients, expected ${unknowns}`);
    if (!(row.sd > 0 && Number.isFinite(row.sd)))
      throw new RangeError(`row ${i} has the sd ${row.sd}, expected a finite number above 0`);
    if (!Number.isFinite(row.observed) || !row.design.every(Number.isFinite))
      throw new RangeError(`row ${i} holds a number that is not finite`);
  });
};
