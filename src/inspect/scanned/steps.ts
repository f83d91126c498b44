/**
 * The two steps of a profile: hole to panel at the existing edge, panel to film at the new one. First the two places that part
 * the profile best into three even levels, then both blurred steps at once by least squares: nearer than a few sds of the
 * blur each shifts the other's apparent place, and only together they are where they are.
 */
import { normalCdf } from '../../numeric/distributions.js';
import { power } from '../../numeric/powers.js';
import type { Profile } from './windows.js';

export interface Steps {
  /** mm along the normal. */
  readonly first: number;
  readonly second: number;
  /** Levels before, between and behind. */
  readonly levels: readonly [number, number, number];
  /** By which share the light grows with each mm along the normal; absent: not at all. */
  readonly shade?: number;
  /** What is left over, levels squared, over all pixels. */
  readonly squares: number;
}

/** Sums up to each place, of counts, of levels and of their squares. */
const sumsOf = ({
  levels,
  counts,
}: Profile): { within: (i: number, j: number) => number; mean: (i: number, j: number) => number } => {
  const n = levels.length;
  const count = new Float64Array(n + 1);
  const sum = new Float64Array(n + 1);
  const squares = new Float64Array(n + 1);
  for (let i = 0; i < n; i += 1) {
    count[i + 1] = count[i]! + counts[i]!;
    sum[i + 1] = sum[i]! + counts[i]! * levels[i]!;
    squares[i + 1] = squares[i]! + counts[i]! * levels[i]! ** 2;
  }
  const mean = (i: number, j: number): number => (sum[j]! - sum[i]!) / (count[j]! - count[i]!);
  return {
    mean,
    within: (i, j) => squares[j]! - squares[i]! - (sum[j]! - sum[i]!) ** 2 / (count[j]! - count[i]!),
  };
};

/** Strips at either end that belong to no step, and from one place that is tried to the next. */
const edge = 6;
const stride = 3;

/** Sharp steps at least `apart` from one another, mm; undefined for a profile without room for them. */
export const sharpSteps = (
  profile: Profile,
  apart: number,
  firstWithin: readonly [number, number],
): Steps | undefined => {
  const { t } = profile;
  const n = t.length;
  const { within, mean } = sumsOf(profile);
  let best = Number.POSITIVE_INFINITY;
  let at: [number, number] | undefined;
  for (let i = edge; i < n - edge; i += stride) {
    if (t[i]! < firstWithin[0] || t[i]! > firstWithin[1]) continue;
    const before = within(0, i);
    for (let j = i + stride; j <= n - edge; j += stride) {
      if (t[j]! - t[i]! < apart) continue;
      const total = before + within(i, j) + within(j, n);
      if (total < best) {
        best = total;
        at = [i, j];
      }
    }
  }
  if (at === undefined) return undefined;
  const [i, j] = at;
  return {
    first: (t[i - 1]! + t[i]!) / 2,
    second: (t[j - 1]! + t[j]!) / 2,
    levels: [mean(0, i), mean(i, j), mean(j, n)],
    squares: best,
  };
};

/** The one place that parts the profile best into two levels. */
export const oneStep = (profile: Profile): { at: number; levels: [number, number]; squares: number } => {
  const { t } = profile;
  const n = t.length;
  const { within, mean } = sumsOf(profile);
  let best = Number.POSITIVE_INFINITY;
  let at = 1;
  for (let i = Math.min(edge, n - 1); i <= n - edge; i += 1) {
    const total = within(0, i) + within(i, n);
    if (total < best) {
      best = total;
      at = i;
    }
  }
  return { at: (t[at - 1]! + t[at]!) / 2, levels: [mean(0, at), mean(at, n)], squares: best };
};

const rootTwoPi = Math.sqrt(2 * Math.PI);
const mostIterations = 15;
/** mm: a nanometre. */
const settled = 1e-6;
const unknowns = 6;

/**
 * Both steps with one blur (an sd, mm), from where they are about; undefined where it does not settle near there. Light is
 * blurred, not levels: with a gamma of g a level is white (light / white)^(1 / g). It may grow or fall evenly across the profile,
 * as the lamp has it.
 */
