/**
 * Open paths that are seen as closed ones: a browser fills a subpath as if a straight line closed
 * it (SVG 2, section 13.4.1).
 */
import { endOf, type Path, type Segment, startOf } from '../../geometry/curve.js';
import { cross, subtract } from '../../geometry/point.js';
import { segmentsNow } from '../../geometry/stored-path.js';
import type { Shape } from '../model/drawing.js';
import { changedShape, isAllClosed } from '../model/shape-store.js';
import { sameLine } from './doubtful/same-curve.js';

/**
 * The shapes, with the open paths of those that are filled in this way closed by a straight line.
 */
export const closedWhereFilled = (
  shapes: readonly Shape[],
  fillings: ReadonlySet<Shape['filled']>,
): readonly Shape[] => {
  let result: Shape[] | undefined;
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    if (!fillings.has(shape.filled) || isAllClosed(shape)) continue;
    const paths = shape.paths.map(closed);
    if (paths.every((path, k) => path === shape.paths[k])) continue;
    result ??= [...shapes];
    result[i] = changedShape(shape, { paths });
  }
  return result ?? shapes;
};

const closed = (path: Path): Path => {
  if (path.closed) return path;
  const segments = segmentsNow(path);
  if (!hasWidth(segments)) return path;
  const from = endOf(segments[segments.length - 1]!);
  const to = startOf(segments[0]!);
  return { segments: [...segments, { kind: 'line', from, to }], closed: true };
};

/** Lines along each other fill nothing. */
const hasWidth = (segments: readonly Segment[]): boolean => {
  if (segments.some(({ kind }) => kind !== 'line')) return true;
  const start = startOf(segments[0]!);
  let far = start;
  let widest = 0;
  for (const s of segments) {
    const { x, y } = subtract(endOf(s), start);
    if (Math.hypot(x, y) <= widest) continue;
    widest = Math.hypot(x, y);
    far = endOf(s);
  }
  const along = subtract(far, start);
  return segments.some((s) => Math.abs(cross(along, subtract(endOf(s), start))) > sameLine * widest);
};
