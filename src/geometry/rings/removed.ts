/** What rings of one role enclose together, where they cross too; see nesting.ts for the rule. */
import Flatbush from 'flatbush';
import type { Point } from '../point.js';
import { middleDirection, type Ring, type Span } from '../spans/span.js';
import { cutAtMeetings, standIn } from './arrangement.js';
import { type Nesting, type NestRing, nestingOf } from './nesting.js';

/** A stretch of an edge that exists. */
export interface ExistingStretch {
  readonly spans: Ring;
  /** Where what is not enclosed lies, as seen along the spans: 1 to the left, -1 to the right. */
  readonly outside: 1 | -1;
}

/** So far to either side of an edge it is asked what lies there, mm. */
const besides = 1e-4;

export class Removed {
  private readonly nesting: Nesting;
  private readonly index: Flatbush | undefined;

  constructor(private readonly rings: readonly NestRing[]) {
    this.nesting = nestingOf(rings);
    if (rings.length === 0) return;
    this.index = new Flatbush(rings.length);
    for (const { box } of rings) this.index.add(box.minX, box.minY, box.maxX, box.maxY);
    this.index.finish();
  }

  /** Whether a point is enclosed: in a ring of even level, and in no island of that ring. */
  has(p: Point): boolean {
    const { nesting, rings } = this;
    const round = (this.index?.search(p.x, p.y, p.x, p.y) ?? []).filter(
      (i) => rings[i]!.open !== true && rings[i]!.prepared.holds(p),
    );
    const left = new Set(round.map((i) => nesting.islandOf(i)));
    return round.some((i) => nesting.level(i) % 2 === 0 && !left.has(i));
  }

  /** What of a ring is an edge of what is enclosed; nothing of one that lies within other rings of even level. */
  stretchesOf(ring: number): ExistingStretch[] {
    const own = this.rings[ring]!;
    const { minX, minY, maxX, maxY } = own.box;
    const met = this.index!.search(minX, minY, maxX, maxY, (i) => i !== ring && this.rings[i]!.open !== true);
    const chains = [own, ...met.sort((a, b) => a - b).map((i) => this.rings[i]!)].map(
      ({ prepared }, tag) => ({
        spans: prepared.spans,
        closed: true,
        tag,
      }),
    );
    return cutAtMeetings(chains).flatMap(({ spans, tag }): ExistingStretch[] => {
      if (tag !== 0) return [];
      const outside = this.outsideAt(spans);
      return outside === undefined ? [] : [{ spans, outside }];
    });
  }

  private outsideAt(spans: readonly Span[]): 1 | -1 | undefined {
    const { point, span } = standIn(spans);
    const { x, y } = middleDirection(span);
    const left = this.has({ x: point.x - besides * y, y: point.y + besides * x });
    const right = this.has({ x: point.x + besides * y, y: point.y - besides * x });
    if (left === right) return undefined;
    return left ? -1 : 1;
  }
}
