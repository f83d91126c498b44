/**
 * What lies in what: the one answer, for touches, roles, cut, verdict, plan, lists and pictures alike.
 *
 * **A ring lies in another one only if all of it does.** It may touch the other one, at points or along a stretch, from
 * inside. Rings that cross lie in neither; rings that run along each other all the way lie in neither. This is told from
 * the whole length of both (ring-relation.ts), never from a few points, and not from the winding of a path. "Crossing"
 * begins where a ring leaves the other one by more than `touchingWithin`, 0.005 mm.
 *
 * **Levels.** The level of a ring is the number of rings that it lies in.
 *
 * **Sides.** Of the rings of one role those of even level enclose what is taken away (of an outline: what the part is). Those of odd
 * level are islands: what each encloses stays, out of the ring of even level round it with the smallest area. What is taken
 * away is the union of what the rings of even level enclose, each without its islands; the material is the rest, and its side of an
 * edge is the one that is not taken away. Where rings cross, therefore:
 *
 *     +-----------+            both openings, both of level 0. The edge of their union is the edge that exists. The
 *     |  a        |            dotted stretches, each within the other opening, are no edge: there is no material on
 *     |     +.....:-----+      either side of them. A ring within both has level 2 and is an opening in an opening,
 *     |     :     :     |      not an island. An island in one of them ends where the other one begins.
 *     +-----:.....+   b |
 *           +-----------+
 *
 * removed.ts has this as a question about a point, and the stretches of an edge that exist; cut/offset/existing.ts makes the same
 * regions for the cut. An edge pierced along the drawn line, uncompensated, lies half a kerf farther out on the side of the
 * material.
 *
 * API: `nestingOf` for rings of one role together; `relationOf` (ring-relation.ts) for two rings, also of different roles:
 * apart, inside, around, crossing or same, and whether they touch; `Removed` (removed.ts); `ringOfPath`, `ringOfSpans` and
 * `ringList` make what they take.
 *
 * An index finds the boxes round each ring, and each ring is compared with the smallest of them first: what lies round that
 * one lies round it too and is not asked. n log n, and one look for each pair of nested boxes.
 */
import Flatbush from 'flatbush';
import { boxHolders, boxReach, boxSize, holdsBox } from '../boxes/box-holders.js';
import type { Path } from '../curve.js';
import type { Box, Point } from '../point.js';
import { segmentToSpans } from '../spans/arc-spline.js';
import { lineSpan, type Ring, ringArea, type Span } from '../spans/span.js';
import { boxOfPath, endsOfPath, segmentsNow } from '../stored-path.js';
import { PreparedRing } from './prepared-ring.js';
import { type Comparable, relationOf, sidesOf } from './ring-relation.js';

/** Curves are followed by arcs within this, mm: well within what is told apart. */
const followed = 0.001;

/** A closed ring. An open line may lie in rings, and holds nothing. */
export interface NestRing extends Comparable {
  readonly open?: boolean;
}

/** Rings that are made when they are asked for: there may be a million of them. */
export interface RingList {
  readonly count: number;
  /** Left, bottom, right and top of each. */
  readonly boxes: Float64Array;
  readonly ringAt: (i: number) => NestRing;
}

class LazyRing implements NestRing {
  private known: PreparedRing | undefined;

  constructor(
    readonly box: Box,
    readonly start: Point,
    private readonly spans: () => Ring,
    readonly open = false,
  ) {}

  get prepared(): PreparedRing {
    this.known ??= new PreparedRing(this.spans());
    return this.known;
  }
}

/** @param spans made when they are asked for; end to end to the last bit unless the line is open */
export const ringOfSpans = (box: Box, start: Point, spans: () => Ring, open = false): NestRing =>
  new LazyRing(box, start, spans, open);

/**
 * @param tolerance curves are followed by arcs within this, mm
 * @param box of the path, for who has it
 */
export const ringOfPath = (path: Path, tolerance = followed, box = boxOfPath(path)): NestRing =>
  new LazyRing(box, endsOfPath(path).from, () => spansOfPath(path, tolerance), !path.closed);

