/** A ring of which much is asked: on which side of it points lie, and what of it comes near a place. */
import Flatbush from 'flatbush';
import type { Box, Point } from '../point.js';
import { boxesMeet } from '../point.js';
import { distanceToSpan, type Ring, type Span, spanBox, windingNumber } from '../spans/span.js';

/** Up to so many spans are all looked at. */
const fewSpans = 16;

export class PreparedRing {
  private readonly boxes: readonly Box[];
  private readonly tree: Flatbush | undefined;

  /** @param spans end to end, to the last bit where the ring is closed */
  constructor(readonly spans: Ring) {
    this.boxes = spans.map(spanBox);
    if (spans.length <= fewSpans) return;
    this.tree = new Flatbush(spans.length);
    for (const { minX, minY, maxX, maxY } of this.boxes) this.tree.add(minX, minY, maxX, maxY);
    this.tree.finish();
  }

  /** Whether the ring winds about a point. A point on the ring may fall either way. */
  holds({ x, y }: Point): boolean {
    const { tree, spans } = this;
    if (tree === undefined) return windingNumber([spans], x, y) !== 0;
    // What lies left of the point, above or below it does not count: see windingNumber.
    const met: Span[] = [];
    tree.search(x, y, Number.POSITIVE_INFINITY, y, (i) => {
      met.push(spans[i]!);
      return false;
    });
    return windingNumber([met], x, y) !== 0;
  }

  /** The numbers of the spans whose boxes meet a box, in order. */
  near(box: Box): number[] {
    const { boxes, tree } = this;
    if (tree !== undefined) return tree.search(box.minX, box.minY, box.maxX, box.maxY).sort((a, b) => a - b);
    const met: number[] = [];
    for (let i = 0; i < boxes.length; i += 1) if (boxesMeet(boxes[i]!, box)) met.push(i);
    return met;
  }

  boxOf(span: number): Box {
    return this.boxes[span]!;
  }

  /** Whether a point lies no farther than `reach` (mm) from the ring. */
  isNear({ x, y }: Point, reach: number): boolean {
    const box = { minX: x - reach, minY: y - reach, maxX: x + reach, maxY: y + reach };
    return this.near(box).some((i) => distanceToSpan(this.spans[i]!, x, y) <= reach);
  }
}
