/** What a fit will be worth that nobody has read yet: its covariance needs the places and the sds, not the readings. */
import { varianceOfMean } from '../../fit/solve/display-step.js';
import { unknownsOf } from '../../fit/solve/placement.js';
import { positionJacobian } from '../../fit/solve/position.js';
import { identity } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import { type Row, solve } from '../../numeric/least-squares.js';
import type { FieldOfFit } from '../../verdict/risk/error-field.js';
import { coordinatesAt, type Place, readingShare } from '../places/place.js';

/** What is believed of the readings to come; mm per axis. */
export interface PlannedReadings {
  readonly readingSd: number;
  /** Degrees of freedom behind a stated sd; undefined: known, or not stated at all. */
  readonly readingSdDof?: number;
  /** False: the sd is only supposed, and the fit will have to estimate it. */
  readonly stated: boolean;
  /** Step of the display, 0 where nobody says. Of places that lie anywhere in it, as on a panel that is turned a little. */
  readonly displayStep?: number;
  readonly markSd: number;
  /** The same without the scatter of sides from which nobody says that the places will be reached. */
  readonly markSdAlone?: number;
}

/** What the verdict takes of a fit, the part lying as it is drawn. */
export type PlannedFit = FieldOfFit;

/** sd of one observed coordinate, mm; every touch of a rim errs for itself, as in fit/solve/uncertainty.ts. */
export const sdAt = (place: Place, { readingSd, displayStep = 0, markSd }: PlannedReadings): number =>
  Math.sqrt(readingShare(place) * (markSd ** 2 + varianceOfMean(readingSd, displayStep, 1).whole));

/** Readings to spare: coordinates minus unknowns. */
export const redundancyOf = (model: Model, places: readonly Place[]): number =>
  places.reduce((sum, place) => sum + coordinatesAt(place), 0) - unknownsOf[model];

/**
 * Degrees of freedom that the sd of the fit will have (fit/solve/uncertainty.ts): those of a stated sd and the redundancy
 * pooled, the redundancy alone where none is stated; undefined for a known sd. 0: no uncertainty can be claimed.
 */
export const plannedDegrees = (redundancy: number, readings: PlannedReadings): number | undefined => {
  if (!readings.stated) return redundancy;
  return readings.readingSdDof === undefined ? undefined : readings.readingSdDof + redundancy;
};

/** Rows of a place for unknowns about `centre`, each over its own sd. */
export const rowsAt = (
  place: Place,
  model: Model,
  centre: Point,
): { readonly x: readonly number[]; readonly y: readonly number[] } | { readonly n: readonly number[] } => {
  const { x, y } = positionJacobian({ model, matrix: identity, centre }, place.at);
  const { normal } = place;
  if (normal === undefined) return { x, y };
  return { n: x.map((value, k) => normal.x * value + normal.y * y[k]!) };
};

/**
 * The fit to come, at the sd that is believed; undefined where the places do not determine the model. Its unknowns are
 * about the middle of the places, as in the fit, unless another centre is given.
 */
export const plannedFit = (
  model: Model,
  places: readonly Place[],
  readings: PlannedReadings,
  centre = middleOf(places, readings),
): PlannedFit | undefined => {
  const rows = places.flatMap((place): Row[] => {
    const sd = sdAt(place, readings);
    return Object.values(rowsAt(place, model, centre)).map((design) => ({ design, observed: 0, sd }));
  });
  if (rows.length < unknownsOf[model]) return undefined;
  const solved = solve(rows, unknownsOf[model], { refine: false });
  if (!solved.ok) return undefined;
  const degrees = plannedDegrees(solved.redundancy, readings);
  const { stated, readingSd, readingSdDof } = readings;
  return {
    model,
    matrix: identity,
    centre,
    ...(degrees === 0 ? {} : { covariance: solved.cofactor }),
    sd: {
      ...(stated ? { stated: readingSd } : {}),
      ...(stated && readingSdDof !== undefined ? { statedDof: readingSdDof } : {}),
      ...(degrees === 0 ? {} : { used: readingSd }),
      ...(degrees === undefined || degrees === 0 ? {} : { usedDof: degrees }),
    },
  };
};

/** Where shift and turn are independent: the weighted mean, as in the fit. */
const middleOf = (places: readonly Place[], readings: PlannedReadings): Point => {
  let sum = 0;
  let x = 0;
  let y = 0;
  const first = places[0]!.at;
  for (const place of places) {
    const share = (readings.readingSd / sdAt(place, readings)) ** 2;
    sum += share;
    x += share * (place.at.x - first.x);
    y += share * (place.at.y - first.y);
  }
  return { x: first.x + x / sum, y: first.y + y / sum };
};
