/** A placement adjusted to matched points: the engine behind `adjust` and behind every what-if about a reading. */
import type { Point } from '../../geometry/point.js';
import { subtract } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import { type Adjusted, gaussNewton } from '../../numeric/gauss-newton.js';
import type { Row, Solved } from '../../numeric/least-squares.js';
import { linearPart, type Pair, weightedMean } from './closed-form.js';
import { changed, jacobianAt, type Placement, placed, unknownsOf } from './placement.js';

/** Design and mean reading of one mark, with the sd of that mean per axis, mm. */
export interface MarkPair {
  readonly from: Point;
  readonly to: Point;
  readonly sd: Point;
}

/** One coordinate of one reading to leave out of the adjustment. */
export interface LeftOutRow {
  readonly mark: number;
  readonly axis: 'x' | 'y';
}

export type MarkFit =
  | { readonly ok: true; readonly placement: Placement; readonly solved: Solved }
  | { readonly ok: false; readonly why: 'no-turn' | 'rank' | 'no-convergence' };

/**
 * Weighted least squares from the closed form to full convergence, in coordinates centred on both sides. The rows
 * of `solved` are x and y of each pair in order, less the one left out.
 */
export const fitMarks = (model: Model, marks: readonly MarkPair[], leftOut?: LeftOutRow): MarkFit => {
  const pairs = marks.map(
    ({ from, to, sd }, i): Pair => ({
      from,
      to,
      // The left-out coordinate spoils the start at its mark; the start does without the mark where it can.
      weight: i === leftOut?.mark && marks.length > 2 ? 0 : 1 / (sd.x * sd.y),
    }),
  );
  const centre = weightedMean(pairs, 'from');
  const bedCentre = weightedMean(pairs, 'to');
  const centred = pairs.map((pair) => ({
    from: subtract(pair.from, centre),
    to: subtract(pair.to, bedCentre),
    weight: pair.weight,
  }));
  const linear = linearPart(model, centred) ?? (leftOut === undefined ? undefined : [1, 0, 0, 1]);
  if (linear === undefined) return { ok: false, why: 'no-turn' };

  const adjusted: Adjusted<Placement> = gaussNewton<Placement>({
    start: { model, centre: { x: 0, y: 0 }, anchor: { x: 0, y: 0 }, linear },
    unknowns: unknownsOf[model],
    rowsAt: (placement) => markRows(placement, centred, marks, leftOut),
    step: changed,
    ...(model === 'rigid' ? { curved: (at, solved) => newtonTurn(at, solved, centred, marks, leftOut) } : {}),
    ...stepSize(model, centred),
  });
  if (!adjusted.ok) return { ok: false, why: adjusted.why };
  const { state, solved } = adjusted;
  const anchor = { x: bedCentre.x + state.anchor.x, y: bedCentre.y + state.anchor.y };
  return { ok: true, placement: { ...state, centre, anchor }, solved };
};

/** A reading on a mark gives two rows, x and y. Other kinds of observation append theirs in the same form. */
const markRows = (
  placement: Placement,
  pairs: readonly Pair[],
  marks: readonly MarkPair[],
  leftOut: LeftOutRow | undefined,
): Row[] => {
  const rows: Row[] = [];
  for (let i = 0; i < pairs.length; i++) {
    const { from, to } = pairs[i]!;
    const { sd } = marks[i]!;
    const at = placed(placement, from);
    const gradient = jacobianAt(placement, from);
    if (i !== leftOut?.mark || leftOut.axis !== 'x')
      rows.push({ design: gradient.x, observed: to.x - at.x, sd: sd.x });
    if (i !== leftOut?.mark || leftOut.axis !== 'y')
      rows.push({ design: gradient.y, observed: to.y - at.y, sd: sd.y });
  }
  return rows;
};

/**
 * Newton's step for a rigid placement. Only the turn is curved: its second derivative adds c = sum (w residual .
 * arm) to the reduced normal equation of the turn, 1 / cofactor; the shift follows the turn along the cofactors.
 */
const newtonTurn = (
  placement: Placement,
  { solution, cofactor }: Solved,
  pairs: readonly Pair[],
  marks: readonly MarkPair[],
  leftOut: LeftOutRow | undefined,
): readonly number[] => {
  let curvature = 0;
  for (let i = 0; i < pairs.length; i++) {
    const { from, to } = pairs[i]!;
    const { sd } = marks[i]!;
    const at = placed(placement, from);
    for (const axis of ['x', 'y'] as const) {
      if (i === leftOut?.mark && axis === leftOut.axis) continue;
      const arm = at[axis] - placement.anchor[axis];
      curvature += ((to[axis] - at[axis]) / sd[axis]) * (arm / sd[axis]);
    }
  }
  const [shiftX, shiftY, turn] = solution as [number, number, number];
  const variance = cofactor[2]![2]!;
  const stretch = 1 + curvature * variance;
  // Beyond a quarter turn from the solution the curvature points the wrong way; the plain step does better there.
  if (!(stretch > 0.1)) return solution;
  const correction = turn / stretch - turn;
  return [
    shiftX + (cofactor[0]![2]! / variance) * correction,
    shiftY + (cofactor[1]![2]! / variance) * correction,
    turn + correction,
  ];
};

/**
 * A step's size is how far it moves the farthest mark; negligible is what rounding moves it anyway. An affine step may turn
 * about a line that all marks lie near and move none of them: taken by its values it would never be negligible.
 */
const stepSize = (
  model: Model,
  pairs: readonly Pair[],
): { size: (change: readonly number[]) => number; negligible: number } => {
  let reach = 1;
  for (const { from, to } of pairs)
    reach = Math.max(reach, Math.hypot(from.x, from.y), Math.hypot(to.x, to.y));
  return {
    size: (change) => {
      const shift = Math.hypot(change[0]!, change[1]!);
      if (model === 'affine') {
        const [, , a, b, c, d] = change as [number, number, number, number, number, number];
        return (
          shift + Math.max(...pairs.map(({ from: { x, y } }) => Math.hypot(a * x + c * y, b * x + d * y)))
        );
      }
      return shift + reach * Math.hypot(...change.slice(2));
    },
    negligible: 2e-14 * reach,
  };
};
