/** The nearest of many spans. */
import Flatbush from 'flatbush';
import { distanceToSpan, type Span, spanBox } from './span.js';

/** Fewer than this are asked one by one. */
const fewSpans = 12;

export class SpanIndex {
  readonly spans: readonly Span[];
  private readonly tree: Flatbush | undefined;

  /** At least one span. */
  constructor(spans: readonly Span[]) {
    if (spans.length === 0) throw new RangeError('an index of no spans');
    this.spans = spans;
    if (spans.length < fewSpans) return;
    this.tree = new Flatbush(spans.length);
    for (const s of spans) {
      const box = spanBox(s);
      this.tree.add(box.minX, box.minY, box.maxX, box.maxY);
    }
    this.tree.finish();
  }

  /** Its number; of several at the same distance the first. */
  nearest(x: number, y: number): number {
    if (this.tree === undefined) return this.nearestOf(this.spans.keys(), x, y);
    const [first] = this.tree.neighbors(x, y, 1);
    // A hair more than the distance of one of them, so that this one is found again.
    const reach = distanceToSpan(this.spans[first!]!, x, y) * (1 + 1e-12) + 1e-12;
    const near = this.tree.search(x - reach, y - reach, x + reach, y + reach);
    near.sort((i, j) => i - j);
    return this.nearestOf(near, x, y);
  }

  distance(x: number, y: number): number {
    return distanceToSpan(this.spans[this.nearest(x, y)]!, x, y);
  }

  private nearestOf(numbers: Iterable<number>, x: number, y: number): number {
    let best = 0;
    let least = Number.POSITIVE_INFINITY;
    for (const i of numbers) {
      const away = distanceToSpan(this.spans[i]!, x, y);
      if (away < least) {
        least = away;
        best = i;
      }
    }
    return best;
  }
}
