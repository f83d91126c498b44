/** From the points of one closed edge to its lines and arcs: divided, cleaned of what the blur makes of corners, adjusted. */
import type { Point } from '../../geometry/point.js';
import { type Adjusted, adjustChain, type ChainPoints } from '../curves/adjustment.js';
import { type Chain, lengthOf, pointOn, radiusOf, turnAt } from '../curves/chain.js';
import { type Stretch, segmentation } from '../curves/segmentation.js';
import { type FittedCircle, type FittedLine, Moments } from '../picture/moments.js';
import { cornerMisfit } from './blurred-corner.js';
import { normal } from './edge-points.js';

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

export interface CircleOutline {
  readonly kind: 'circle';
  readonly centre: Point;
  readonly radius: number;
  /** Mean variance along it, pixels^2. */
  readonly variance: number;
  readonly radiusVariance: number;
  readonly residual: Float64Array;
  readonly unknowns: number;
}

export interface ChainOutline {
  readonly kind: 'chain';
  readonly chain: Chain;
  readonly smooth: Uint8Array;
  readonly firsts: Int32Array;
  /** Of each side. */
  readonly variance: Float64Array;
  readonly corner: Adjusted['corner'];
  readonly residual: Float64Array;
  readonly unknowns: number;
}

export type Outline = CircleOutline | ChainOutline;

/** A stretch of points as a line or a circle of its own. */
type Primitive = { readonly line: FittedLine } | { readonly circle: FittedCircle };

/** The chain may turn by so much at a joint that is to be smooth, radians: more is a corner whatever the noise. */
const mostSmooth = 0.35;
/** What divides one side from two shows over so many points: as they err together, so does what is seen there. */
const decisive = 8;
/** A smooth joint may cost so much of the sum of squares over the variance. */
const smoothCost = 12;

/** Undefined where the points allow no lines and arcs that settle. */
export const outlineOf = (points: ChainPoints, settings: OutlineSettings): Outline | undefined => {
  const { sd, blur, together } = settings;
  const n = points.x.length;
  if (n < 12) return undefined;
  const variance = sd * sd * meanSquare(points.spread) * together(decisive);
  const gap = Math.max(1, Math.min(Math.round(2.6 * blur), Math.floor(n / 24)));
  let stretches = segmentation(points, { variance, gap });
  const round = roundOutline(points, stretches, settings, variance);
  if (round !== undefined) return round;
  stretches = withoutTips(points, stretches, settings, gap);
  return chainOutline(points, stretches, settings, gap);
};

const meanSquare = (values: Float64Array): number => {
  let sum = 0;
  let n = 0;
  for (const v of values) {
    if (!Number.isFinite(v)) continue;
    sum += v * v;
    n += 1;
  }
  return n === 0 ? 1 : sum / n;
};

