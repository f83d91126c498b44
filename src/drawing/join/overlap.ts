/** Lines and curves that lie on each other for a part of their length. */
import Flatbush from 'flatbush';
import {
  type Arc,
  endOf,
  fractionOfSweep,
  type Line,
  positionAt,
  type Segment,
  segmentBox,
  startOf,
} from '../../geometry/curve.js';
import { partOf } from '../../geometry/curve-part.js';
import { segmentLength } from '../../geometry/measure.js';
import { distance, growBox, type Point } from '../../geometry/point.js';
import { type Boxed, stretchesOn } from './curve-overlap.js';

/** Overlaps shorter than this (times the tolerance) are a meeting of ends. */
const shortest = 5;
/** Pairs looked at before a drawing counts as a heap of lines: ten to a line, and what small drawings may cost. */
const pairsPerLine = 40;
const pairsAtLeast = 200_000;

/** Part of a segment that lies on another one, from `from` to `to` (0..1 of the segment); ends where it can be told. */
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
 * Which of the segments lie on earlier ones, within `tolerance`. Of two segments that share a stretch, one ends on the
 * other: so the ends near each segment are looked up. A line is not held against an arc of a circle, which no line follows.
 *
 * @param free how many of the segments, from `segments.length - free` on, may be covered; those before them only cover
 */
export const findOverlaps = (segments: readonly Segment[], free: number, tolerance: number): Overlaps => {
  const covers = new Map<number, Cover[]>();
  const ends = new Flatbush(Math.max(1, 2 * segments.length));
  if (segments.length === 0) ends.add(0, 0);
  for (const s of segments) for (const p of [startOf(s), endOf(s)]) ends.add(p.x, p.y);
  ends.finish();
  const boxed = segments.map((segment): Boxed => ({ segment, box: segmentBox(segment) }));
  const firstFree = segments.length - free;
  const seen = new Set<number>();
  let left = pairsAtLeast + pairsPerLine * segments.length;
  const compare = (i: number, j: number): void => {
    const earlier = Math.min(i, j);
    const later = Math.max(i, j);
    if (earlier === later || later < firstFree) return;
    const [one, other] = [boxed[later]!, boxed[earlier]!];
    // Of most pairs that come near each other nothing is to be remembered: lines that only meet are soon told apart.
    if (
      areLines(one, other) &&
      lineOnLine(one.segment as Line, other.segment as Line, tolerance).length === 0
    )
      return;
    const key = earlier * segments.length + later;
    if (seen.has(key)) return;
    seen.add(key);
    for (const cover of coversOf(one, other, tolerance)) {
      const known = covers.get(later);
      if (known === undefined) covers.set(later, [{ ...cover, by: earlier }]);
      else known.push({ ...cover, by: earlier });
    }
  };
  for (const [i, one] of boxed.entries()) {
    for (const box of slimBoxes(one)) {
      const { minX, minY, maxX, maxY } = growBox(box, tolerance);
      ends.search(minX, minY, maxX, maxY, (end) => {
        left -= 1;
        if (left >= 0) compare(i, end >> 1);
        return false;
      });
      if (left < 0) return { covers, complete: false };
    }
  }
  return { covers, complete: true };
};

/** Boxes that hold a segment together, slimmer than its own box where it runs aslant. */
const slimBoxes = ({ segment, box }: Boxed) => {
  const width = Math.min(box.maxX - box.minX, box.maxY - box.minY);
  const count = Math.min(64, Math.ceil(width / 2));
  if (count <= 1) return [box];
  return Array.from({ length: count }, (_, i) => segmentBox(partOf(segment, i / count, (i + 1) / count)));
};

const areLines = (one: Boxed, other: Boxed): boolean =>
  one.segment.kind === 'line' && other.segment.kind === 'line';

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
  // Both as if they ran the way of `s`: where `by` begins and how far it goes, seen from the start of `s`.
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
