/**
 * The order of curves round a point in which they meet. Their directions there do not tell it: curves that touch have
 * one direction, and noise decides between half a turn left and half a turn right. Curves that meet nowhere else keep
 * their order up to any circle about the point that all of them reach, so it is read where they first cross a large one.
 */
import type { Point } from '../point.js';
import { type Ring, type Span, spanPoint } from '../spans/span.js';

/** So many spans from the point on are looked at; circles as large as they reach tell enough. */
const spansAhead = 6;
/** Points looked at on each span. */
const steps = 8;
/** Less than this (radians) from the way back is the way back itself. */
const noTurn = 1e-9;

/** A course away from the point: its spans in order, each from its start or, coming backwards, from its end. */
interface Course {
  readonly spans: readonly Span[];
  readonly backwards: boolean;
}

const pointOn = ({ spans, backwards }: Course, span: number, t: number): Point =>
  spanPoint(spans[backwards ? spans.length - 1 - span : span]!, backwards ? 1 - t : t);

const countOf = ({ spans }: Course): number => Math.min(spansAhead, spans.length);

/** How far from the point a course gets, mm. */
const reachOf = (course: Course, { x, y }: Point): number => {
  let reach = 0;
  for (let i = 0; i < countOf(course); i++) {
    for (let k = 1; k <= steps; k++) {
      const p = pointOn(course, i, k / steps);
      reach = Math.max(reach, Math.hypot(p.x - x, p.y - y));
    }
  }
  return reach;
};

/** Direction, as an angle, in which a course first leaves the circle about the point. */
const exitFrom = (course: Course, { x, y }: Point, radius: number): number => {
  const isOut = (p: Point): boolean => Math.hypot(p.x - x, p.y - y) >= radius;
  for (let i = 0; i < countOf(course); i++) {
    for (let k = 1; k <= steps; k++) {
      if (!isOut(pointOn(course, i, k / steps))) continue;
      let inside = (k - 1) / steps;
      let outside = k / steps;
      for (let n = 0; n < 40; n++) {
        const middle = (inside + outside) / 2;
        if (isOut(pointOn(course, i, middle))) outside = middle;
        else inside = middle;
      }
      const p = pointOn(course, i, outside);
      return Math.atan2(p.y - y, p.x - x);
    }
  }
  const last = pointOn(course, countOf(course) - 1, 1);
  return Math.atan2(last.y - y, last.x - x);
};

/**
 * Of the courses that leave the point where `arriving` ends, the index of the first one met when turning clockwise from
 * the way back: the other side of what lies to the left of the arriving course.
 *
 * @param arriving ends in the point
 * @param leaving each starts there, at least one of them
 */
export const sharpestLeft = (arriving: Ring, leaving: readonly Ring[]): number => {
  const { bx, by } = arriving[arriving.length - 1]!;
  const node = { x: bx, y: by };
  const back: Course = { spans: arriving, backwards: true };
  const courses = leaving.map((spans): Course => ({ spans, backwards: false }));
  const radius = 0.9 * Math.min(...[back, ...courses].map((course) => reachOf(course, node)));
  const from = exitFrom(back, node, radius);
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  courses.forEach((course, i) => {
    const turn = from - exitFrom(course, node, radius);
    const clockwise = turn - 2 * Math.PI * Math.floor(turn / (2 * Math.PI));
    const angle = clockwise < noTurn ? clockwise + 2 * Math.PI : clockwise;
    if (angle >= least) return;
    least = angle;
    best = i;
  });
  return best;
};
