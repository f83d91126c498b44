/** Many paths in a fraction of the room that their segments take as objects. */

import { NumberList } from '../numeric/number-list.js';
import {
  type Arc,
  type Cubic,
  type EllipticalArc,
  endOf,
  type Line,
  type Path,
  pathBox,
  type Segment,
  segmentBox,
  startOf,
  type Widening,
  widen,
  widenByCubic,
} from './curve.js';
import { type Box, emptyBox, type Point } from './point.js';

const kindOfLine = 0;
const kindOfCubic = 1;
/** Followed by the point at which the next segment starts. */
const kindOfArc = 2;
const kindOfEllipticalArc = 3;
/** The only segment of its path: no start, and no point after it. */
const kindOfSingleArc = 4;
const kindOfSingleEllipse = 5;

/** How many numbers a segment of each kind takes. */
const sizes = [2, 6, 7, 10, 5, 8];

const isRound = (kind: number): boolean => kind === kindOfArc || kind === kindOfSingleArc;

const smallest = 256;

/**
 * Paths as numbers, one after another. What comes out is what went in, to the last bit; each segment has to start where
 * the one before it was said to end. A path is begun, gets its segments, and is kept or dropped before the next one begins.
 */
export class CurveStore {
  private readonly numbers = new NumberList();
  private kinds = new Uint8Array(smallest);
  /** Of each path: where its numbers begin; where its kinds begin, doubled, and 1 more for a closed one. */
  private numbersFrom: Uint32Array;
  private kindsFrom: Uint32Array;
  /** Paths whose lines and cubics do not meet to the last bit, by number: they are kept as they are. */
  private readonly apart = new Map<number, readonly Segment[]>();
  /** Paths that are kept. */
  count = 0;
  private segments = 0;
  private firstNumber = 0;
  private firstSegment = 0;

  /** @param expected about how many paths will come, where that is known: columns that grow are copied */
  constructor(expected = 0) {
    const size = Math.max(smallest, expected);
    this.numbersFrom = new Uint32Array(size);
    this.kindsFrom = new Uint32Array(size);
  }

  /** Segments of the path at hand. */
  get drawn(): number {
    return this.segments - this.firstSegment;
  }

  begin(x: number, y: number): void {
    this.drop();
    this.put(x, y);
  }

  line(x: number, y: number): void {
    this.enter(kindOfLine);
    this.put(x, y);
  }

