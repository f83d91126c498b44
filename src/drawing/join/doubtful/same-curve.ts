/** Whether two paths are the same line, drawn twice. */
import Flatbush from 'flatbush';
import {
  endOf,
  type Path,
  positionAt,
  reversed,
  type Segment,
  segmentBox,
  startOf,
} from '../../../geometry/curve.js';
import { placesNear } from '../../../geometry/curve-part.js';
import { segmentLength, signedArea } from '../../../geometry/measure.js';
import { distance, length, type Point, subtract } from '../../../geometry/point.js';

/**
 * Lines within this distance of each other over their whole length are one line, mm: well below
 * what a file rounds to that is worth cutting (four decimals of an inch are 0.0025 mm), and far
 * below any kerf.
 */
export const sameLine = 0.002;

const near = (a: Point, b: Point): boolean => distance(a, b) <= sameLine;

/**
 * Segment for segment, in the same direction. Arcs and cubics of the same ends are told apart by
 * points between them: two arcs of circles agree when their ends and middles do, cubics in four
 * points when they agree everywhere.
 */
export const sameSegment = (a: Segment, b: Segment): boolean => {
  if (a.kind !== b.kind || !near(startOf(a), startOf(b)) || !near(endOf(a), endOf(b))) return false;
  if (a.kind === 'line') return true;
  return [0.25, 0.5, 0.75].every((t) => near(positionAt(a, t), positionAt(b, t)));
};

/** Runs of the same segments, in the same or in opposite directions. */
export const sameRun = (a: readonly Segment[], b: readonly Segment[]): boolean => {
  if (a.length !== b.length) return false;
  const last = b.length - 1;
  return (
    a.every((s, i) => sameSegment(s, b[i]!)) || a.every((s, i) => sameSegment(s, reversed(b[last - i]!)))
  );
};

/**
 * Closed paths along the same line, wherever they start, whichever way they run, and however they
 * are divided.
 */
export const sameRing = (a: Path, b: Path): boolean => {
  const [one, other] = [a.segments, b.segments];
  if (sameSegments(one, other)) return true;
  const apart = Math.abs(Math.abs(signedArea(a)) - Math.abs(signedArea(b)));
  return apart <= sameLine * (bounded(one) + bounded(other)) && liesOn(one, other) && liesOn(other, one);
};

/** The same segments, from the same corner or another one, in either direction. */
const sameSegments = (a: readonly Segment[], b: readonly Segment[]): boolean => {
  const n = a.length;
  if (n !== b.length) return false;
  const first = a[0]!;
  const start = startOf(first);
  for (let shift = 0; shift < n; shift += 1) {
    const s = b[shift]!;
    if (near(startOf(s), start) && a.every((t, i) => sameSegment(t, b[(shift + i) % n]!))) return true;
    if (near(endOf(s), start) && a.every((t, i) => sameSegment(t, reversed(b[(shift - i + n) % n]!)))) {
      return true;
    }
  }
  return false;
};

const bounded = (segments: readonly Segment[]): number =>
  segments.reduce((sum, s) => sum + lengthBound(s), 0);

/** Whether the corners of the one, and three places between each two of them, lie on the other. */
const liesOn = (segments: readonly Segment[], line: readonly Segment[]): boolean => {
  const index = new Flatbush(line.length);
  for (const s of line) {
    const { minX, minY, maxX, maxY } = segmentBox(s);
    index.add(minX, minY, maxX, maxY);
  }
  index.finish();
  const isOn = ({ x, y }: Point): boolean =>
    index
      .search(x - sameLine, y - sameLine, x + sameLine, y + sameLine)
      .some((i) => placesNear(line[i]!, { x, y }, sameLine).length > 0);
  return segments.every((s) => [0, 0.25, 0.5, 0.75].every((t) => isOn(positionAt(s, t))));
};

/** Never less than the length of a segment, and cheap. */
export const lengthBound = (s: Segment): number => {
  if (s.kind === 'elliptical-arc') return (length(s.u) + length(s.v)) * Math.abs(s.sweep);
  if (s.kind !== 'cubic') return segmentLength(s);
  return (
    length(subtract(s.control1, s.from)) +
    length(subtract(s.control2, s.control1)) +
    length(subtract(s.to, s.control2))
  );
};
