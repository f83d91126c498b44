/** Whether points lie inside a closed path, asked of many points. */
import { type Path, positionAt, type Segment, segmentBox, startOf } from './curve.js';
import type { Point } from './point.js';
import { chordCount } from './polygon-of-path.js';
import { segmentsNow } from './stored-path.js';

/** Below so many segments all are looked at for each point. */
const fewSegments = 24;

/**
 * By the even-odd rule: how often a ray to the right crosses the path. Curves are followed to `tolerance` (mm), and only where
 * the ray meets the box of one. A point on the path may fall either way.
 */
export class InsidePath {
  private readonly segments: readonly Segment[];
  /** Left, bottom, right and top of each segment. */
  private readonly boxes: Float64Array;
  /** Where each segment starts: what it ends at is where the next one does, so that the path has no gap. */
  private readonly xs: Float64Array;
  private readonly ys: Float64Array;
  /** Segments by the strips that they reach into, strip after strip; undefined for few of them. */
  private readonly strips: Strips | undefined;

  constructor(
    path: Path,
    private readonly tolerance: number,
  ) {
    this.segments = segmentsNow(path);
    const count = this.segments.length;
    this.boxes = new Float64Array(4 * count);
    this.xs = new Float64Array(count);
    this.ys = new Float64Array(count);
    for (let i = 0; i < count; i += 1) {
      const s = this.segments[i]!;
      const { x, y } = startOf(s);
      this.xs[i] = x;
      this.ys[i] = y;
    }
    for (let i = 0; i < count; i += 1) {
      const { minX, minY, maxX, maxY } = segmentBox(this.segments[i]!);
      const next = i + 1 < count ? i + 1 : 0;
      // Of the start of the next segment, which is the end of this one but for rounding.
      this.boxes[4 * i] = Math.min(minX, this.xs[next]!);
      this.boxes[4 * i + 1] = Math.min(minY, this.ys[next]!);
      this.boxes[4 * i + 2] = Math.max(maxX, this.xs[next]!);
      this.boxes[4 * i + 3] = Math.max(maxY, this.ys[next]!);
    }
    this.strips = count > fewSegments ? stripsOf(this.boxes) : undefined;
  }

  has({ x, y }: Point): boolean {
    let inside = false;
    const { strips } = this;
    if (strips === undefined) {
      for (let i = 0; i < this.segments.length; i += 1) if (this.crosses(i, x, y)) inside = !inside;
      return inside;
    }
    const strip = strips.of(y);
    if (strip < 0) return false;
    for (let k = strips.starts[strip]!; k < strips.starts[strip + 1]!; k += 1) {
      if (this.crosses(strips.segments[k]!, x, y)) inside = !inside;
    }
    return inside;
  }

  /** Whether a segment crosses the ray from a point to the right an odd number of times. */
  private crosses(i: number, x: number, y: number): boolean {
    const { boxes, xs, ys } = this;
    if (y < boxes[4 * i + 1]! || y > boxes[4 * i + 3]! || x > boxes[4 * i + 2]!) return false;
    const next = i + 1 < xs.length ? i + 1 : 0;
    if (x < boxes[4 * i]!) return ys[i]! > y !== ys[next]! > y;
    const s = this.segments[i]!;
    const chords = chordCount(s, this.tolerance);
    let odd = false;
    let ax = xs[i]!;
    let ay = ys[i]!;
    for (let k = 1; k <= chords; k += 1) {
      const b = k < chords ? positionAt(s, k / chords) : undefined;
      const bx = b?.x ?? xs[next]!;
      const by = b?.y ?? ys[next]!;
      if (ay > y !== by > y && x < ax + ((y - ay) / (by - ay)) * (bx - ax)) odd = !odd;
      ax = bx;
      ay = by;
    }
    return odd;
  }
}

interface Strips {
  /** The strip of a height; below 0 where there is none. */
  of(y: number): number;
  readonly starts: Int32Array;
  readonly segments: Int32Array;
}

/** As many strips of one height as there are segments. */
const stripsOf = (boxes: Float64Array): Strips => {
  const count = boxes.length / 4;
  let bottom = Number.POSITIVE_INFINITY;
  let top = Number.NEGATIVE_INFINITY;
  let heights = 0;
  for (let i = 0; i < count; i += 1) {
    bottom = Math.min(bottom, boxes[4 * i + 1]!);
    top = Math.max(top, boxes[4 * i + 3]!);
    heights += boxes[4 * i + 3]! - boxes[4 * i + 1]!;
  }
  // Not so low that most segments would reach into many of them.
  const height = Math.max((top - bottom) / count, heights / count / 2, Number.MIN_VALUE);
  const strips = Math.max(1, Math.min(count, Math.ceil((top - bottom) / height)));
  const of = (y: number): number =>
    y < bottom || y > top ? -1 : Math.min(strips - 1, Math.floor((y - bottom) / height));
  const starts = new Int32Array(strips + 1);
  for (let i = 0; i < count; i += 1) {
    for (let k = of(boxes[4 * i + 1]!); k <= of(boxes[4 * i + 3]!); k += 1) starts[k + 1]! += 1;
  }
  for (let k = 0; k < strips; k += 1) starts[k + 1]! += starts[k]!;
  const segments = new Int32Array(starts[strips]!);
  const next = starts.slice(0, strips);
  for (let i = 0; i < count; i += 1) {
    for (let k = of(boxes[4 * i + 1]!); k <= of(boxes[4 * i + 3]!); k += 1) {
      segments[next[k]!] = i;
      next[k]! += 1;
    }
  }
  return { of, starts, segments };
};
