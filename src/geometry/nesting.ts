/** Which rings lie inside which: sides follow from nesting, never from the winding of a path. */
import Flatbush from 'flatbush';
import { boxOfPoints, type Point } from './point.js';

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

/** Twice the area a polygon encloses, positive for a counter-clockwise one, mm^2. */
export const doubleArea = (polygon: Polygon): number => {
  const origin = polygon[0];
  if (origin === undefined) return 0;
  let sum = 0;
  for (let i = 2; i < polygon.length; i++) {
    const a = polygon[i - 1]!;
    const b = polygon[i]!;
    sum += (a.x - origin.x) * (b.y - origin.y) - (a.y - origin.y) * (b.x - origin.x);
  }
  return sum;
};

/**
 * How many of the other polygons hold each one: 0 outermost, 1 an island in it, 2 an opening in the island.
 * For polygons that do not cross; where two touch or cross, three points of the ring decide by majority.
 */
export const nestingDepths = (polygons: readonly Polygon[]): number[] => {
  if (polygons.length === 0) return [];
  const index = new Flatbush(polygons.length);
  for (const polygon of polygons) {
    const box = boxOfPoints(polygon);
    if (polygon.length === 0) index.add(0, 0, 0, 0);
    else index.add(box.minX, box.minY, box.maxX, box.maxY);
  }
  index.finish();
  return polygons.map((polygon, self) => {
    const holders = new Map<number, number>();
    for (const part of [0, 1 / 3, 2 / 3]) {
      const p = polygon[Math.floor(part * polygon.length)];
      if (p === undefined) continue;
      for (const other of index.search(p.x, p.y, p.x, p.y)) {
        if (other !== self && isInside(p, polygons[other]!))
          holders.set(other, (holders.get(other) ?? 0) + 1);
      }
    }
    let depth = 0;
    for (const votes of holders.values()) if (votes >= 2) depth++;
    return depth;
  });
};
