/** A few hundred places that stand for all of them. */
import { type Box, boxCentre, boxOfPoints, type Point } from '../../geometry/point.js';

const rays = 24;

/**
 * At most about `most` of the given points: of every cell of an even grid the one farthest from the middle, for marks
 * lie best far out, and the outermost of all in 24 directions. All of them where they are few.
 * @returns indices, ascending
 */
export const thinned = (points: readonly Point[], most: number): number[] => {
  if (points.length <= most) return points.map((_, i) => i);
  const box = boxOfPoints(points);
  const middle = boxCentre(box);
  const farther = (i: number, j: number): boolean =>
    squareFrom(middle, points[i]!) > squareFrom(middle, points[j]!);
  let cell = Math.sqrt(((box.maxX - box.minX) * (box.maxY - box.minY)) / most) || 1;
  cell = Math.max(cell, (box.maxX - box.minX + box.maxY - box.minY) / most);
  // Free land is a small part of most panels: smaller cells until the number is used up.
  let kept = inCells(points, box, cell, farther);
  for (let round = 0; round < 12 && kept.length < 0.6 * most; round++) {
    const finer = inCells(points, box, cell * 0.8, farther);
    if (finer.length > most) break;
    cell *= 0.8;
    kept = finer;
  }
  const chosen = new Set(kept);
  for (let r = 0; r < rays; r++) {
    const c = Math.cos((2 * Math.PI * r) / rays);
    const s = Math.sin((2 * Math.PI * r) / rays);
    const along = (i: number): number => c * points[i]!.x + s * points[i]!.y;
    let best = 0;
    for (let i = 1; i < points.length; i++) if (along(i) > along(best) + 1e-9) best = i;
    chosen.add(best);
  }
  return [...chosen].sort((a, b) => a - b);
};

const squareFrom = (a: Point, b: Point): number => (a.x - b.x) ** 2 + (a.y - b.y) ** 2;

const inCells = (
  points: readonly Point[],
  box: Box,
  cell: number,
  better: (i: number, j: number) => boolean,
): number[] => {
  const cells = new Map<number, number>();
  const across = Math.floor((box.maxX - box.minX) / cell) + 1;
  points.forEach((p, i) => {
    const key = Math.floor((p.y - box.minY) / cell) * across + Math.floor((p.x - box.minX) / cell);
    const now = cells.get(key);
    if (now === undefined || better(i, now)) cells.set(key, i);
  });
  return [...cells.values()];
};
