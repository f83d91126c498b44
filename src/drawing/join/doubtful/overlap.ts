/** Lines and curves that lie on each other for a part of their length. */

import { LiveBoxes } from '../../../geometry/boxes/live-boxes.js';
import {
  type Arc,
  endOf,
  fractionOfSweep,
  type Line,
  positionAt,
  type Segment,
  segmentBox,
  startOf,
} from '../../../geometry/curve.js';
import { partOf } from '../../../geometry/curve-part.js';
import { segmentLength } from '../../../geometry/measure.js';
import { type Box, distance, growBox, type Point } from '../../../geometry/point.js';
import { type Boxed, stretchesOn } from './curve-overlap.js';

/** Overlaps shorter than this (times the tolerance) are a meeting of ends. */
const shortest = 5;
/**
 * Pairs looked at before a drawing counts as a heap of lines: ten to a line, and what small
 * drawings may cost.
 */
const pairsPerLine = 40;
const pairsAtLeast = 200_000;

/**
 * Part of a segment that lies on another one, from `from` to `to` (0..1 of the segment); ends where
 * it can be told.
 */
export interface Cover {
  readonly from: number;
  readonly to: number;
  /** Where the covering segment ends, if it is that which ends the overlap. */
  readonly fromAt?: Point;
  readonly toAt?: Point;
  /** Index of the segment that covers it. */
  readonly by: number;
}

export interface Overlaps {
  /** By the index of each segment that is covered in part or in whole by one before it. */
  readonly covers: ReadonlyMap<number, readonly Cover[]>;
  /** False where so many lines lie in one place that the search was given up. */
  readonly complete: boolean;
}

/**
 * Which of the segments lie on earlier ones, within `tolerance`. Of two segments that share a
 * stretch, one ends on the other: so the ends near each segment are looked up, and the segments
 * near its ends. A line is not held against an arc of a circle, which no line follows.
 *
 * Where many lie on each other, those that lie wholly on others are not looked at any more: what
 * lies on them lies on the others as well, though perhaps at up to twice the tolerance. So
 * thousands in one place take no longer than elsewhere.
 *
 * @param free how many of the segments, from `segments.length - free` on, may be covered; those
 * before them only cover
 */
export const findOverlaps = (segments: readonly Segment[], free: number, tolerance: number): Overlaps => {
  const covers = new Map<number, Cover[]>();
  const boxed = segments.map((segment): Boxed => ({ segment, box: segmentBox(segment) }));
  const near = new NearSegments(boxed, tolerance);
  const crowd = new Crowd(boxed, tolerance);
  const firstFree = segments.length - free;
  let left = pairsAtLeast + pairsPerLine * segments.length;
  const seen = new Int32Array(segments.length).fill(-1);
  for (const [i, one] of boxed.entries()) {
    const found: Cover[] = [];
    near.search(i, (other) => {
      left -= 1;
      if (left < 0) return true;
      if (seen[other] === i) return false;
      seen[other] = i;
      for (const cover of coversOf(one, boxed[other]!, tolerance)) found.push({ ...cover, by: other });
      return false;
    });
    if (left < 0) return { covers, complete: false };
    if (found.length > 0 && i >= firstFree) {
      covers.set(i, found.length === 1 ? found : found.sort((a, b) => a.by - b.by));
    }
    if (found.length <= crowded) near.enter(i);
    else {
      const { isNeeded, needless } = crowd.thinned(i, found);
      for (const other of needless) near.leave(other);
      if (isNeeded) near.enter(i);
    }
  }
  return { covers, complete: true };
};

/**
 * So many segments on one are thinned out; below that all of them are kept, so that each is told of
 * the first it lies on.
 */
const crowded = 12;

/** Slim boxes to a segment, on average: those of long slanted segments. */
const mostSlim = 4;

/** The segments that count at the moment, to be found by their ends and by where they run. */
class NearSegments {
  private readonly ends: LiveBoxes;
  private readonly bodies: LiveBoxes;
  /** Where the bodies of each segment begin, and whose each is. */
  private readonly firsts: Int32Array;
  private readonly owners: Int32Array;
  private readonly slimness: number;