/** The whole edge as one circle, if that explains the points as well as its stretches do. */
const roundOutline = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  { sd, blur, together }: OutlineSettings,
  variance: number,
): CircleOutline | undefined => {
  if (stretches.length > 6 || stretches.some(({ kind }) => kind === 'line')) return undefined;
  const { x, y, spread } = points;
  const n = x.length;
  const moments = new Moments(x[0]!, y[0]!);
  for (let i = 0; i < n; i += 1) moments.add(x[i]!, y[i]!);
  const first = moments.circle();
  if (first === undefined) return undefined;
  // What is to be saved by more arcs: each costs about this much.
  const each = 5 * Math.log(n);
  const parts = stretches.reduce((sum, stretch) => {
    const p = primitiveOf(points, stretch, 0);
    return sum + ('line' in p ? p.line.squares : p.circle.squares);
  }, 0);
  if ((first.squares - parts) / variance > each * (stretches.length - 1) + 12) return undefined;
  let { x: cx, y: cy, radius } = first;
  const residual = new Float64Array(n);
  let inverse: number[] = [];
  for (let turn = 0; turn < 6; turn += 1) {
    const a = [0, 0, 0, 0, 0, 0];
    const b = [0, 0, 0];
    const seen = radius - (blur * blur) / (2 * radius);
    for (let i = 0; i < n; i += 1) {
      const dx = x[i]! - cx;
      const dy = y[i]! - cy;
      const d = Math.sqrt(dx * dx + dy * dy);
      const r = d - seen;
      residual[i] = r;
      const own = sd * spread[i]!;
      const w = 1 / (own * own) / Math.max(1, Math.abs(r) / (4 * own));
      const u = dx / d;
      const v = dy / d;
      a[0]! += w * u * u;
      a[1]! += w * u * v;
      a[2]! += w * u;
      a[3]! += w * v * v;
      a[4]! += w * v;
      a[5]! += w;
      b[0]! += w * u * r;
      b[1]! += w * v * r;
      b[2]! += w * r;
    }
    const solved = inverse3(a);
    if (solved === undefined) return undefined;
    inverse = solved;
    const [ixx, ixy, ixr, iyy, iyr, irr] = inverse as [number, number, number, number, number, number];
    cx += ixx * b[0]! + ixy * b[1]! + ixr * b[2]!;
    cy += ixy * b[0]! + iyy * b[1]! + iyr * b[2]!;
    radius += ixr * b[0]! + iyr * b[1]! + irr * b[2]!;
  }
  if (!(radius > 0)) return undefined;
  const factor = together(n / 4);
  const [ixx, , , iyy, , irr] = inverse as [number, number, number, number, number, number];
  return {
    kind: 'circle',
    centre: { x: cx, y: cy },
    radius,
    variance: factor * ((ixx + iyy) / 2 + irr),
    radiusVariance: factor * irr,
    residual,
    unknowns: 3,
  };
};

/** Of a symmetric matrix given as xx, xy, xz, yy, yz, zz, in the same order. */
const inverse3 = (m: readonly number[]): number[] | undefined => {
  const [a, b, c, d, e, f] = m as [number, number, number, number, number, number];
  const A = d * f - e * e;
  const B = c * e - b * f;
  const C = b * e - c * d;
  const det = a * A + b * B + c * C;
  if (!(det > 0)) return undefined;
  return [A, B, C, a * f - c * c, b * c - a * e, a * d - b * b].map((v) => v / det);
};

const primitiveOf = (
  { x, y }: Pick<ChainPoints, 'x' | 'y'>,
  { from, count, kind }: Stretch,
  gap: number,
): Primitive => {
  const n = x.length;
  const skip = Math.min(gap, Math.max(0, Math.floor((count - 5) / 2)));
  const moments = new Moments(x[from % n]!, y[from % n]!);
  for (let j = skip; j < count - skip; j += 1) moments.add(x[(from + j) % n]!, y[(from + j) % n]!);
  const circle = kind === 'arc' ? moments.circle() : undefined;
  return circle === undefined ? { line: moments.line() } : { circle };
};

/** Where two primitives meet near a point; undefined where they do not. */
const meeting = (a: Primitive, b: Primitive, near: Point): Point | undefined => {
  const candidates: Point[] = [];
  if ('line' in a && 'line' in b) {
    const cross = a.line.dx * b.line.dy - a.line.dy * b.line.dx;
    if (Math.abs(cross) < 1e-9) return undefined;
    const t = ((b.line.x - a.line.x) * b.line.dy - (b.line.y - a.line.y) * b.line.dx) / cross;
    candidates.push({ x: a.line.x + t * a.line.dx, y: a.line.y + t * a.line.dy });
  } else if ('circle' in a && 'circle' in b) {
    const dx = b.circle.x - a.circle.x;
    const dy = b.circle.y - a.circle.y;
    const d = Math.hypot(dx, dy);
    if (d === 0) return undefined;
    const t = (d * d + a.circle.radius ** 2 - b.circle.radius ** 2) / (2 * d);
    const h2 = a.circle.radius ** 2 - t * t;
    if (h2 < 0) return undefined;
    const h = Math.sqrt(h2);
    for (const s of [1, -1]) {
      candidates.push({
        x: a.circle.x + (t * dx - s * h * dy) / d,
        y: a.circle.y + (t * dy + s * h * dx) / d,
      });
    }
  } else {
    const { line } = ('line' in a ? a : b) as { line: FittedLine };
    const { circle } = ('line' in a ? b : a) as { circle: FittedCircle };
    const t = (circle.x - line.x) * line.dx + (circle.y - line.y) * line.dy;
    const away = (circle.x - line.x) * line.dy - (circle.y - line.y) * line.dx;
    const h2 = circle.radius ** 2 - away * away;
    if (h2 < 0) return undefined;
    const h = Math.sqrt(h2);
    for (const s of [1, -1])
      candidates.push({ x: line.x + (t + s * h) * line.dx, y: line.y + (t + s * h) * line.dy });
  }
  const far = (p: Point): number => Math.hypot(p.x - near.x, p.y - near.y);
  return candidates.sort((p, q) => far(p) - far(q))[0];
};

