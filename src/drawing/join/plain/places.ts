/** Where ends lie: ends in the same place share a number. */
import { distance, type Point } from '../../../geometry/point.js';
import { IntList } from '../../../numeric/int-list.js';
import { samePlace } from '../doubtful/piece.js';

const cell = 4 * samePlace;

/** Each end belongs to the first place within `samePlace` of it. */
export class Places {
  count = 0;
  private xs: Float64Array;
  private ys: Float64Array;
  /**
   * The first place of each row of the table, and the next one after each place in its row, counted
   * from 1.
   */
  private rows: Int32Array;
  private next: Int32Array;

  /** @param expected places: more may come, though to make room for them takes time */
  constructor(expected: number) {
    const size = 2 ** (32 - Math.clz32(Math.max(63, expected - 1)));
    this.xs = new Float64Array(size);
    this.ys = new Float64Array(size);
    this.rows = new Int32Array(2 * size);
    this.next = new Int32Array(size);
  }

  at(p: Point): number {
    const x0 = Math.floor((p.x - samePlace) / cell);
    const x1 = Math.floor((p.x + samePlace) / cell);
    const y0 = Math.floor((p.y - samePlace) / cell);
    const y1 = Math.floor((p.y + samePlace) / cell);
    for (let x = x0; x <= x1; x += 1) {
      for (let y = y0; y <= y1; y += 1) {
        for (let i = this.rows[this.rowOf(x, y)]! - 1; i >= 0; i = this.next[i]! - 1) {
          if (this.isNear(i, p)) return i;
        }
      }
    }
    if (this.count === this.xs.length) this.grow();
    const place = this.count;
    this.xs[place] = p.x;
    this.ys[place] = p.y;
    this.count = place + 1;
    this.enter(place);
    return place;
  }

  point(place: number): Point {
    return { x: this.xs[place]!, y: this.ys[place]! };
  }

  private isNear(place: number, p: Point): boolean {
    const dx = this.xs[place]! - p.x;
    const dy = this.ys[place]! - p.y;
    return Math.sqrt(dx * dx + dy * dy) <= samePlace;
  }

  private enter(place: number): void {
    const row = this.rowOf(Math.floor(this.xs[place]! / cell), Math.floor(this.ys[place]! / cell));
    this.next[place] = this.rows[row]!;
    this.rows[row] = place + 1;
  }

  private rowOf(x: number, y: number): number {
    return Math.imul(hash(x, y), 0x9e3779b1) >>> (Math.clz32(this.rows.length) + 1);
  }

  private grow(): void {
    const size = 2 * this.count;
    const longer = (numbers: Float64Array) => {
      const more = new Float64Array(size);
      more.set(numbers);
      return more;
    };
    this.xs = longer(this.xs);
    this.ys = longer(this.ys);
    this.next = new Int32Array(size);
    this.rows = new Int32Array(2 * size);
    for (let place = 0; place < this.count; place += 1) this.enter(place);
  }
}

/** Collisions cost a comparison and nothing else. */
const hash = (x: number, y: number): number => Math.imul(x | 0, 73_856_093) ^ Math.imul(y | 0, 19_349_663);

/**
 * Neighbours looked at around one end; more of them within the join distance are a blot, not a
 * junction.
 */
const mostNeighbours = 12;

/** A line from place to place that must not shrink to nothing: too short to close upon itself. */
export interface ShortLink {
  readonly from: number;
  readonly to: number;
}

/**
 * Takes places within `reach` of each other for one, the nearest first, so that no joint spreads
 * over more than `reach` and the two ends of a short link stay apart. The answer maps each place to
 * the first of its joint; undefined where no two places are so near.
 */
