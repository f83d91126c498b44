/** A closed path as a chain of points with directions of travel, close enough together for a bound on the turn. */
import {
  type Cubic,
  derivativeAt,
  type EllipticalArc,
  type Path,
  positionAt,
  type Segment,
} from '../geometry/curve.js';
import { between, cross, dot, length, type Point, subtract, unit } from '../geometry/point.js';

/** One point of a path with the direction of travel there (a unit vector). */
export interface EdgeSample {
  readonly at: Point;
  readonly direction: Point;
}

/** Halving stops here: only a cusp, where the direction jumps, ever gets so far. */
const deepest = 14;
/** A leg of a control polygon shorter than this (mm) has no direction of its own. */
const noLength = 1e-9;

/**
 * Samples along a closed path, in order: both ends of every segment, and between them as many that the direction
 * turns by at most `largestTurn` (radians) from one sample to the next. Larger turns left over are corners and cusps.
 */
export const samplePath = (path: Path, largestTurn: number): EdgeSample[] => {
  const samples: EdgeSample[] = [];
  for (const s of path.segments) sampleSegment(s, largestTurn, samples);
  return samples;
};

const sampleSegment = (s: Segment, largestTurn: number, into: EdgeSample[]): void => {
  switch (s.kind) {
    case 'line': {
      const direction = unit(subtract(s.to, s.from));
      if (length(subtract(s.to, s.from)) <= noLength) return;
      into.push({ at: s.from, direction }, { at: s.to, direction });
      return;
    }
    case 'arc': {
      if (s.radius <= noLength || s.sweep === 0) return;
      const steps = Math.max(1, Math.ceil(Math.abs(s.sweep) / largestTurn));
      for (let i = 0; i <= steps; i++) into.push(sampleAt(s, i / steps));
      return;
    }
    case 'elliptical-arc':
      sampleEllipse(s, largestTurn, into);
      return;
    case 'cubic':
      sampleCubic(s, largestTurn, into);
  }
};

const sampleAt = (s: Segment, t: number): EdgeSample => ({
  at: positionAt(s, t),
  direction: unit(derivativeAt(s, t)),
});

const sampleEllipse = (s: EllipticalArc, largestTurn: number, into: EdgeSample[]): void => {
  if (s.sweep === 0 || length(s.u) + length(s.v) <= noLength) return;
  // Within a quarter turn of the parameter the direction turns by less than half a turn, so the angle between two
  // directions is the turn between them.
  const quarters = Math.max(1, Math.ceil(Math.abs(s.sweep) / (Math.PI / 2)));
  const halve = (t0: number, a: EdgeSample, t1: number, b: EdgeSample, depth: number): void => {
    if (depth < deepest && Math.abs(turnBetween(a.direction, b.direction)) > largestTurn) {
      const t = (t0 + t1) / 2;
      const middle = sampleAt(s, t);
      halve(t0, a, t, middle, depth + 1);
      halve(t, middle, t1, b, depth + 1);
    } else into.push(b);
  };
  let previous = sampleAt(s, 0);
  into.push(previous);
  for (let i = 1; i <= quarters; i++) {
    const next = sampleAt(s, i / quarters);
    halve((i - 1) / quarters, previous, i / quarters, next, 0);
    previous = next;
  }
};

const sampleCubic = (s: Cubic, largestTurn: number, into: EdgeSample[]): void => {
  const first = firstDirection(s.control1, s.control2, s.to, s.from);
  if (first === undefined) return;
  into.push({ at: s.from, direction: first });
  halveCubic(s, largestTurn, 0, into);
};

/** Pushes the samples after the start of `s`. */
const halveCubic = (s: Cubic, largestTurn: number, depth: number, into: EdgeSample[]): void => {
  // The direction stays within the cone of the three legs of the control polygon, so their spread bounds the turn.
  if (depth >= deepest || spreadOfLegs(s) <= largestTurn) {
    const last = firstDirection(s.control2, s.control1, s.from, s.to);
    if (last !== undefined) into.push({ at: s.to, direction: { x: -last.x, y: -last.y } });
    return;
  }
  const a = between(s.from, s.control1, 0.5);
  const b = between(s.control1, s.control2, 0.5);
  const c = between(s.control2, s.to, 0.5);
  const ab = between(a, b, 0.5);
  const bc = between(b, c, 0.5);
  const middle = between(ab, bc, 0.5);
  halveCubic(
    { kind: 'cubic', from: s.from, control1: a, control2: ab, to: middle },
    largestTurn,
    depth + 1,
    into,
  );
  halveCubic(
    { kind: 'cubic', from: middle, control1: bc, control2: c, to: s.to },
    largestTurn,
    depth + 1,
    into,
  );
};

const spreadOfLegs = (s: Cubic): number => {
  const legs = [
    subtract(s.control1, s.from),
    subtract(s.control2, s.control1),
    subtract(s.to, s.control2),
  ].filter((leg) => length(leg) > noLength);
  let spread = 0;
  for (let i = 0; i < legs.length; i++) {
    for (let j = i + 1; j < legs.length; j++)
      spread = Math.max(spread, Math.abs(turnBetween(legs[i]!, legs[j]!)));
  }
  return spread;
};

/** The direction from `from` to the first of the points that differs from it. */
const firstDirection = (a: Point, b: Point, c: Point, from: Point): Point | undefined => {
  for (const p of [a, b, c]) {
    const leg = subtract(p, from);
    if (length(leg) > noLength) return unit(leg);
  }
  return undefined;
};

/** The angle from a to b, -pi..pi, counter-clockwise positive. */
export const turnBetween = (a: Point, b: Point): number => Math.atan2(cross(a, b), dot(a, b));
