/** A path as a polygon, for places and labels; nothing that is cut is made from it, and no nesting told. */
import { type Path, positionAt, type Segment, startOf } from '../curve.js';
import type { Point } from '../point.js';

/** More chords than this serve no such question. */
const mostChords = 4096;

/** A closed polygon, first point not repeated. */
export type Polygon = readonly Point[];

/** True when p lies inside the polygon by the even-odd rule. A point on the boundary may fall either way. */
export const isInside = (p: Point, polygon: Polygon): boolean => {
  let inside = false;
  let a = polygon[polygon.length - 1];
  if (a === undefined) return false;
  for (const b of polygon) {
    if (a.y > p.y !== b.y > p.y && p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
    a = b;
  }
  return inside;
};

/** The corners of a polygon that stays within `tolerance` (mm) of the path. */
export const polygonOfPath = (path: Path, tolerance: number): Point[] => {
  const points: Point[] = [];
  for (const s of path.segments) {
    const chords = chordCount(s, tolerance);
    points.push(startOf(s));
    for (let i = 1; i < chords; i += 1) points.push(positionAt(s, i / chords));
  }
  return points;
};

/** How many chords follow a segment. A chord over a parameter step h departs by at most h^2 / 8 times the largest second derivative. */
export const chordCount = (s: Segment, tolerance: number): number => {
  let bend = 0;
  let least = 1;
  switch (s.kind) {
    case 'line':
      return 1;
    case 'arc':
      bend = s.radius * s.sweep * s.sweep;
      least = Math.ceil(Math.abs(s.sweep));
      break;
    case 'elliptical-arc':
      bend = Math.hypot(s.u.x, s.u.y, s.v.x, s.v.y) * s.sweep * s.sweep;
      least = Math.ceil(Math.abs(s.sweep));
      break;
    case 'cubic': {
      const first = Math.hypot(
        s.from.x - 2 * s.control1.x + s.control2.x,
        s.from.y - 2 * s.control1.y + s.control2.y,
      );
      const second = Math.hypot(
        s.control1.x - 2 * s.control2.x + s.to.x,
        s.control1.y - 2 * s.control2.y + s.to.y,
      );
      bend = 6 * Math.max(first, second);
    }
  }
  return Math.min(mostChords, Math.max(least, Math.ceil(Math.sqrt(bend / (8 * tolerance)))));
};
