/**
 * What the job said beforehand of shift, turn, size and kerf of its cut, and whether what was measured lies in that
 * distribution: D' V^-1 D with V of prediction and measurement together, D brought as near to nothing as the bounds of common
 * errors allow. Parts of V that are estimated give it degrees of freedom (Y. Yao, Biometrika 52 (1965), from memory), and
 * Hotelling's F follows.
 */
import type { Point } from '../geometry/point.js';
import { fCdf } from '../numeric/distributions.js';
import { solve } from '../numeric/least-squares.js';
import { type Displacement, displacedBy } from '../verdict/risk/displacement.js';
import type { ErrorField } from '../verdict/risk/error-field.js';
import type { Bounded } from '../verdict/risk/vertices.js';
import { type CutError, errorNames } from './cut-error.js';

export interface Predicted {
  /** Of (x, y, turn, size, kerf) about the centre: what is estimated, with its degrees of freedom, and what is known. */
  readonly fromFit: readonly (readonly number[])[];
  /** Degrees of freedom behind `fromFit`; undefined: known. */
  readonly dof?: number;
  readonly known: readonly (readonly number[])[];
  /** Of `known` all but the cut's own shift and kerf: the map of the bed. */
  readonly placing: readonly (readonly number[])[];
  /** What bounded common errors do to (x, y, turn, size, kerf), each from -1 to 1 times this. */
  readonly bounded: readonly (readonly number[])[];
  /** And a shift of at most this, mm, to any side. */
  readonly anyDirection: number;
}

/** @param kerfSd of the kerf's full width, mm */
export const predictedOf = (field: ErrorField, bounded: Bounded, centre: Point): Predicted => {
  const arm = { x: centre.x - field.centre.x, y: centre.y - field.centre.y };
  const rows = [
    [1, 0, ...field.levers.map(([xx, xy]) => xx * arm.x + xy * arm.y)],
    [0, 1, ...field.levers.map(([, , yx, yy]) => yx * arm.x + yy * arm.y)],
    [0, 0, ...field.levers.map(([, xy, yx]) => (yx - xy) / 2)],
    [0, 0, ...field.levers.map(([xx, , , yy]) => (xx + yy) / 2)],
    [0, 0, ...field.levers.map(() => 0)],
  ];
  const carried = (matrix: readonly (readonly number[])[]): number[][] => {
    const half = rows.map((row) => matrix.map((column) => product(row, column)));
    return half.map((row) => rows.map((other) => product(row, other)));
  };
  const none = errorNames.map(() => errorNames.map(() => 0));
  const known = field.known === undefined ? none : carried(field.known);
  const ofCut = [field.cutSd ** 2, field.cutSd ** 2, 0, 0, (2 * field.halfKerfSd) ** 2];
  return {
    fromFit: carried(field.covariance),
    ...(field.degrees === undefined ? {} : { dof: field.degrees }),
    placing: known,
    known: known.map((row, i) => row.map((v, j) => v + (i === j ? ofCut[i]! : 0))),
    bounded: bounded.generators.map((one) => asErrors(one, centre)),
    anyDirection: bounded.anyDirection,
  };
};

/** Shift, turn and size of a displacement about the centre; what it bends counts by its slope there. */
const asErrors = (one: Displacement, centre: Point): number[] => {
  const h = 1;
  const at = displacedBy(one, centre);
  const [right, left] = [h, -h].map((d) => displacedBy(one, { x: centre.x + d, y: centre.y }));
  const [above, below] = [h, -h].map((d) => displacedBy(one, { x: centre.x, y: centre.y + d }));
  const xx = (right!.x - left!.x) / (2 * h);
  const yx = (right!.y - left!.y) / (2 * h);
  const xy = (above!.x - below!.x) / (2 * h);
  const yy = (above!.y - below!.y) / (2 * h);
  return [at.x, at.y, (yx - xy) / 2, (xx + yy) / 2, 0];
};

const product = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, i) => sum + v * b[i]!, 0);

/** sds of the prediction, by `errorNames`; bounds apart. */
export const predictedSds = ({ fromFit, known }: Predicted): number[] =>
  errorNames.map((_, k) => Math.sqrt(fromFit[k]![k]! + known[k]![k]!));

/** How far bounded errors reach, by `errorNames`. */
export const predictedBounds = ({ bounded, anyDirection }: Predicted): number[] =>
  errorNames.map((_, k) => bounded.reduce((sum, one) => sum + Math.abs(one[k]!), k < 2 ? anyDirection : 0));

export interface Agreement {
  /** The weighted square of what was found, in the measure of prediction and measurement together. */
  readonly statistic: number;
  /** Errors that the gaps tell. */
  readonly errors: number;
  /** Undefined: the sds behind it are known. */
  readonly dof?: number;
  readonly pValue: number;
}

