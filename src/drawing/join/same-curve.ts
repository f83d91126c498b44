/** Whether two paths are the same line, drawn twice. */
import { endOf, type Path, positionAt, reversed, type Segment, startOf } from '../../geometry/curve.js';
import { distance, type Point } from '../../geometry/point.js';

/**
 * Lines within this distance of each other over their whole length are one line, mm: well below what a file rounds to
 * that is worth cutting (four decimals of an inch are 0.0025 mm), and far below any kerf.
 */
export const sameLine = 0.002;

const near = (a: Point, b: Point): boolean => distance(a, b) <= sameLine;

/**
 * Segment for segment, in the same direction. Arcs and cubics of the same ends are told apart by points between them: two
 * arcs of circles agree when their ends and middles do, cubics in four points when they agree everywhere.
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

/** Closed paths of the same segments, wherever they start and whichever way they run. */
export const sameRing = (a: Path, b: Path): boolean => {
  const n = a.segments.length;
  if (n !== b.segments.length) return false;
  const first = a.segments[0]!;
  if (n === 1 && first.kind === 'arc') {
    const other = b.segments[0]!;
    return (
      other.kind === 'arc' &&
      near(first.centre, other.centre) &&
      Math.abs(first.radius - other.radius) <= sameLine
    );
  }
  const start = startOf(first);
  for (let shift = 0; shift < n; shift += 1) {
    const s = b.segments[shift]!;
    if (near(startOf(s), start) && a.segments.every((t, i) => sameSegment(t, b.segments[(shift + i) % n]!))) {
      return true;
    }
    if (
      near(endOf(s), start) &&
      a.segments.every((t, i) => sameSegment(t, reversed(b.segments[(shift - i + n) % n]!)))
    ) {
      return true;
    }
  }
  return false;
};
