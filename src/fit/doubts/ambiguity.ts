/** Patterns of marks that map onto themselves: what readings alone can never tell apart. */
import type { Point } from '../../geometry/point.js';
import { distance, length, subtract } from '../../geometry/point.js';
import { linearPart, weightedMean } from '../solve/closed-form.js';
import { placed } from '../solve/placement.js';

export interface Ambiguity {
  /**
   * half-turn, turn: the pattern turned by `degrees` about its middle. mirror: the pattern mirrored. equal-spacing:
   * the pattern moved along by one spacing, all marks but the last on another mark.
   */
  readonly kind: 'half-turn' | 'turn' | 'mirror' | 'equal-spacing';
  /** 0..360, counter-clockwise; turn and half-turn only. */
  readonly degrees?: number;
  /** For each mark the mark it lands on; -1 where it lands on none (equal-spacing). */
  readonly image: readonly number[];
  /** Largest distance of a landed mark from the one it is taken for, mm. */
  readonly miss: number;
}

/** Beyond this many marks the search would be slow, and the pattern is hardly regular by accident. */
const mostMarks = 24;

/**
 * All ways in which the pattern fits onto itself to within `tolerance` (mm, the largest miss of any mark). Two marks
 * always do, by half a turn and by a mirror; marks on one line always do by a mirror.
 */
export const ambiguities = (designPoints: readonly Point[], tolerance: number): Ambiguity[] => {
  const n = designPoints.length;
  if (n < 2 || n > mostMarks) return [];
  const middle = weightedMean(
    designPoints.map((p) => ({ from: p, to: p, weight: 1 })),
    'from',
  );
  const points = designPoints.map((p) => subtract(p, middle));
  const found = new Map<string, Ambiguity>();
  const first = farthest(points, { x: 0, y: 0 });
  const second = farthest(points, points[first]!);
  const span = distance(points[first]!, points[second]!);
  if (!(span > tolerance)) return [];
  for (const mirrored of [false, true]) {
    const from = mirrored ? points.map((p) => ({ x: -p.x, y: p.y })) : points;
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        if (i === j || Math.abs(distance(points[i]!, points[j]!) - span) > 2 * tolerance) continue;
        const image = landing(from, first, second, i, j, points, tolerance);
        if (image === undefined) continue;
        const itself = image.every((to, k) => to === k);
        if (itself && !mirrored) continue;
        const fitted = selfFit(from, points, image);
        if (fitted === undefined || fitted.miss > tolerance) continue;
        const key = `${mirrored} ${image.join(' ')}`;
        if (!found.has(key)) found.set(key, described(mirrored, fitted, image));
      }
    }
  }
  return [...found.values(), ...equalSpacing(points, tolerance)];
};

const farthest = (points: readonly Point[], from: Point): number => {
  let best = 0;
  for (let i = 1; i < points.length; i++)
    if (distance(points[i]!, from) > distance(points[best]!, from) + 1e-9) best = i;
  return best;
};

/** Where every mark lands when `first` goes to i and `second` towards j; undefined unless one to one. */
const landing = (
  from: readonly Point[],
  first: number,
  second: number,
  i: number,
  j: number,
  points: readonly Point[],
  tolerance: number,
): number[] | undefined => {
  const arm = subtract(from[second]!, from[first]!);
  const goal = subtract(points[j]!, points[i]!);
  const turn = Math.atan2(goal.y, goal.x) - Math.atan2(arm.y, arm.x);
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const taken = new Set<number>();
  const image: number[] = [];
  for (const p of from) {
    const u = subtract(p, from[first]!);
    const at = { x: points[i]!.x + cos * u.x - sin * u.y, y: points[i]!.y + sin * u.x + cos * u.y };
    // A pattern that fits within the tolerance lands within a few of them when hung up at two marks only.
    const nearest = nearestTo(points, at);
    if (taken.has(nearest) || distance(points[nearest]!, at) > 6 * tolerance) return undefined;
    taken.add(nearest);
    image.push(nearest);
  }
  return image;
};

const nearestTo = (points: readonly Point[], at: Point): number => {
  let best = 0;
  for (let k = 1; k < points.length; k++)
    if (distance(points[k]!, at) < distance(points[best]!, at)) best = k;
  return best;
};

const selfFit = (
  from: readonly Point[],
  points: readonly Point[],
  image: readonly number[],
): { miss: number; turn: number } | undefined => {
  const pairs = from.map((p, k) => ({ from: p, to: points[image[k]!]!, weight: 1 }));
  const linear = linearPart('rigid', pairs);
  if (linear === undefined) return undefined;
  const placement = { model: 'rigid', centre: { x: 0, y: 0 }, anchor: { x: 0, y: 0 }, linear } as const;
  let miss = 0;
  for (const pair of pairs) miss = Math.max(miss, distance(placed(placement, pair.from), pair.to));
  return { miss, turn: Math.atan2(linear[1], linear[0]) };
};

const described = (
  mirrored: boolean,
  { miss, turn }: { miss: number; turn: number },
  image: readonly number[],
): Ambiguity => {
  if (mirrored) return { kind: 'mirror', image, miss };
  const degrees = ((turn * 180) / Math.PI + 360) % 360;
  return { kind: Math.abs(degrees - 180) < 10 ? 'half-turn' : 'turn', degrees, image, miss };
};

/** A step that takes every mark but one onto another: holes in a row, read one hole too far. */
const equalSpacing = (points: readonly Point[], tolerance: number): Ambiguity[] => {
  const n = points.length;
  if (n < 3) return [];
  for (let i = 1; i < n; i++) {
    const step = subtract(points[i]!, points[0]!);
    if (!(length(step) > 2 * tolerance)) continue;
    const image = points.map((p) => {
      const at = { x: p.x + step.x, y: p.y + step.y };
      const nearest = nearestTo(points, at);
      return distance(points[nearest]!, at) <= 2 * tolerance ? nearest : -1;
    });
    if (image.filter((to) => to >= 0).length === n - 1) {
      const misses = points.map((p, k) => {
        const to = points[image[k]!];
        return to === undefined ? 0 : distance(to, { x: p.x + step.x, y: p.y + step.y });
      });
      const miss = Math.max(...misses);
      return [{ kind: 'equal-spacing', image, miss }];
    }
  }
  return [];
};
