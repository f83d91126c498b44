/** Places where the gap is what the distance across it says: on a smooth stretch, with no other edge nearer to the new one. */
import Flatbush from 'flatbush';
import type { Point } from '../geometry/point.js';
import { type EdgePlace, placeOn, type Walk } from './edge-walk.js';

/** How much nearer another edge may be to where the new edge belongs, as a share of the clearance, and mm: chords of arcs. */
const share = 0.02;
const least = 0.02;

/** Whether the nearest existing edge to where the new edge belongs is that of the place itself. */
export const clearOf = (walk: Walk, clearance: number): ((place: EdgePlace) => boolean) => {
  const { stretches } = walk;
  const index = new Flatbush(Math.max(1, stretches.length));
  if (stretches.length === 0) index.add(0, 0, 0, 0);
  for (const { x, y, toX, toY } of stretches)
    index.add(Math.min(x, toX), Math.min(y, toY), Math.max(x, toX), Math.max(y, toY));
  index.finish();
  const away = (p: Point, i: number): number => {
    const { x, y, toX, toY, length } = stretches[i]!;
    const t = Math.min(1, Math.max(0, ((p.x - x) * (toX - x) + (p.y - y) * (toY - y)) / (length * length)));
    return Math.hypot(p.x - x - t * (toX - x), p.y - y - t * (toY - y));
  };
  const allowed = clearance - Math.max(least, share * clearance);
  return ({ at, normal }) => {
    if (stretches.length === 0 || allowed <= 0) return true;
    const p = { x: at.x + clearance * normal.x, y: at.y + clearance * normal.y };
    let isClear = true;
    index.search(p.x - allowed, p.y - allowed, p.x + allowed, p.y + allowed, (i) => {
      if (away(p, i) < allowed) isClear = false;
      return false;
    });
    return isClear;
  };
};

/**
 * Places along all edges, about `spacing` apart, at least one for every stretch between corners that has room for one.
 *
 * @param fromCorner least distance to a corner, mm
 */
export const clearPlaces = (
  walk: Walk,
  clearance: number,
  spacing: number,
  fromCorner: number,
): EdgePlace[] => {
  const isClear = clearOf(walk, clearance);
  const places: EdgePlace[] = [];
  let ring = -1;
  let next = 0;
  for (const stretch of walk.stretches) {
    const { length, corners } = walk.rings[stretch.ring]!;
    if (stretch.ring !== ring) {
      ring = stretch.ring;
      next = 0.5 * Math.min(spacing, length / 8);
    }
    // Rings that are short beside the spacing have eight places all the same.
    const step = Math.min(spacing, length / 8);
    for (; next < stretch.from + stretch.length; next += step) {
      const place = placeOn(walk, stretch, Math.max(0, (next - stretch.from) / stretch.length));
      const room = corners.length === 0 ? Number.POSITIVE_INFINITY : (place.fromCorner ?? 0);
      if (room >= fromCorner && isClear(place)) places.push(place);
    }
  }
  return places;
};
