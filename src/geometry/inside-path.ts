/** Whether points lie inside a closed path, asked of many points. */
import { type Path, positionAt, type Segment, segmentBox, startOf } from './curve.js';
import type { Point } from './point.js';
import { chordCount } from './polygon-of-path.js';
import { segmentsNow } from './stored-path.js';

/** Numbers kept of a segment. */
const fields = 6;
/** Below so many segments all are looked at for each point. */
const fewSegments = 24;

/**
 * By the even-odd rule: how often a ray to the right crosses the path. Curves are followed to `tolerance` (mm), and only where
 * the ray meets the box of one. A point on the path may fall either way.
 */
export class InsidePath {
  private readonly segments: readonly Segment[];
  /**
   * Of each segment left, bottom, right and top, and where it starts: what it ends at is where the next one does, so that
   * the path has no gap.
   */
  private readonly reaches: Float64Array;
  /** Segments by the strips that they reach into, strip after strip; undefined for few of them. */
  private readonly strips: Strips | undefined;

  constructor(
    path: Path,
    private readonly tolerance: number,
  ) {
    this.segments = segmentsNow(path);
    const count = this.segments.length;
    const reaches = new Float64Array(fields * count);
    for (let i = 0; i < count; i += 1) {
      const { x, y } = startOf(this.segments[i]!);
      reaches[fields * i + 4] = x;
      reaches[fields * i + 5] = y;
    }
    for (let i = 0; i < count; i += 1) {
      const { minX, minY, maxX, maxY } = segmentBox(this.segments[i]!);
      // Of the start of the next segment, which is the end of this one but for rounding.
      const next = fields * (i + 1 < count ? i + 1 : 0);
      const x = reaches[next + 4]!;
      const y = reaches[next + 5]!;
      reaches[fields * i] = Math.min(minX, x);
      reaches[fields * i + 1] = Math.min(minY, y);
      reaches[fields * i + 2] = Math.max(maxX, x);
      reaches[fields * i + 3] = Math.max(maxY, y);
    }
    this.reaches = reaches;
    this.strips = count > fewSegments ? stripsOf(reaches) : undefined;
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
    const { reaches } = this;
    const at = fields * i;
    if (y < reaches[at + 1]! || y > reaches[at + 3]! || x > reaches[at + 2]!) return false;
    const next = at + fields < reaches.length ? at + fields : 0;
    let ax = reaches[at + 4]!;
    let ay = reaches[at + 5]!;
    const endX = reaches[next + 4]!;
    const endY = reaches[next + 5]!;
    if (x < reaches[at]!) return ay > y !== endY > y;
    const s = this.segments[i]!;
    const chords = chordCount(s, this.tolerance);
    let odd = false;
    for (let k = 1; k <= chords; k += 1) {
      const b = k < chords ? positionAt(s, k / chords) : undefined;
      const bx = b?.x ?? endX;
      const by = b?.y ?? endY;
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
const stripsOf = (reaches: Float64Array): Strips => {
  const count = reaches.length / fields;
  let bottom = Number.POSITIVE_INFINITY;
  let top = Number.NEGATIVE_INFINITY;
  let heights = 0;
  for (let i = 0; i < count; i += 1) {
    bottom = Math.min(bottom, reaches[fields * i + 1]!);
    top = Math.max(top, reaches[fields * i + 3]!);
    heights += reaches[fields * i + 3]! - reaches[fields * i + 1]!;
  }
  // Not so low that most segments would reach into many of them.
  const height = Math.max((top - bottom) / count, heights / count / 2, Number.MIN_VALUE);
  const strips = Math.max(1, Math.min(count, Math.ceil((top - bottom) / height)));
  const of = (y: number): number =>
    y < bottom || y > top ? -1 : Math.min(strips - 1, Math.floor((y - bottom) / height));
  const starts = new Int32Array(strips + 1);
  for (let i = 0; i < count; i += 1) {
    for (let k = of(reaches[fields * i + 1]!); k <= of(reaches[fields * i + 3]!); k += 1) starts[k + 1]! += 1;
  }
  for (let k = 0; k < strips; k += 1) starts[k + 1]! += starts[k]!;
  const segments = new Int32Array(starts[strips]!);
  const next = starts.slice(0, strips);
  for (let i = 0; i < count; i += 1) {
    for (let k = of(reaches[fields * i + 1]!); k <= of(reaches[fields * i + 3]!); k += 1) {
      segments[next[k]!] = i;
      next[k]! += 1;
    }
  }
  return { of, starts, segments };
};
