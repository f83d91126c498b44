import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { plainDot, preciseDot } from '../../src/numeric/double-double.js';
import { gaussNewton } from '../../src/numeric/gauss-newton.js';
import { type Row, type Solved, solve } from '../../src/numeric/least-squares.js';
import { createRandom } from '../../src/numeric/random.js';

const solved = (rows: readonly Row[], unknowns: number): Solved => {
  const result = solve(rows, unknowns);
  if (!result.ok) throw new Error(`rank ${result.rank}`);
  return result;
};

const randomRows = (seed: number, count: number, unknowns: number): Row[] => {
  const random = createRandom(seed);
  return Array.from({ length: count }, () => ({
    design: Array.from({ length: unknowns }, () => random.normal()),
    observed: 10 * random.normal(),
    sd: 0.1 + random.uniform(),
  }));
};

describe('sums of products in twice the precision', () => {
  it('keeps what plain summation loses to cancellation', () => {
    // 1e16 + 1 - 1e16 and products whose low halves matter; exact: 1 + 2^-60.
    const a = [1e8, 1, 1 + 2 ** -30, -1e8, -1];
    const b = [1e8, 1, 1 - 2 ** -30, 1e8, 1];
    expect(preciseDot(a, b)).toBe(1 - 2 ** -60);
    expect(preciseDot(a, b, 2 ** 60, -(2 ** 60))).toBe(1 - 2 ** -60);
    expect(plainDot(a, b, 2 ** 60, -(2 ** 60))).not.toBe(preciseDot(a, b, 2 ** 60, -(2 ** 60)));
  });
});

describe('weighted least squares', () => {
  it('redundancy numbers lie between 0 and 1 and sum to the redundancy', () => {
    fc.assert(
      fc.property(
        fc.integer(),
        fc.integer({ min: 1, max: 5 }),
        fc.integer({ min: 0, max: 7 }),
        (seed, unknowns, more) => {
          const result = solved(randomRows(seed, unknowns + more, unknowns), unknowns);
          const sum = result.redundancyNumbers.reduce((a, b) => a + b, 0);
          expect(sum).toBeCloseTo(more, 9);
          for (const number of result.redundancyNumbers) {
            expect(number).toBeGreaterThanOrEqual(0);
            expect(number).toBeLessThanOrEqual(1);
          }
          expect(result.redundancy).toBe(more);
        },
      ),
      { seed: 20261125, numRuns: 100 },
    );
  });

  it('weighted residuals are square to every column of the design', () => {
    const rows = randomRows(5, 12, 4);
    const { residuals } = solved(rows, 4);
    for (let j = 0; j < 4; j++) {
      const product = rows.reduce((sum, row, i) => sum + (row.design[j]! * residuals[i]!) / row.sd ** 2, 0);
      expect(Math.abs(product)).toBeLessThan(1e-12);
    }
  });

  it('an observation repeated with the same sd counts like one with the sd divided by root two', () => {
    const rows = randomRows(6, 8, 3);
    const twice = solved([...rows, rows[2]!], 3);
    const once = solved(
      rows.map((row, i) => (i === 2 ? { ...row, sd: row.sd / Math.SQRT2 } : row)),
      3,
    );
    twice.solution.forEach((value, j) => {
      expect(value).toBeCloseTo(once.solution[j]!, 12);
    });
    expect(twice.cofactor[1]![1]).toBeCloseTo(once.cofactor[1]![1]!, 12);
  });

  it('gives back digits that bad conditioning takes from a plain solution', () => {
    // Powers of x up to 7 on 1..2: condition about 1e7; the right hand side is exact for coefficients of 1.
    const rows = Array.from({ length: 9 }, (_, i) => {
      const x = 1 + i / 8;
      const design = Array.from({ length: 8 }, (_, k) => x ** k);
      return { design, observed: preciseDot(design, new Array(8).fill(1)), sd: 1 };
    });
    const worst = ({ solution }: Solved) => Math.max(...solution.map((value) => Math.abs(value - 1)));
    const refined = worst(solved(rows, 8));
    const plain = solve(rows, 8, { refine: false });
    if (!plain.ok) throw new Error('rank');
    // What is left is the rounding of the right hand sides themselves, magnified by the condition.
    expect(refined).toBeLessThan(worst(plain) / 2);
    expect(refined).toBeLessThan(1e-6);
  });

  it('columns of very different size cost nothing', () => {
    const rows = randomRows(7, 9, 3);
    const stretched = rows.map((row) => ({
      ...row,
      design: [row.design[0]! * 1e9, row.design[1]!, row.design[2]! * 1e-9],
    }));
    const a = solved(rows, 3).solution;
    const b = solved(stretched, 3).solution;
    expect(b[0]! * 1e9).toBeCloseTo(a[0]!, 11);
    expect(b[1]).toBeCloseTo(a[1]!, 11);
    expect(b[2]! * 1e-9).toBeCloseTo(a[2]!, 11);
  });

  it('rows that do not determine the unknowns are a value with the rank, not an exception', () => {
    const row = (x: number, y: number): Row => ({ design: [x, y, x + y], observed: 1, sd: 1 });
    expect(solve([row(1, 0), row(0, 1), row(2, 5), row(3, 1)], 3)).toEqual({
      ok: false,
      rank: 2,
      deficiency: 1,
    });
    expect(solve([row(1, 0)], 3)).toEqual({ ok: false, rank: 1, deficiency: 2 });
    expect(solve([], 3)).toEqual({ ok: false, rank: 0, deficiency: 3 });
    expect(solve([{ design: [0, 0], observed: 1, sd: 1 }], 2)).toEqual({ ok: false, rank: 0, deficiency: 2 });
  });

  it('mistakes of the programmer are exceptions that say what was found', () => {
    const good: Row = { design: [1, 2], observed: 1, sd: 1 };
    expect(() => solve([good, { ...good, sd: 0 }], 2)).toThrow(
      'row 1 has the sd 0, expected a finite number above 0',
    );
    expect(() => solve([{ ...good, design: [1] }], 2)).toThrow('row 0 has 1 coefficients, expected 2');
    expect(() => solve([{ ...good, observed: Number.NaN }], 2)).toThrow(
      'row 0 holds a number that is not finite',
    );
    expect(() => solve([good], 0)).toThrow('unknowns is 0, expected >= 1');
  });
});

