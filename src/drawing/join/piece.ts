/** What is joined: open paths, one by one. */
import { endOf, reversed, type Segment, startOf } from '../../geometry/curve.js';
import type { Point } from '../../geometry/point.js';

/** Ends this near to each other (mm) are one point: what rounding in a file comes to; nothing is moved for it. */
export const samePlace = 1e-6;

/** An open path of the drawing, or what is left of one where lines lie on each other. */
export interface Piece {
  readonly segments: readonly Segment[];
  readonly from: Point;
  readonly to: Point;
  /** Index of its shape in the drawing, and of its path in the shape. */
  readonly shape: number;
  readonly path: number;
  /** Counts in the order of the file. */
  readonly order: number;
}

export const pieceOf = (
  segments: readonly Segment[],
  place: { readonly shape: number; readonly path: number; readonly order: number },
): Piece => ({
  segments,
  from: startOf(segments[0]!),
  to: endOf(segments[segments.length - 1]!),
  shape: place.shape,
  path: place.path,
  order: place.order,
});

/** A piece as it is travelled. */
export interface Part {
  readonly piece: Piece;
  readonly backward: boolean;
}

export const entryOf = ({ piece, backward }: Part): Point => (backward ? piece.to : piece.from);

export const exitOf = ({ piece, backward }: Part): Point => (backward ? piece.from : piece.to);

export const segmentsOf = ({ piece, backward }: Part): readonly Segment[] =>
  backward ? [...piece.segments].reverse().map(reversed) : piece.segments;
