/** Lines and arcs adjusted to the points of an edge, with every joint smooth that may be. */
import { type Adjusted, adjustChain, type ChainPoints } from '../curves/adjustment.js';
import { type Chain, lengthOf, turnAt } from '../curves/chain.js';
import type { Stretch } from '../curves/segmentation.js';
import { primitiveOf, startChain } from './primitives.js';

export interface OutlineSettings {
  /** sd of the blur, pixels. */
  readonly blur: number;
  /** sd of a point of spread 1 along the normal, pixels. */
  readonly sd: number;
  /** By how much the variance of a mean exceeds that of points that err each by itself. */
  readonly together: (points: number) => number;
  /** What rounds may still be tried, points adjusted: shared by all edges of a picture. */
  readonly budget: { points: number };
}

export interface Settled {
  readonly stretches: readonly Stretch[];
  readonly adjusted: Adjusted;
  readonly smooth: Uint8Array;
}

/** The chain may turn by so much at a joint that is to be smooth, radians: more is a corner whatever the noise. */
const mostSmooth = 0.35;
/** A smooth joint may cost so much of the sum of squares over the variance. */
const smoothCost = 12;

/** After so many adjustments all joints that are refused go at once. */
const patience = 8;

/** The adjusted chain, with every joint smooth that may be; undefined where none settles. */
export const settled = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  settings: OutlineSettings,
  gap: number,
): Settled | undefined => {
  const k = stretches.length;
  const { blur, sd, together } = settings;
  const start = startChain(points, stretches, gap);
  const firsts = Int32Array.from(stretches, ({ from }) => from);
  const smooth = Uint8Array.from(start.sides, (_, i) => {
    const turn = Math.abs(turnAt(start, i));
    const lines = start.sides[i]!.kind === 'line' && start.sides[(i + k - 1) % k]!.kind === 'line';
    return !lines && turn < mostSmooth ? 1 : 0;
  });
  const free = adjustChain(start, { points, firsts, smooth: new Uint8Array(k), blur, sd });
  const local = localSquares(points, stretches, gap);
  for (let turn = 0; turn <= k; turn += 1) {
    if (!smooth.some((s) => s === 1))
      return free === undefined ? undefined : { stretches, adjusted: free, smooth };
    const adjusted = adjustChain(free?.chain ?? start, { points, firsts, smooth, blur, sd });
    if (adjusted === undefined) {
      // The joint that turns most is the least likely to be smooth.
      const turns = [...smooth].map((s, i) => (s === 1 ? Math.abs(turnAt(start, i)) : -1));
      smooth[turns.indexOf(Math.max(...turns))] = 0;
      continue;
    }
    const now = squaresOf(points, adjusted.firsts, adjusted.residual);
    const refused: number[] = [];
    let most = smoothCost;
    const costs = new Float64Array(k);
    for (let j = 0; j < k; j += 1) {
      if (smooth[j] === 0) continue;
      const before = (j + k - 1) % k;
      const more =
        (now[before]!.mean - local[before]!) * now[before]!.count +
        (now[j]!.mean - local[j]!) * now[j]!.count;
      costs[j] = more / (sd * sd * together(30));
      if (costs[j]! > smoothCost) refused.push(j);
      most = Math.max(most, costs[j]!);
    }
    if (refused.length === 0) return { stretches, adjusted, smooth };
    // The worst one bends its neighbours, too: those that are nearly as bad elsewhere go with it.
    for (const j of refused) {
      const beside = Math.max(costs[(j + 1) % k]!, costs[(j + k - 1) % k]!);
      if (turn >= patience || costs[j] === most || (costs[j]! > most / 3 && costs[j]! >= beside))
        smooth[j] = 0;
    }
  }
  return undefined;
};

/** An arc that bends by fewer sds than this is a line. */
const leastBend = 3.5;

/** Puts lines in the place of arcs whose bend the noise explains. */
export const withLines = (points: ChainPoints, best: Settled, settings: OutlineSettings): Settled => {
  const { stretches, adjusted } = best;
  const { together } = settings;
  const straight = adjusted.chain.sides.map(
    ({ kind, bulge }, k) =>
      kind === 'arc' &&
      bulge * bulge < leastBend ** 2 * adjusted.bulgeVariance[k]! * together(lengthOf(adjusted.chain, k)),
  );
  const n = straight.length;
  const isLine = (k: number): boolean => straight[k]! || adjusted.chain.sides[k]!.kind === 'line';
  // Beside a line it goes on smoothly from it would be no side of its own.
  const wanted = straight.map((s, k) => {
    const next = (k + 1) % n;
    const before = (k + n - 1) % n;
    return s && !(best.smooth[k] === 1 && isLine(before)) && !(best.smooth[next] === 1 && isLine(next));
  });
  if (!wanted.some(Boolean) || (wanted.every((w, k) => w || isLine(k)) && n < 3)) return best;
  const again = stretches.map((one, k): Stretch => (wanted[k] ? { ...one, kind: 'line' } : one));
  const chain: Chain = {
    x: adjusted.chain.x,
    y: adjusted.chain.y,
    sides: adjusted.chain.sides.map((side, k) => (wanted[k] ? { kind: 'line', bulge: 0 } : side)),
  };
  const { blur, sd } = settings;
  const lines = adjustChain(chain, { points, firsts: adjusted.firsts, smooth: best.smooth, blur, sd }, true);
  return lines === undefined ? best : { stretches: again, adjusted: lines, smooth: best.smooth };
};

/** The same once more, with how well it is known. */
export const withVariances = (
  points: ChainPoints,
  { stretches, adjusted, smooth }: Settled,
  { blur, sd }: OutlineSettings,
): Settled | undefined => {
  const again = adjustChain(adjusted.chain, { points, firsts: adjusted.firsts, smooth, blur, sd }, true);
  return again === undefined ? undefined : { stretches, adjusted: again, smooth };
};

const squaresOf = (
  { x, spread }: ChainPoints,
  firsts: Int32Array,
  residual: Float64Array,
): { mean: number; count: number }[] => {
  const n = x.length;
  return [...firsts].map((from, k) => {
    const to = firsts[(k + 1) % firsts.length]!;
    let sum = 0;
    let count = 0;
    for (let i = from; i !== to; i = (i + 1) % n) {
      const r = residual[i]!;
      if (Number.isNaN(r)) continue;
      sum += (r / spread[i]!) ** 2;
      count += 1;
    }
    return { mean: count === 0 ? 0 : sum / count, count };
  });
};

/** Mean square per point of each stretch by itself: what no condition can better. */
const localSquares = (points: ChainPoints, stretches: readonly Stretch[], gap: number): number[] => {
  const relative = meanSquare(points.spread);
  return stretches.map((stretch) => {
    const p = primitiveOf(points, stretch, gap);
    const squares = 'line' in p ? p.line.squares : p.circle.squares;
    return squares / Math.max(1, stretch.count - 2 * gap) / relative;
  });
};

/** Of what is finite; 1 where nothing is. */
export const meanSquare = (values: Float64Array): number => {
  let sum = 0;
  let n = 0;
  for (const v of values) {
    if (!Number.isFinite(v)) continue;
    sum += v * v;
    n += 1;
  }
  return n === 0 ? 1 : sum / n;
};
