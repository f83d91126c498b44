/** How far what stays open is from closing. */
import Flatbush from 'flatbush';
import { endOf, startOf } from '../../geometry/curve.js';
import { distance, type Point } from '../../geometry/point.js';
import type { Shape } from '../drawing.js';
import { changedShape, isAllClosed } from '../shape-store.js';

/** Gaps up to here are told, mm: more is no slip of a drawing hand. */
const widestTold = 1;

/** The shapes, those with an open path that nearly closes with their gap: see `Shape.openGap`. */
export const nearestEnds = (
  shapes: readonly Shape[],
  kindOf: (shape: Shape) => string | undefined,
): readonly Shape[] => {
  const ends: { readonly at: Point; readonly shape: number; readonly kind: string }[] = [];
  shapes.forEach((shape, i) => {
    if (isAllClosed(shape)) return;
    const kind = kindOf(shape);
    if (kind === undefined) return;
    for (const path of shape.paths) {
      if (path.closed) continue;
      const { segments } = path;
      ends.push(
        { at: startOf(segments[0]!), shape: i, kind },
        { at: endOf(segments.at(-1)!), shape: i, kind },
      );
    }
  });
  if (ends.length === 0) return shapes;
  const index = new Flatbush(ends.length);
  for (const { at } of ends) index.add(at.x, at.y);
  index.finish();
  const nearest = ends.map(({ at, kind }, i) => {
    let best: { readonly gap: number; readonly at: Point } | undefined;
    for (const k of index.neighbors(at.x, at.y, 4, widestTold)) {
      const other = ends[k]!;
      if (k === i || other.kind !== kind) continue;
      const gap = distance(at, other.at);
      if (best === undefined || gap < best.gap) best = { gap, at };
    }
    return best;
  });
  const gaps = new Map<number, { readonly gap: number; readonly at: Point }>();
  for (let i = 0; i < ends.length; i += 2) {
    const [one, other] = [nearest[i], nearest[i + 1]];
    if (one === undefined || other === undefined) continue;
    const wider = one.gap >= other.gap ? one : other;
    const { shape } = ends[i]!;
    if (wider.gap > (gaps.get(shape)?.gap ?? 0)) gaps.set(shape, wider);
  }
  if (gaps.size === 0) return shapes;
  return shapes.map((shape, i) => {
    const openGap = gaps.get(i);
    return openGap === undefined ? shape : changedShape(shape, { openGap });
  });
};
