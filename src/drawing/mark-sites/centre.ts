/** The point that a drawn mark stands for. */

import type { Path, Segment } from '../../geometry/curve.js';
import { boxCentre, cross, distance, type Point, subtract, unit } from '../../geometry/point.js';
import type { Shape } from '../model/drawing.js';
import { shapeBox } from '../model/shape-store.js';

/**
 * Centres of the parts of one mark have to agree this well; lines this far apart are two lines, mm.
 */
export const centreTolerance = 0.01;

/**
 * The position of a mark drawn as one shape: the centre of a circle or ellipse, the point where two
 * lines meet, otherwise the middle of its box.
 */
export const markCentre = (shape: Shape): Point =>
  roundCentre(shape) ?? meetingPoint(shape.paths) ?? boxCentre(shapeBox(shape));

/**
 * The centre of a circle or ellipse, whole or in arcs about the same centre that come round;
 * otherwise undefined.
 */
export const roundCentre = (shape: Shape): Point | undefined => {
  let first: Segment | undefined;
  for (const path of shape.paths) {
    let sweep = 0;
    for (const s of path.segments) {
      if (s.kind !== 'arc' && s.kind !== 'elliptical-arc') return undefined;
      first ??= s;
      const { centre } = first as typeof s;
      if (distance(s.centre, centre) > centreTolerance) return undefined;
      sweep += s.sweep;
    }
    if (!path.closed || Math.abs(Math.abs(sweep) - 2 * Math.PI) > 1e-3) return undefined;
  }
  return first === undefined || !('centre' in first) ? undefined : first.centre;
};

/** A straight line, as far as it is drawn. */
interface Stroke {
  readonly from: Point;
  readonly to: Point;
}

/**
 * Where two lines meet. The lines may be drawn in pieces (four arms of a cross, with or without a
 * gap in the middle), and may meet at their ends (an angle). Undefined unless everything is
 * straight and lies on exactly two lines that meet.
 */
export const meetingPoint = (paths: readonly Path[]): Point | undefined => {
  const lines: { readonly along: Point; readonly at: Point; readonly strokes: Stroke[] }[] = [];
  for (const path of paths) {
    for (const s of path.segments) {
      if (s.kind !== 'line') return undefined;
      const line = lines.find(({ along, at }) => onLine(along, at, s.from) && onLine(along, at, s.to));
      if (line !== undefined) line.strokes.push(s);
      else if (lines.length === 2) return undefined;
      else lines.push({ along: unit(subtract(s.to, s.from)), at: s.from, strokes: [s] });
    }
  }
  const [one, other] = lines;
  if (one === undefined || other === undefined) return undefined;
  const turn = cross(one.along, other.along);
  // Nearly parallel lines meet nowhere in particular.
  if (Math.abs(turn) < 0.02) return undefined;
  const t = cross(subtract(other.at, one.at), other.along) / turn;
  const meeting = { x: one.at.x + t * one.along.x, y: one.at.y + t * one.along.y };
  return reaches(one.strokes, one.along, meeting) && reaches(other.strokes, other.along, meeting)
    ? meeting
    : undefined;
};

const onLine = (along: Point, at: Point, p: Point): boolean =>
  Math.abs(cross(along, subtract(p, at))) <= centreTolerance;

/** True when the point lies on the strokes or between them. */
const reaches = (strokes: readonly Stroke[], along: Point, p: Point): boolean => {
  const placeOf = (q: Point): number => (q.x - p.x) * along.x + (q.y - p.y) * along.y;
  const places = strokes.flatMap(({ from, to }) => [placeOf(from), placeOf(to)]);
  return Math.min(...places) <= centreTolerance && Math.max(...places) >= -centreTolerance;
};
