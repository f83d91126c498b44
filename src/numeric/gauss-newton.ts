/** Non-linear least squares by Gauss-Newton with step halving, on the core of least-squares.ts. */
import { type RankDeficient, type Row, type Solved, solve } from './least-squares.js';

/**
 * `State` is whatever the caller adjusts. Every kind of observation joins by adding its rows:
 * `observed` is observed minus computed at the state, `design` the gradient of the computed value
 * by the unknowns there.
 */
export interface Problem<State> {
  readonly start: State;
  readonly unknowns: number;
  readonly rowsAt: (state: State) => readonly Row[];
  readonly step: (state: State, change: readonly number[]) => State;
  /**
   * The Gauss-Newton change corrected for the curvature of the model, where the caller knows it.
   * Without it the iteration is slow, or fails, where residuals are as large as the part.
   */
  readonly curved?: (state: State, solved: Solved) => readonly number[];
  /** Size of a change in the caller's units, to be compared with `negligible`. */
  readonly size: (change: readonly number[]) => number;
  readonly negligible: number;
  /** Default 50. */
  readonly mostSteps?: number;
}

export type Adjusted<State> =
  | { readonly ok: true; readonly state: State; readonly solved: Solved; readonly steps: number }
  | { readonly ok: false; readonly why: 'rank'; readonly deficient: RankDeficient }
  | { readonly ok: false; readonly why: 'no-convergence'; readonly steps: number; readonly lastSize: number };

/**
 * Iterates until a step is negligible. The returned `solved` belongs to the returned state: its
 * residuals, cofactor and redundancy numbers are those at the solution, its `solution` is
 * negligible.
 */
export const gaussNewton = <State>(problem: Problem<State>): Adjusted<State> => {
  const { unknowns, rowsAt, step, curved, size, negligible, mostSteps = 50 } = problem;
  let state = problem.start;
  let rows = rowsAt(state);
  let lastSize = Number.POSITIVE_INFINITY;
  for (let steps = 0; steps <= mostSteps; steps++) {
    // Each step starts from exact misclosures at the state, so the iteration is its own refinement.
    const solved = solve(rows, unknowns, { refine: false });
    if (!solved.ok) return { ok: false, why: 'rank', deficient: solved };
    const change = curved?.(state, solved) ?? solved.solution;
    lastSize = size(change);
    if (lastSize <= negligible) return { ok: true, state, solved, steps };
    const before = weightedSquares(rows);
    let share = 1;
    for (;;) {
      const next = step(
        state,
        change.map((value) => value * share),
      );
      const nextRows = rowsAt(next);
      // Next to the solution rounding alone may raise the sum; that is no reason to shorten a step.
      const close = lastSize <= 1e4 * negligible;
      if (close || weightedSquares(nextRows) <= before || share < 1e-3) {
        state = next;
        rows = nextRows;
        break;
      }
      share /= 2;
    }
  }
  return { ok: false, why: 'no-convergence', steps: mostSteps, lastSize };
};

/** Sum of (observed / sd)^2. */
export const weightedSquares = (rows: readonly Row[]): number => {
  let sum = 0;
  for (const row of rows) sum += (row.observed / row.sd) ** 2;
  return sum;
};
