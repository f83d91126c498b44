/** On which side of a span a point lies, and how far: the span taken on beyond its ends. */
import type { Span } from './span.js';

export interface SpanSide {
  /** Distance from the whole line or circle, mm; positive to the left of travel. */
  readonly left: number;
  /** Gradient of `left`: a unit vector. */
  readonly normalX: number;
  readonly normalY: number;
}

/** At the very centre of a circle the direction is arbitrary. */
export const sideOfSpan = (s: Span, x: number, y: number): SpanSide => {
  if (s.radius === 0) {
    const dx = s.bx - s.ax;
    const dy = s.by - s.ay;
    const size = Math.sqrt(dx * dx + dy * dy);
    const normalX = -dy / size;
    const normalY = dx / size;
    return { left: normalX * (x - s.ax) + normalY * (y - s.ay), normalX, normalY };
  }
  const wx = x - s.cx;
  const wy = y - s.cy;
  const size = Math.sqrt(wx * wx + wy * wy);
  const sign = s.sweep > 0 ? -1 : 1;
  return {
    left: sign * (size - s.radius),
    normalX: size === 0 ? sign : (sign * wx) / size,
    normalY: size === 0 ? 0 : (sign * wy) / size,
  };
};
