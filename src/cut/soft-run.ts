/**
 * A run of short arcs and facets that stands for a smooth drawn curve, and the longest single arcs over parts of it.
 *
 * Bound: the distance between a part and its arc is largest at ends of spans or, within a span, on the line of centres.
 * Spans so short that they cannot rise a hundredth of the tolerance above their ends are judged by their ends.
 */
import { arcSpanOfHeight, directionInWedge, type Span, spanLength, spanPoint } from '../geometry/span.js';

/** An arc fitted back turns by no more than this (radians), so that its ends fix it well. */
export const largestTurn = 2.2;

export interface Arcs {
  readonly arcs: readonly Span[];
  /** Length of the run each arc covers, mm. */
  readonly sizes: readonly number[];
}

export class SoftRun {
  private spans: readonly Span[] = [];
  private count = 0;
  /** Ends of the spans: x[i], y[i] is where span i starts. */
  private x = new Float64Array(0);
  private y = this.x;
  /** Length and turn up to the start of span i. */
  private travelled = this.x;
  private turned = this.x;
  private curvature = this.x;
  /** Deviations found by the last `measure`, positive to the right of the chord. */
  private low = 0;
  private high = 0;
  /** Half the spread of the deviations in the last `arcOver`; large when no arc was tried. */
  private error = 0;

  /** Takes up another run in place of the last; the room is used again. */
  load(spans: readonly Span[]): void {
    const n = spans.length;
    this.spans = spans;
    this.count = n;
    if (this.x.length < n + 1) {
      const room = 2 * n + 2;
      this.x = new Float64Array(room);
      this.y = new Float64Array(room);
      this.travelled = new Float64Array(room);
      this.turned = new Float64Array(room);
      this.curvature = new Float64Array(room);
    }
    this.travelled[0] = 0;
    this.turned[0] = 0;
    for (let i = 0; i < n; i++) {
      const s = spans[i]!;
      this.x[i] = s.ax;
      this.y[i] = s.ay;
      this.travelled[i + 1] = this.travelled[i]! + spanLength(s);
      this.turned[i + 1] = this.turned[i]! + s.sweep;
      this.curvature[i] = s.radius === 0 ? 0 : (s.sweep > 0 ? 1 : -1) / s.radius;
    }
    this.x[n] = spans[n - 1]!.bx;
    this.y[n] = spans[n - 1]!.by;
  }

  /** As few arcs as go, each as long as the tolerance lets it be; undefined when more than `atMost` are needed. */
  longestArcs(tolerance: number, atMost: number): Arcs | undefined {
    const arcs: Span[] = [];
    const sizes: number[] = [];
    let guess = 4;
    for (let i = 0; i < this.count; ) {
      if (arcs.length === atMost) return undefined;
      const most = this.count - i;
      let good = 1;
      let bad = most + 1;
      let best: Span = this.spans[i]!;
      let size = Math.min(guess, most);
      while (bad - good > 1) {
        const fit = this.arcOver(i, i + size, tolerance);
        // An error that is no number (a span of no length) must not end the search.
        const ratio = this.error >= 0 ? Math.cbrt(tolerance / Math.max(this.error, 1e-12)) : 0.5;
        if (fit !== undefined) {
          good = size;
          best = fit;
          size = Math.floor(good * Math.min(3, ratio * 0.99));
        } else {
          bad = size;
          size = Math.floor(bad * Math.min(0.95, ratio));
        }
        size = Math.min(bad - 1, Math.max(good + 1, size));
      }
      arcs.push(best);
      sizes.push(this.travelled[i + good]! - this.travelled[i]!);
      i += good;
      guess = Math.max(2, good);
    }
    return { arcs, sizes };
  }

  /** The arc (or line) over spans from..to-1 with equal deviations on both sides; undefined when too far off. */
  private arcOver(from: number, to: number, tolerance: number): Span | undefined {
    const ax = this.x[from]!;
    const ay = this.y[from]!;
    const bx = this.x[to]!;
    const by = this.y[to]!;
    const chord = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
    const total = this.travelled[to]! - this.travelled[from]!;
    this.error = 1e3 * tolerance;
    if (chord < 1e-6 || total > 2 * chord) return undefined;
    if (Math.abs(this.turned[to]! - this.turned[from]!) > largestTurn) return undefined;
    const ux = (bx - ax) / chord;
    const uy = (by - ay) / chord;
    const middle = this.halfway(from, to);
    let height = (middle.x - ax) * uy - (middle.y - ay) * ux;
    for (let pass = 0; pass < 3; pass++) {
      const arc = arcSpanOfHeight(ax, ay, bx, by, height);
      if (Math.abs(arc.sweep) > largestTurn) return undefined;
      const within = this.measure(arc, from, to, tolerance);
      this.error = (this.high - this.low) / 2;
      if (!within) return undefined;
      if (pass > 0 && this.high <= tolerance && -this.low <= tolerance) return arc;
      height += (this.high + this.low) / 2;
    }
    return undefined;
  }

