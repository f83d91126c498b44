/** How closely the points of an edge have to lie where a panel may be bowed. */
import type { Matrix } from '../../geometry/affine.js';
import type { Box } from '../../geometry/point.js';

/** A parabola between points a tenth of its half span apart is missed by at most a quarter of a hundredth of the bow. */
const partsOfHalf = 10;

/** How far apart the points of an edge may lie where the panel may be bowed, mm; undefined without a panel. */
export const betweenPoints = ({ minX, minY, maxX, maxY }: Box, [a, b, c, d]: Matrix): number | undefined => {
  const across = [(maxX - minX) * Math.hypot(a, b), (maxY - minY) * Math.hypot(c, d)];
  const half = Math.max(...across) / 2;
  return half > 0 ? half / partsOfHalf : undefined;
};
