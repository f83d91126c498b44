/**
 * What readings to come will leave unknown that more of them do not help: sides of arrival, a habit of the eye, a panel that has
 * changed since, and the bed's map, the part lying as it is drawn.
 */
import { strainsOf } from '../../fit/solve/map-error.js';
import { apply, identity, type Matrix } from '../../geometry/affine.js';
import type { Box, Point } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import { type UnknownSide, unknownOffsetSides, unknownSideOf } from '../../marks/sides.js';
import { bowErrorOf, sizeErrorOf, type TakenUp } from '../../verdict/risk/common-errors.js';
import { type Displacement, shiftBy } from '../../verdict/risk/displacement.js';
import { displacementOf } from '../../verdict/risk/error-field.js';
import type { Bounded } from '../../verdict/risk/vertices.js';
import type { Place } from '../places/place.js';
import { type PlannedFit, type PlannedReadings, rowsAt, sdAt } from './planned-fit.js';

/** mm; as the verdict on the job will take them (verdict/risk/common-errors.ts). */
export interface CommonErrors {
  readonly offsetSides: readonly { readonly x: number; readonly y: number }[];
  readonly pointingBias: number;
  /** Of marks and touches; undefined: known. */
  readonly side?: UnknownSide;
  /** As a share. */
  readonly sizeChange: number;
  readonly bow: number;
  readonly panel: Box;
  /** p -> displacement of readings on the bed, for each figure of the bed's map that is out by one sd. */
  readonly strains: readonly Matrix[];
}

/** @param panel of the outline, or of edges and marks where none is drawn, design frame, mm */
export const commonErrorsOf = (
  { fit, machine, check }: Pick<Job, 'fit' | 'machine' | 'check'>,
  panel: Box,
): CommonErrors => {
  const side = unknownSideOf({ fit, machine });
  return {
    offsetSides: unknownOffsetSides(machine),
    pointingBias: fit.pointingBias ?? 0,
    ...(side === undefined ? {} : { side }),
    sizeChange: check.sizeChange ?? 0,
    bow: check.bow ?? 0,
    panel,
    strains: strainsOf(machine),
  };
};

/** Whether they move all openings alike, so that the one that needs most is the same without them. */
export const isShiftOnly = ({ sizeChange, bow, strains }: CommonErrors): boolean =>
  sizeChange === 0 && bow === 0 && strains.length === 0;

/** How the fit to come moves when each place is read off by e(place). */
const takenUpBy =
  (fit: PlannedFit, places: readonly Place[], readings: PlannedReadings): TakenUp =>
  (e) => {
    const { covariance = [] } = fit;
    const change = covariance.map(() => 0);
    for (const place of places) {
      const off = e(place.at);
      const variance = sdAt(place, readings) ** 2;
      const rows = rowsAt(place, fit.model, fit.centre);
      const seen: readonly (readonly [row: readonly number[], off: number])[] =
        'n' in rows
          ? [[rows.n, along(place, off)]]
          : [
              [rows.x, off.x],
              [rows.y, off.y],
            ];
      for (const [row, size] of seen)
        covariance.forEach((own, i) => {
          change[i]! += (size * own.reduce((sum, value, k) => sum + value * row[k]!, 0)) / variance;
        });
    }
    return displacementOf({ ...fit, matrix: identity }, change);
  };

const along = ({ normal }: Place, { x, y }: Point): number =>
  normal === undefined ? 0 : normal.x * x + normal.y * y;

/** What the fit leaves of the errors of the bed's map, as fit/solve/map-error.ts has it for readings that are there. */
export const machineErrorsOf = (
  { strains }: CommonErrors,
  fit: PlannedFit,
  places: readonly Place[],
  readings: PlannedReadings,
): Matrix[] => {
  const taken = takenUpBy(fit, places, readings);
  return strains.map((strain): Matrix => {
    const [a, b, c, d, e, f] = taken((p) => apply(strain, p));
    return [a - strain[0], b - strain[1], c - strain[2], d - strain[3], e - strain[4], f - strain[5]];
  });
};

export const boundedBy = (
  { offsetSides, pointingBias, side, sizeChange, bow, panel }: CommonErrors,
  fit: PlannedFit,
  places: readonly Place[],
  readings: PlannedReadings,
): Bounded => ({
  generators: [
    ...offsetSides.flatMap(({ x, y }) => [shiftBy(x, 0), shiftBy(0, y)]),
    ...(side === undefined
      ? []
      : [...ofSides(side, 'x', fit, places, readings), ...ofSides(side, 'y', fit, places, readings)]),
    ...(sizeChange > 0 ? [sizeErrorOf(takenUpBy(fit, places, readings), sizeChange)] : []),
    ...(bow > 0 ? [bowErrorOf(takenUpBy(fit, places, readings), identity, bow, panel)] : []),
  ],
  anyDirection: pointingBias,
});

/** All places from one unknown side, or each from its own. */
const ofSides = (
  side: UnknownSide,
  axis: 'x' | 'y',
  fit: PlannedFit,
  places: readonly Place[],
  readings: PlannedReadings,
): Displacement[] => {
  const { covariance } = fit;
  if (covariance === undefined || side[axis] === 0) return [];
  const moves = places.map((place): number[] => {
    const rows = rowsAt(place, fit.model, fit.centre);
    const row = 'n' in rows ? rows.n : rows[axis];
    const along = place.normal === undefined ? 1 : place.normal[axis];
    const variance = sdAt(place, readings) ** 2;
    return covariance.map(
      (own) => (side[axis] * along * own.reduce((sum, value, k) => sum + value * row[k]!, 0)) / variance,
    );
  });
  const displaced = (change: readonly number[]): Displacement => ({
    matrix: displacementOf({ ...fit, matrix: identity }, change),
  });
  if (!side.alike[axis === 'x' ? 0 : 1]) return moves.map(displaced);
  return [displaced(moves[0]!.map((_, k) => moves.reduce((sum, move) => sum + move[k]!, 0)))];
};
