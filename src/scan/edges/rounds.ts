/** Roundings that were taken for corners: one smooth arc in their place, where it explains the points. */
import { type Adjusted, adjustChain, type ChainPoints } from '../curves/adjustment.js';
import { lengthOf, radiusOf, turnAt } from '../curves/chain.js';
import type { Stretch } from '../curves/segmentation.js';
import { cornerMisfit } from './blurred-corner.js';
import { startChain } from './primitives.js';
import type { OutlineSettings, Settled } from './settled.js';

/** Runs of sides shorter than this, pixels, may be one rounding that was taken for corners. */
const longestRound = 40;
/** Rounds are tried so often at most in one outline, and in all of a picture until so many points were adjusted. */
const mostTries = 150;
export const mostTriedPoints = 3_000_000;
/** A round explains its points where their mean square is below so many variances. */
const roundSquares = 2.5;
/** Points near a corner may lie so far from where the blur lets it be seen, pixels (root mean square), beside their noise. */
const cornerRoom = 0.13;
/** A rounding is looked for in the points of the corner and so many more on both sides. */
const growths = [0, 3, 6, 10];

/**
 * Puts one smooth arc in the place of a corner, or of up to three short sides that meet in corners, where the corner is not seen
 * as the blur would have it and the arc explains all points there.
 */
export const withRounds = (
  points: ChainPoints,
  first: Settled,
  settings: OutlineSettings,
  gap: number,
): Settled => {
  const { blur, sd, budget } = settings;
  let best = first;
  let tries = 0;
  const refused = new Set<string>();
  for (let again = true; again; ) {
    again = false;
    const { adjusted, smooth } = best;
    const m = smooth.length;
    const suspect = Array.from({ length: m }, (_, j) => {
      if (smooth[j] === 1) return false;
      const misfit = cornerMisfit(adjusted.chain, j, points, adjusted.firsts[j]!, blur);
      return misfit !== undefined && misfit > cornerRoom + 2 * sd;
    });
    if (!suspect.some(Boolean)) return best;
    search: for (let run = Math.min(3, m - 2); run >= 0; run -= 1) {
      for (let k = 0; k < m; k += 1) {
        const sides = Array.from({ length: run }, (_, i) => (k + i) % m);
        const joints = Array.from({ length: run + 1 }, (_, i) => (k + i) % m);
        if (!joints.some((j) => suspect[j])) continue;
        const turns = joints.map((j) => turnAt(adjusted.chain, j));
        if (!(turns.every((t) => t > -0.05) || turns.every((t) => t < 0.05))) continue;
        if (turns.some((t) => Math.abs(t) > 2.6)) continue;
        const length = sides.reduce((sum, s) => sum + lengthOf(adjusted.chain, s), 0);
        if (length > longestRound) continue;
        const key = joints.map((j) => `${adjusted.firsts[j]!}`).join();
        if (refused.has(key) || tries >= mostTries || budget.points <= 0) continue;
        refused.add(key);
        const round = bestRound(points, best, k, run, settings, gap);
        tries += growths.length;
        budget.points -= growths.length * points.x.length;
        if (round === undefined) continue;
        best = round;
        again = true;
        break search;
      }
    }
  }
  return best;
};

/** tan(sweep / 4) of an arc that turns by 100 degrees. */
const sharpBulge = 0.466;

/** The arc in the place of `run` sides from the k-th on that explains its points best, if one does. */
const bestRound = (
  points: ChainPoints,
  { stretches, adjusted, smooth }: Settled,
  k: number,
  run: number,
  { blur, sd, together }: OutlineSettings,
  gap: number,
): Settled | undefined => {
  const n = points.x.length;
  const m = stretches.length;
  let best: Settled | undefined;
  let least = roundSquares * sd * sd * together(4);
  const own = adjusted.firsts;
  const inside = run === 0 ? 0 : (own[(k + run) % m]! - own[k]! + n) % n;
  for (const grow of growths) {
    const count = inside + 2 * grow;
    if (count < 5) continue;
    const before = (k + m - 1) % m;
    const after = (k + run) % m;
    const kept = (side: number): number => countOf(own, side, n);
    if (kept(before) < grow + 4 || kept(after) < grow + 4) continue;
    const from = (own[k]! - grow + n) % n;
    const rest: Stretch[] = [];
    const flags: number[] = [];
    // From the new arc on round the loop.
    rest.push({ from, count, kind: 'arc' });
    flags.push(1);
    for (let i = 0; i < m - run; i += 1) {
      const side = (k + run + i) % m;
      const start = i === 0 ? (from + count) % n : own[side]!;
      const length = kept(side) - (i === 0 ? grow : 0) - (side === before ? grow : 0);
      rest.push({ from: start, count: length, kind: stretches[side]!.kind });
      flags.push(i === 0 ? 1 : smooth[side]!);
    }
    const start = startChain(points, rest, Math.min(gap, 1));
    if (Math.abs(turnAt(start, 0)) > 1.2 || Math.abs(turnAt(start, 1)) > 1.2) continue;
    const firsts = Int32Array.from(rest, (one) => one.from);
    const one = adjustChain(start, { points, firsts, smooth: Uint8Array.from(flags), blur, sd });
    if (one === undefined) continue;
    const radius = radiusOf(one.chain, 0);
    // The blur rounds a sharp tip by itself.
    const leastRadius = (Math.abs(one.chain.sides[0]!.bulge) > sharpBulge ? 3.5 : 1.5) * blur;
    if (radius === undefined || radius < leastRadius || lengthOf(one.chain, 0) > 3 * longestRound) continue;
    if (Math.abs(one.chain.sides[0]!.bulge) > 1.5) continue;
    const near = squaresNear(points, one, from, count);
    if (near.known < near.all || near.squares / near.all > least) continue;
    least = near.squares / near.all;
    best = {
      stretches: rest.map((s, i) => ({ ...s, from: one.firsts[i]!, count: countOf(one.firsts, i, n) })),
      adjusted: one,
      smooth: Uint8Array.from(flags),
    };
  }
  return best;
};

const countOf = (firsts: Int32Array, k: number, n: number): number => {
  const next = firsts[(k + 1) % firsts.length]!;
  return (next - firsts[k]! + n) % n;
};

/** Squares of the points of a run and a little beyond, and how many of them count. */
const squaresNear = (
  { x, spread }: ChainPoints,
  { residual }: Adjusted,
  from: number,
  count: number,
): { squares: number; known: number; all: number } => {
  const n = x.length;
  let squares = 0;
  let known = 0;
  for (let j = -3; j < count + 3; j += 1) {
    const i = (from + j + n) % n;
    const r = residual[i]!;
    if (Number.isNaN(r)) continue;
    squares += (r / spread[i]!) ** 2;
    known += 1;
  }
  return { squares, known, all: count + 6 };
};
