/**
 * Which of very many lines come near another one at all: only those can meet or lie on each other.
 */
import Flatbush from 'flatbush';
import { endOf, type Segment, segmentBox, startOf } from '../../../geometry/curve.js';
import type { Box, Point } from '../../../geometry/point.js';
import { boxOfPath, endsOfPath, segmentsNow, sizeOfPath } from '../../../geometry/stored-path.js';
import { EndGrid, fewEnds } from './end-grid.js';
import type { Lines } from './loose-lines.js';

/** Says whether a box comes within `tolerance` of the box of a segment of any of the lines. */
export const nearTo = (lines: Lines, tolerance: number): ((box: Box) => boolean) => {
  let count = 0;
  for (let i = 0; i < lines.count; i += 1) count += sizeOfPath(lines.path(i));
  const index = new Flatbush(count);
  for (let i = 0; i < lines.count; i += 1) {
    for (const s of segmentsNow(lines.path(i))) {
      const { minX, minY, maxX, maxY } = segmentBox(s);
      index.add(minX, minY, maxX, maxY);
    }
  }
  index.finish();
  return ({ minX, minY, maxX, maxY }) =>
    index.collides(minX - tolerance, minY - tolerance, maxX + tolerance, maxY + tolerance);
};

/**
 * Of two lines that share a stretch one ends on the other: a segment with no end of another one
 * within `tolerance` of its box, and neither of its ends so near to the box of another, lies on
 * none. For neighbours in a path, which share an end, their other ends count.
 *
 * @param fixed lines may lie on these as well
 * @returns the lines that may come within `tolerance` of another line, or of themselves, in their
 * order; all of them where there are few
 */
export const nearOthers = (lines: Lines, fixed: readonly Segment[], tolerance: number): Int32Array => {
  // The corners of each line, one line after another; before them the ends of the fixed ones.
  const firsts = new Int32Array(lines.count + 1);
  firsts[0] = 2 * fixed.length;
  for (let i = 0; i < lines.count; i += 1) firsts[i + 1] = firsts[i]! + sizeOfPath(lines.path(i)) + 1;
  const count = firsts[lines.count]!;
  if (count < fewEnds) return Int32Array.from({ length: lines.count }, (_, i) => i);
  const xs = new Float64Array(count);
  const ys = new Float64Array(count);
  /**
   * By the number of each end: 0 for a fixed line, otherwise the number of the line, counted from
   * 1.
   */
  const owners = new Int32Array(count);
  let next = 0;
  let extent = 0;
  const add = ({ x, y }: Point, owner: number): void => {
    xs[next] = x;
    ys[next] = y;
    owners[next] = owner;
    next += 1;
  };
  const reaches = (from: Point, to: Point): void => {
    extent += Math.abs(to.x - from.x) + Math.abs(to.y - from.y);
  };
  for (const s of fixed) {
    const [from, to] = [startOf(s), endOf(s)];
    add(from, 0);
    add(to, 0);
    reaches(from, to);
  }
  for (let i = 0; i < lines.count; i += 1) {
    const path = lines.path(i);
    let { from, to } = endsOfPath(path);
    add(from, i + 1);
    if (sizeOfPath(path) > 1) {
      for (const s of segmentsNow(path)) {
        to = endOf(s);
        add(to, i + 1);
        reaches(from, to);
        from = to;
      }
    } else {
      add(to, i + 1);
      reaches(from, to);
    }
  }
  const grid = new EndGrid(xs, ys, Math.max(extent / count, 4 * tolerance));
  const near = new Uint8Array(lines.count + 1);
  /** @param from, to the numbers of its own ends */
  const look = ({ minX, minY, maxX, maxY }: Box, owner: number, from: number, to: number): void => {
    grid.within(minX - tolerance, minY - tolerance, maxX + tolerance, maxY + tolerance, (end) => {
      if (end === from || end === to) return false;
      const other = owners[end]!;
      if (owner !== 0 || other !== 0) near[owner] = near[other] = 1;
      return false;
    });
  };
  for (const [k, s] of fixed.entries()) look(segmentBox(s), 0, 2 * k, 2 * k + 1);
  for (let i = 0; i < lines.count; i += 1) {
    const path = lines.path(i);
    let from = firsts[i]!;
    if (sizeOfPath(path) === 1) {
      if (
        Math.abs(xs[from]! - xs[from + 1]!) <= tolerance &&
        Math.abs(ys[from]! - ys[from + 1]!) <= tolerance
      ) {
        near[i + 1] = 1;
      }
      look(boxOfPath(path), i + 1, from, from + 1);
    } else {
      for (const s of segmentsNow(path)) {
        look(segmentBox(s), i + 1, from, from + 1);
        from += 1;
      }
    }
    if (!grid.helps) return Int32Array.from({ length: lines.count }, (_, k) => k);
  }
  const found = new Int32Array(lines.count);
  let size = 0;
  for (let i = 0; i < lines.count; i += 1) {
    if (near[i + 1] === 0) continue;
    found[size] = i;
    size += 1;
  }
  return found.slice(0, size);
};