const directionNear = (p: Primitive, at: Point, along: Point): Point => {
  const raw =
    'line' in p
      ? { x: p.line.dx, y: p.line.dy }
      : { x: -(at.y - p.circle.y) / p.circle.radius, y: (at.x - p.circle.x) / p.circle.radius };
  return raw.x * along.x + raw.y * along.y >= 0 ? raw : { x: -raw.x, y: -raw.y };
};

/**
 * Takes away short stretches that are nothing but the blurred tip of a corner: where the sides before and after cross, and the
 * points come as near to the crossing as a blurred corner of that angle would let them.
 */
const withoutTips = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  { blur, sd }: OutlineSettings,
  gap: number,
): Stretch[] => {
  let current = [...stretches];
  for (let again = true; again; ) {
    again = false;
    search: for (let run = 1; run <= mostOfTip; run += 1) {
      for (let k = 0; k < current.length && current.length > run + 1; k += 1) {
        const shorter = withoutTip(points, current, k, run, { blur, sd }, gap);
        if (shorter === undefined) continue;
        current = shorter;
        again = true;
        break search;
      }
    }
  }
  return current;
};

/** A tip seldom falls into more stretches. */
const mostOfTip = 5;

/** The stretches without `run` of them from the k-th on; undefined where these are more than a blurred tip. */
const withoutTip = (
  { x, y }: ChainPoints,
  stretches: readonly Stretch[],
  k: number,
  run: number,
  { blur, sd }: Pick<OutlineSettings, 'blur' | 'sd'>,
  gap: number,
): Stretch[] | undefined => {
  const n = x.length;
  const m = stretches.length;
  const tip = Array.from({ length: run }, (_, i) => stretches[(k + i) % m]!);
  const count = tip.reduce((sum, one) => sum + one.count, 0);
  if (count > 250 * blur) return undefined;
  const before = stretches[(k + m - 1) % m]!;
  const after = stretches[(k + run) % m]!;
  if (before === after || before.count < count / 2 || after.count < count / 2) return undefined;
  const first = tip[0]!.from;
  const a = primitiveOf({ x, y }, before, gap);
  const b = primitiveOf({ x, y }, after, gap);
  let cross: Point | undefined;
  let nearest = Number.POSITIVE_INFINITY;
  // The crossing that is nearest to any point of the tip.
  for (const share of [0.5, 0, 1, 0.25, 0.75]) {
    const at = (first + Math.round(share * (count - 1))) % n;
    const one = meeting(a, b, { x: x[at]!, y: y[at]! });
    if (one === undefined) continue;
    let least = Number.POSITIVE_INFINITY;
    for (let j = -6; j < count + 6; j += 1) {
      const i = (first + j + n) % n;
      least = Math.min(least, Math.hypot(x[i]! - one.x, y[i]! - one.y));
    }
    if (least < nearest) {
      nearest = least;
      cross = one;
    }
  }
  if (cross === undefined) return undefined;
  const towards = (s: Stretch, end: 'first' | 'last'): Point => {
    const skip = Math.min(gap, s.count >> 2);
    const reach = Math.min(7, s.count >> 1);
    const j = end === 'last' ? s.count - 1 - skip : skip + reach;
    const i = end === 'last' ? Math.max(0, j - reach) : skip;
    const p = (s.from + i) % n;
    const q = (s.from + j) % n;
    return { x: x[q]! - x[p]!, y: y[q]! - y[p]! };
  };
  const into = directionNear(a, cross, towards(before, 'last'));
  const out = directionNear(b, cross, towards(after, 'first'));
  const turn = Math.abs(Math.atan2(into.x * out.y - into.y * out.x, into.x * out.x + into.y * out.y));
  const angle = Math.PI - turn;
  // Beyond this the two sides no longer touch one another's blur.
  const reach = (blurSides * blur + 2) / Math.max(0.05, angle < Math.PI / 2 ? Math.sin(angle) : 1);
  if (count > 2 * reach + 4 * gap) return undefined;
  const expected = blur * tipSetback(angle);
  if (Math.abs(nearest - expected) > 0.3 + (angle < 0.8 ? 0.25 : 0.12) * expected + 3 * sd) return undefined;
  // Its points go to the sides, half each; near the corner they do not count.
  const half = count >> 1;
  const gone = new Set(tip);
  return stretches
    .filter((one) => !gone.has(one))
    .map((one) => {
      if (one === before) return { ...one, count: one.count + half };
      if (one === after) return { ...one, from: (first + half) % n, count: one.count + count - half };
      return one;
    });
};

