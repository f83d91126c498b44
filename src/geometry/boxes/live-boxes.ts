/** Boxes in an index, of which only those count that are live at the moment: any of them can enter and leave. */
import Flatbush from 'flatbush';

/** Children of a node: as many as in flatbush, whose author measured it. */
const nodeSize = 16;

/**
 * A packed tree over all boxes, with the number of live ones below each node, so that a search goes nowhere else: it takes
 * the time of what it finds, however many others lie there. Each level groups the one below it, `nodeSize` at a time; boxes
 * that stand in a row lie near one another, in the order in which a search of flatbush for everything finds them.
 */
export class LiveBoxes {
  private readonly added: Float64Array;
  private count = 0;
  /** By place in the tree, level after level, the boxes themselves first: minX, minY, maxX, maxY. */
  private bounds = new Float64Array(0);
  /** By place in the tree: how many live boxes lie below it; for the boxes themselves 1 or 0. */
  private live = new Int32Array(0);
  /** The box at each place of the first level, and the place of each box. */
  private boxes: readonly number[] = [];
  private places = new Int32Array(0);
  /** Where each level of the tree begins, and where the last one ends: at the root. */
  private starts: number[] = [];

  /** @param count of all boxes that will be added */
  constructor(count: number) {
    this.added = new Float64Array(4 * count);
  }

  /** Boxes are numbered as they come. */
  add(minX: number, minY: number, maxX: number, maxY: number): void {
    const { added } = this;
    const at = 4 * this.count;
    added[at] = minX;
    added[at + 1] = minY;
    added[at + 2] = maxX;
    added[at + 3] = maxY;
    this.count += 1;
  }

  /** After the last box; none of them is live yet. */
  finish(): void {
    const { added, count } = this;
    this.boxes = nearInRow(added, count);
    this.places = new Int32Array(count);
    this.starts = [0];
    let end = 0;
    for (let size = count; size > 0; size = size === 1 ? 0 : Math.ceil(size / nodeSize)) {
      end += size;
      this.starts.push(end);
    }
    this.live = new Int32Array(end);
    const bounds = new Float64Array(4 * end);
    this.bounds = bounds;
    for (let place = 0; place < count; place += 1) {
      const box = this.boxes[place]!;
      this.places[box] = place;
      for (let side = 0; side < 4; side += 1) bounds[4 * place + side] = added[4 * box + side]!;
    }
    for (let level = 1; level < this.starts.length - 1; level += 1) this.boundLevel(level);
  }

  private boundLevel(level: number): void {
    const { bounds, starts } = this;
    const [below, first, end] = [starts[level - 1]!, starts[level]!, starts[level + 1]!];
    for (let place = first; place < end; place += 1) {
      const from = below + (place - first) * nodeSize;
      const to = Math.min(from + nodeSize, first);
      let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
      for (let at = 4 * from; at < 4 * to; at += 4) {
        minX = Math.min(minX, bounds[at]!);
        minY = Math.min(minY, bounds[at + 1]!);
        maxX = Math.max(maxX, bounds[at + 2]!);
        maxY = Math.max(maxY, bounds[at + 3]!);
      }
      bounds.set([minX, minY, maxX, maxY], 4 * place);
    }
  }

  enter(box: number): void {
    this.change(box, 1);
  }

  leave(box: number): void {
    this.change(box, -1);
  }

  private change(box: number, by: 1 | -1): void {
    const { live, starts } = this;
    let place = this.places[box]!;
    for (let level = 0; ; level += 1) {
      live[place]! += by;
      if (place === live.length - 1) return;
      place = starts[level + 1]! + Math.floor((place - starts[level]!) / nodeSize);
    }
  }

  /** @param found is called for each live box that meets this one; true ends the search */
  search(minX: number, minY: number, maxX: number, maxY: number, found: (box: number) => boolean): void {
    const { live, bounds, starts, boxes } = this;
    if (this.count === 0) return;
    // Ranges of places that are still to be looked at: where each begins, and its level.
    const open: number[] = [live.length - 1, starts.length - 2];
    while (open.length > 0) {
      const level = open.pop()!;
      const first = open.pop()!;
      const end = Math.min(first + nodeSize, starts[level + 1]!);
      for (let place = first; place < end; place += 1) {
        if (live[place] === 0) continue;
        const at = 4 * place;
        if (maxX < bounds[at]! || maxY < bounds[at + 1]! || minX > bounds[at + 2]! || minY > bounds[at + 3]!)
          continue;
        if (level === 0) {
          if (found(boxes[place]!)) return;
        } else open.push(starts[level - 1]! + (place - starts[level]!) * nodeSize, level - 1);
      }
    }
  }
}

/** The numbers of all boxes; those that lie near one another mostly stand near one another. */
const nearInRow = (boxes: Float64Array, count: number): readonly number[] => {
  if (count === 0) return [];
  const index = new Flatbush(count, nodeSize);
  for (let at = 0; at < 4 * count; at += 4)
    index.add(boxes[at]!, boxes[at + 1]!, boxes[at + 2]!, boxes[at + 3]!);
  index.finish();
  return index.search(-Infinity, -Infinity, Infinity, Infinity);
};
