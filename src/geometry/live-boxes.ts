/** Boxes in an index, of which only those count that are live at the moment: any of them can enter and leave. */
import Flatbush from 'flatbush';

/**
 * A packed tree over all boxes (flatbush), with the number of live ones below each node, so that a search goes nowhere else:
 * it takes the time of what it finds, however many others lie there.
 */
export class LiveBoxes {
  private readonly index: Flatbush;
  private readonly count: number;
  /** By place in the tree: how many live boxes lie below it; for the boxes themselves 1 or 0. */
  private live = new Int32Array(0);
  /** The place of each box. */
  private places = new Int32Array(0);
  /** Where each level of the tree begins. */
  private starts: number[] = [];

  /** @param count of all boxes that will be added */
  constructor(count: number) {
    this.count = count;
    this.index = new Flatbush(Math.max(1, count));
    if (count === 0) this.index.add(0, 0);
  }

  /** Boxes are numbered as they come. */
  add(minX: number, minY: number, maxX: number, maxY: number): void {
    this.index.add(minX, minY, maxX, maxY);
  }

  /** After the last box; none of them is live yet. */
  finish(): void {
    const { index } = this;
    index.finish();
    this.live = new Int32Array(index._boxes.length / 4);
    this.starts = [0, ...index._levelBounds.map((end) => end / 4)];
    this.places = new Int32Array(this.count);
    for (let place = 0; place < this.count; place += 1) this.places[index._indices[place]!] = place;
  }

  enter(box: number): void {
    this.change(box, 1);
  }

  leave(box: number): void {
    this.change(box, -1);
  }

  private change(box: number, by: 1 | -1): void {
    const { live, starts } = this;
    const { nodeSize } = this.index;
    let place = this.places[box]!;
    for (let level = 0; ; level += 1) {
      live[place]! += by;
      if (place === live.length - 1) return;
      place = starts[level + 1]! + Math.floor((place - starts[level]!) / nodeSize);
    }
  }

  /** @param found is called for each live box that meets this one; true ends the search */
  search(minX: number, minY: number, maxX: number, maxY: number, found: (box: number) => boolean): void {
    const { live, count } = this;
    const { _boxes: boxes, _indices: indices, _levelBounds: bounds, nodeSize } = this.index;
    const open: number[] = [live.length - 1, bounds.length - 1];
    while (open.length > 0) {
      const level = open.pop()!;
      const first = open.pop()!;
      const end = Math.min(first + nodeSize, bounds[level]! / 4);
      for (let place = first; place < end; place += 1) {
        if (live[place] === 0) continue;
        const at = 4 * place;
        if (maxX < boxes[at]! || maxY < boxes[at + 1]! || minX > boxes[at + 2]! || minY > boxes[at + 3]!)
          continue;
        if (place < count) {
          if (found(indices[place]!)) return;
        } else open.push(indices[place]! >> 2, level - 1);
      }
    }
  }
}