/** Undefined where neither measurement nor prediction claims an uncertainty, or too few degrees of freedom are behind them. */
export const agreementOf = (
  error: CutError,
  predicted: Predicted,
  only: readonly boolean[] = error.told,
): Agreement | undefined => {
  if (error.covariance === undefined) return undefined;
  const of = errorNames.flatMap((_, k) => (only[k] && error.told[k] ? [k] : []));
  const p = of.length;
  if (p === 0) return undefined;
  const parts = [
    { matrix: error.covariance, dof: error.sd.dof },
    { matrix: predicted.fromFit, dof: predicted.dof },
    { matrix: predicted.known, dof: undefined },
  ];
  const sum = of.map((i) => of.map((j) => parts.reduce((s, { matrix }) => s + matrix[i]![j]!, 0)));
  const inverse = inverseOf(sum);
  if (inverse === undefined) return undefined;
  const difference = nearest(
    of.map((k) => error.values[k]!),
    of,
    predicted,
    inverse,
  );
  const weighted = inverse.map((row) => product(row, difference));
  const statistic = product(difference, weighted);
  // The share of each part in the statistic.
  const spread = product(
    weighted,
    sum.map((row) => product(row, weighted)),
  );
  let rate = 0;
  for (const { matrix, dof } of parts) {
    if (dof === undefined) continue;
    const own = product(
      weighted,
      of.map((i) => of.reduce((s, j, c) => s + matrix[i]![j]! * weighted[c]!, 0)),
    );
    rate += spread === 0 ? 0 : (own / spread) ** 2 / dof;
  }
  const dof = rate === 0 ? undefined : 1 / rate;
  if (dof !== undefined && dof - p + 1 < 1) return undefined;
  const f = dof === undefined ? statistic / p : (statistic * (dof - p + 1)) / (dof * p);
  const pValue = 1 - fCdf(f, p, dof === undefined ? undefined : dof - p + 1);
  return { statistic, errors: p, ...(dof === undefined ? {} : { dof }), pValue };
};

/** The difference less what bounded errors may make of it: the least weighted square, one generator after the other. */
const nearest = (
  values: readonly number[],
  of: readonly number[],
  { bounded, anyDirection }: Predicted,
  inverse: readonly (readonly number[])[],
): number[] => {
  const steps = bounded.map((one) => of.map((k) => one[k]!));
  const shift = of.map((k) => (k === 0 ? 1 : 0));
  const across = of.map((k) => (k === 1 ? 1 : 0));
  const taken = steps.map(() => 0);
  const free = { x: 0, y: 0 };
  let rest = [...values];
  const gain = (step: readonly number[]): number => {
    const weighted = inverse.map((row) => product(row, step));
    const size = product(step, weighted);
    return size === 0 ? 0 : product(rest, weighted) / size;
  };
  const move = (step: readonly number[], by: number): void => {
    rest = rest.map((v, i) => v - by * step[i]!);
  };
  // Convex: each round lowers the square; so many are far more than a handful of generators takes.
  for (let round = 0; round < 200; round += 1) {
    let moved = 0;
    steps.forEach((step, i) => {
      const to = Math.min(1, Math.max(-1, taken[i]! + gain(step)));
      moved = Math.max(moved, Math.abs(to - taken[i]!));
      move(step, to - taken[i]!);
      taken[i] = to;
    });
    if (anyDirection > 0) {
      const before = { ...free };
      const wanted = { x: free.x + gain(shift), y: 0 };
      move(shift, wanted.x - free.x);
      wanted.y = free.y + gain(across);
      move(across, wanted.y - free.y);
      const size = Math.hypot(wanted.x, wanted.y);
      const within = size > anyDirection ? anyDirection / size : 1;
      free.x = wanted.x * within;
      free.y = wanted.y * within;
      move(shift, free.x - wanted.x);
      move(across, free.y - wanted.y);
      moved = Math.max(moved, Math.hypot(free.x - before.x, free.y - before.y) / anyDirection);
    }
    if (moved < 1e-9) break;
  }
  return rest;
};

/** Undefined for a matrix that has none. */
export const inverseOf = (matrix: readonly (readonly number[])[]): number[][] | undefined => {
  const n = matrix.length;
  const rows = matrix.map((design) => ({ design, observed: 0, sd: 1 }));
  const columns: number[][] = [];
  for (let j = 0; j < n; j += 1) {
    const solved = solve(
      rows.map((row, i) => ({ ...row, observed: i === j ? 1 : 0 })),
      n,
    );
    if (!solved.ok) return undefined;
    columns.push([...solved.solution]);
  }
  return columns[0]!.map((_, i) => columns.map((column) => column[i]!));
};