  constructor(
    private readonly boxed: readonly Boxed[],
    private readonly tolerance: number,
  ) {
    const count = boxed.length;
    let widths = 0;
    for (const { box } of boxed) widths += widthOf(box);
    this.slimness = Math.max(slim, widths / (mostSlim * Math.max(1, count)));
    this.firsts = new Int32Array(count + 1);
    for (let i = 0; i < count; i += 1)
      this.firsts[i + 1] = this.firsts[i]! + boxCount(boxed[i]!, this.slimness);
    this.owners = new Int32Array(this.firsts[count]!);
    this.ends = new LiveBoxes(2 * count);
    this.bodies = new LiveBoxes(this.owners.length);
    for (const [i, one] of boxed.entries()) {
      for (const { x, y } of [startOf(one.segment), endOf(one.segment)]) this.ends.add(x, y, x, y);
      this.owners.fill(i, this.firsts[i], this.firsts[i + 1]);
      for (const { minX, minY, maxX, maxY } of slimBoxes(one, this.slimness)) {
        this.bodies.add(minX - tolerance, minY - tolerance, maxX + tolerance, maxY + tolerance);
      }
    }
    this.ends.finish();
    this.bodies.finish();
  }

  enter(i: number): void {
    this.ends.enter(2 * i);
    this.ends.enter(2 * i + 1);
    for (let k = this.firsts[i]!; k < this.firsts[i + 1]!; k += 1) this.bodies.enter(k);
  }

  leave(i: number): void {
    this.ends.leave(2 * i);
    this.ends.leave(2 * i + 1);
    for (let k = this.firsts[i]!; k < this.firsts[i + 1]!; k += 1) this.bodies.leave(k);
  }

  /** @param found may be told of the same segment several times; true ends the search */
  search(i: number, found: (other: number) => boolean): void {
    const one = this.boxed[i]!;
    let ended = false;
    const tell = (other: number): boolean => {
      ended ||= found(other);
      return ended;
    };
    for (const { x, y } of [startOf(one.segment), endOf(one.segment)]) {
      this.bodies.search(x, y, x, y, (body) => tell(this.owners[body]!));
    }
    for (const box of slimBoxes(one, slim)) {
      if (ended) return;
      const { minX, minY, maxX, maxY } = growBox(box, this.tolerance);
      this.ends.search(minX, minY, maxX, maxY, (end) => tell(end >> 1));
    }
  }
}

/** Of segments that lie on each other in one place, the few that the others lie on. */
class Crowd {
  constructor(
    private readonly boxed: readonly Boxed[],
    private readonly tolerance: number,
  ) {}

  /**
   * Of all that lie on a segment only those are kept that reach farther than it does, and of these
   * the farthest each way.
   * @param found what lies on segment `i`
   */
  thinned(
    i: number,
    found: readonly Cover[],
  ): { readonly isNeeded: boolean; readonly needless: readonly number[] } {
    const others = [...new Set(found.map(({ by }) => by))];
    const far = this.farthest(i, found);
    if (this.liesOn(i, far)) return { isNeeded: false, needless: this.needless(others, far) };
    return { isNeeded: true, needless: this.needless(others, [i, ...far]) };
  }

  /** Of those that reach beyond either end of the segment the one with most of it beyond. */
  private farthest(i: number, found: readonly Cover[]): number[] {
    const s = this.boxed[i]!.segment;
    const [start, end] = [startOf(s), endOf(s)];
    let [before, after]: (number | undefined)[] = [undefined, undefined];
    let [most, mostAfter] = [0, 0];
    for (const { from, to, by } of found) {
      const other = this.boxed[by]!.segment;
      const reach = (p: Point): number => Math.max(distance(startOf(other), p), distance(endOf(other), p));
      if (from === 0 && reach(end) > most) [before, most] = [by, reach(end)];
      if (to === 1 && reach(start) > mostAfter) [after, mostAfter] = [by, reach(start)];
    }
    return [...new Set([before, after])].filter((k) => k !== undefined);
  }

  private needless(others: readonly number[], kept: readonly number[]): number[] {
    return others.filter((k) => !kept.includes(k) && this.liesOn(k, kept));
  }

  /** Whether a segment lies on others all along. */
  private liesOn(i: number, others: readonly number[]): boolean {
    const { boxed, tolerance } = this;
    const covers = others.flatMap((by) =>
      coversOf(boxed[i]!, boxed[by]!, tolerance).map((cover) => ({ ...cover, by })),
    );
    return covers.length > 0 && uncovered(boxed[i]!.segment, covers, tolerance).length === 0;
  }
}

/** Wider boxes are divided, mm. */
const slim = 2;

const widthOf = ({ minX, minY, maxX, maxY }: Box): number => Math.min(maxX - minX, maxY - minY);

const boxCount = ({ box }: Boxed, width: number): number =>
  Math.max(1, Math.min(64, Math.ceil(widthOf(box) / width)));

