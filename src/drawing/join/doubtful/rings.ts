/** Closed paths that are drawn twice. */
import type { Path } from '../../../geometry/curve.js';
import type { Box } from '../../../geometry/point.js';
import { boxOfPath } from '../../../geometry/stored-path.js';
import { IntList } from '../../../numeric/int-list.js';
import { sameLine, sameRing } from './same-curve.js';

/** Rings with one key that are compared with each other. */
const mostCompared = 40;
const least = 64;

/**
 * Boxes are sorted by their sides in cells of this size, mm. Where a side lies near a border of
 * cells, those beside are looked through as well; most sides are round figures, so no border is
 * one.
 */
const cell = 0.2;
const firstBorder = 0.0737;

const cellOf = (side: number): number => Math.floor((side - firstBorder) / cell);

/** In place of the next ring: it has so many with its key before it that it is not compared. */
const notCompared = -1;

/** Rings of one kind are in one group; a group may have several kinds. */
export interface RingKind {
  readonly kind: number;
  readonly group: number;
}

/**
 * Closed paths met so far, to find one that is drawn again. A ring is the same wherever it starts
 * and however it is divided: what it is known by is its box. A drawing may have a million rings, so
 * what is known of them stands in columns.
 */
export class RingsSeen {
  /** Whether rings of several kinds but one group are the same; they are kept. */
  areShared = false;
  /** Kind, group, shape and place of each ring that is not sorted in. */
  private waiting = new IntList();
  private count = 0;
  private keys = new Int32Array(least);
  private kinds = new Int32Array(least);
  private shapes = new Int32Array(least);
  private places = new Int32Array(least);
  /** Left, bottom, right and top of each. */
  private boxes = new Float64Array(4 * least);
  /** Of each ring the next one in the same row of the table, counted from 1; 0 for none. */
  private next = new Int32Array(least);
  private rows = new Int32Array(2 * least);
  /**
   * The first and the last ring of each kind, and of each ring the next one of its kind, counted
   * from 1.
   */
  private readonly firstOfKind: number[] = [];
  private readonly lastOfKind: number[] = [];
  private nextOfKind = new Int32Array(least);

  private readonly expected: number;

  /**
   * @param pathOf the path that was said to be in a place of a shape
   * @param expected number of rings: a drawing that turns out to have many gets room for so many at
   * once
   */
  constructor(
    private readonly pathOf: (shape: number, place: number) => Path,
    expected: number,
  ) {
    this.expected = 2 ** Math.ceil(Math.log2(Math.max(least, expected)));
  }

  /**
   * The shape of an equal ring of the same kind, if there is one; otherwise this ring is
   * remembered.
   * @param kind and group: numbers from 0
   * @param place by which the path is found again
   */
  find({ kind, group }: RingKind, path: Path, shape: number, place: number): number | undefined {
    if (this.waiting.length > 0) this.addWaiting();
    const box = boxOfPath(path);
    const { minX, minY, maxX, maxY } = box;
    const own = keyOf(group, minX, minY, maxX, maxY);
    const twin = this.twinIn(kind, own, path, box) ?? this.twinBeside({ kind, group }, own, path, box);
    if (twin !== undefined) return twin;
    this.add(kind, own, shape, place, box);
    return undefined;
  }

  /**
   * Remembers a ring of which it is known that no other one is the same; its box is looked at only
   * if a ring is searched.
   */
  keep({ kind, group }: RingKind, shape: number, place: number): void {
    for (const number of [kind, group, shape, place]) this.waiting.push(number);
  }

  /** All rings of a kind without an equal one before them, in the order in which they came. */
  *all(kind: number): Generator<{ readonly path: Path; readonly shape: number }> {
    for (let i = (this.firstOfKind[kind] ?? 0) - 1; i >= 0; i = this.nextOfKind[i]! - 1) {
      yield { path: this.pathAt(i), shape: this.shapes[i]! };
    }
    const { waiting } = this;
    for (let k = 0; k < waiting.length; k += 4) {
      if (waiting.at(k) !== kind) continue;
      const [shape, place] = [waiting.at(k + 2), waiting.at(k + 3)];
      yield { path: this.pathOf(shape, place), shape };
    }
  }

  private addWaiting(): void {
    const { waiting } = this;
    this.waiting = new IntList();
    for (let k = 0; k < waiting.length; k += 4) {
      const [kind, group, shape, place] = [0, 1, 2, 3].map((i) => waiting.at(k + i));
      this.addOf({ kind: kind!, group: group! }, this.pathOf(shape!, place!), shape!, place!);
    }
  }

  private addOf({ kind, group }: RingKind, path: Path, shape: number, place: number): void {
    const box = boxOfPath(path);
    this.add(kind, keyOf(group, box.minX, box.minY, box.maxX, box.maxY), shape, place, box);
  }

  private pathAt(i: number): Path {
    return this.pathOf(this.shapes[i]!, this.places[i]!);
  }

