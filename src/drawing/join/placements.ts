/** Which paths each shape has once lines are joined. */
import { IntList } from '../../numeric/int-list.js';
import type { Shape } from '../model/drawing.js';
import { pathCount } from '../model/shape-store.js';

/**
 * What a shape has lost and got; most shapes of most drawings stay as they are, so only changes are
 * said.
 */
export class Placements {
  /** Where the paths of each shape begin, if all are counted through. */
  private readonly starts: Int32Array;
  private readonly gone: Uint8Array;
  /** How many of its own paths each shape has. */
  private readonly own: Int32Array;
  /** Of each shape the last path it got, counted from 1, and of each of these the one before it. */
  private readonly last: Int32Array;
  private readonly before = new IntList();
  private readonly indexes = new IntList();
  private readonly numbers = new IntList();
  private readonly made = new IntList();

  constructor(shapes: readonly Shape[]) {
    this.starts = new Int32Array(shapes.length + 1);
    this.own = new Int32Array(shapes.length);
    for (let i = 0; i < shapes.length; i += 1) {
      this.own[i] = pathCount(shapes[i]!);
      this.starts[i + 1] = this.starts[i]! + this.own[i]!;
    }
    this.gone = new Uint8Array(this.starts[shapes.length]!);
    this.last = new Int32Array(shapes.length);
  }

  /** The shape no longer has the path it was drawn with in this place. */
  remove(shape: number, index: number): void {
    const path = this.starts[shape]! + index;
    if (this.gone[path] === 1) return;
    this.gone[path] = 1;
    this.own[shape]! -= 1;
  }

  /**
   * @param index of the path in whose place the new one comes
   * @param number of the new path in the store of joined ones
   * @param joined whether it is made of paths of several shapes
   */
  add(shape: number, index: number, number: number, joined: boolean): void {
    this.indexes.push(index);
    this.numbers.push(number);
    this.made.push(joined ? 1 : 0);
    this.last[shape] = this.before.push(this.last[shape]!) + 1;
  }

  hasNothing(shape: number): boolean {
    return this.last[shape] === 0 && this.own[shape] === 0 && this.drawn(shape) > 0;
  }

  isUnchanged(shape: number): boolean {
    return this.last[shape] === 0 && this.own[shape] === this.drawn(shape);
  }

  /** Whether the shape got a path that is made of those of several shapes. */
  isJoined(shape: number): boolean {
    for (let k = this.last[shape]! - 1; k >= 0; k = this.before.at(k) - 1)
      if (this.made.at(k) === 1) return true;
    return false;
  }

  /**
   * The paths of a shape in their order: numbers of new ones, and below 0 the places of its own,
   * counted from -1 down.
   */
  pathsOf(shape: number): readonly number[] {
    const start = this.starts[shape]!;
    const size = this.drawn(shape);
    const found: { index: number; path: number }[] = [];
    for (let index = 0; index < size; index += 1) {
      if (this.gone[start + index] === 0) found.push({ index, path: ~index });
    }
    const own = found.length;
    for (let k = this.last[shape]! - 1; k >= 0; k = this.before.at(k) - 1) {
      found.push({ index: this.indexes.at(k), path: this.numbers.at(k) });
    }
    if (found.length > 1) {
      const got = found.splice(own).reverse();
      found.push(...got);
      found.sort((a, b) => a.index - b.index);
    }
    return found.map(({ path }) => path);
  }

  /** How many paths the shape was drawn with. */
  private drawn(shape: number): number {
    return this.starts[shape + 1]! - this.starts[shape]!;
  }
}