describe('Gauss-Newton', () => {
  // Distances to three known points: every kind of observation joins as rows of misclosure and gradient.
  const stations = [
    [0, 0],
    [100, 0],
    [0, 80],
  ] as const;
  const problem = (observed: readonly number[]) => ({
    start: [50, 50] as readonly [number, number],
    unknowns: 2,
    rowsAt: ([x, y]: readonly [number, number]): Row[] =>
      stations.map(([sx, sy], i) => {
        const d = Math.hypot(x - sx, y - sy);
        return { design: [(x - sx) / d, (y - sy) / d], observed: observed[i]! - d, sd: 0.1 };
      }),
    step: ([x, y]: readonly [number, number], [dx, dy]: readonly number[]) => [x + dx!, y + dy!] as const,
    size: (change: readonly number[]) => Math.hypot(change[0]!, change[1]!),
    negligible: 1e-12,
  });

  it('finds a point from distances, with residuals and cofactor at the solution', () => {
    const exact = stations.map(([x, y]) => Math.hypot(30 - x, 20 - y));
    const found = gaussNewton(problem(exact));
    if (!found.ok) throw new Error(found.why);
    expect(found.state[0]).toBeCloseTo(30, 10);
    expect(found.state[1]).toBeCloseTo(20, 10);
    expect(found.solved.redundancyNumbers.reduce((a, b) => a + b, 0)).toBeCloseTo(1, 10);
    expect(found.solved.weightedSquares).toBeLessThan(1e-18);
  });

  it('not settling within the steps allowed is a value that says so', () => {
    const found = gaussNewton({ ...problem([36, 73, 67]), mostSteps: 1 });
    expect(found).toMatchObject({ ok: false, why: 'no-convergence', steps: 1 });
  });

  it('a rank-deficient problem is a value that says so', () => {
    const flat = { ...problem([1, 2, 3]), rowsAt: () => [{ design: [1, 1], observed: 1, sd: 1 }] };
    expect(gaussNewton(flat)).toMatchObject({
      ok: false,
      why: 'rank',
      deficient: { rank: 1, deficiency: 1 },
    });
  });
});
