/**
 * Where to measure gaps, so that few tell most: places are added one by one where they raise the determinant of the normal
 * equations most, and exchanged while that raises it further (V. V. Fedorov, *Theory of Optimal Experiments*, 1972, from
 * memory: a D-optimal design). The determinant does not depend on the units of shift, turn and size.
 */
import type { Point } from '../geometry/point.js';
import { solve } from '../numeric/least-squares.js';
import { errorNames, gapRow } from './cut-error.js';
import type { EdgePlace } from './edge-walk.js';

export interface ChosenPlaces {
  readonly places: readonly EdgePlace[];
  readonly centre: Point;
  /** sd of shift x, y, turn, size and kerf for gaps of sd 1 mm at these places; undefined for what they do not tell. */
  readonly sds: readonly (number | undefined)[];
  /** Of all candidates together, each measured: what cannot be told at all. */
  readonly candidates: number;
}

/** Unknowns five; as many again check each other. */
export const usualPlaces = 10;
/** Until something is told of it, an error is taken to be known by a gap a thousand times as uncertain. */
const prior = 1e-6;
const mostRounds = 20;

/** @param apart least distance between two places, mm, as long as there are enough */
export const choosePlaces = (
  candidates: readonly EdgePlace[],
  count: number,
  centre: Point,
  reach: number,
  apart: number,
): ChosenPlaces => {
  // Turn and size in mm at the reach, so that the prior is alike for all.
  const rows = candidates.map((place) => {
    const [x, y, turn, size, kerf] = gapRow(place, centre) as [number, number, number, number, number];
    return [x, y, turn / reach, size / reach, kerf];
  });
  const chosen: number[] = [];
  const isFree = (i: number, besides?: number): boolean =>
    chosen.every(
      (j) =>
        j === besides ||
        (i !== j &&
          Math.hypot(candidates[i]!.at.x - candidates[j]!.at.x, candidates[i]!.at.y - candidates[j]!.at.y) >=
            apart),
    );
  const number = Math.min(count, candidates.length);
  while (chosen.length < number) {
    const best = bestOf(rows, inverseInformation(rows, chosen), (i) => isFree(i));
    if (best === undefined) break;
    chosen.push(best.index);
  }
  for (let round = 0; round < mostRounds; round += 1) {
    let isChanged = false;
    for (let k = 0; k < chosen.length; k += 1) {
      const old = chosen[k]!;
      const others = chosen.filter((_, j) => j !== k);
      const inverse = inverseInformation(rows, others);
      const best = bestOf(rows, inverse, (i) => isFree(i, old));
      if (best === undefined || best.index === old) continue;
      if (best.gain <= spreadOf(inverse, rows[old]!) * (1 + 1e-9)) continue;
      chosen[k] = best.index;
      isChanged = true;
    }
    if (!isChanged) break;
  }
  const inOrder = [...chosen].sort((a, b) => a - b);
  const solved = solve(
    [...inOrder.map((i) => rows[i]!)].map((design) => ({ design, observed: 0, sd: 1 })),
    errorNames.length,
  );
  const scales = [1, 1, 1 / reach, 1 / reach, 1];
  return {
    places: inOrder.map((i) => candidates[i]!),
    centre,
    sds: errorNames.map((_, k) => {
      if (!solved.ok) return undefined;
      const sd = Math.sqrt(solved.cofactor[k]![k]!);
      return sd < 100 ? sd * scales[k]! : undefined;
    }),
    candidates: candidates.length,
  };
};

type Square = number[][];

/** (prior + sum of r r')^-1, built up by rank-one updates (Sherman and Morrison). */
const inverseInformation = (rows: readonly (readonly number[])[], chosen: readonly number[]): Square => {
  const n = errorNames.length;
  const inverse: Square = Array.from({ length: n }, (_, i) =>
    Array.from({ length: n }, (_, j) => (i === j ? 1 / prior : 0)),
  );
  for (const c of chosen) {
    const r = rows[c]!;
    const v = inverse.map((line) => line.reduce((sum, a, j) => sum + a * r[j]!, 0));
    const size = 1 + r.reduce((sum, a, i) => sum + a * v[i]!, 0);
    for (let i = 0; i < n; i += 1) for (let j = 0; j < n; j += 1) inverse[i]![j]! -= (v[i]! * v[j]!) / size;
  }
  return inverse;
};

/** r' M^-1 r: by as much, and one, a further gap there multiplies the determinant. */
const spreadOf = (inverse: Square, r: readonly number[]): number => {
  let sum = 0;
  for (let i = 0; i < r.length; i += 1)
    for (let j = 0; j < r.length; j += 1) sum += r[i]! * inverse[i]![j]! * r[j]!;
  return sum;
};

const bestOf = (
  rows: readonly (readonly number[])[],
  inverse: Square,
  isAllowed: (i: number) => boolean,
): { index: number; gain: number } | undefined => {
  let best: { index: number; gain: number } | undefined;
  rows.forEach((row, index) => {
    const gain = spreadOf(inverse, row);
    // Ties go to the first one: the same drawing gives the same places.
    if ((best === undefined || gain > best.gain * (1 + 1e-12)) && isAllowed(index)) best = { index, gain };
  });
  return best;
};
