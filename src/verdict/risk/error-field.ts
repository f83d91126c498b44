/** The displacement that may lie between where the part is thought to be and where it is, as a random field. */
import type { Fit } from '../../fit/fit.js';
import { positionJacobian } from '../../fit/solve/position.js';
import { apply, invert, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';

/** A 2 x 2 matrix [xx, xy, yx, yy]. */
export type Lever = readonly [xx: number, xy: number, yx: number, yy: number];

/**
 * d(p) = shift + sum over k of t_k L_k (p - centre), p in true bed mm: what errors of the unknowns do anywhere on the
 * part. Every model is linear in p, so a shift and at most four lever coefficients t_k describe the whole field, errors of
 * the machine that are not the same everywhere included.
 */
export interface ErrorField {
  readonly centre: Point;
  /** L_k: none for a shift, one for rigid, two for similarity, four for affine or with errors of the machine. */
  readonly levers: readonly Lever[];
  /** Covariance of (shift x, shift y, t_1 ... t_K), mm and 1, from the fit: a scale matrix where `degrees` is given. */
  readonly covariance: readonly (readonly number[])[];
  /** Radii of round edges that the same fit found, and that are off together with it (rims.ts); absent: none. */
  readonly rims?: RimErrors;
  /** What is added to it by the machine, of the same size; its sds count as known. */
  readonly known?: readonly (readonly number[])[];
  /** Degrees of freedom of the fit's sd; undefined: known. */
  readonly degrees?: number;
  /** sd of the machine on this cut, mm per axis, one shift for the whole job. */
  readonly cutSd: number;
  /** sd of half the kerf, mm, one value for the whole job. */
  readonly halfKerfSd: number;
}

/** mm and 1, of the same scale as the fit's covariance. */
export interface RimErrors {
  /** For each radius its covariances with (shift x, shift y, t_1 ... t_K). */
  readonly cross: readonly (readonly number[])[];
  readonly covariance: readonly (readonly number[])[];
}

export interface CutUncertainty {
  /** mm per axis; 0: none. */
  readonly cutSd: number;
  /** sd of the kerf's full width, mm; 0: none. */
  readonly kerfSd: number;
  /** Independent errors of the machine, each the displacement of bed points, mm, that one sd of it causes. */
  readonly machine?: readonly Matrix[];
  /** Count the radii that the fit has found as uncertain, too: for edges that are such rims. */
  readonly rims?: boolean;
}

/** What is needed of a fit here: a plan has it before anything was read. */
export type FieldOfFit = Pick<Fit, 'model' | 'matrix' | 'centre' | 'covariance' | 'sd'> &
  Partial<Pick<Fit, 'rimCovariance'>>;

/**
 * Undefined when the fit claims no uncertainty. An estimated sd of exactly zero claims none either: readings rounded
 * to the display agree by accident.
 */
export const errorField = (fit: FieldOfFit, cut: CutUncertainty): ErrorField | undefined => {
  const { covariance } = fit;
  if (covariance === undefined || fit.sd.used === 0) return undefined;
  const { vectors, levers } = basisOf(fit);
  const unknowns = covariance.length;
  const leverIndex = levers.flatMap((lever, k) => (lever === undefined ? [] : [k]));
  // Rows: shift x, shift y at the centre, then the unknowns that act through a lever.
  const rows = [
    vectors.map((v) => v.x),
    vectors.map((v) => v.y),
    ...leverIndex.map((k) => Array.from({ length: unknowns }, (_, i) => (i === k ? 1 : 0))),
  ];
  const scaled = rows.map((row) => covariance.map((column) => product(row, column)));
  const machine = cut.machine ?? [];
  const centre = apply(fit.matrix, fit.centre);
  const own = scaled.map((row) => [...rows.map((other) => product(row, other)), ...machine.map(() => 0)]);
  const field: ErrorField = {
    centre,
    levers: [...leverIndex.map((k) => levers[k]!), ...machine.map(([a, b, c, d]): Lever => [a, c, b, d])],
    covariance: [...own, ...machine.map(() => Array.from({ length: rows.length + machine.length }, () => 0))],
    ...(machine.length === 0 ? {} : { known: machineCovariance(machine, centre, rows.length) }),
    ...rimErrors(fit, cut, rows),
    ...(fit.sd.usedDof === undefined ? {} : { degrees: fit.sd.usedDof }),
    cutSd: cut.cutSd,
    halfKerfSd: cut.kerfSd / 2,
  };
  return machine.length === 0 ? field : withUnitLevers(field);
};

const rimErrors = (
  { covariance, rimCovariance }: FieldOfFit,
  { rims, machine = [] }: CutUncertainty,
  rows: readonly (readonly number[])[],
): Pick<ErrorField, 'rims'> => {
  if (rims !== true || rimCovariance === undefined || covariance === undefined) return {};
  const unknowns = covariance.length;
  const ofRims = rimCovariance.slice(unknowns);
  return {
    rims: {
      cross: ofRims.map((one) => [...rows.map((row) => product(row, one)), ...machine.map(() => 0)]),
      covariance: ofRims.map((one) => one.slice(unknowns)),
    },
  };
};

/** The same field with one lever for each entry of a 2 x 2 matrix: however many errors there are, four levers hold them. */
const withUnitLevers = (field: ErrorField): ErrorField => {
  const { levers, covariance, known } = field;
  const rows = [
    [1, 0, ...levers.map(() => 0)],
    [0, 1, ...levers.map(() => 0)],
    ...[0, 1, 2, 3].map((entry) => [0, 0, ...levers.map((lever) => lever[entry]!)]),
  ];
  const carried = (matrix: readonly (readonly number[])[]): number[][] => {
    const half = rows.map((row) => matrix.map((column) => product(row, column)));
    return half.map((row) => rows.map((other) => product(row, other)));
  };
  return {
    ...field,
    levers: [
      [1, 0, 0, 0],
      [0, 1, 0, 0],
      [0, 0, 1, 0],
      [0, 0, 0, 1],
    ],
    covariance: carried(covariance),
    ...(field.rims === undefined
      ? {}
      : {
          rims: {
            ...field.rims,
            cross: field.rims.cross.map((one) => rows.map((row) => product(row, one))),
          },
        }),
    ...(known === undefined ? {} : { known: carried(known) }),
  };
};

/** Each error is one number of sd 1: it moves the centre, and acts through its own lever, the ones behind the fit's. */
const machineCovariance = (machine: readonly Matrix[], centre: Point, fitRows: number): number[][] => {
  const effects = machine.map((m, i) => {
    const { x, y } = apply(m, centre);
    return Array.from({ length: fitRows + machine.length }, (_, row) =>
      row === 0 ? x : row === 1 ? y : row === fitRows + i ? 1 : 0,
    );
  });
  return Array.from({ length: fitRows + machine.length }, (_, i) =>
    Array.from({ length: fitRows + machine.length }, (_, j) =>
      effects.reduce((sum, effect) => sum + effect[i]! * effect[j]!, 0),
    ),
  );
};

/** Of the fit and of the machine together; the cut's own shift and the kerf come on top. */
export const wholeCovariance = ({ covariance, known }: ErrorField): readonly (readonly number[])[] =>
  known === undefined ? covariance : covariance.map((row, i) => row.map((value, j) => value + known[i]![j]!));

const product = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, v, i) => sum + v * b[i]!, 0);