/** Boxes that hold a segment together, slimmer than its own box where it runs aslant. */
const slimBoxes = (one: Boxed, width: number): Box[] => {
  const count = boxCount(one, width);
  if (count === 1) return [one.box];
  return Array.from({ length: count }, (_, i) => segmentBox(partOf(one.segment, i / count, (i + 1) / count)));
};

const none: readonly BareCover[] = [];

type BareCover = Omit<Cover, 'by'>;

const coversOf = (one: Boxed, other: Boxed, tolerance: number): readonly BareCover[] => {
  const s = one.segment;
  const by = other.segment;
  if (s.kind === 'line' && by.kind === 'line') return lineOnLine(s, by, tolerance);
  if (s.kind === 'arc' && by.kind === 'arc') return arcOnArc(s, by, tolerance);
  if (isPlain(s) && isPlain(by)) return [];
  return stretchesOn(one, other, tolerance, shortest * tolerance);
};

const isPlain = ({ kind }: Segment): boolean => kind === 'line' || kind === 'arc';

const lineOnLine = (s: Line, by: Line, tolerance: number): readonly BareCover[] => {
  const [ux, uy] = [s.to.x - s.from.x, s.to.y - s.from.y];
  const square = ux * ux + uy * uy;
  if (square === 0) return none;
  const first = ((by.from.x - s.from.x) * ux + (by.from.y - s.from.y) * uy) / square;
  const last = ((by.to.x - s.from.x) * ux + (by.to.y - s.from.y) * uy) / square;
  const [a, b] = first <= last ? [by.from, by.to] : [by.to, by.from];
  const from = Math.min(first, last);
  const to = Math.max(first, last);
  const start = Math.max(0, from);
  const end = Math.min(1, to);
  if ((end - start) * Math.sqrt(square) <= shortest * tolerance) return none;
  for (const t of [start, end]) if (distanceToLine(by, positionAt(s, t)) > tolerance) return none;
  return [{ from: start, to: end, ...(from > 0 ? { fromAt: a } : {}), ...(to < 1 ? { toAt: b } : {}) }];
};

const distanceToLine = ({ from, to }: Line, p: Point): number => {
  const [x, y] = [to.x - from.x, to.y - from.y];
  return Math.abs(x * (p.y - from.y) - y * (p.x - from.x)) / Math.sqrt(x * x + y * y);
};

const arcOnArc = (s: Arc, by: Arc, tolerance: number): readonly BareCover[] => {
  const full = 2 * Math.PI;
  const reach = Math.abs(s.sweep);
  // Both as if they ran the way of `s`: where `by` begins and how far it goes, seen from the start
  // of `s`.
  const sameWay = s.sweep > 0 === by.sweep > 0;
  const [first, last] = sameWay ? [startOf(by), endOf(by)] : [endOf(by), startOf(by)];
  const begin = fractionOfSweep(s.start, s.sweep, sameWay ? by.start : by.start + by.sweep) * reach;
  const covers: BareCover[] = [];
  for (const shift of [begin - full, begin]) {
    const from = Math.max(0, shift);
    const to = Math.min(reach, shift + Math.abs(by.sweep));
    if ((to - from) * s.radius <= shortest * tolerance) continue;
    const apart = [from, (from + to) / 2, to].map((t) =>
      Math.abs(distance(positionAt(s, t / reach), by.centre) - by.radius),
    );
    if (Math.max(...apart) > tolerance) continue;
    covers.push({
      from: from / reach,
      to: to / reach,
      ...(shift > 0 ? { fromAt: first } : {}),
      ...(shift + Math.abs(by.sweep) < reach ? { toAt: last } : {}),
    });
  }
  return covers;
};

/** What is left of a segment beside its covers; pieces of no more than `tolerance` are nothing. */
export const uncovered = (s: Segment, covers: readonly Cover[], tolerance: number): Segment[] => {
  const left: Segment[] = [];
  let from = 0;
  let fromAt: Point | undefined;
  const keep = (to: number, toAt: Point | undefined): void => {
    const part = partOf(s, from, to);
    if (segmentLength(part) <= tolerance) return;
    left.push('from' in part ? { ...part, from: fromAt ?? part.from, to: toAt ?? part.to } : part);
  };
  for (const cover of [...covers].sort((a, b) => a.from - b.from)) {
    if (cover.from > from) keep(cover.from, cover.fromAt);
    if (cover.to < from) continue;
    from = cover.to;
    fromAt = cover.toAt;
  }
  if (from < 1) keep(1, undefined);
  return left;
};