  private twinIn(kind: number, key: number, path: Path, box: Box): number | undefined {
    for (let i = this.rows[this.rowOf(key)]! - 1; i >= 0; i = this.next[i]! - 1) {
      if (this.keys[i] !== key) continue;
      const isOfKind = this.kinds[i] === kind;
      if ((!isOfKind && this.areShared) || !this.hasBox(i, box)) continue;
      if (!sameRing(this.pathAt(i), path)) continue;
      if (isOfKind) return this.shapes[i];
      this.areShared = true;
    }
    return undefined;
  }

  private hasBox(i: number, { minX, minY, maxX, maxY }: Box): boolean {
    const { boxes } = this;
    return (
      Math.abs(boxes[4 * i]! - minX) <= sameLine &&
      Math.abs(boxes[4 * i + 1]! - minY) <= sameLine &&
      Math.abs(boxes[4 * i + 2]! - maxX) <= sameLine &&
      Math.abs(boxes[4 * i + 3]! - maxY) <= sameLine
    );
  }

  /** In the cells next to that of the box, where one of its sides lies near a border. */
  private twinBeside({ kind, group }: RingKind, own: number, path: Path, box: Box): number | undefined {
    const { minX, minY, maxX, maxY } = box;
    if (!(atBorder(minX) || atBorder(minY) || atBorder(maxX) || atBorder(maxY))) return undefined;
    const [lefts, bottoms, rights, tops] = [minX, minY, maxX, maxY].map((side) => [
      side - sameLine,
      side + sameLine,
    ]);
    for (const left of lefts!) {
      for (const bottom of bottoms!) {
        for (const right of rights!) {
          for (const top of tops!) {
            const key = keyOf(group, left, bottom, right, top);
            const twin = key === own ? undefined : this.twinIn(kind, key, path, box);
            if (twin !== undefined) return twin;
          }
        }
      }
    }
    return undefined;
  }

  private add(kind: number, key: number, shape: number, place: number, box: Box): void {
    const { minX, minY, maxX, maxY } = box;
    if (this.count === this.keys.length) this.grow();
    const i = this.count;
    this.keys[i] = key;
    this.kinds[i] = kind;
    while (this.firstOfKind.length <= kind) {
      this.firstOfKind.push(0);
      this.lastOfKind.push(0);
    }
    const before = this.lastOfKind[kind]!;
    if (before === 0) this.firstOfKind[kind] = i + 1;
    else this.nextOfKind[before - 1] = i + 1;
    this.lastOfKind[kind] = i + 1;
    this.shapes[i] = shape;
    this.places[i] = place;
    this.boxes[4 * i] = minX;
    this.boxes[4 * i + 1] = minY;
    this.boxes[4 * i + 2] = maxX;
    this.boxes[4 * i + 3] = maxY;
    this.count = i + 1;
    let known = 0;
    let last = -1;
    for (let k = this.rows[this.rowOf(key)]! - 1; k >= 0; k = this.next[k]! - 1) {
      last = k;
      if (this.keys[k] === key && this.kinds[k] === kind) known += 1;
    }
    if (known === mostCompared) this.next[i] = notCompared;
    else if (last < 0) this.rows[this.rowOf(key)] = i + 1;
    else this.next[last] = i + 1;
  }

  private rowOf(key: number): number {
    return Math.imul(key, 0x9e3779b1) >>> (Math.clz32(this.rows.length) + 1);
  }

  private grow(): void {
    const size = Math.max(2 * this.count, this.expected);
    this.keys = longer(this.keys, size);
    this.kinds = longer(this.kinds, size);
    this.nextOfKind = longer(this.nextOfKind, size);
    this.shapes = longer(this.shapes, size);
    this.places = longer(this.places, size);
    const boxes = new Float64Array(4 * size);
    boxes.set(this.boxes);
    this.boxes = boxes;
    const before = this.next;
    this.next = new Int32Array(size);
    this.rows = new Int32Array(2 * size);
    const ends = new Int32Array(2 * size);
    for (let i = 0; i < this.count; i += 1) {
      if (before[i] === notCompared) {
        this.next[i] = notCompared;
        continue;
      }
      const row = this.rowOf(this.keys[i]!);
      const end = ends[row]!;
      if (end === 0) this.rows[row] = i + 1;
      else this.next[end - 1] = i + 1;
      ends[row] = i + 1;
    }
  }
}

const longer = (numbers: Int32Array, size: number) => {
  const more = new Int32Array(size);
  more.set(numbers);
  return more;
};

const keyOf = (group: number, minX: number, minY: number, maxX: number, maxY: number): number =>
  mixed(mixed(mixed(mixed(group, minX), minY), maxX), maxY);

const atBorder = (side: number): boolean => cellOf(side - sameLine) !== cellOf(side + sameLine);

/** Collisions cost a comparison and nothing else. */
const mixed = (key: number, side: number): number =>
  Math.imul(key ^ (key >>> 15), 73_856_093) ^ Math.imul(cellOf(side) | 0, 19_349_663);
