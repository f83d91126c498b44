/**
 * A run of short arcs and facets that stands for a smooth drawn curve, and the longest single arcs over parts of it.
 *
 * Bound: the distance between a part and its arc is largest at ends of spans or, within a span, on the line of centres.
 * Spans so short that they cannot rise a hundredth of the tolerance above their ends are judged by their ends.
 */
import {
  arcSpanOfHeight,
  directionInWedge,
  leastHeight,
  type Span,
  spanLength,
  spanPoint,
} from '../../geometry/spans/span.js';

/** An arc fitted back turns by no more than this (radians), so that its ends fix it well. */
export const largestTurn = 2.2;

/** Height over chord of an arc that turns by that much. */
const steepest = Math.tan(largestTurn / 4) / 2;

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
    let height = this.heightHalfway(from, to, chord);
    for (let pass = 0; pass < 3; pass++) {
      if (Math.abs(height) > steepest * chord) return undefined;
      const within = this.measure(from, to, chord, height, tolerance);
      this.error = (this.high - this.low) / 2;
      if (!within) return undefined;
      if (pass > 0 && this.high <= tolerance && -this.low <= tolerance) {
        return arcSpanOfHeight(ax, ay, bx, by, height);
      }
      height += (this.high + this.low) / 2;
    }
    return undefined;
  }

  /** How far to the right of its chord a part lies half-way along it, mm. */
  private heightHalfway(from: number, to: number, chord: number): number {
    const { x, y, travelled } = this;
    const target = (travelled[from]! + travelled[to]!) / 2;
    let low = from;
    let high = to;
    while (high - low > 1) {
      const k = (low + high) >> 1;
      if (travelled[k]! <= target) low = k;
      else high = k;
    }
    const part = (target - travelled[low]!) / (travelled[low + 1]! - travelled[low]!);
    const middle = spanPoint(this.spans[low]!, part);
    const right = (middle.x - x[from]!) * (y[to]! - y[from]!) - (middle.y - y[from]!) * (x[to]! - x[from]!);
    return right / chord;
  }

  /**
   * Deviations of spans from..to-1 from the arc over them that rises by `height`; false as soon as no height could bring
   * them within the tolerance. The innermost loop of the cut: nothing is made in it.
   */
  private measure(from: number, to: number, chord: number, height: number, tolerance: number): boolean {
    const { x, y, travelled } = this;
    const ax = x[from]!;
    const ay = y[from]!;
    const dx = x[to]! - ax;
    const dy = y[to]! - ay;
    const isLine = Math.abs(height) < leastHeight;
    // Negative for an arc that runs clockwise.
    const radius = isLine ? 0 : height / 2 + (chord * chord) / (8 * height);
    // The centre, or a point of the line.
    const cx = isLine ? ax : ax + dx / 2 - (dy / chord) * (radius - height);
    const cy = isLine ? ay : ay + dy / 2 + (dx / chord) * (radius - height);
    const curvature = isLine ? 0 : 1 / radius;
    const spread = 2.2 * tolerance;
    const negligible = 0.01 * tolerance;
    let low = 0;
    let high = 0;
    for (let k = from; k < to && high - low <= spread; k++) {
      if (k > from) {
        const px = x[k]! - cx;
        const py = y[k]! - cy;
        const off = isLine ? (px * dy - py * dx) / chord : beyond(px, py, radius);
        if (off < low) low = off;
        if (off > high) high = off;
      }
      const size = travelled[k + 1]! - travelled[k]!;
      if ((Math.abs(this.curvature[k]! - curvature) * size * size) / 8 <= negligible) continue;
      const s = this.spans[k]!;
      const off = isLine ? insideLine(s, ax, ay, dx / chord, dy / chord) : insideArc(s, cx, cy, radius);
      if (off < low) low = off;
      if (off > high) high = off;
    }
    this.low = low;
    this.high = high;
    return high - low <= spread;
  }
}

/** Signed distance from a circle of a point seen from its centre, positive to the right of its course. */
const beyond = (px: number, py: number, radius: number): number =>
  radius > 0 ? Math.sqrt(px * px + py * py) - radius : -radius - Math.sqrt(px * px + py * py);

/** That of the point within a span where it may be largest: on the line of centres; 0 where there is none. */
const insideArc = (s: Span, cx: number, cy: number, radius: number): number => {
  if (s.radius !== 0) {
    const px = s.cx - cx;
    const py = s.cy - cy;
    const size = Math.sqrt(px * px + py * py);
    if (size < 1e-12) return 0;
    const ux = (px * s.radius) / size;
    const uy = (py * s.radius) / size;
    if (directionInWedge(s, ux, uy)) return beyond(px + ux, py + uy, radius);
    return directionInWedge(s, -ux, -uy) ? beyond(px - ux, py - uy, radius) : 0;
  }
  const dx = s.bx - s.ax;
  const dy = s.by - s.ay;
  const t = ((cx - s.ax) * dx + (cy - s.ay) * dy) / (dx * dx + dy * dy);
  return t > 0 && t < 1 ? beyond(s.ax + t * dx - cx, s.ay + t * dy - cy, radius) : 0;
};

/** The same from a line through a along u: where the span runs beside it. */
const insideLine = (s: Span, ax: number, ay: number, ux: number, uy: number): number => {
  if (s.radius === 0) return 0;
  const rx = uy * s.radius;
  const ry = -ux * s.radius;
  const side = directionInWedge(s, rx, ry) ? 1 : directionInWedge(s, -rx, -ry) ? -1 : 0;
  return side === 0 ? 0 : (s.cx + side * rx - ax) * uy - (s.cy + side * ry - ay) * ux;
};
