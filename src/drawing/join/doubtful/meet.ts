/** Ends that do not quite meet are made to meet, with as little change as possible. */
import {
  type Arc,
  type EllipticalArc,
  endOf,
  type Line,
  type Segment,
  startOf,
} from '../../../geometry/curve.js';
import { add, cross, distance, dot, length, type Point, subtract, unit } from '../../../geometry/point.js';
import { samePlace } from './piece.js';

/**
 * Lines that turn by less than this (sine of the angle) meet in the middle of their ends, not where
 * they cross.
 */
const leastTurn = 0.05;

type Round = Arc | EllipticalArc;

const isRound = (s: Segment): s is Round => s.kind === 'arc' || s.kind === 'elliptical-arc';

/**
 * Two segments that follow each other, as they meet; `bridge` runs from the one to the other where
 * neither can move.
 */
export interface Meeting {
  readonly before: Segment;
  readonly after: Segment;
  readonly bridge?: Line;
}

/**
 * Makes the end of `before` and the start of `after`, a gap of at most `reach` apart, one point. No
 * point of either moves by more than twice the gap, except that lines are extended or cut back to
 * where they cross, by at most `reach`.
 *
 * - up to `samePlace` nothing moves but the end of a line or cubic, which takes the other's end to
 * the last bit; arcs
 *   meet within rounding;
 * - a line or cubic comes to an arc, which stays as it is;
 * - two lines meet where they cross, if that is within `reach` of both ends, otherwise in the
 * middle; cubics keep their
 *   directions at the end;
 * - two arcs are extended or cut back on their circles to where these meet; where they do not meet
 * nearby, each is turned
 *   and scaled about its other end, and stays an arc;
 * - an arc that comes almost round to its start cannot be turned like that: a short line bridges
 * the gap.
 */
export const meet = (before: Segment, after: Segment, reach: number): Meeting => {
  const end = endOf(before);
  const start = startOf(after);
  const gap = distance(end, start);
  if (gap === 0) return { before, after };
  if (isRound(before) && isRound(after)) {
    return gap <= samePlace ? { before, after } : meetRound(before, after, end, start, reach);
  }
  if (isRound(before)) return { before, after: startingAt(after, end) };
  if (isRound(after)) return { before: endingAt(before, start), after };
  if (gap <= samePlace) return { before, after: startingAt(after, end) };
  const place = lineCrossing(before, after, reach) ?? middle(end, start);
  return { before: endingAt(before, place), after: startingAt(after, place) };
};

/** A closed path of one segment whose ends are to meet. */
export const meetItself = (s: Segment): readonly Segment[] => {
  const start = startOf(s);
  const end = endOf(s);
  if (s.kind === 'cubic') return [endingAt(s, start)];
  if (s.kind === 'line') return [s];
  const whole = 2 * Math.PI;
  const turned: Segment = { ...s, sweep: s.sweep < 0 ? -whole : whole };
  // Closing the circle moves nothing: it only goes on for as long as the gap.
  if (Math.abs(Math.abs(s.sweep) - whole) < 0.1) return [turned];
  return distance(start, end) <= samePlace ? [s] : [s, { kind: 'line', from: end, to: start }];
};

const middle = (a: Point, b: Point): Point => ({ x: (a.x + b.x) / 2, y: (a.y + b.y) / 2 });

const endingAt = (s: Segment, to: Point): Segment => {
  if (s.kind === 'line') return { ...s, to };
  if (s.kind !== 'cubic') return s;
  return { ...s, control2: add(s.control2, subtract(to, s.to)), to };
};

const startingAt = (s: Segment, from: Point): Segment => {
  if (s.kind === 'line') return { ...s, from };
  if (s.kind !== 'cubic') return s;
  return { ...s, control1: add(s.control1, subtract(from, s.from)), from };
};

const lineCrossing = (a: Segment, b: Segment, reach: number): Point | undefined => {
  if (a.kind !== 'line' || b.kind !== 'line') return undefined;
  const u = unit(subtract(a.to, a.from));
  const v = unit(subtract(b.to, b.from));
  const turn = cross(u, v);
  if (Math.abs(turn) < leastTurn) return undefined;
  const along = cross(subtract(b.from, a.from), v) / turn;
  const place = { x: a.from.x + along * u.x, y: a.from.y + along * u.y };
  const near = distance(place, a.to) <= reach && distance(place, b.from) <= reach;
  const forward = along > 0 && dot(subtract(b.to, place), v) > 0;
  return near && forward ? place : undefined;
};

