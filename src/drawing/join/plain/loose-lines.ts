/** The loose lines of one kind, in columns: a drawing may have half a million of them. */
import type { Path } from '../../../geometry/curve.js';
import { IntList } from '../../../numeric/int-list.js';
import type { Shape } from '../../model/drawing.js';
import { pathAt } from '../../model/shape-store.js';
import { type Piece, pieceOf } from '../doubtful/piece.js';

/** Open paths by number, made when they are asked for. */
export interface Lines {
  readonly count: number;
  path(i: number): Path;
}

export class LooseLines implements Lines {
  private readonly shapes = new IntList();
  private readonly indexes = new IntList();

  constructor(private readonly drawn: readonly Shape[]) {}

  get count(): number {
    return this.shapes.length;
  }

  /** In the order of the file. */
  add(shape: number, index: number): void {
    this.shapes.push(shape);
    this.indexes.push(index);
  }

  shapeAt(i: number): number {
    return this.shapes.at(i);
  }

  path(i: number): Path {
    return pathAt(this.drawn[this.shapes.at(i)]!, this.indexes.at(i));
  }

  piece(i: number): Piece {
    return pieceOf(this.path(i), { shape: this.shapes.at(i), index: this.indexes.at(i), order: i });
  }
}
