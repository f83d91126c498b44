/** Curves that lie on each other for a part of their length, whatever their kinds. */
import { endOf, positionAt, type Segment, startOf } from '../../../geometry/curve.js';
import { partOf, placesNear } from '../../../geometry/curve-part.js';
import { type Box, distance, type Point } from '../../../geometry/point.js';

/** A curve with its box, which is exact. */
export interface Boxed {
  readonly segment: Segment;
  readonly box: Box;
}

/**
 * A part of a curve, from `from` to `to` (0..1), and the ends of the other curve where it is those
 * that end it.
 */
export interface Stretch {
  readonly from: number;
  readonly to: number;
  readonly fromAt?: Point;
  readonly toAt?: Point;
}

const none: readonly Stretch[] = [];

/**
 * Between the ends of a stretch two curves are held against each other at so many places but one.
 */
const places = 10;

/**
 * The stretches of `s`, longer than `least`, that lie within `tolerance` of `by`. A stretch that
 * two curves share ends where one of them does: so it is sought between the places of `s` where it
 * comes to an end of either. Two cubics that are not the same curve have at most nine points in
 * common (Bezout), other pairs fewer: what agrees at the two ends of a stretch and at nine places
 * between them agrees all along it, but for curves that wind about each other within the tolerance.
 */
export const stretchesOn = (s: Boxed, by: Boxed, tolerance: number, least: number): readonly Stretch[] => {
  if (!mayShare(s, by, tolerance)) return none;
  const isOn = (t: number): boolean => placesNear(by.segment, positionAt(s.segment, t), tolerance).length > 0;
  const ends: { readonly t: number; readonly at?: Point }[] = [0, 1].filter(isOn).map((t) => ({ t }));
  for (const at of [startOf(by.segment), endOf(by.segment)]) {
    for (const t of placesNear(s.segment, at, tolerance)) if (t > 0 && t < 1) ends.push({ t, at });
  }
  ends.sort((a, b) => a.t - b.t);
  const found: Stretch[] = [];
  for (let i = 1; i < ends.length; i += 1) {
    const [from, to] = [ends[i - 1]!, ends[i]!];
    if (!isLonger(partOf(s.segment, from.t, to.t), least)) continue;
    const inner = Array.from({ length: places - 1 }, (_, k) => from.t + ((k + 1) / places) * (to.t - from.t));
    if (!inner.every(isOn)) continue;
    found.push({
      from: from.t,
      to: to.t,
      ...(from.at === undefined ? {} : { fromAt: from.at }),
      ...(to.at === undefined ? {} : { toAt: to.at }),
    });
  }
  return found;
};

/** Cheap, and false for two curves that only meet at an end, as most neighbours do. */
const mayShare = (s: Boxed, by: Boxed, tolerance: number): boolean => {
  const width = Math.min(s.box.maxX, by.box.maxX) - Math.max(s.box.minX, by.box.minX);
  const height = Math.min(s.box.maxY, by.box.maxY) - Math.max(s.box.minY, by.box.minY);
  if (width < -tolerance || height < -tolerance || Math.max(width, height) <= tolerance) return false;
  const ownEnds = [startOf(s.segment), endOf(s.segment)] as const;
  const otherEnds = [startOf(by.segment), endOf(by.segment)] as const;
  let first: Point | undefined;
  for (const [ends, box] of [
    [ownEnds, by.box],
    [otherEnds, s.box],
  ] as const) {
    for (const p of ends) {
      if (p.x < box.minX - tolerance || p.x > box.maxX + tolerance) continue;
      if (p.y < box.minY - tolerance || p.y > box.maxY + tolerance) continue;
      if (first !== undefined && distance(p, first) > 2 * tolerance) return true;
      first ??= p;
    }
  }
  if (first === undefined) return false;
  return distance(...ownEnds) <= 2 * tolerance || distance(...otherEnds) <= 2 * tolerance;
};

const isLonger = (s: Segment, least: number): boolean => {
  let sum = 0;
  for (let i = 1; i <= places && sum <= least; i += 1) {
    sum += distance(positionAt(s, (i - 1) / places), positionAt(s, i / places));
  }
  return sum > least;
};
