/**
 * What a cut was out by: shift, turn and size of the new edges about a centre, and the kerf. Each gap is linear in them, so
 * gaps from a caliper and gaps from a scan go through the same adjustment.
 */
import { dot, type Point } from '../geometry/point.js';
import { chiSquareCdf, fCdf, studentQuantile } from '../numeric/distributions.js';
import { type Row, type Solved, solve } from '../numeric/least-squares.js';
import type { EdgePlace } from './edge-walk.js';

/** In this order everywhere: mm, mm, radians, a share, mm (of the kerf's full width). */
export const errorNames = ['x', 'y', 'turn', 'size', 'kerf'] as const;
export type ErrorName = (typeof errorNames)[number];

/** One measured gap. */
export interface Gap {
  readonly place: EdgePlace;
  /** mm */
  readonly gap: number;
  /** What it would have been had the cut landed where it belongs, mm. */
  readonly expected: number;
  /** How many times as uncertain as the others it is; 1 for measurements alike. */
  readonly ratio?: number;
}

/** How a gap changes with each error. The centre is a bed point. */
export const gapRow = ({ at, normal }: Pick<EdgePlace, 'at' | 'normal'>, centre: Point): number[] => {
  const arm = { x: at.x - centre.x, y: at.y - centre.y };
  return [normal.x, normal.y, normal.y * arm.x - normal.x * arm.y, dot(normal, arm), 0.5];
};

/**
 * What is of second order in a gap, mm: along an edge that is bent or that turns, the new edge does not lie at the place's own
 * normal any more, and the clearance grows with the size. Terms of third order are below 0.1 micrometre for errors of a millimetre at radii of 5 mm.
 */
const secondOrder = (
  { place, expected }: Pick<Gap, 'place' | 'expected'>,
  centre: Point,
  [x, y, turn, size, kerf]: readonly number[],
): number => {
  const { at, normal, curvature } = place;
  const arm = { x: at.x - centre.x, y: at.y - centre.y };
  const moved = { x: x! - turn! * arm.y + size! * arm.x, y: y! + turn! * arm.x + size! * arm.y };
  const along = -normal.y * moved.x + normal.x * moved.y;
  const out = expected + kerf! / 2;
  const bend = curvature / Math.max(0.1, 1 + curvature * out);
  return expected * size! + turn! * along - (bend * along ** 2) / 2;
};

/** What the gap at a place is by the errors found, mm. */
export const adjustedGap = (
  place: EdgePlace,
  expected: number,
  { centre, values }: Pick<CutError, 'centre' | 'values'>,
): number =>
  expected +
  gapRow(place, centre).reduce((sum, v, k) => sum + v * values[k]!, 0) +
  secondOrder({ place, expected }, centre, values);

export interface CutError {
  /** Bed point about which turn and size are. */
  readonly centre: Point;
  /** By `errorNames`; 0 for those that these gaps do not tell. */
  readonly values: readonly number[];
  readonly told: readonly boolean[];
  /** Of `values`; undefined where no uncertainty can be claimed. Rows of what is not told are 0. */
  readonly covariance?: readonly (readonly number[])[];
  readonly sd: {
    readonly stated?: number;
    readonly estimated?: number;
    /** Of one gap, mm, and the degrees of freedom behind it; undefined degrees: known. */
    readonly used?: number;
    readonly dof?: number;
  };
  /** Gaps less told unknowns. */
  readonly redundancy: number;
  /** Of the stated sd against the residuals. */
  readonly consistency?: { readonly chiSquare: number; readonly pValue: number };
  /** Measured less adjusted, in the order given, mm, and its share of the redundancy. */
  readonly residuals: readonly number[];
  readonly redundancyNumbers: readonly number[];
}

/** Left out one after another where the gaps do not tell all: size, turn, then all but the shift and the kerf's own part. */
const models: readonly (readonly boolean[])[] = [
  [true, true, true, true, true],
  [true, true, true, false, true],
  [true, true, false, false, true],
  [false, false, false, false, true],
];
/** Unknowns known so many times worse than a gap, at the farthest place, are not told. */
const leastTold = 30;
/** The stated sd is doubted below this chance, and the larger estimated one taken. */
export const doubtLevel = 0.001;

