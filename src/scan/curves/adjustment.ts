/**
 * One adjustment for all lines and arcs of a closed edge: corners and bulges such that the points lie nearest to them, with
 * smooth joints kept smooth. Points that a corner's other side may have moved count for nothing: the blur rounds what is
 * seen of a corner, and the corner itself is where its sides cross.
 */
import { BandMatrix } from './band-matrix.js';
import {
  type Chain,
  directionAtEnd,
  directionAtStart,
  distanceFromSide,
  distanceToSide,
  formOf,
  pointOn,
  sideForm,
  turnAt,
  wrapped,
} from './chain.js';

/** In the order of the chain; pixels, y up. */
export interface ChainPoints {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Relative standard deviation of each. */
  readonly spread: Float64Array;
}

export interface AdjustInput {
  readonly points: ChainPoints;
  /** Index of the first point of each side; a side's points go on to the first of the next, round the end. */
  readonly firsts: Int32Array;
  /** Joints at the beginning of sides that are smooth. */
  readonly smooth: Uint8Array;
  readonly blur: number;
  /** sd of a point of spread 1, pixels. */
  readonly sd: number;
}

export interface Adjusted {
  readonly chain: Chain;
  readonly firsts: Int32Array;
  /** Of each point: its distance from its side, NaN where it did not count. */
  readonly residual: Float64Array;
  readonly unknowns: number;
  /** Mean variance along side k for points of variance 1 that do not err together, times sd^2; pixels^2. */
  readonly variance: Float64Array;
  /** Of the bulge of each side, as `variance`; 0 for a line. */
  readonly bulgeVariance: Float64Array;
  /** Of the corner at the beginning of each side: its own covariance [xx, xy, yy]. */
  readonly corner: readonly (readonly [number, number, number])[];
}

/** Blur reaches so far from another side, in its sds and pixels. */
const sharpReach = 4.2;
const bluntReach = 2.7;
const beyondBlur = 0.4;
/** A corner that turns by more, radians, has its other side before its edge as well as beside it. */
const sharpTurn = 1.75;
/** How firmly a corner is held where nothing else holds it (along a smooth joint): sd in pixels. */
const loose = 3;
/** How firmly a smooth joint is smooth: radians. */
const smoothSd = 1e-6;
const mostTurns = 12;
/** Residuals beyond so many sds count less (P. Huber, 1964). */
const huber = 4;

/**
 * Undefined where the chain does not settle.
 *
 * @param known false: the variances are left empty, which a trial has no use for and a long chain takes long for
 */
export const adjustChain = (start: Chain, input: AdjustInput, known = false): Adjusted | undefined => {
  const { points, smooth } = input;
  const n = start.x.length;
  const count = points.x.length;
  const chain: Chain = {
    x: Float64Array.from(start.x),
    y: Float64Array.from(start.y),
    sides: start.sides.map((side) => ({ ...side })),
  };
  const firsts = Int32Array.from(input.firsts);
  const place = folded(n);
  const rows = 3 * n;
  const reach = Math.min(rows - 1, 14);
  const residual = new Float64Array(count).fill(Number.NaN);
  let matrix = new BandMatrix(rows, reach);
  let unknowns = 0;
  let last = Number.POSITIVE_INFINITY;
  for (let turn = 0; turn < mostTurns; turn += 1) {
    if (turn > 0 && turn < 5) moveFirsts(chain, points, firsts);
    matrix = new BandMatrix(rows, reach);
    const right = new Float64Array(rows);
    residual.fill(Number.NaN);
    for (let k = 0; k < n; k += 1) addSide(chain, k, input, firsts, residual, matrix, right, place, n);
    unknowns = 0;
    for (let k = 0; k < n; k += 1) {
      const i = 3 * place[k]!;
      const held = 1 / (loose * loose);
      matrix.add(i, i, held);
      matrix.add(i + 1, i + 1, held);
      unknowns += 2;
      if (chain.sides[k]!.kind === 'line') matrix.add(i + 2, i + 2, 1);
      else {
        matrix.add(i + 2, i + 2, 1e-6);
        unknowns += 1;
      }
      if (smooth[k] === 1) {
        addSmooth(chain, k, matrix, right, place, n);
        unknowns -= 1;
      }
    }
    if (!matrix.factor()) return undefined;
    matrix.solve(right);
    let largest = 0;
    for (const v of right) if (!Number.isFinite(v)) return undefined;
    for (let k = 0; k < n; k += 1) {
      const i = 3 * place[k]!;
      const mx = Math.max(-4, Math.min(4, right[i]!));
      const my = Math.max(-4, Math.min(4, right[i + 1]!));
      chain.x[k]! += mx;
      chain.y[k]! += my;
      const side = chain.sides[k]!;
      if (side.kind === 'arc') {
        const least = side.bulge - 0.3 * (1 + Math.abs(side.bulge));
        const most = side.bulge + 0.3 * (1 + Math.abs(side.bulge));
        side.bulge = Math.max(least, Math.min(most, side.bulge + right[i + 2]!));
      }
      largest = Math.max(largest, Math.abs(mx), Math.abs(my));
    }
    if (turn >= 2 && largest < 3e-4) break;
    if (turn >= 8 && largest > 10 * last + 1) return undefined;
    last = largest;
  }
  const none = { variance: new Float64Array(0), bulgeVariance: new Float64Array(0), corner: [] };
  const { variance, bulgeVariance, corner } = !known ? none : variances(chain, input, matrix, place);
  return { chain, firsts, residual, unknowns, variance, bulgeVariance, corner };
};

