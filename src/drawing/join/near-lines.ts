/** Which of very many lines come near another one at all: only those can lie on each other. */
import { endOf, type Segment, segmentBox, startOf } from '../../geometry/curve.js';
import { boxOfPath, endsOfPath, segmentsNow, sizeOfPath } from '../../geometry/curve-store.js';
import type { Box, Point } from '../../geometry/point.js';
import { EndGrid, fewEnds } from './end-grid.js';
import type { Piece } from './piece.js';

/**
 * Of two lines that share a stretch one ends on the other: a piece of one segment with no foreign end within `tolerance` of
 * its box, and neither of its ends so near to a foreign box, lies on none.
 *
 * @param fixed pieces may lie on these as well
 * @returns the pieces that may lie on another line or under one, in their order; all of them where there are few
 */
export const nearOthers = (
  pieces: readonly Piece[],
  fixed: readonly Segment[],
  tolerance: number,
): readonly Piece[] => {
  let count = fixed.length;
  for (const { path } of pieces) count += sizeOfPath(path);
  if (2 * count < fewEnds) return pieces;
  const xs = new Float64Array(2 * count);
  const ys = new Float64Array(2 * count);
  /** By the number of each end: 0 for a fixed line, otherwise the place of the piece, counted from 1. */
  const owners = new Int32Array(2 * count);
  let next = 0;
  let extent = 0;
  const add = (from: Point, to: Point, owner: number): void => {
    for (const { x, y } of [from, to]) {
      xs[next] = x;
      ys[next] = y;
      owners[next] = owner;
      next += 1;
    }
    extent += Math.abs(to.x - from.x) + Math.abs(to.y - from.y);
  };
  for (const s of fixed) add(startOf(s), endOf(s), 0);
  for (let i = 0; i < pieces.length; i += 1) {
    const { path } = pieces[i]!;
    if (sizeOfPath(path) === 1) {
      const { from, to } = endsOfPath(path);
      add(from, to, i + 1);
    } else for (const s of segmentsNow(path)) add(startOf(s), endOf(s), i + 1);
  }
  const grid = new EndGrid(xs, ys, Math.max(extent / (2 * count), 4 * tolerance));
  const near = new Uint8Array(pieces.length + 1);
  const look = ({ minX, minY, maxX, maxY }: Box, owner: number): void => {
    grid.within(minX - tolerance, minY - tolerance, maxX + tolerance, maxY + tolerance, (end) => {
      const other = owners[end]!;
      if (other !== owner) near[owner] = near[other] = 1;
      return false;
    });
  };
  for (const s of fixed) look(segmentBox(s), 0);
  for (let i = 0; i < pieces.length; i += 1) {
    const { path } = pieces[i]!;
    if (sizeOfPath(path) === 1) look(boxOfPath(path), i + 1);
    else {
      // Its segments may lie on each other.
      near[i + 1] = 1;
      for (const s of segmentsNow(path)) look(segmentBox(s), i + 1);
    }
    if (!grid.helps) return pieces;
  }
  return pieces.filter((_, i) => near[i + 1] === 1);
};
