/** What is joined: open paths, one by one. */
import { type Path, reversed, type Segment } from '../../../geometry/curve.js';
import type { CurveStore } from '../../../geometry/curve-store.js';
import type { Point } from '../../../geometry/point.js';
import { endsOfPath, StoredPath, segmentsNow } from '../../../geometry/stored-path.js';

/**
 * Ends this near to each other (mm) are one point: what rounding in a file comes to; nothing is
 * moved for it.
 */
export const samePlace = 1e-6;

/** An open path of the drawing, or what is left of one where lines lie on each other. */
export interface Piece {
  readonly path: Path;
  readonly from: Point;
  readonly to: Point;
  /** Index of its shape in the drawing, and of its path among those of the shape. */
  readonly shape: number;
  readonly index: number;
  /** Counts in the order of the file. */
  readonly order: number;
}

/** Where it stands in the drawing. */
type Place = Pick<Piece, 'shape' | 'index' | 'order'>;

export const pieceOf = (path: Path, { shape, index, order }: Place): Piece => {
  if (path instanceof StoredPath) return new StoredPiece(path.store, path.number, shape, index, order);
  return { path, ...endsOfPath(path), shape, index, order };
};

/** A drawing may have half a million loose lines: their ends stay in the store. */
class StoredPiece implements Piece {
  constructor(
    private readonly curves: CurveStore,
    private readonly number: number,
    readonly shape: number,
    readonly index: number,
    readonly order: number,
  ) {}

  get path(): Path {
    return new StoredPath(this.curves, this.number);
  }

  get from(): Point {
    return this.curves.startOf(this.number);
  }

  get to(): Point {
    return this.curves.endOf(this.number);
  }
}

/** A piece as it is travelled. */
export interface Part {
  readonly piece: Piece;
  readonly backward: boolean;
}

export const entryOf = ({ piece, backward }: Part): Point => (backward ? piece.to : piece.from);

export const exitOf = ({ piece, backward }: Part): Point => (backward ? piece.from : piece.to);

export const segmentsOf = ({ piece, backward }: Part): readonly Segment[] => {
  const segments = segmentsNow(piece.path);
  return backward ? segments.toReversed().map(reversed) : segments;
};

/** Parts end to end, from place to place. */
export interface Run {
  readonly parts: readonly Part[];
  readonly from: number;
  readonly to: number;
}
