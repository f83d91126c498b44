/** In which order paths are cut. */
import { type Box, boxCentre } from '../geometry/point.js';

/**
 * Inner before outer: each outermost path follows everything inside it. The outermost ones are taken in rows, to and
 * fro, so that the order does not depend on the file and the head does not travel far.
 *
 * @param boxes of the paths
 * @param around for each path those round it, the smallest first
 * @returns the paths' indices
 */
export const inCuttingOrder = (
  boxes: readonly Box[],
  around: readonly (readonly number[])[],
): readonly number[] => {
  const inside = new Map<number, number[]>();
  const outermost: number[] = [];
  boxes.forEach((_, i) => {
    const root = around[i]!.at(-1);
    if (root === undefined) outermost.push(i);
    else if (inside.has(root)) inside.get(root)!.push(i);
    else inside.set(root, [i]);
  });
  const middles = boxes.map(boxCentre);
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (const i of outermost) {
    low = Math.min(low, middles[i]!.y);
    high = Math.max(high, middles[i]!.y);
  }
  const rows = Math.max(1, Math.round(Math.sqrt(outermost.length)));
  const rowOf = (i: number): number =>
    Math.floor(((middles[i]!.y - low) / (high - low || 1)) * rows * (1 - 1e-9));
  const byRow = (i: number, j: number): number => {
    const row = rowOf(i) - rowOf(j);
    if (row !== 0) return row;
    const x = middles[i]!.x - middles[j]!.x;
    return (rowOf(i) % 2 === 0 ? x : -x) || middles[i]!.y - middles[j]!.y;
  };
  return outermost.sort(byRow).flatMap((root) => {
    const members = inside.get(root) ?? [];
    members.sort((i, j) => around[j]!.length - around[i]!.length || byRow(i, j));
    return [...members, root];
  });
};
