/** Elliptical arcs as SVG writes them (by their ends) brought to centre form. */
import type { Arc, EllipticalArc } from '../../geometry/curve.js';

/**
 * The arc from (x1, y1) to (x2, y2) on an ellipse of radii rx, ry whose first axis is turned by
 * `degrees`. W3C SVG 2, appendix B.2.4 (centre from ends) and B.2.5 (radii out of range): equal
 * ends give nothing (undefined), a zero radius gives a line, negative radii count positive, radii
 * too small to reach scale up together.
 *
 * A nearly straight arc, whose larger radius is over 1e9 times its chord, is a line as well: it
 * departs from its chord by less than 2e-10 of the chord's length.
 */
export const arcFromEnds = (
  x1: number,
  y1: number,
  rx: number,
  ry: number,
  degrees: number,
  large: boolean,
  positive: boolean,
  x2: number,
  y2: number,
): Arc | EllipticalArc | 'line' | undefined => {
  if (x1 === x2 && y1 === y2) return undefined;
  let radiusX = Math.abs(rx);
  let radiusY = Math.abs(ry);
  if (radiusX === 0 || radiusY === 0) return 'line';
  const circle = radiusX === radiusY;
  const turn = circle ? 0 : ((degrees % 360) * Math.PI) / 180;
  const cos = Math.cos(turn);
  const sin = Math.sin(turn);
  const dx = (x1 - x2) / 2;
  const dy = (y1 - y2) / 2;
  // Half the chord in the ellipse's own axes, in radii (B.2.4, step 1).
  let px = (cos * dx + sin * dy) / radiusX;
  let py = (cos * dy - sin * dx) / radiusY;
  const reach = px * px + py * py;
  let off = 1 - reach;
  if (Math.min(radiusX, radiusY) > 1e9 * Math.hypot(2 * dx, 2 * dy) && !large) return 'line';
  // Below the rounding of the coordinates themselves the chord is a diameter: an offset there would
  // be noise.
  const rounding =
    (8 * Number.EPSILON * (Math.abs(x1) + Math.abs(y1) + Math.abs(x2) + Math.abs(y2))) /
    Math.min(radiusX, radiusY);
  if (off < rounding) {
    if (off < 0) {
      const factor = Math.sqrt(reach);
      radiusX *= factor;
      radiusY *= factor;
      px /= factor;
      py /= factor;
    }
    off = 0;
  }
  // The centre in radii, seen from the middle of the chord (B.2.4, step 2).
  const along = (large === positive ? -1 : 1) * Math.sqrt(off / (off === 0 ? 1 : reach));
  const cx = along * py;
  const cy = -along * px;
  const start = Math.atan2(py - cy, px - cx);
  let sweep = Math.atan2(-py - cy, -px - cx) - start;
  if (positive && sweep < 0) sweep += 2 * Math.PI;
  else if (!positive && sweep > 0) sweep -= 2 * Math.PI;
  const centre = {
    x: cos * cx * radiusX - sin * cy * radiusY + (x1 + x2) / 2,
    y: sin * cx * radiusX + cos * cy * radiusY + (y1 + y2) / 2,
  };
  if (circle) return { kind: 'arc', centre, radius: radiusX, start, sweep };
  return {
    kind: 'elliptical-arc',
    centre,
    u: { x: radiusX * cos, y: radiusX * sin },
    v: { x: -radiusY * sin, y: radiusY * cos },
    start,
    sweep,
  };
};