  /** The point half the way along spans from..to-1. */
  private halfway(from: number, to: number): { x: number; y: number } {
    const target = (this.travelled[from]! + this.travelled[to]!) / 2;
    let low = from;
    let high = to;
    while (high - low > 1) {
      const k = (low + high) >> 1;
      if (this.travelled[k]! <= target) low = k;
      else high = k;
    }
    return spanPoint(
      this.spans[low]!,
      (target - this.travelled[low]!) / (this.travelled[low + 1]! - this.travelled[low]!),
    );
  }

  /** Deviations of spans from..to-1; false as soon as no height of the arc could bring them within the tolerance. */
  private measure(arc: Span, from: number, to: number, tolerance: number): boolean {
    const side = new Side(arc);
    const curvature = side.isLine ? 0 : side.sign / side.radius;
    const spread = 2.2 * tolerance;
    const negligible = 0.01 * tolerance;
    const { x, y, travelled } = this;
    let low = 0;
    let high = 0;
    for (let k = from; k < to; k++) {
      if (k > from) {
        const off = side.of(x[k]!, y[k]!);
        if (off < low) low = off;
        if (off > high) high = off;
      }
      const size = travelled[k + 1]! - travelled[k]!;
      if ((Math.abs(this.curvature[k]! - curvature) * size * size) / 8 > negligible) {
        const off = side.inside(this.spans[k]!);
        if (off < low) low = off;
        if (off > high) high = off;
      }
      if (high - low > spread) break;
    }
    this.low = low;
    this.high = high;
    return high - low <= spread;
  }
}

/** Signed distance of points from the carrier of an arc or line, positive to its right. */
class Side {
  readonly isLine: boolean;
  readonly sign: number;
  readonly radius: number;
  private readonly x: number;
  private readonly y: number;
  private readonly chordX: number;
  private readonly chordY: number;
  private readonly chord: number;

  constructor(arc: Span) {
    this.isLine = arc.radius === 0;
    this.sign = arc.sweep > 0 ? 1 : -1;
    this.radius = arc.radius;
    this.x = this.isLine ? arc.ax : arc.cx;
    this.y = this.isLine ? arc.ay : arc.cy;
    this.chordX = arc.bx - arc.ax;
    this.chordY = arc.by - arc.ay;
    this.chord = Math.sqrt(this.chordX * this.chordX + this.chordY * this.chordY);
  }

  of(x: number, y: number): number {
    const dx = x - this.x;
    const dy = y - this.y;
    return this.isLine
      ? (dx * this.chordY - dy * this.chordX) / this.chord
      : this.sign * (Math.sqrt(dx * dx + dy * dy) - this.radius);
  }

  /** That of the point within a span where it may be largest; 0 where there is none. */
  inside(s: Span): number {
    if (s.radius !== 0) {
      // On the line of centres, or square to the chord where the arc is a line.
      let ux = this.isLine ? this.chordY : s.cx - this.x;
      let uy = this.isLine ? -this.chordX : s.cy - this.y;
      const size = Math.sqrt(ux * ux + uy * uy);
      if (size < 1e-12) return 0;
      ux *= s.radius / size;
      uy *= s.radius / size;
      if (directionInWedge(s, ux, uy)) return this.of(s.cx + ux, s.cy + uy);
      return directionInWedge(s, -ux, -uy) ? this.of(s.cx - ux, s.cy - uy) : 0;
    }
    if (this.isLine) return 0;
    const dx = s.bx - s.ax;
    const dy = s.by - s.ay;
    const t = ((this.x - s.ax) * dx + (this.y - s.ay) * dy) / (dx * dx + dy * dy);
    return t > 0 && t < 1 ? this.of(s.ax + t * dx, s.ay + t * dy) : 0;
  }
}
