/** A box, as `--json` prints it. */
import type { Box } from '../../geometry/point.js';

export type BoxJson = [x0: number, y0: number, x1: number, y1: number];

export const boxJson = (box: Box): BoxJson => [box.minX, box.minY, box.maxX, box.maxY];
