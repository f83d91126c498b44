/** What is so short that it has no length, alike for every reader and writer. */
import { endOf, type Segment, segmentBox, startOf } from '../../geometry/curve.js';
import { length, type Point } from '../../geometry/point.js';

/**
 * A path drawn back to its start point within this distance (mm) is closed, and one that never
 * leaves it is a point.
 */
export const closingDistance = 1e-6;
/**
 * A step no longer than this (mm), in x and in y, has no length: it is the rounding of sums that
 * come to nothing, as the sides of a rect whose corners take all of it. A coordinate of a kilometre
 * is itself rounded to a tenth of it.
 */
export const leastStep = 1e-9;

/** Whether two points are set apart by rounding at most. */
export const isStill = (a: Point, b: Point): boolean =>
  Math.abs(a.x - b.x) <= leastStep && Math.abs(a.y - b.y) <= leastStep;

export const hasNoLength = (s: Segment): boolean => {
  if (s.kind === 'line') return isStill(s.from, s.to);
  if (s.kind === 'cubic')
    return isStill(s.from, s.to) && isStill(s.from, s.control1) && isStill(s.from, s.control2);
  // An arc whose ends are so near may also be nearly a whole turn.
  const radii = s.kind === 'arc' ? s.radius : length(s.u) + length(s.v);
  return radii * Math.abs(s.sweep) <= leastStep;
};

/**
 * Whether all of a path, at least one segment, lies within the closing distance of its start: a
 * point, not a path.
 */
export const isPoint = (segments: readonly Segment[]): boolean => {
  const { x, y } = startOf(segments[0]!);
  const isNear = (p: Point): boolean =>
    Math.abs(p.x - x) <= closingDistance && Math.abs(p.y - y) <= closingDistance;
  return segments.every((s) => {
    if (!isNear(endOf(s))) return false;
    const { minX, minY, maxX, maxY } = segmentBox(s);
    return isNear({ x: minX, y: minY }) && isNear({ x: maxX, y: maxY });
  });
};