export const mergeNear = (
  pointOf: (place: number) => Point,
  candidates: Int32Array,
  shortLinks: readonly ShortLink[],
  reach: number,
): ((place: number) => number) | undefined => {
  const pairs = nearPairs(pointOf, candidates, reach);
  if (pairs.count === 0) return undefined;
  const joints = new Int32Array(candidates.reduce((most, place) => Math.max(most, place), 0) + 1);
  for (let place = 0; place < joints.length; place += 1) joints[place] = place;
  const jointOf = (place: number): number => joints[place] ?? place;
  const links = new Map<number, number[]>();
  for (const { from, to } of shortLinks) {
    for (const [a, b] of [
      [from, to],
      [to, from],
    ] as const) {
      const known = links.get(a);
      if (known === undefined) links.set(a, [b]);
      else known.push(b);
    }
  }
  const members = new Map<number, number[]>();
  const merge = (a: number, b: number): void => {
    const first = Math.min(jointOf(a), jointOf(b));
    const second = Math.max(jointOf(a), jointOf(b));
    if (first === second) return;
    const ours = members.get(first) ?? [first];
    const theirs = members.get(second) ?? [second];
    if (ours.length + theirs.length > mostNeighbours) return;
    const fits = ours.every((i) => theirs.every((j) => distance(pointOf(i), pointOf(j)) <= reach));
    if (!fits || theirs.some((j) => links.get(j)?.some((far) => jointOf(far) === first))) return;
    for (const j of theirs) joints[j] = first;
    members.set(first, [...ours, ...theirs]);
    members.delete(second);
  };
  // Two places that have no others near them can be taken for one whenever it comes to it.
  const times = new Uint8Array(joints.length);
  for (let k = 0; k < pairs.count; k += 1) {
    for (const place of [pairs.a.at(k), pairs.b.at(k)]) times[place] = Math.min(2, times[place]! + 1);
  }
  const others: number[] = [];
  for (let k = 0; k < pairs.count; k += 1) {
    const [a, b] = [pairs.a.at(k), pairs.b.at(k)];
    if (times[a] === 2 || times[b] === 2) others.push(k);
    else if (links.get(b)?.includes(a) !== true) joints[b] = a;
  }
  const gapOf = (k: number): number => distance(pointOf(pairs.a.at(k)), pointOf(pairs.b.at(k)));
  const sorted = others
    .map((k) => ({ a: pairs.a.at(k), b: pairs.b.at(k), gap: gapOf(k) }))
    .sort((one, other) => one.gap - other.gap || one.a - other.a || one.b - other.b);
  for (const { a, b } of sorted) merge(a, b);
  return jointOf;
};

/** Pairs of places, the smaller number first, in columns. */
interface Pairs {
  readonly count: number;
  readonly a: IntList;
  readonly b: IntList;
}

/** Pairs of places within reach of each other, by a grid of cells as wide as the reach. */
const nearPairs = (pointOf: (place: number) => Point, candidates: Int32Array, reach: number): Pairs => {
  // A row of the table has the ends of all cells that share it: the key says which.
  const bits = Math.max(6, 33 - Math.clz32(candidates.length));
  const heads = new Int32Array(2 ** bits);
  const next = new Int32Array(candidates.length);
  const keys = new Int32Array(candidates.length);
  const rowOf = (key: number): number => Math.imul(key, 0x9e3779b1) >>> (32 - bits);
  const firsts = new IntList();
  const seconds = new IntList();
  candidates.forEach((b, k) => {
    const p = pointOf(b);
    const x = Math.floor(p.x / reach);
    const y = Math.floor(p.y / reach);
    let looked = 0;
    for (let i = x - 1; i <= x + 1; i += 1) {
      for (let j = y - 1; j <= y + 1; j += 1) {
        const key = hash(i, j);
        let other = heads[rowOf(key)]! - 1;
        for (; other >= 0 && looked < mostNeighbours; other = next[other]! - 1) {
          if (keys[other] !== key) continue;
          const a = candidates[other]!;
          if (distance(p, pointOf(a)) > reach) continue;
          firsts.push(Math.min(a, b));
          seconds.push(Math.max(a, b));
          looked += 1;
        }
      }
    }
    keys[k] = hash(x, y);
    const row = rowOf(keys[k]!);
    next[k] = heads[row]!;
    heads[row] = k + 1;
  });
  return { count: firsts.length, a: firsts, b: seconds };
};
