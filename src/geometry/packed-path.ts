/** Long paths in a sixth of the room that their segments take as objects. */
import { type Path, pathBox, type Segment, segmentBox, type Widening, widen, widenByCubic } from './curve.js';
import type { Box, Point } from './point.js';

const kindOfLine = 0;
const kindOfCubic = 1;
const kindOfOther = 2;

/**
 * Segments end to end, as numbers. What comes out of `unpack` is what went in, to the last bit; each segment has to start
 * where the one before it was said to end.
 */
export class PackedSegments {
  private kinds = new Uint8Array(256);
  private numbers = new Float64Array(1024);
  private readonly others: Segment[] = [];
  private used = 0;
  count = 0;

  constructor(private readonly start: Point) {}

  line(to: Point): void {
    this.enter(kindOfLine, 2);
    this.point(to);
  }

  cubic(control1: Point, control2: Point, to: Point): void {
    this.enter(kindOfCubic, 6);
    this.point(control1);
    this.point(control2);
    this.point(to);
  }

  /** @param to where the next segment starts, which an arc ends at but for rounding */
  other(segment: Segment, to: Point): void {
    this.enter(kindOfOther, 2);
    this.others.push(segment);
    this.point(to);
  }

  /** Where the last segment starts. */
  get startOfLast(): Point {
    const before = this.used - (this.kinds[this.count - 1] === kindOfCubic ? 6 : 2);
    return before === 0 ? this.start : { x: this.numbers[before - 2]!, y: this.numbers[before - 1]! };
  }

  get lastIsLine(): boolean {
    return this.kinds[this.count - 1] === kindOfLine;
  }

  /** Moves the end of the last segment, a line or cubic. */
  endLastAt({ x, y }: Point): void {
    if (this.kinds[this.count - 1] === kindOfOther) return;
    this.numbers[this.used - 2] = x;
    this.numbers[this.used - 1] = y;
  }

  /** Takes away the last segment, a line. */
  dropLastLine(): void {
    this.count -= 1;
    this.used -= 2;
  }

  /** The path, in as much room as it needs; nothing can be added after that. */
  path(closed: boolean): Path {
    this.kinds = this.kinds.slice(0, this.count);
    this.numbers = this.numbers.slice(0, this.used);
    return new PackedPath(this, closed);
  }

  /** The segments as objects, made anew. */
  unpack(): Segment[] {
    const { kinds, numbers } = this;
    const segments = new Array<Segment>(this.count);
    let from = this.start;
    let at = 0;
    let others = 0;
    const next = (): Point => {
      at += 2;
      return { x: numbers[at - 2]!, y: numbers[at - 1]! };
    };
    for (let i = 0; i < segments.length; i += 1) {
      const kind = kinds[i];
      if (kind === kindOfCubic) {
        const control1 = next();
        const control2 = next();
        const to = next();
        segments[i] = { kind: 'cubic', from, control1, control2, to };
        from = to;
        continue;
      }
      const to = next();
      if (kind === kindOfLine) segments[i] = { kind: 'line', from, to };
      else {
        segments[i] = this.others[others]!;
        others += 1;
      }
      from = to;
    }
    return segments;
  }

  /** The exact box, without making the segments. */
  box(): Box {
    const { kinds, numbers, start } = this;
    const box: Widening = { minX: start.x, minY: start.y, maxX: start.x, maxY: start.y };
    let at = 0;
    for (let i = 0; i < this.count; i += 1) {
      at += kinds[i] === kindOfCubic ? 6 : 2;
      widen(box, numbers[at - 2]!, numbers[at - 1]!);
    }
    for (const segment of this.others) {
      const { minX, minY, maxX, maxY } = segmentBox(segment);
      widen(box, minX, minY);
      widen(box, maxX, maxY);
    }
    let [x, y] = [start.x, start.y];
    at = 0;
    for (let i = 0; i < this.count; i += 1) {
      if (kinds[i] === kindOfCubic) {
        const [x1, y1, x2, y2] = [numbers[at]!, numbers[at + 1]!, numbers[at + 2]!, numbers[at + 3]!];
        widenByCubic(box, x, y, x1, y1, x2, y2, numbers[at + 4]!, numbers[at + 5]!);
        at += 4;
      }
      x = numbers[at]!;
      y = numbers[at + 1]!;
      at += 2;
    }
    return box;
  }

  private enter(kind: number, numbers: number): void {
    if (this.count === this.kinds.length) {
      const kinds = new Uint8Array(2 * this.count);
      kinds.set(this.kinds);
      this.kinds = kinds;
    }
    if (this.used + numbers > this.numbers.length) {
      const more = new Float64Array(2 * this.numbers.length);
      more.set(this.numbers);
      this.numbers = more;
    }
    this.kinds[this.count] = kind;
    this.count += 1;
  }

  private point({ x, y }: Point): void {
    this.numbers[this.used] = x;
    this.numbers[this.used + 1] = y;
    this.used += 2;
  }
}

/** A path that makes its segments whenever they are asked for: ask once and keep them as long as they are needed. */
class PackedPath implements Path {
  constructor(
    readonly packed: PackedSegments,
    readonly closed: boolean,
  ) {}

  get segments(): readonly Segment[] {
    return this.packed.unpack();
  }
}

/** The exact box of a path, without making its segments where they are packed. */
export const boxOfPath = (path: Path): Box =>
  path instanceof PackedPath ? path.packed.box() : pathBox(path);
