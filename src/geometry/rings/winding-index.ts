/** Winding numbers of many points about the same rings. */
import Flatbush from 'flatbush';
import { type Ring, ringBox, spanBox, windingNumber, windingOfSpan } from '../spans/span.js';

/** Rings of fewer spans are gone through, and larger ones too for the first few points. */
const fewSpans = 48;
const fewQuestions = 4;

export class WindingIndex {
  private readonly rings: readonly Ring[];
  private readonly count: number;
  private questions = 0;
  private tree: Flatbush | undefined;
  /** Of the spans of each large ring. */
  private readonly trees: (Flatbush | undefined)[] = [];

  constructor(rings: readonly Ring[]) {
    this.rings = rings.filter(({ length }) => length > 0);
    this.count = rings.reduce((sum, ring) => sum + ring.length, 0);
  }

  /** How often the rings wind round the point, as `windingNumber` says it. */
  at(x: number, y: number): number {
    const { rings } = this;
    if (this.count <= fewSpans || ++this.questions <= fewQuestions) return windingNumber(rings, x, y);
    if (rings.length === 1) return this.ofRing(0, x, y);
    this.tree ??= treeOf(rings, ringBox);
    let winding = 0;
    // A ring whose box does not hold the point does not wind round it.
    this.tree.search(x, y, x, y, (i) => {
      winding += this.ofRing(i, x, y);
      return false;
    });
    return winding;
  }

  private ofRing(i: number, x: number, y: number): number {
    const ring = this.rings[i]!;
    let winding = 0;
    if (ring.length <= fewSpans) {
      for (const span of ring) winding += windingOfSpan(span, x, y);
      return winding;
    }
    this.trees[i] ??= treeOf(ring, spanBox);
    // A ray towards +x crosses only these, and an arc that has the point between it and its chord is one of them.
    this.trees[i].search(x, y, Number.POSITIVE_INFINITY, y, (k) => {
      winding += windingOfSpan(ring[k]!, x, y);
      return false;
    });
    return winding;
  }
}

const treeOf = <T>(items: readonly T[], boxOf: (item: T) => ReturnType<typeof spanBox>): Flatbush => {
  const tree = new Flatbush(items.length);
  for (const item of items) {
    const { minX, minY, maxX, maxY } = boxOf(item);
    tree.add(minX, minY, maxX, maxY);
  }
  tree.finish();
  return tree;
};
