/** Winding numbers of many points about the same rings. */
import Flatbush from 'flatbush';
import { type Ring, type Span, spanBox, windingNumber, windingOfSpan } from './span.js';

/** Rings of fewer spans are gone through, and larger ones too for the first few points. */
const fewSpans = 48;
const fewQuestions = 4;

export class WindingIndex {
  private readonly rings: readonly Ring[];
  private readonly count: number;
  private questions = 0;
  private spans: Span[] = [];
  private tree: Flatbush | undefined;

  constructor(rings: readonly Ring[]) {
    this.rings = rings;
    this.count = rings.reduce((sum, ring) => sum + ring.length, 0);
  }

  /** How often the rings wind round the point, as `windingNumber` says it. */
  at(x: number, y: number): number {
    if (this.count <= fewSpans || ++this.questions <= fewQuestions) return windingNumber(this.rings, x, y);
    this.tree ??= this.treeOfSpans();
    const { spans } = this;
    let winding = 0;
    // A ray towards +x crosses only these, and an arc that has the point between it and its chord is one of them.
    this.tree.search(x, y, Number.POSITIVE_INFINITY, y, (i) => {
      winding += windingOfSpan(spans[i]!, x, y);
      return false;
    });
    return winding;
  }

  private treeOfSpans(): Flatbush {
    const tree = new Flatbush(this.count);
    for (const ring of this.rings) {
      for (const span of ring) {
        const box = spanBox(span);
        tree.add(box.minX, box.minY, box.maxX, box.maxY);
        this.spans.push(span);
      }
    }
    tree.finish();
    return tree;
  }
}