  cubic(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void {
    this.enter(kindOfCubic);
    this.put(x1, y1);
    this.put(x2, y2);
    this.put(x, y);
  }

  /** An arc by its numbers, and where the next segment starts, which the arc ends at but for rounding. */
  arc(
    centreX: number,
    centreY: number,
    radius: number,
    start: number,
    sweep: number,
    x: number,
    y: number,
  ): void {
    this.enter(kindOfArc);
    this.put(centreX, centreY);
    this.numbers.push(radius);
    this.put(start, sweep);
    this.put(x, y);
  }

  /** Any segment, and where the next one starts, which an arc ends at but for rounding. */
  add(s: Segment, x: number, y: number): void {
    if (s.kind === 'line') this.line(x, y);
    else if (s.kind === 'cubic') this.cubic(s.control1.x, s.control1.y, s.control2.x, s.control2.y, x, y);
    else {
      this.enter(s.kind === 'arc' ? kindOfArc : kindOfEllipticalArc);
      this.putArc(s);
      this.put(x, y);
    }
  }

  /** A path of one segment that is no line or cubic, a whole circle for one; it is kept. */
  single(s: Arc | EllipticalArc, closed: boolean): void {
    this.drop();
    this.enter(s.kind === 'arc' ? kindOfSingleArc : kindOfSingleEllipse);
    this.putArc(s);
    this.keep(closed);
  }

  /** An arc that is all of its path, by its numbers; it is kept. */
  singleArc(x: number, y: number, radius: number, start: number, sweep: number, closed: boolean): void {
    this.drop();
    this.enter(kindOfSingleArc);
    this.put(x, y);
    this.numbers.push(radius);
    this.put(start, sweep);
    this.keep(closed);
  }

  /** Keeps a path that is at hand as segments. */
  keepPath({ segments, closed }: Path): void {
    const [first] = segments;
    if (segments.length === 1 && (first!.kind === 'arc' || first!.kind === 'elliptical-arc')) {
      this.single(first as Arc | EllipticalArc, closed);
      return;
    }
    let { x, y } = startOf(first!);
    this.begin(x, y);
    let meet = true;
    for (let i = 0; i < segments.length; i += 1) {
      const s = segments[i]!;
      const next = segments[i + 1];
      if ('from' in s) meet &&= s.from.x === x && s.from.y === y;
      // A line behind an arc starts at a point of its own, which is the end of the arc but for rounding.
      ({ x, y } = 'to' in s ? s.to : next !== undefined && 'from' in next ? next.from : endOf(s));
      this.add(s, x, y);
    }
    if (!meet) this.apart.set(this.count, segments);
    this.keep(closed);
  }

  /** Whether the last segment of the path at hand is a line. */
  get lastIsLine(): boolean {
    return this.kinds[this.segments - 1] === kindOfLine;
  }

  /** Whether the last segment of the path at hand, a line or cubic, starts at a point. */
  lastStartsAt(x: number, y: number): boolean {
    const before = this.numbers.length - sizes[this.kinds[this.segments - 1]!]!;
    return this.at(before - 2) === x && this.at(before - 1) === y;
  }

  /** Moves the end of the last segment of the path at hand; arcs stay as they are. */
  endLastAt(x: number, y: number): void {
    if (this.kinds[this.segments - 1]! > kindOfCubic) return;
    this.numbers.length -= 2;
    this.put(x, y);
  }

  /** Takes away the last segment of the path at hand, a line. */
  dropLastLine(): void {
    this.segments -= 1;
    this.numbers.length -= 2;
  }

  /** Ends the path at hand, whose number is `count - 1` from now on. */
  keep(closed: boolean): void {
    const n = this.count;
    if (n === this.kindsFrom.length) {
      this.numbersFrom = doubled(this.numbersFrom);
      this.kindsFrom = doubled(this.kindsFrom);
    }
    this.numbersFrom[n] = this.firstNumber;
    this.kindsFrom[n] = 2 * this.firstSegment + (closed ? 1 : 0);
    this.count = n + 1;
    this.firstNumber = this.numbers.length;
    this.firstSegment = this.segments;
  }

  /** Forgets the path at hand. */
  drop(): void {
    this.numbers.length = this.firstNumber;
    this.segments = this.firstSegment;
  }

  isClosed(path: number): boolean {
    return (this.kindsFrom[path]! & 1) === 1;
  }

  /** How many segments a path has. */
  sizeOf(path: number): number {
    return this.endOfKinds(path) - (this.kindsFrom[path]! >>> 1);
  }

  /** The segments of a path as objects, made anew. */
  segmentsOf(path: number): readonly Segment[] {
    const apart = this.apart.size === 0 ? undefined : this.apart.get(path);
    if (apart !== undefined) return apart;
    const { kinds } = this;
    const first = this.kindsFrom[path]! >>> 1;
    const count = this.endOfKinds(path) - first;
    const segments = new Array<Segment>(count);
    let at = this.numbersFrom[path]!;
    const single = kinds[first]!;
    if (single >= kindOfSingleArc) {
      segments[0] = this.arcAt(single === kindOfSingleArc, at);
      return segments;
    }
    let from = this.pointAt(at);
    at += 2;
    for (let i = 0; i < count; i += 1) {
      const kind = kinds[first + i]!;
      const next = at + sizes[kind]!;
      const to = this.pointAt(next - 2);
      if (kind === kindOfLine) segments[i] = new StoredLine(from, to);
      else if (kind === kindOfCubic) {
        segments[i] = new StoredCubic(from, this.pointAt(at), this.pointAt(at + 2), to);
      } else segments[i] = this.arcAt(kind === kindOfArc, at);
      from = to;
      at = next;
    }
    return segments;
  }

  /** Where a path starts, as its first segment has it. */
  startOf(path: number): Point {
    const kind = this.kinds[this.kindsFrom[path]! >>> 1]!;
    const from = this.numbersFrom[path]!;
    if (kind <= kindOfCubic) return this.pointAt(from);
    return startOf(this.arcAt(isRound(kind), kind >= kindOfSingleArc ? from : from + 2));
  }

  /** Where a path ends, as its last segment has it. */
  endOf(path: number): Point {
    const kind = this.kinds[this.endOfKinds(path) - 1]!;
    const end = path + 1 < this.count ? this.numbersFrom[path + 1]! : this.firstNumber;
    if (kind <= kindOfCubic) return this.pointAt(end - 2);
    return endOf(this.arcAt(isRound(kind), end - sizes[kind]!));
  }

  /** The exact box of a path, without making its lines and cubics. */
  boxOf(path: number): Box {
    if (this.apart.has(path)) return pathBox({ segments: this.segmentsOf(path), closed: true });
    const { kinds } = this;
    const first = this.kindsFrom[path]! >>> 1;
    const end = this.endOfKinds(path);
    const from = this.numbersFrom[path]!;
    const single = kinds[first]!;
    if (single >= kindOfSingleArc) return segmentBox(this.arcAt(single === kindOfSingleArc, from));
    const box: Widening = { ...emptyBox };
    let cubics = false;
    let at = from + 2;
    for (let i = first; i < end; i += 1) {
      const kind = kinds[i]!;
      const next = at + sizes[kind]!;
      if (kind <= kindOfCubic) {
        widen(box, this.at(at - 2), this.at(at - 1));
        widen(box, this.at(next - 2), this.at(next - 1));
        cubics ||= kind === kindOfCubic;
      } else {
        const { minX, minY, maxX, maxY } = segmentBox(this.arcAt(kind === kindOfArc, at));
        widen(box, minX, minY);
        widen(box, maxX, maxY);
      }
      at = next;
    }
    if (!cubics) return box;
    at = from + 2;
    for (let i = first; i < end; i += 1) {
      const kind = kinds[i]!;
      if (kind === kindOfCubic) {
        widenByCubic(
          box,
          this.at(at - 2),
          this.at(at - 1),
          this.at(at),
          this.at(at + 1),
          this.at(at + 2),
          this.at(at + 3),
          this.at(at + 4),
          this.at(at + 5),
        );
      }
      at += sizes[kind]!;
    }
    return box;
  }

  /** What `signedArea` says of a path of lines, to the last bit, without making them; undefined for other paths. */
  signedAreaOfLines(path: number): number | undefined {
    if (this.apart.size > 0 && this.apart.has(path)) return undefined;
    const { kinds } = this;
    const end = this.endOfKinds(path);
    for (let i = this.kindsFrom[path]! >>> 1; i < end; i += 1) if (kinds[i] !== kindOfLine) return undefined;
    let at = this.numbersFrom[path]!;
    const originX = this.at(at);
    const originY = this.at(at + 1);
    let twice = 0;
    let fromX = 0;
    let fromY = 0;
    for (let i = this.sizeOf(path); i > 0; i -= 1) {
      at += 2;
      const toX = this.at(at) - originX;
      const toY = this.at(at + 1) - originY;
      twice += fromX * toY - fromY * toX;
      fromX = toX;
      fromY = toY;
    }
    return twice / 2;
  }

  /** The box of all paths. */
  boxOfAll(): Box {
    const { kinds } = this;
    const box: Widening = { ...emptyBox };
    for (let path = 0; path < this.count; path += 1) {
      const from = this.numbersFrom[path]!;
      if (kinds[this.kindsFrom[path]! >>> 1] === kindOfSingleArc) {
        // Most circles lie well within the box of those before them; their own boxes are rounded.
        const x = this.at(from);
        const y = this.at(from + 1);
        const reach = this.at(from + 2) * (1 + 1e-9) + 1e-9 * (Math.abs(x) + Math.abs(y));
        const isWithin =
          x - reach >= box.minX && x + reach <= box.maxX && y - reach >= box.minY && y + reach <= box.maxY;
        if (isWithin) continue;
      }
      const { minX, minY, maxX, maxY } = this.boxOf(path);
      widen(box, minX, minY);
      widen(box, maxX, maxY);
    }
    return box;
  }

  private endOfKinds(path: number): number {
    return path + 1 < this.count ? this.kindsFrom[path + 1]! >>> 1 : this.firstSegment;
  }

  private at(i: number): number {
    return this.numbers.at(i);
  }

  private pointAt(i: number): Point {
    return new StoredPoint(this.at(i), this.at(i + 1));
  }

  private arcAt(round: boolean, i: number): Segment {
    const centre = this.pointAt(i);
    if (round) {
      return {
        kind: 'arc',
        centre,
        radius: this.at(i + 2),
        start: this.at(i + 3),
        sweep: this.at(i + 4),
      };
    }
    return {
      kind: 'elliptical-arc',
      centre,
      u: this.pointAt(i + 2),
      v: this.pointAt(i + 4),
      start: this.at(i + 6),
      sweep: this.at(i + 7),
    };
  }

  private enter(kind: number): void {
    if (this.segments === this.kinds.length) {
      const kinds = new Uint8Array(2 * this.segments);
      kinds.set(this.kinds);
      this.kinds = kinds;
    }
    this.kinds[this.segments] = kind;
    this.segments += 1;
  }

  private putArc(s: Arc | EllipticalArc): void {
    this.put(s.centre.x, s.centre.y);
    if (s.kind === 'elliptical-arc') {
      this.put(s.u.x, s.u.y);
      this.put(s.v.x, s.v.y);
    } else this.numbers.push(s.radius);
    this.put(s.start, s.sweep);
  }

  private put(x: number, y: number): void {
    this.numbers.push(x);
    this.numbers.push(y);
  }
}

const doubled = (numbers: Uint32Array) => {
  const more = new Uint32Array(2 * numbers.length);
  more.set(numbers);
  return more;
};

/**
 * Points and segments that come out of a store are made by constructors: V8 takes literals that are made by the hundred thousand for objects
 * that last, and then keeps what they refer to as well.
 */
class StoredPoint implements Point {
  constructor(
    readonly x: number,
    readonly y: number,
  ) {}
}

class StoredLine implements Line {
  readonly kind = 'line';

  constructor(
    readonly from: Point,
    readonly to: Point,
  ) {}
}

class StoredCubic implements Cubic {
  readonly kind = 'cubic';

  constructor(
    readonly from: Point,
    readonly control1: Point,
    readonly control2: Point,
    readonly to: Point,
  ) {}
}