/** The centre of the places' box. */
export const centreOf = (places: readonly Pick<EdgePlace, 'at'>[]): Point => {
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const { at } of places) {
    minX = Math.min(minX, at.x);
    maxX = Math.max(maxX, at.x);
    minY = Math.min(minY, at.y);
    maxY = Math.max(maxY, at.y);
  }
  return { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
};

export interface AdjustOptions {
  readonly centre: Point;
  /** sd of one gap, mm; undefined: estimated. */
  readonly statedSd?: number;
  /** Farthest that an edge lies from the centre, mm: what turn and size are judged at. */
  readonly reach: number;
  /** Gaps of a scan: some are noisier than others, and neighbours depart alike. */
  readonly scanned?: {
    /** What moves all gaps alike and shows in no residual, as an sd of the kerf, mm. */
    readonly kerfSd: number;
  };
}

/** Undefined without gaps. */
export const adjustGaps = (gaps: readonly Gap[], options: AdjustOptions): CutError | undefined => {
  if (gaps.length === 0) return undefined;
  const { centre, statedSd, reach } = options;
  const solved = richestTold(gaps, centre, reach);
  if (solved === undefined) return undefined;
  const { told, solution } = solved;
  const number = told.filter(Boolean).length;
  const redundancy = gaps.length - number;
  const dof = redundancy;
  const estimated = redundancy > 0 ? Math.sqrt(solution.weightedSquares / redundancy) : undefined;
  const chiSquare = statedSd === undefined ? undefined : solution.weightedSquares / statedSd ** 2;
  const consistency =
    chiSquare === undefined || redundancy === 0
      ? undefined
      : { chiSquare, pValue: 1 - chiSquareCdf(chiSquare, dof) };
  const isDoubted = consistency !== undefined && consistency.pValue < doubtLevel;
  const used = statedSd === undefined || isDoubted ? estimated : statedSd;
  const isEstimated = used !== undefined && used === estimated && (statedSd === undefined || isDoubted);
  // Readings rounded alike agree by accident: an estimated sd of 0 claims nothing.
  const claimed = used !== undefined && used > 0;
  const positions = told.flatMap((is, k) => (is ? [k] : []));
  const values = errorNames.map(() => 0);
  positions.forEach((k, i) => {
    values[k] = solution.solution[i]!;
  });
  const spread =
    options.scanned === undefined
      ? solution.cofactor.map((row) => row.map((v) => v * (used ?? 0) ** 2))
      : spreadOfScan(gaps, centre, told, solution);
  const covariance = errorNames.map(() => errorNames.map(() => 0));
  positions.forEach((k, i) => {
    positions.forEach((l, j) => {
      covariance[k]![l] = spread[i]![j]!;
    });
  });
  if (options.scanned !== undefined && told[4] === true) covariance[4]![4]! += options.scanned.kerfSd ** 2;
  return {
    centre,
    values,
    told,
    ...(claimed ? { covariance } : {}),
    sd: {
      ...(statedSd === undefined ? {} : { stated: statedSd }),
      ...(estimated === undefined ? {} : { estimated }),
      ...(claimed ? { used } : {}),
      ...(claimed && isEstimated ? { dof } : {}),
    },
    redundancy,
    ...(consistency === undefined ? {} : { consistency }),
    residuals: solution.residuals,
    redundancyNumbers: solution.redundancyNumbers,
  };
};

/**
 * The covariance of the solution from what is left over at each gap: right also where gaps are not as sure as their ratios say
 * (H. White, Econometrica 48 (1980), each residual over one less its leverage) and where neighbours on an edge depart alike
 * (W. Newey and K. West, Econometrica 55 (1987), one neighbour to either side); both from memory.
 */
const spreadOfScan = (
  gaps: readonly Gap[],
  centre: Point,
  told: readonly boolean[],
  { cofactor, residuals, redundancyNumbers }: Solved,
): number[][] => {
  const n = cofactor.length;
  const pulls = gaps.map(({ place, ratio = 1 }, i) => {
    const row = gapRow(place, centre).filter((_, k) => told[k]);
    const pull = residuals[i]! / Math.max(0.05, redundancyNumbers[i]!) / ratio ** 2;
    return cofactor.map((line) => pull * line.reduce((sum, v, k) => sum + v * row[k]!, 0));
  });
  const sum = Array.from({ length: n }, () => new Array<number>(n).fill(0));
  pulls.forEach((own, i) => {
    const next = gaps[i + 1]?.place.index === gaps[i]!.place.index ? pulls[i + 1] : undefined;
    for (let k = 0; k < n; k += 1)
      for (let l = 0; l < n; l += 1) {
        sum[k]![l]! += own[k]! * own[l]!;
        if (next !== undefined) sum[k]![l]! += (own[k]! * next[l]! + next[k]! * own[l]!) / 2;
      }
  });
  return sum;
};