/** Places of corners in the matrix such that neighbours round the loop stay near: 0, n - 1, 1, n - 2 ... */
const folded = (n: number): Int32Array => {
  const place = new Int32Array(n);
  for (let k = 0; k < n; k += 1) place[k] = k <= (n - 1) / 2 ? 2 * k : 2 * (n - k) - 1;
  return place;
};

/** Points are of the side that lies before the corner or behind it: the nearest point parts them. */
const moveFirsts = (chain: Chain, { x, y }: ChainPoints, firsts: Int32Array): void => {
  const n = firsts.length;
  const count = x.length;
  const moved = Int32Array.from(firsts);
  for (let k = 0; k < n; k += 1) {
    const before = (firsts[k]! - firsts[(k + n - 1) % n]! + count) % count;
    const after = (firsts[(k + 1) % n]! - firsts[k]! + count) % count;
    const back = Math.min(40, Math.max(0, (before >> 1) - 1));
    const ahead = Math.min(40, Math.max(0, (after >> 1) - 1));
    let best = Number.POSITIVE_INFINITY;
    for (let j = -back; j <= ahead; j += 1) {
      const i = (firsts[k]! + j + count) % count;
      const d = (x[i]! - chain.x[k]!) ** 2 + (y[i]! - chain.y[k]!) ** 2;
      if (d < best) {
        best = d;
        moved[k] = i;
      }
    }
  }
  firsts.set(moved);
};

const step = 1e-4;

const addSide = (
  chain: Chain,
  k: number,
  { points, smooth, blur, sd }: AdjustInput,
  firsts: Int32Array,
  residual: Float64Array,
  matrix: BandMatrix,
  right: Float64Array,
  place: Int32Array,
  n: number,
): void => {
  const next = k + 1 === n ? 0 : k + 1;
  const before = k === 0 ? n - 1 : k - 1;
  const { bulge, kind } = chain.sides[k]!;
  const isArc = kind === 'arc';
  const ax = chain.x[k]!;
  const ay = chain.y[k]!;
  const bx = chain.x[next]!;
  const by = chain.y[next]!;
  const form = sideForm(ax, ay, bx, by, bulge, blur);
  const moved = [
    sideForm(ax + step, ay, bx, by, bulge, blur),
    sideForm(ax, ay + step, bx, by, bulge, blur),
    sideForm(ax, ay, bx + step, by, bulge, blur),
    sideForm(ax, ay, bx, by + step, bulge, blur),
    sideForm(ax, ay, bx, by, bulge + step, blur),
  ];
  const number = isArc ? 5 : 4;
  const at = [3 * place[k]!, 3 * place[k]! + 1, 3 * place[next]!, 3 * place[next]! + 1, 3 * place[k]! + 2];
  const normal = new Float64Array(25);
  const sum = new Float64Array(5);
  const row = new Float64Array(5);
  const count = points.x.length;
  const clearAt = (joint: number): number =>
    (Math.abs(turnAt(chain, joint)) > sharpTurn ? sharpReach : bluntReach) * blur + beyondBlur;
  const clearBefore = smooth[k] === 0 ? clearAt(k) : 0;
  const clearAfter = smooth[next] === 0 ? clearAt(next) : 0;
  // Points come at least one to 1.5 pixels; farther along than this the other side of a corner is out of reach.
  const pointsNear = (joint: number, clear: number): number => {
    const open = Math.PI - Math.abs(turnAt(chain, joint));
    return clear === 0 ? 0 : 6 + (1.5 * clear) / Math.sin(Math.max(0.03, Math.min(Math.PI / 2, open)));
  };
  const nearBefore = pointsNear(k, clearBefore);
  const nearAfter = pointsNear(next, clearAfter);
  const length = (firsts[next]! - firsts[k]! + count) % count || (n === 1 ? count : 0);
  for (let j = 0; j < length; j += 1) {
    const i = (firsts[k]! + j) % count;
    const x = points.x[i]!;
    const y = points.y[i]!;
    if (j < nearBefore && distanceToSide(chain, before, x, y) < clearBefore) continue;
    if (length - j < nearAfter && distanceToSide(chain, next, x, y) < clearAfter) continue;
    const r = distanceFromSide(form, x, y);
    residual[i] = r;
    const own = sd * points.spread[i]!;
    const beyond = Math.abs(r) / (huber * own);
    const weight = 1 / (own * own) / Math.max(1, beyond);
    for (let p = 0; p < number; p += 1) row[p] = (distanceFromSide(moved[p]!, x, y) - r) / step;
    for (let p = 0; p < number; p += 1) {
      sum[p]! -= weight * row[p]! * r;
      for (let q = 0; q <= p; q += 1) normal[5 * p + q]! += weight * row[p]! * row[q]!;
    }
  }
  for (let p = 0; p < number; p += 1) {
    right[at[p]!]! += sum[p]!;
    for (let q = 0; q <= p; q += 1) {
      const value = normal[5 * p + q]!;
      matrix.add(at[p]!, at[q]!, p !== q && at[p] === at[q] ? 2 * value : value);
    }
  }
};

