/** Arcs given by their ends and a bulge. */
import type { Arc, Line } from '../../geometry/curve.js';
import type { Point } from '../../geometry/point.js';

/** Below it an arc departs from its chord by less than 1.3e-10 of the chord's length: it is a line. */
const straightBulge = 2.5e-10;

/**
 * The edge from one point to another with a bulge: the tangent of a quarter of the arc's angle, negative for a clockwise
 * arc (Autodesk's DXF reference, group 42). The points must differ.
 */
export const bulgedEdge = (from: Point, to: Point, bulge: number): Arc | Line => {
  if (Math.abs(bulge) < straightBulge) return { kind: 'line', from, to };
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  // With b the tangent of a quarter of the angle, the centre lies (1/b - b)/4 chords to the left of the chord's middle.
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