const spansOfPath = (path: Path, tolerance: number): Span[] => {
  const spans: Span[] = [];
  for (const segment of segmentsNow(path)) {
    for (const span of segmentToSpans(segment, tolerance)) spans.push(span);
  }
  return endToEnd(spans, path.closed);
};

/** Spans that each begin where the one before ends, to the last bit: a ray slips through the smallest gap. */
export const endToEnd = (spans: readonly Span[], closed: boolean): Span[] => {
  const met: Span[] = [];
  let last: Span | undefined;
  for (const span of spans) {
    if (last === undefined || (last.bx === span.ax && last.by === span.ay)) last = span;
    else last = span.startingAt(last.bx, last.by);
    met.push(last);
  }
  const first = met[0];
  if (closed && first !== undefined && last !== undefined && (last.bx !== first.ax || last.by !== first.ay))
    met.push(lineSpan(last.bx, last.by, first.ax, first.ay));
  return met;
};

export const ringList = (rings: readonly NestRing[]): RingList => {
  const boxes = new Float64Array(4 * rings.length);
  for (const [i, { box }] of rings.entries()) boxes.set([box.minX, box.minY, box.maxX, box.maxY], 4 * i);
  return { count: rings.length, boxes, ringAt: (i) => rings[i]! };
};

/** Of so few rings all are looked through: to find out which boxes hold others would save nothing. */
const fewRings = 2000;
const none: readonly number[] = [];

export class Nesting {
  private readonly known: Int32Array;
  private readonly stamps: Int32Array;
  private stamp = 0;

  /** @param direct for each ring some of those round it: these, and what lies round these, are all */
  constructor(
    private readonly direct: readonly (readonly number[] | undefined)[],
    private readonly crossings: ReadonlyMap<number, readonly number[]>,
    private readonly boxes: Float64Array,
    private readonly areaOf: (ring: number) => number,
  ) {
    this.known = new Int32Array(direct.length).fill(-1);
    this.stamps = new Int32Array(direct.length);
  }

  /** How many rings it lies in: 0 for a ring in no other one, 1 for a hole in it, 2 for an island in the hole. */
  level(ring: number): number {
    const { known, direct } = this;
    // Up to the first one that is known, or that lies in rings that cross; rings may lie in one another thousands deep.
    const way: number[] = [];
    let at = ring;
    while (known[at]! < 0 && direct[at]?.length === 1) {
      way.push(at);
      at = direct[at]![0]!;
    }
    if (known[at]! < 0) {
      let count = 0;
      this.eachAround(at, () => {
        count += 1;
      });
      known[at] = count;
    }
    for (let k = way.length - 1; k >= 0; k -= 1) known[way[k]!] = known[at]! + way.length - k;
    return known[ring]!;
  }

  /** All rings round it, the smallest first. */
  around(ring: number): number[] {
    const found: number[] = [];
    this.eachAround(ring, (k) => found.push(k));
    const { boxes } = this;
    return found.sort((i, k) => boxSize(boxes, i) - boxSize(boxes, k) || i - k);
  }

  /** The ring that it is an island of: that of even level round it with the smallest area. Undefined for one of even level. */
  islandOf(ring: number): number | undefined {
    if (this.level(ring) % 2 === 0) return undefined;
    const own = this.direct[ring]!;
    if (own.length === 1) return own[0];
    const even = this.around(ring).filter((k) => this.level(k) % 2 === 0);
    // Rings that cross: which box is smaller depends on how they lie, which area is does not.
    const [first, ...others] = even;
    if (first === undefined || others.length === 0) return first;
    return others.reduce((least, k) => (this.areaOf(k) < this.areaOf(least) ? k : least), first);
  }

  /** Rings that it was found to cross among those whose box holds its own; not all that it crosses. */
  crossedAround(ring: number): readonly number[] {
    return this.crossings.get(ring) ?? none;
  }

