/** How two rings lie to each other, told from their whole length and not from a few points of it. */
import { type Box, boxDiagonal, boxesMeet, growBox, type Point } from '../point.js';
import { type Span, spanPoint } from '../spans/span.js';
import { meetings } from '../spans/span-intersection.js';
import type { PreparedRing } from './prepared-ring.js';

/**
 * What leaves a ring by no more than this, mm, touches it and does not cross it: as much as a cut may lie off its exact
 * place by default (`cut.tolerance`). Of a small ring a hundredth of its size.
 */
export const touchingWithin = 0.005;
const shareOfSize = 0.01;

/** `inside`: the first lies in the second whole; it may touch it. `same`: they run along each other all the way. */
export type RelationKind = 'apart' | 'inside' | 'around' | 'crossing' | 'same';

export interface Relation {
  readonly kind: RelationKind;
  /** They meet, at a point or along a stretch; true for rings that cross. */
  readonly touching: boolean;
}

/** A ring, or an open line, to be compared with others. */
export interface Comparable {
  readonly box: Box;
  /** A point of it. */
  readonly start: Point;
  readonly prepared: PreparedRing;
}

/** Where a line runs as seen from a ring: on either side of it by more than it may touch it, or on it. */
export interface Sides {
  readonly inside: boolean;
  readonly outside: boolean;
  readonly touching: boolean;
}

export const relationOf = (one: Comparable, other: Comparable): Relation => {
  if (!boxesMeet(growBox(one.box, touchingWithin), other.box)) return { kind: 'apart', touching: false };
  const of = sidesOf(one, other.prepared);
  if (of.inside && of.outside) return { kind: 'crossing', touching: true };
  if (of.inside) return { kind: 'inside', touching: of.touching };
  const back = sidesOf(other, one.prepared);
  if (back.inside && back.outside) return { kind: 'crossing', touching: true };
  const touching = of.touching || back.touching;
  if (back.inside) return { kind: 'around', touching };
  return { kind: of.outside || back.outside ? 'apart' : 'same', touching };
};

/** On which sides of a ring the whole of a line runs. */
export const sidesOf = (line: Pick<Comparable, 'box' | 'start' | 'prepared'>, ring: PreparedRing): Sides => {
  const reach = Math.min(touchingWithin, shareOfSize * boxDiagonal(line.box));
  const near = ring.near(growBox(line.box, reach));
  if (near.length === 0) {
    const inside = ring.holds(line.start);
    return { inside, outside: !inside, touching: false };
  }
  return new Walk(ring, near, reach).along(line.prepared);
};

class Walk implements Sides {
  inside = false;
  outside = false;
  touching = false;

  constructor(
    private readonly ring: PreparedRing,
    private readonly near: readonly number[],
    private readonly reach: number,
  ) {}

  /** Both sides are enough to know. */
  private get isDone(): boolean {
    return this.inside && this.outside;
  }

  along(line: PreparedRing): Sides {
    const { spans } = line;
    const { near, ring, reach } = this;
    const few = near.length <= 8;
    /** Of a run of spans that come near nothing the first one says where all of them are. */
    let isInRun = false;
    for (let k = 0; k < spans.length && !this.isDone; k += 1) {
      const span = spans[k]!;
      const box = growBox(line.boxOf(k), reach);
      const met = few ? near.filter((i) => boxesMeet(ring.boxOf(i), box)) : ring.near(box);
      if (met.length > 0) this.alongSpan(span, met);
      else if (!isInRun) this.note(spanPoint(span, 0.5), false);
      isInRun = met.length === 0;
    }
    return { inside: this.inside, outside: this.outside, touching: this.touching };
  }

  private alongSpan(span: Span, met: readonly number[]): void {
    const cuts = [0, 1];
    let startsOnRing = false;
    for (const i of met) {
      for (const { s } of meetings(span, this.ring.spans[i]!)) {
        this.touching = true;
        if (s > 0 && s < 1) cuts.push(s);
        if (s === 0) startsOnRing = true;
      }
    }
    if (cuts.length > 2) cuts.sort((a, b) => a - b);
    // A tip lies farthest off at its very corner.
    if (!startsOnRing) this.note({ x: span.ax, y: span.ay }, true);
    for (let c = 1; c < cuts.length; c += 1) {
      const [from, to] = [cuts[c - 1]!, cuts[c]!];
      if (to > from) this.note(spanPoint(span, (from + to) / 2), true);
    }
  }

  /** @param mayTouch whether the ring comes near enough */
  private note(p: Point, mayTouch: boolean): void {
    if (mayTouch && this.ring.isNear(p, this.reach)) this.touching = true;
    else if (this.ring.holds(p)) this.inside = true;
    else this.outside = true;
  }
}
