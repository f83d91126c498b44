/** What hangs together. */
import Flatbush from 'flatbush';
import type { Box } from '../geometry/point.js';

/** The indices of boxes that meet, directly or by way of others. */
export const clustersOfBoxes = (boxes: readonly Box[]): number[][] => {
  if (boxes.length < 2) return boxes.map((_, i) => [i]);
  const links = new Links(boxes.length);
  const index = new Flatbush(boxes.length);
  for (const b of boxes) index.add(b.minX, b.minY, b.maxX, b.maxY);
  index.finish();
  boxes.forEach((b, i) => {
    index.search(b.minX, b.minY, b.maxX, b.maxY, (j) => {
      if (j > i) links.join(i, j);
      return false;
    });
  });
  return links.groups();
};

/** Disjoint sets of the numbers 0..n-1, joined by the smaller root, so that the outcome has one order. */
export class Links {
  private readonly parent: number[];

  constructor(count: number) {
    this.parent = Array.from({ length: count }, (_, i) => i);
  }

  find(i: number): number {
    let root = i;
    while (this.parent[root] !== root) root = this.parent[root]!;
    for (let k = i; k !== root; ) {
      const next = this.parent[k]!;
      this.parent[k] = root;
      k = next;
    }
    return root;
  }

  join(i: number, j: number): void {
    const a = this.find(i);
    const b = this.find(j);
    if (a !== b) this.parent[Math.max(a, b)] = Math.min(a, b);
  }

  groups(): number[][] {
    const byRoot = new Map<number, number[]>();
    for (let i = 0; i < this.parent.length; i++) {
      const root = this.find(i);
      const list = byRoot.get(root);
      if (list === undefined) byRoot.set(root, [i]);
      else list.push(i);
    }
    return [...byRoot.values()];
  }
}