/** Rows as they are for gaps of sd 1. */
const rowsOf = (
  gaps: readonly Gap[],
  centre: Point,
  told: readonly boolean[],
  values: readonly number[],
): Row[] =>
  gaps.map((one) => ({
    design: gapRow(one.place, centre).filter((_, k) => told[k]),
    observed: one.gap - one.expected - secondOrder(one, centre, values),
    sd: one.ratio ?? 1,
  }));

/** The second-order terms change by less than a thousandth of themselves from the third to the fourth. */
const iterations = 4;

const solvedFor = (gaps: readonly Gap[], centre: Point, told: readonly boolean[]): Solved | undefined => {
  let values: readonly number[] = errorNames.map(() => 0);
  let last: Solved | undefined;
  for (let i = 0; i < iterations; i += 1) {
    const solution = solve(rowsOf(gaps, centre, told, values), told.filter(Boolean).length, {
      refine: false,
    });
    if (!solution.ok) return undefined;
    let next = 0;
    values = told.map((is) => (is ? solution.solution[next++]! : 0));
    last = solution;
  }
  return last;
};

const richestTold = (
  gaps: readonly Gap[],
  centre: Point,
  reach: number,
): { told: readonly boolean[]; solution: Solved } | undefined => {
  for (const told of models) {
    if (gaps.length < told.filter(Boolean).length) continue;
    const solution = solvedFor(gaps, centre, told);
    if (solution === undefined) continue;
    const arms = [1, 1, reach, reach, 0.5].filter((_, k) => told[k]);
    const worst = Math.max(...solution.cofactor.map((row, i) => Math.sqrt(row[i]!) * arms[i]!));
    if (worst <= leastTold || told === models.at(-1)) return { told, solution };
  }
  return undefined;
};

/** Half the width of the 95 % limits of a value with this variance, mm or as the value is; undefined where none are claimed. */
export const halfWidth = (error: CutError, variance: number | undefined): number | undefined =>
  variance === undefined ? undefined : studentQuantile(0.975, error.sd.dof) * Math.sqrt(variance);

/** Of a combination of the errors. */
export const varianceOf = ({ covariance }: CutError, row: readonly number[]): number | undefined =>
  covariance?.reduce((sum, line, i) => sum + row[i]! * line.reduce((s, v, j) => s + v * row[j]!, 0), 0);

/**
 * The gap that agrees least with the others, where it is too far off for chance: its residual over its own sd, as a t value of
 * which the one largest of all is judged (A. J. Pope's tau, by the Bonferroni bound). Undefined where none is.
 */
export const suspectGap = (
  error: CutError,
  level = 0.01,
): { readonly index: number; readonly pValue: number } | undefined => {
  const { residuals, redundancyNumbers, redundancy, sd } = error;
  if (redundancy < 2 || sd.used === undefined) return undefined;
  const sum = (sd.estimated ?? 0) ** 2 * redundancy;
  let best: { index: number; pValue: number } | undefined;
  residuals.forEach((residual, index) => {
    const share = redundancyNumbers[index]!;
    if (share < 1e-6) return;
    const squared = residual ** 2 / share;
    // With the gap itself left out of the sd: t with one degree less; against a stated sd the normal one.
    const pValue =
      sd.dof === undefined
        ? 1 - fCdf(squared / sd.used! ** 2, 1, undefined)
        : 1 - fCdf(squared / Math.max(1e-300, (sum - squared) / (redundancy - 1)), 1, redundancy - 1);
    const bounded = Math.min(1, pValue * residuals.length);
    if (best === undefined || bounded < best.pValue) best = { index, pValue: bounded };
  });
  return best !== undefined && best.pValue < level ? best : undefined;
};
