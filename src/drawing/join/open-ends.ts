/** How far what stays open is from closing. */
import Flatbush from 'flatbush';
import { endOf, startOf } from '../../geometry/curve.js';
import { segmentsNow } from '../../geometry/curve-store.js';
import { distance, type Point } from '../../geometry/point.js';
import type { Shape } from '../drawing.js';
import { changedShape, glimpse, isAllClosed } from '../shape-store.js';

/** Gaps up to here are told, mm: more is no slip of a drawing hand. */
const widestTold = 1;

/** The shapes, those with an open path that nearly closes with their gap: see `Shape.openGap`. */
export const nearestEnds = (
  shapes: readonly Shape[],
  kindOf: (shape: Shape) => string | undefined,
): readonly Shape[] => {
  // Two ends of each open path, one after the other: where they lie, of which shape, of which kind.
  const xs: number[] = [];
  const ys: number[] = [];
  const owners: number[] = [];
  const kinds: string[] = [];
  const add = ({ x, y }: Point, shape: number, kind: string): void => {
    xs.push(x);
    ys.push(y);
    owners.push(shape);
    kinds.push(kind);
  };
  shapes.forEach((shape, i) => {
    if (isAllClosed(shape)) return;
    const kind = kindOf(shape);
    if (kind === undefined) return;
    for (const path of glimpse(shape)) {
      if (path.closed) continue;
      const segments = segmentsNow(path);
      add(startOf(segments[0]!), i, kind);
      add(endOf(segments.at(-1)!), i, kind);
    }
  });
  if (xs.length === 0) return shapes;
  const index = new Flatbush(xs.length);
  for (let i = 0; i < xs.length; i += 1) index.add(xs[i]!, ys[i]!);
  index.finish();
  /** To the nearest other end of its kind; undefined where none of the nearest ends is one. */
  const gapAt = (i: number): number | undefined => {
    const [x, y] = [xs[i]!, ys[i]!];
    let best: number | undefined;
    for (const k of index.neighbors(x, y, 4, widestTold)) {
      if (k === i || kinds[k] !== kinds[i]) continue;
      const gap = distance({ x, y }, { x: xs[k]!, y: ys[k]! });
      if (best === undefined || gap < best) best = gap;
    }
    return best;
  };
  const gaps = new Map<number, { readonly gap: number; readonly at: Point }>();
  for (let i = 0; i < xs.length; i += 2) {
    const one = gapAt(i);
    const other = one === undefined ? undefined : gapAt(i + 1);
    if (one === undefined || other === undefined) continue;
    const [gap, end] = one >= other ? [one, i] : [other, i + 1];
    const shape = owners[i]!;
    if (gap > (gaps.get(shape)?.gap ?? 0)) gaps.set(shape, { gap, at: { x: xs[end]!, y: ys[end]! } });
  }
  if (gaps.size === 0) return shapes;
  return shapes.map((shape, i) => {
    const openGap = gaps.get(i);
    return openGap === undefined ? shape : changedShape(shape, { openGap });
  });
};