/** Width of a tip below which its sides may seem to bend, in sds of the blur. */
const blurSides = 4.2;

const setbacks = new Map<number, number>();

/**
 * How far the middle level of a blurred corner lies from its tip, in sds of the blur: where a normal distribution round a
 * point on the bisector has half of its weight inside the corner.
 *
 * @param angle between the sides, radians, 0 .. pi
 */
export const tipSetback = (angle: number): number => {
  const key = Math.round(angle * 200) / 200;
  const known = setbacks.get(key);
  if (known !== undefined) return known;
  const half = Math.max(0.02, Math.min(Math.PI / 2 - 1e-4, key / 2));
  // By angles round the point: the share of each direction that ends inside.
  const inside = (distance: number): number => {
    const steps = 400;
    let sum = 0;
    for (let i = 0; i < steps; i += 1) {
      // Across the bisector the corner is 2 (d + s) tan(half) wide at s beyond the point.
      const s = -6 + ((i + 0.5) * 12) / steps;
      const wide = (distance + s) * Math.tan(half);
      if (wide <= 0) continue;
      sum += ((12 / steps) * Math.exp((-s * s) / 2) * (2 * normal(wide) - 1)) / Math.sqrt(2 * Math.PI);
    }
    return sum;
  };
  let low = 0;
  let high = 60;
  for (let i = 0; i < 40; i += 1) {
    const middle = (low + high) / 2;
    if (inside(middle) < 0.5) low = middle;
    else high = middle;
  }
  setbacks.set(key, (low + high) / 2);
  return (low + high) / 2;
};

const chainOutline = (
  points: ChainPoints,
  stretches: readonly Stretch[],
  settings: OutlineSettings,
  gap: number,
): ChainOutline | undefined => {
  if (stretches.length < 2) return undefined;
  const { together } = settings;
  let best: Settled | undefined = settled(points, stretches, settings, gap);
  if (best === undefined) return undefined;
  best = withVariances(points, withRounds(points, best, settings, gap), settings);
  best = best === undefined ? undefined : withLines(points, best, settings);
  if (best === undefined) return undefined;
  const { adjusted, smooth } = best;
  return {
    kind: 'chain',
    chain: adjusted.chain,
    smooth,
    firsts: adjusted.firsts,
    variance: adjusted.variance.map((v, i) => v * together(lengthOf(adjusted.chain, i) / 2)),
    corner: adjusted.corner.map((c) => c.map((v) => v * together(30)) as [number, number, number]),
    residual: adjusted.residual,
    unknowns: adjusted.unknowns,
  };
};