  private eachAround(ring: number, visit: (k: number) => void): void {
    this.stamp += 1;
    const { direct, stamps, stamp } = this;
    const open = [...(direct[ring] ?? none)];
    while (open.length > 0) {
      const k = open.pop()!;
      if (stamps[k] === stamp) continue;
      stamps[k] = stamp;
      visit(k);
      for (const further of direct[k] ?? none) if (stamps[further] !== stamp) open.push(further);
    }
  }
}

/** How rings of one role lie in one another. */
export const nestingOf = (rings: RingList | readonly NestRing[]): Nesting => {
  const list = 'ringAt' in rings ? rings : ringList(rings);
  const { count, boxes } = list;
  const direct: (number[] | undefined)[] = new Array(count).fill(undefined);
  const crossings = new Map<number, number[]>();
  const areaOf = (i: number): number => Math.abs(ringArea(list.ringAt(i).prepared.spans));
  const nesting = new Nesting(direct, crossings, boxes, areaOf);
  const holders = count < 2 ? new Int32Array(0) : holdersAmong(list);
  if (holders.length === 0) return nesting;
  const index = new Flatbush(holders.length);
  for (const i of holders) {
    index.add(boxes[4 * i]!, boxes[4 * i + 1]!, boxes[4 * i + 2]!, boxes[4 * i + 3]!);
  }
  index.finish();
  const sizes = Float64Array.from({ length: count }, (_, i) => boxSize(boxes, i));
  const kept = new Map<number, NestRing>();
  const holderAt = (i: number): NestRing => {
    const known = kept.get(i) ?? list.ringAt(i);
    kept.set(i, known);
    return known;
  };
  /** Of the ring at work: what lies round one of those that were found round it. */
  const covered = new Int32Array(count).fill(-1);
  const cover = (first: number, ring: number): void => {
    const open = [first];
    while (open.length > 0) {
      const k = open.pop()!;
      if (covered[k] === ring) continue;
      covered[k] = ring;
      for (const further of direct[k] ?? none) open.push(further);
    }
  };
  /** Boxes alike hold one another; of two rings in them one at most lies in the other one. */
  const isAround = (i: number, k: number): boolean => nesting.around(k).includes(i);
  const order = Int32Array.from({ length: count }, (_, i) => i).sort(
    (a, b) => sizes[b]! - sizes[a]! || a - b,
  );
  for (const i of order) {
    const x = (boxes[4 * i]! + boxes[4 * i + 2]!) / 2;
    const y = (boxes[4 * i + 1]! + boxes[4 * i + 3]!) / 2;
    const wider: number[] = [];
    index.search(x - boxReach, y - boxReach, x + boxReach, y + boxReach, (at) => {
      const k = holders[at]!;
      if (holdsBox(boxes, k, i)) wider.push(k);
      return false;
    });
    if (wider.length === 0) continue;
    if (wider.length > 1) wider.sort((a, b) => sizes[a]! - sizes[b]! || a - b);
    const ring = kept.get(i) ?? list.ringAt(i);
    for (const k of wider) {
      if (covered[k] === i) continue;
      const outer = holderAt(k);
      if (outer.open === true) continue;
      const { inside, outside } = sidesOf(ring, outer.prepared);
      if (inside && outside) noteIn(crossings, i, k);
      if (!inside || outside || (holdsBox(boxes, i, k) && isAround(i, k))) continue;
      direct[i] = [...(direct[i] ?? none), k];
      cover(k, i);
    }
  }
  return nesting;
};

const noteIn = (lists: Map<number, number[]>, i: number, k: number): void => {
  const list = lists.get(i);
  if (list === undefined) lists.set(i, [k]);
  else list.push(k);
};

const holdersAmong = ({ count, boxes }: RingList): Int32Array =>
  count <= fewRings ? Int32Array.from({ length: count }, (_, i) => i) : boxHolders(boxes, count);

/** Whether all of a ring lies in another one; it may touch it. */
export const liesIn = (inner: NestRing, outer: NestRing): boolean =>
  relationOf(inner, outer).kind === 'inside';
