/**
 * A ring between two steps of the cut, packed into numbers. Thousands of openings have hundreds of thousands of spans;
 * kept as objects they would be moved about by the garbage collector longer than they are worked on.
 */
import type { Box } from './point.js';
import { type Ring, ringArea, ringBox, ringLength, Span } from './span.js';

const fields = 9;
/** Numbers in a block; rings share blocks, since each array of its own would cost the collector a look. */
const blockSize = 1 << 16;

let block = new Float64Array(0);
let taken = 0;

const takeRoom = (size: number): { data: Float64Array; start: number } => {
  if (taken + size > block.length) {
    block = new Float64Array(Math.max(blockSize, size));
    taken = 0;
  }
  const start = taken;
  taken += size;
  return { data: block, start };
};

export class StoredRing {
  readonly box: Box;
  /** mm^2, positive when it runs counter-clockwise. */
  readonly area: number;
  private readonly data: Float64Array;
  private readonly start: number;
  private readonly end: number;

  constructor(ring: Ring) {
    this.box = ringBox(ring);
    this.area = ringArea(ring);
    const { data: d, start } = takeRoom(ring.length * fields);
    let i = start;
    for (const s of ring) {
      d[i++] = s.ax;
      d[i++] = s.ay;
      d[i++] = s.bx;
      d[i++] = s.by;
      d[i++] = s.radius;
      d[i++] = s.cx;
      d[i++] = s.cy;
      d[i++] = s.sweep;
      d[i++] = s.drawn ? 1 : 0;
    }
    this.data = d;
    this.start = start;
    this.end = i;
  }

  /** mm */
  length(): number {
    return ringLength(this.spans());
  }

  /** The ring as spans, made anew at each call. */
  spans(): Ring {
    const ring: Span[] = [];
    for (let i = this.start; i < this.end; i += fields) ring.push(this.spanAt(i));
    return ring;
  }

  /** The first span, for a point of the ring. */
  first(): Span {
    return this.spanAt(this.start);
  }

  private spanAt(i: number): Span {
    const d = this.data;
    return new Span(
      d[i]!,
      d[i + 1]!,
      d[i + 2]!,
      d[i + 3]!,
      d[i + 4]!,
      d[i + 5]!,
      d[i + 6]!,
      d[i + 7]!,
      d[i + 8] === 1,
    );
  }
}
