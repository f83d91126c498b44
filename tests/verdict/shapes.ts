/** Openings drawn in few words. */
import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Path, Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

export const shapeOf = (id: string, paths: readonly Path[]): Shape => ({
  id,
  named: true,
  layers: ['openings'],
  element: 'path',
  paths,
});

export const closedPath = (segments: readonly Segment[]): Path => ({ segments, closed: true });

export const polygonPath = (points: readonly Point[]): Path =>
  closedPath(points.map((from, i) => ({ kind: 'line', from, to: points[(i + 1) % points.length]! })));

export const polygon = (id: string, points: readonly Point[]): Shape => shapeOf(id, [polygonPath(points)]);

export const rectangle = (id: string, x: number, y: number, width: number, height: number): Shape =>
  polygon(id, rectanglePoints(x, y, width, height));

export const rectanglePoints = (x: number, y: number, width: number, height: number): Point[] => [
  { x, y },
  { x: x + width, y },
  { x: x + width, y: y + height },
  { x, y: y + height },
];

export const circlePath = (centre: Point, radius: number): Path =>
  closedPath([{ kind: 'arc', centre, radius, start: 0, sweep: 2 * Math.PI }]);

export const circle = (id: string, centre: Point, radius: number): Shape =>
  shapeOf(id, [circlePath(centre, radius)]);

/** A five-pointed or other star with its first tip up. */
export const starPoints = (centre: Point, outer: number, inner: number, tips: number, turn = 0): Point[] =>
  Array.from({ length: 2 * tips }, (_, i) => {
    const angle = turn + Math.PI / 2 + (i * Math.PI) / tips;
    const radius = i % 2 === 0 ? outer : inner;
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
  });

/** A leaf of two cubics from tip to tip. */
export const leafPath = (from: Point, to: Point, width: number): Path => {
  const x = to.x - from.x;
  const y = to.y - from.y;
  const size = Math.hypot(x, y);
  const at = (along: number, across: number): Point => ({
    x: from.x + along * x - (across * y) / size,
    y: from.y + along * y + (across * x) / size,
  });
  return closedPath([
    { kind: 'cubic', from, control1: at(0.3, width), control2: at(0.7, width), to },
    { kind: 'cubic', from: to, control1: at(0.7, -width), control2: at(0.3, -width), to: from },
  ]);
};
