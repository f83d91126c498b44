/** Blurred tips of corners: the blur rounds them, and stretches made of that are taken away. */
import type { Point } from '../../geometry/point.js';
import type { ChainPoints } from '../curves/adjustment.js';
import type { Stretch } from '../curves/segmentation.js';
import { normal } from './edge-points.js';
import { directionNear, meeting, primitiveOf } from './primitives.js';
import type { OutlineSettings } from './settled.js';

/**
 * Takes away short stretches that are nothing but the blurred tip of a corner: where the sides before and after cross, and the
 * points come as near to the crossing as a blurred corner of that angle would let them.
 */
export const withoutTips = (
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
