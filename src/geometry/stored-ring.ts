/**
 * A ring between two steps of the cut, packed into numbers. Thousands of openings have hundreds of thousands of spans;
 * kept as objects they would be moved about by the garbage collector longer than they are worked on.
 */
import type { Box } from './point.js';
import { type Ring, ringArea, ringBox, ringLength, type Span } from './span.js';

const fields = 9;

export class StoredRing {
  readonly box: Box;
  /** mm^2, positive when it runs counter-clockwise. */
  readonly area: number;
  private readonly data: Float64Array;

  constructor(ring: Ring) {
    this.box = ringBox(ring);
    this.area = ringArea(ring);
    const d = new Float64Array(ring.length * fields);
    let i = 0;
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
  }

  /** mm */
  length(): number {
    return ringLength(this.spans());
  }

  /** The ring as spans, made anew at each call. */
  spans(): Ring {
    const d = this.data;
    const ring: Span[] = [];
    for (let i = 0; i < d.length; i += fields) ring.push(this.spanAt(i));
    return ring;
  }

  /** The first span, for a point of the ring. */
  first(): Span {
    return this.spanAt(0);
  }

  private spanAt(i: number): Span {
    const d = this.data;
    return {
      ax: d[i]!,
      ay: d[i + 1]!,
      bx: d[i + 2]!,
      by: d[i + 3]!,
      radius: d[i + 4]!,
      cx: d[i + 5]!,
      cy: d[i + 6]!,
      sweep: d[i + 7]!,
      drawn: d[i + 8] === 1,
    };
  }
}
