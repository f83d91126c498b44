/** What readings to come will leave unknown that more of them do not help: sides of arrival, and a habit of the eye. */
import { identity } from '../../geometry/affine.js';
import type { Job } from '../../job/job.js';
import { type UnknownSide, unknownOffsetSides, unknownSideOf } from '../../marks/sides.js';
import { type Displacement, shiftBy } from '../../verdict/risk/displacement.js';
import { displacementOf } from '../../verdict/risk/error-field.js';
import type { Bounded } from '../../verdict/risk/vertices.js';
import type { Place } from '../places/place.js';
import { type PlannedFit, type PlannedReadings, rowsAt, sdAt } from './planned-fit.js';

/** mm; as the verdict on the job will take them (verdict/risk/common-errors.ts). */
export interface CommonShifts {
  readonly offsetSides: readonly { readonly x: number; readonly y: number }[];
  readonly pointingBias: number;
  /** Of marks and touches; undefined: known. */
  readonly side?: UnknownSide;
}

export const commonShiftsOf = ({ fit, machine }: Pick<Job, 'fit' | 'machine'>): CommonShifts => {
  const side = unknownSideOf({ fit, machine });
  return {
    offsetSides: unknownOffsetSides(machine),
    pointingBias: fit.pointingBias ?? 0,
    ...(side === undefined ? {} : { side }),
  };
};

export const boundedBy = (
  { offsetSides, pointingBias, side }: CommonShifts,
  fit: PlannedFit,
  places: readonly Place[],
  readings: PlannedReadings,
): Bounded => ({
  generators: [
    ...offsetSides.flatMap(({ x, y }) => [shiftBy(x, 0), shiftBy(0, y)]),
    ...(side === undefined
      ? []
      : [...ofSides(side, 'x', fit, places, readings), ...ofSides(side, 'y', fit, places, readings)]),
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
