/** Arcs given by their ends and a bulge. */
import type { Arc, Cubic, Line } from '../../../geometry/curve.js';
import type { Point } from '../../../geometry/point.js';

/**
 * Below it an arc departs from its chord by less than 1.3e-10 of the chord's length: it is a line.
 */
export const straightBulge = 2.5e-10;

/**
 * Below it the centre lies so far away, more than 250,000 chords, that rounding there moves the
 * arc: more than 1e-7 mm for a chord of a metre. A cubic stays by its ends, and is the arc to 1e-12
 * of its height.
 */
export const flatBulge = 1e-6;

/**
 * The edge from one point to another with a bulge: the tangent of a quarter of the arc's angle,
 * negative for a clockwise arc (the published DXF reference, group 42). The points must differ.
 */
export const bulgedEdge = (from: Point, to: Point, bulge: number): Arc | Cubic | Line => {
  if (Math.abs(bulge) < straightBulge) return { kind: 'line', from, to };
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  if (Math.abs(bulge) < flatBulge)
    return flatArc(from, to, { x: (2 / 3) * bulge * dy, y: -(2 / 3) * bulge * dx });
  // With b the tangent of a quarter of the angle, the centre lies (1/b - b)/4 chords to the left of
  // the chord's middle.
  const aside = (1 / bulge - bulge) / 4;
  const toCentreX = dx / 2 - aside * dy;
  const toCentreY = dy / 2 + aside * dx;
  return {
    kind: 'arc',
    centre: { x: from.x + toCentreX, y: from.y + toCentreY },
    radius: (Math.hypot(dx, dy) * (1 / Math.abs(bulge) + Math.abs(bulge))) / 4,
    start: Math.atan2(-toCentreY, -toCentreX),
    sweep: 4 * Math.atan(bulge),
  };
};

/** A cubic whose middle lies three quarters of `aside` beside that of its chord. */
const flatArc = (from: Point, to: Point, aside: Point): Cubic => {
  const thirdX = (to.x - from.x) / 3;
  const thirdY = (to.y - from.y) / 3;
  return {
    kind: 'cubic',
    from,
    control1: { x: from.x + thirdX + aside.x, y: from.y + thirdY + aside.y },
    control2: { x: to.x - thirdX + aside.x, y: to.y - thirdY + aside.y },
    to,
  };
};
