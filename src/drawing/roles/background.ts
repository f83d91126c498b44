/**
 * Rectangles as large as the page. Drawing programs put them behind a drawing; they are no edge of
 * a panel.
 */
import type { Path } from '../../geometry/curve.js';
import { type Box, distance } from '../../geometry/point.js';
import { boxOfPath, endsOfPath, segmentsNow, sizeOfPath } from '../../geometry/stored-path.js';
import type { Shape } from '../model/drawing.js';
import { pathCount, transientPaths } from '../model/shape-store.js';

/**
 * How far the edges of a background may lie from those of the page: mm, and as a share of its size,
 * for pages rounded in inches.
 */
const within = 0.1;
const share = 0.002;

/** Whether a shape is an upright rectangle of the size and in the place of the page. */
export const isBackground = (shape: Shape, page: Box | undefined): boolean => {
  if (page === undefined || pathCount(shape) !== 1) return false;
  const [path] = transientPaths(shape);
  if (path === undefined || !path.closed || sizeOfPath(path) !== 4) return false;
  const width = Math.max(within, share * (page.maxX - page.minX));
  const height = Math.max(within, share * (page.maxY - page.minY));
  // Of very many shapes most do not even begin in a corner of the page.
  const { x, y } = endsOfPath(path).from;
  if (Math.min(Math.abs(x - page.minX), Math.abs(x - page.maxX)) > width) return false;
  if (Math.min(Math.abs(y - page.minY), Math.abs(y - page.maxY)) > height) return false;
  const box = boxOfPath(path);
  const isPage =
    Math.abs(box.minX - page.minX) <= width &&
    Math.abs(box.maxX - page.maxX) <= width &&
    Math.abs(box.minY - page.minY) <= height &&
    Math.abs(box.maxY - page.maxY) <= height;
  return isPage && isUpright(path, box);
};

const isUpright = (path: Path, { minX, minY, maxX, maxY }: Box): boolean => {
  const corners = [minX, maxX].flatMap((x) => [minY, maxY].map((y) => ({ x, y })));
  const ends = segmentsNow(path).map((s) => (s.kind === 'line' ? s.from : undefined));
  return corners.every((corner) => ends.some((end) => end !== undefined && distance(end, corner) <= 1e-6));
};
