/**
 * The needed clearance of openings by the rows of their extreme points (edge-rows.ts): what the verdict finds by
 * searching whole edges, to about a hundredth, in a small part of the time. A search asks for it a hundred times.
 */
import { decreasingRoot } from '../../numeric/decreasing-root.js';
import { drawErrors } from '../../verdict/risk/draws.js';
import { type EdgeRows, independent, scaleAt } from './edge-rows.js';

/** Enough for one or two hundredths of a needed clearance; the same for every pattern, so that two differ by less. */
const drawsIn = (dimensions: number): number => (dimensions > 4 ? 2048 : 512);
/**
 * Approaches below this share of the largest sd of a row are not told apart: the needed clearance is about twice that
 * sd, so they would have to be five times as long as usual, which happens once in 1e5.
 */
const toldApart = 0.4;
/** Of the needed clearance: how nearly the room of corners has to be that at the needed clearance itself. */
const closeEnough = 4e-3;
const mostRounds = 8;

/** Of what the errors consist. */
export interface RowErrors {
  /** n x n, row by row: of the unknowns as the rows count them, mm^2. */
  readonly covariance: Float64Array;
  readonly cutSd: number;
  readonly halfKerfSd: number;
}

/** The clearance of one opening with the accepted risk, mm; `guess` > 0 is where it is expected. */
export type RowNeeds = (opening: EdgeRows, guess: number) => number;

/** @returns for the errors of one pattern the needed clearance of any opening; all patterns share their draws */
export const rowNeeds = (
  unknowns: number,
  acceptedRisk: number,
  hasKerf: boolean,
): ((errors: RowErrors) => RowNeeds) => {
  const dimensions = unknowns + (hasKerf ? 1 : 0);
  const drawn = drawErrors({ ...independent(unknowns, 1), halfKerfSd: hasKerf ? 1 : 0 }, drawsIn(dimensions));
  const { beyond, exceededWith } = drawn.tail;
  const usual = exceededWith(acceptedRisk);
  const columns = [drawn.shiftX, drawn.shiftY, ...drawn.lever, ...(hasKerf ? [drawn.kerf] : [])];
  // One draw of each two that are opposite.
  const pairs = drawn.count / 2;
  // Filled up with zeros to fours, which are quicker than a loop over each.
  const stride = 4 * Math.ceil(dimensions / 4);
  const directions = new Float64Array(pairs * stride);
  columns.forEach((column, k) => {
    for (let j = 0; j < pairs; j++) directions[j * stride + k] = column[2 * j]!;
  });
  const approaches = new Float64Array(drawn.count);

  return ({ covariance, cutSd, halfKerfSd }) => {
    const root = rootOf(covariance, cutSd, unknowns);

    /** Into `approaches`: the largest of the rows for each draw; returns the largest sd of a row. */
    const approach = (opening: EdgeRows, clearance: number): number => {
      const { rows, sds } = ownRows(opening, clearance);
      const largest = sds[0] ?? 0;
      const least = toldApart * largest;
      const count = sds.length;
      for (let j = 0; j < pairs; j++) {
        const from = j * stride;
        let most = 0;
        let fewest = 0;
        for (let i = 0; i < count; i++) {
          const ruledOut = Math.min(most, -fewest);
          if (sds[i]! <= Math.max(ruledOut, least)) break;
          const at = i * stride;
          let value = 0;
          for (let k = 0; k < stride; k += 4)
            value +=
              rows[at + k]! * directions[from + k]! +
              rows[at + k + 1]! * directions[from + k + 1]! +
              rows[at + k + 2]! * directions[from + k + 2]! +
              rows[at + k + 3]! * directions[from + k + 3]!;
          if (value > most) most = value;
          else if (value < fewest) fewest = value;
        }
        approaches[2 * j] = most;
        approaches[2 * j + 1] = -fewest;
      }
      return largest;
    };
    /** The rows as coefficients of standard normal errors, those with the largest sd first. */
    const ownRows = ({ rows, room }: EdgeRows, clearance: number) => {
      const count = rows.length / unknowns;
      const unsorted = new Float64Array(count * stride);
      const sd = new Float64Array(count);
      for (let i = 0; i < count; i++) {
        const scale = room === undefined ? 1 : scaleAt(room, i, clearance);
        const made = room === undefined ? 1 : room.made[i]!;
        let squares = 0;
        for (let k = 0; k < dimensions; k++) {
          let value = k < unknowns ? 0 : halfKerfSd / made;
          for (let l = k; l < unknowns; l++) value += rows[i * unknowns + l]! * root[l * unknowns + k]!;
          value *= scale;
          unsorted[i * stride + k] = value;
          squares += value * value;
        }
        sd[i] = Math.sqrt(squares);
      }
      const order = Array.from(sd.keys()).sort((a, b) => sd[b]! - sd[a]!);
      const sorted = new Float64Array(count * stride);
      order.forEach((i, at) => {
        sorted.set(unsorted.subarray(i * stride, (i + 1) * stride), at * stride);
      });
      return { rows: sorted, sds: Float64Array.from(order, (i) => sd[i]!) };
    };

    const risk = (clearance: number): number => {
      let sum = 0;
      for (let j = 0; j < approaches.length; j++) {
        const most = approaches[j]!;
        if (most > 0) sum += beyond(clearance / most);
      }
      return sum / approaches.length;
    };
    /** With the room that corners have at a clearance. */
    const neededAt = (opening: EdgeRows, clearance: number): number => {
      const largest = approach(opening, clearance);
      if (largest === 0) return 0;
      const guess = Math.min(Math.max(clearance, largest), usual * largest);
      return decreasingRoot(risk, acceptedRisk, guess, 0.02 * guess);
    };

    return (opening, guess) => {
      const floor = opening.room?.floor ?? 0;
      let at = Math.max(guess, floor);
      let needed = Math.max(floor, neededAt(opening, at));
      let before: { readonly at: number; readonly needed: number } | undefined;
      for (let round = 0; round < mostRounds; round++) {
        if (needed === 0 || floor * Math.abs(1 / needed - 1 / at) <= closeEnough) break;
        // Where the clearance that is put in comes out, by what the last two brought.
        const slope = before === undefined ? 0 : (needed - before.needed) / (at - before.at);
        const next = Math.max(floor, slope < 0.9 ? at + (needed - at) / (1 - slope) : needed);
        before = { at, needed };
        if (next === at) break;
        at = next;
        needed = Math.max(floor, neededAt(opening, at));
      }
      return needed;
    };
  };
};

/** Lower triangle L, n x n row by row, with L L' = the covariance and the cut's shift. */
const rootOf = (covariance: Float64Array, cutSd: number, n: number): Float64Array => {
  const root = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    for (let j = 0; j <= i; j++) {
      let rest = covariance[i * n + j]! + (i === j && i < 2 ? cutSd ** 2 : 0);
      for (let k = 0; k < j; k++) rest -= root[i * n + k]! * root[j * n + k]!;
      root[i * n + j] = i === j ? Math.sqrt(Math.max(0, rest)) : rest / root[j * n + j]!;
    }
  }
  return root;
};