export const blurredSteps = (
  { t: places, levels, counts }: Profile,
  from: Pick<Steps, 'first' | 'second' | 'levels' | 'shade'>,
  blur: number,
  gamma = 1,
  white = 255,
): Steps | undefined => {
  const n = levels.length;
  const toLight = (level: number): number => white * power(Math.max(level, 0.2) / white, gamma);
  let [a, b, c] = from.levels.map(toLight) as [number, number, number];
  b -= a;
  c -= a + b;
  let { first, second, shade = 0 } = from;
  const middle = (first + second) / 2;
  const room = Math.max(2 * blur, 0.5 * (second - first));
  const design = new Float64Array(unknowns * n);
  const observed = new Float64Array(n);
  const darkest = white * power(0.2 / white, gamma);
  let squares = 0;
  for (let round = 0; round < mostIterations; round += 1) {
    squares = 0;
    for (let i = 0; i < n; i += 1) {
      const t = places[i]!;
      const u = (t - first) / blur;
      const v = (t - second) / blur;
      const p = phi(u);
      const q = phi(v);
      const even = a + b * p + c * q;
      const lit = 1 + shade * (t - middle);
      const light = Math.max(darkest, even * lit);
      const level = gamma === 1 ? light : white * power(light / white, 1 / gamma);
      const root = Math.sqrt(counts[i]!);
      const slope = root * (gamma === 1 ? 1 : level / light / gamma);
      const at = unknowns * i;
      design[at] = slope * lit;
      design[at + 1] = slope * lit * p;
      design[at + 2] = slope * lit * q;
      design[at + 3] = u * u > 60 ? 0 : (-slope * lit * b * Math.exp((-u * u) / 2)) / rootTwoPi / blur;
      design[at + 4] = v * v > 60 ? 0 : (-slope * lit * c * Math.exp((-v * v) / 2)) / rootTwoPi / blur;
      design[at + 5] = slope * even * (t - middle);
      observed[i] = root * (levels[i]! - level);
      squares += observed[i]! ** 2;
    }
    const x = solvedFor(design, observed);
    if (x === undefined) return undefined;
    a += x[0]!;
    b += x[1]!;
    c += x[2]!;
    first += limited(x[3]!, blur);
    second += limited(x[4]!, blur);
    shade += x[5]!;
    if (Math.abs(first - from.first) > room || Math.abs(second - from.second) > room || second <= first)
      return undefined;
    if (Math.abs(x[3]!) < settled && Math.abs(x[4]!) < settled) break;
  }
  const toLevel = (light: number): number => white * power(Math.max(darkest, light) / white, 1 / gamma);
  return { first, second, levels: [toLevel(a), toLevel(a + b), toLevel(a + b + c)], shade, squares };
};

const limited = (v: number, most: number): number => Math.max(-most, Math.min(most, v));

/** Tabulated: a profile asks for it a hundred times. */
const tableStep = 1 / 256;
const tableReach = 8;
const table = Float64Array.from({ length: 2 * tableReach * 256 + 2 }, (_, i) =>
  normalCdf(i * tableStep - tableReach),
);
const phi = (u: number): number => {
  if (u <= -tableReach) return 0;
  if (u >= tableReach) return 1;
  const at = (u + tableReach) / tableStep;
  const i = Math.floor(at);
  return table[i]! + (at - i) * (table[i + 1]! - table[i]!);
};

/** Normal equations by Cholesky on columns of one size: hundreds of profiles are fitted many times. */
const solvedFor = (design: Float64Array, observed: Float64Array): number[] | undefined => {
  const n = unknowns;
  const count = observed.length;
  const m = new Float64Array(n * (n + 1));
  for (let r = 0; r < count; r += 1) {
    const at = n * r;
    for (let i = 0; i < n; i += 1) {
      const d = design[at + i]!;
      for (let j = i; j < n; j += 1) m[i * (n + 1) + j]! += d * design[at + j]!;
      m[i * (n + 1) + n]! += d * observed[r]!;
    }
  }
  const scales = Array.from({ length: n }, (_, i) => 1 / Math.sqrt(m[i * (n + 1) + i]!));
  if (!scales.every(Number.isFinite)) return undefined;
  const l = new Float64Array(n * n);
  for (let i = 0; i < n; i += 1)
    for (let j = 0; j <= i; j += 1) {
      let sum = m[j * (n + 1) + i]! * scales[i]! * scales[j]!;
      for (let k = 0; k < j; k += 1) sum -= l[i * n + k]! * l[j * n + k]!;
      if (i === j) {
        if (sum < 1e-10) return undefined;
        l[i * n + i] = Math.sqrt(sum);
      } else l[i * n + j] = sum / l[j * n + j]!;
    }
  const y = new Array<number>(n).fill(0);
  for (let i = 0; i < n; i += 1) {
    let sum = m[i * (n + 1) + n]! * scales[i]!;
    for (let k = 0; k < i; k += 1) sum -= l[i * n + k]! * y[k]!;
    y[i] = sum / l[i * n + i]!;
  }
  const x = new Array<number>(n).fill(0);
  for (let i = n - 1; i >= 0; i -= 1) {
    let sum = y[i]!;
    for (let k = i + 1; k < n; k += 1) sum -= l[k * n + i]! * x[k]!;
    x[i] = sum / l[i * n + i]!;
  }
  return x.map((v, i) => v * scales[i]!);
};