/** The joint at the beginning of side k turns by nothing. */
const addSmooth = (
  chain: Chain,
  k: number,
  matrix: BandMatrix,
  right: Float64Array,
  place: Int32Array,
  n: number,
): void => {
  const before = (k + n - 1) % n;
  const next = (k + 1) % n;
  const turn = (): number => wrapped(directionAtStart(chain, k) - directionAtEnd(chain, before));
  const now = turn();
  const at: number[] = [];
  const row: number[] = [];
  const add = (index: number, slope: number): void => {
    const known = at.indexOf(index);
    if (known >= 0) row[known]! += slope;
    else {
      at.push(index);
      row.push(slope);
    }
  };
  for (const v of new Set([before, k, next])) {
    for (const [values, offset] of [
      [chain.x, 0],
      [chain.y, 1],
    ] as const) {
      const kept = values[v]!;
      values[v] = kept + step;
      const slope = wrapped(turn() - now) / step;
      values[v] = kept;
      add(3 * place[v]! + offset, slope);
    }
  }
  for (const s of new Set([before, k])) {
    const side = chain.sides[s]!;
    if (side.kind === 'line') continue;
    const kept = side.bulge;
    side.bulge = kept + step;
    const slope = wrapped(turn() - now) / step;
    side.bulge = kept;
    add(3 * place[s]! + 2, slope);
  }
  const weight = 1 / (smoothSd * smoothSd);
  for (let p = 0; p < at.length; p += 1) {
    right[at[p]!]! -= weight * row[p]! * now;
    for (let q = 0; q <= p; q += 1) matrix.add(at[p]!, at[q]!, weight * row[p]! * row[q]!);
  }
};

/** Places along a side at which its variance is taken. */
const samples = 9;

const variances = (
  chain: Chain,
  { blur }: AdjustInput,
  matrix: BandMatrix,
  place: Int32Array,
): Pick<Adjusted, 'variance' | 'bulgeVariance' | 'corner'> => {
  const n = chain.x.length;
  const size = 3 * n;
  const variance = new Float64Array(n);
  const bulgeVariance = new Float64Array(n);
  const corner: [number, number, number][] = [];
  const columns = new Map<number, Float64Array>();
  const column = (index: number): Float64Array => {
    let b = columns.get(index);
    if (b === undefined) {
      b = new Float64Array(size);
      b[index] = 1;
      matrix.solve(b);
      columns.set(index, b);
    }
    return b;
  };
  for (let k = 0; k < n; k += 1) {
    const next = (k + 1) % n;
    const form = formOf(chain, k, blur);
    const ax = chain.x[k]!;
    const ay = chain.y[k]!;
    const bx = chain.x[next]!;
    const by = chain.y[next]!;
    const { bulge, kind } = chain.sides[k]!;
    const moved = [
      sideForm(ax + step, ay, bx, by, bulge, blur),
      sideForm(ax, ay + step, bx, by, bulge, blur),
      sideForm(ax, ay, bx + step, by, bulge, blur),
      sideForm(ax, ay, bx, by + step, bulge, blur),
      sideForm(ax, ay, bx, by, bulge + step, blur),
    ];
    const number = kind === 'arc' ? 5 : 4;
    const at = [3 * place[k]!, 3 * place[k]! + 1, 3 * place[next]!, 3 * place[next]! + 1, 3 * place[k]! + 2];
    const own = at.map((i) => column(i));
    let sum = 0;
    for (let t = 0; t < samples; t += 1) {
      const p = pointOn(chain, k, (t + 0.5) / samples);
      const now = distanceFromSide(form, p.x, p.y);
      const row = moved.slice(0, number).map((m) => (distanceFromSide(m, p.x, p.y) - now) / step);
      for (let i = 0; i < number; i += 1)
        for (let j = 0; j < number; j += 1) sum += row[i]! * row[j]! * own[i]![at[j]!]!;
    }
    variance[k] = sum / samples;
    if (kind === 'arc') bulgeVariance[k] = own[4]![at[4]!]!;
    corner.push([own[0]![at[0]!]!, own[0]![at[1]!]!, own[1]![at[1]!]!]);
    // Columns of sides that are done are not asked again but for the last, which meets the first.
    if (k > 1) for (let o = 0; o < 3; o += 1) columns.delete(3 * place[k - 1]! + o);
  }
  return { variance, bulgeVariance, corner };
};