/** For each unknown the shift it causes at the centre and its lever, undefined where it has none. */
const basisOf = (
  fit: Pick<Fit, 'model' | 'matrix' | 'centre'>,
): { vectors: Point[]; levers: (Lever | undefined)[] } => {
  const reach = 1000;
  const { centre } = fit;
  const inverse = invert(fit.matrix);
  const at = positionJacobian(fit, centre);
  const right = positionJacobian(fit, { x: centre.x + reach, y: centre.y });
  const above = positionJacobian(fit, { x: centre.x, y: centre.y + reach });
  const vectors: Point[] = [];
  const levers: (Lever | undefined)[] = [];
  for (let k = 0; k < at.x.length; k++) {
    vectors.push({ x: at.x[k]!, y: at.y[k]! });
    // By the design point first, then by the bed point through the inverse of the placement.
    const xu = (right.x[k]! - at.x[k]!) / reach;
    const xv = (above.x[k]! - at.x[k]!) / reach;
    const yu = (right.y[k]! - at.y[k]!) / reach;
    const yv = (above.y[k]! - at.y[k]!) / reach;
    if ((xu === 0 && xv === 0 && yu === 0 && yv === 0) || inverse === undefined) levers.push(undefined);
    else {
      const [a, b, c, d] = inverse;
      levers.push([xu * a + xv * b, xu * c + xv * d, yu * a + yv * b, yu * c + yv * d]);
    }
  }
  return { vectors, levers };
};

/** The displacement of bed points, mm, that a small change of the fit's unknowns causes: p -> d(p), an affine map. */
export const displacementOf = (
  fit: Pick<Fit, 'model' | 'matrix' | 'centre'>,
  change: readonly number[],
): Matrix => {
  const { vectors, levers } = basisOf(fit);
  const centre = apply(fit.matrix, fit.centre);
  let [a, b, c, d, e, f]: Matrix = [0, 0, 0, 0, 0, 0];
  change.forEach((t, k) => {
    const [xx, xy, yx, yy] = levers[k] ?? [0, 0, 0, 0];
    a += t * xx;
    b += t * yx;
    c += t * xy;
    d += t * yy;
    e += t * (vectors[k]!.x - xx * centre.x - xy * centre.y);
    f += t * (vectors[k]!.y - yx * centre.x - yy * centre.y);
  });
  return [a, b, c, d, e, f];
};

/**
 * The coefficients of n . d at a bed point: n . d = first . (shift x, shift y) + rest . t. With the covariance of
 * the field they give the sd of the approach.
 */
export const approachCoefficients = (field: ErrorField, p: Point, normal: Point): number[] => {
  const x = p.x - field.centre.x;
  const y = p.y - field.centre.y;
  return [
    normal.x,
    normal.y,
    ...field.levers.map(([xx, xy, yx, yy]) => normal.x * (xx * x + xy * y) + normal.y * (yx * x + yy * y)),
  ];
};