/** An arc that bends by fewer sds than this is a line. */
const leastBend = 3.5;

/** Puts lines in the place of arcs whose bend the noise explains. */
const withLines = (points: ChainPoints, best: Settled, settings: OutlineSettings): Settled => {
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
const withVariances = (
  points: ChainPoints,
  { stretches, adjusted, smooth }: Settled,
  { blur, sd }: OutlineSettings,
): Settled | undefined => {
  const again = adjustChain(adjusted.chain, { points, firsts: adjusted.firsts, smooth, blur, sd }, true);
  return again === undefined ? undefined : { stretches, adjusted: again, smooth };
};

interface Settled {
  readonly stretches: readonly Stretch[];
  readonly adjusted: Adjusted;
  readonly smooth: Uint8Array;
}

/** After so many adjustments all joints that are refused go at once. */
const patience = 8;

/** The adjusted chain, with every joint smooth that may be. */
const settled = (
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
const withRounds = (points: ChainPoints, first: Settled, settings: OutlineSettings, gap: number): Settled => {
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

const startChain = (points: ChainPoints, stretches: readonly Stretch[], gap: number): Chain => {
  const { x, y } = points;
  const n = x.length;
  const k = stretches.length;
  const primitives = stretches.map((stretch) => primitiveOf(points, stretch, gap));
  const cornerX = new Float64Array(k);
  const cornerY = new Float64Array(k);
  for (let j = 0; j < k; j += 1) {
    const at = stretches[j]!.from % n;
    const before = (at + n - 1) % n;
    const near = { x: (x[at]! + x[before]!) / 2, y: (y[at]! + y[before]!) / 2 };
    const cross = meeting(primitives[(j + k - 1) % k]!, primitives[j]!, near);
    const good = cross !== undefined && Math.hypot(cross.x - near.x, cross.y - near.y) < 14;
    cornerX[j] = good ? cross.x : near.x;
    cornerY[j] = good ? cross.y : near.y;
  }
  const sides = stretches.map(({ from, count, kind }, j) => {
    if (kind === 'line' || 'line' in primitives[j]!) return { kind, bulge: kind === 'line' ? 0 : 1e-4 };
    const next = (j + 1) % k;
    const { circle } = primitives[j] as { circle: FittedCircle };
    const angle = (px: number, py: number): number => Math.atan2(py - circle.y, px - circle.x);
    const middle = (from + (count >> 1)) % n;
    const a = angle(cornerX[j]!, cornerY[j]!);
    const m = angle(x[middle]!, y[middle]!);
    const b = angle(cornerX[next]!, cornerY[next]!);
    const ccw = (v: number): number => ((v % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI);
    const sweep = ccw(m - a) < ccw(b - a) ? ccw(b - a) : ccw(b - a) - 2 * Math.PI;
    return { kind, bulge: Math.tan(sweep / 4) };
  });
  return { x: cornerX, y: cornerY, sides };
};

/** Points along an outline, `apart` pixels from one another or nearer. */
export const alongOutline = (outline: Outline, apart: number): Point[] => {
  if (outline.kind === 'circle') {
    const { centre, radius } = outline;
    const count = Math.max(8, Math.ceil((2 * Math.PI * radius) / apart));
    return Array.from({ length: count }, (_, i) => ({
      x: centre.x + radius * Math.cos((2 * Math.PI * i) / count),
      y: centre.y + radius * Math.sin((2 * Math.PI * i) / count),
    }));
  }
  const { chain } = outline;
  return chain.sides.flatMap((_, k) => {
    const count = Math.max(1, Math.ceil(lengthOf(chain, k) / apart));
    return Array.from({ length: count }, (__, i) => pointOn(chain, k, i / count));
  });
};

export { radiusOf };