const meetRound = (a: Round, b: Round, end: Point, start: Point, reach: number): Meeting => {
  const place = a.kind === 'arc' && b.kind === 'arc' ? circlesMeeting(a, b, end, start, reach) : undefined;
  if (place !== undefined && a.kind === 'arc' && b.kind === 'arc') {
    const before = { ...a, sweep: a.sweep + turnTo(a.centre, end, place) };
    const shift = turnTo(b.centre, start, place);
    const after = { ...b, start: b.start + shift, sweep: b.sweep - shift };
    if (before.sweep * a.sweep > 0 && after.sweep * b.sweep > 0) return { before, after };
  }
  const between = middle(end, start);
  const moved = { before: turned(a, startOf(a), end, between), after: turned(b, endOf(b), start, between) };
  if (moved.before !== undefined && moved.after !== undefined) {
    return { before: moved.before, after: moved.after };
  }
  const first = turned(a, startOf(a), end, start);
  if (first !== undefined) return { before: first, after: b };
  const second = turned(b, endOf(b), start, end);
  if (second !== undefined) return { before: a, after: second };
  return { before: a, after: b, bridge: { kind: 'line', from: end, to: start } };
};

/** Angle from one direction to another as seen from a centre, the short way. */
const turnTo = (centre: Point, from: Point, to: Point): number => {
  const u = subtract(from, centre);
  const v = subtract(to, centre);
  return Math.atan2(cross(u, v), dot(u, v));
};

/**
 * Where the circles of two arcs meet within reach of both ends; the middle between the ends where
 * they are one circle.
 */
const circlesMeeting = (a: Arc, b: Arc, end: Point, start: Point, reach: number): Point | undefined => {
  const apart = subtract(b.centre, a.centre);
  const between = length(apart);
  const target = middle(end, start);
  if (between <= samePlace && Math.abs(a.radius - b.radius) <= samePlace) {
    const out = unit(subtract(target, a.centre));
    return { x: a.centre.x + a.radius * out.x, y: a.centre.y + a.radius * out.y };
  }
  if (between === 0) return undefined;
  const along = (between * between + a.radius * a.radius - b.radius * b.radius) / (2 * between);
  const square = a.radius * a.radius - along * along;
  if (!(square >= 0)) return undefined;
  const u = { x: apart.x / between, y: apart.y / between };
  const height = Math.sqrt(square);
  const foot = { x: a.centre.x + along * u.x, y: a.centre.y + along * u.y };
  let best: Point | undefined;
  for (const side of [height, -height]) {
    const place = { x: foot.x - side * u.y, y: foot.y + side * u.x };
    if (distance(place, end) > reach || distance(place, start) > reach) continue;
    if (best === undefined || distance(place, target) < distance(best, target)) best = place;
  }
  return best;
};

/**
 * The arc turned and scaled about one of its ends so that the other comes to `to`. Undefined where
 * its ends lie near to each other for its size: what lies far from the fixed end would move by more
 * than twice as much as the end does.
 */
const turned = <T extends Round>(s: T, fixed: Point, from: Point, to: Point): T | undefined => {
  const chord = subtract(from, fixed);
  const size = s.kind === 'arc' ? 2 * s.radius : 2 * Math.max(length(s.u), length(s.v));
  const reach = Math.abs(s.sweep) <= Math.PI ? length(chord) : size;
  const square = dot(chord, chord);
  if (square === 0 || reach > 2 * length(chord)) return undefined;
  const wanted = subtract(to, fixed);
  // The map z -> fixed + m (z - fixed) of the complex plane, with m = wanted / chord.
  const m = { x: dot(chord, wanted) / square, y: cross(chord, wanted) / square };
  const map = (v: Point): Point => ({ x: m.x * v.x - m.y * v.y, y: m.x * v.y + m.y * v.x });
  const centre = add(fixed, map(subtract(s.centre, fixed)));
  if (s.kind === 'elliptical-arc') return { ...s, centre, u: map(s.u), v: map(s.v) };
  return { ...s, centre, radius: s.radius * length(m), start: s.start + Math.atan2(m.y, m.x) };
};
