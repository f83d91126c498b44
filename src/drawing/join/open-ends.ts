/** How far what stays open is from closing. */

import Flatbush from 'flatbush';
import { distance, type Point } from '../../geometry/point.js';
import { endsOfPath } from '../../geometry/stored-path.js';
import type { Shape } from '../model/drawing.js';
import { changedShape, closedCount, isAllClosed, pathCount, transientPaths } from '../model/shape-store.js';
import type { JoinOptions } from './join-findings.js';
import { EndGrid, fewEnds } from './plain/end-grid.js';

/** Gaps up to here are told, mm: more is no slip of a drawing hand. */
const widestReported = 1;

/** The shapes, those with an open path that nearly closes with their gap: see `Shape.openGap`. */
export const nearestEnds = (shapes: readonly Shape[], kindOf: JoinOptions['kindOf']): readonly Shape[] => {
  let open = 0;
  for (const shape of shapes) open += pathCount(shape) - closedCount(shape);
  if (open === 0) return shapes;
  // Two ends of each open path, one after the other: where they lie, of which shape, of which kind.
  const xs = new Float64Array(2 * open);
  const ys = new Float64Array(2 * open);
  const owners = new Int32Array(2 * open);
  const kinds = new Int32Array(2 * open);
  const numbers = new Map<string | number, number>();
  let count = 0;
  const add = ({ x, y }: Point, shape: number, kind: number): void => {
    xs[count] = x;
    ys[count] = y;
    owners[count] = shape;
    kinds[count] = kind;
    count += 1;
  };
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    if (isAllClosed(shape)) continue;
    const kind = kindOf(shape);
    if (kind === undefined) continue;
    const number = numbers.get(kind) ?? numbers.size;
    numbers.set(kind, number);
    for (const path of transientPaths(shape)) {
      if (path.closed) continue;
      const { from, to } = endsOfPath(path);
      add(from, i, number);
      add(to, i, number);
    }
  }
  if (count === 0) return shapes;
  const isNear = nearOthers(xs.subarray(0, count), ys.subarray(0, count));
  const near: number[] = [];
  for (let i = 0; i < count; i += 1) if (isNear(i)) near.push(i);
  if (near.length === 0) return shapes;
  const index = new Flatbush(near.length);
  for (const i of near) index.add(xs[i]!, ys[i]!);
  index.finish();
  /** To the nearest other end of its kind; undefined where none of the nearest ends is one. */
  const gapAt = (i: number): number | undefined => {
    if (!isNear(i)) return undefined;
    const [x, y] = [xs[i]!, ys[i]!];
    let best: number | undefined;
    for (const place of index.neighbors(x, y, 4, widestReported)) {
      const k = near[place]!;
      if (k === i || kinds[k] !== kinds[i]) continue;
      const gap = distance({ x, y }, { x: xs[k]!, y: ys[k]! });
      if (best === undefined || gap < best) best = gap;
    }
    return best;
  };
  const gaps = new Map<number, { readonly gap: number; readonly at: Point }>();
  for (let i = 0; i < count; i += 2) {
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

/** A cell in which any two ends are nearer to each other than what is told. */
const cell = 0.7 * widestReported;

/** Which ends may have another one within what is told; of few ends all may. */
const nearOthers = (xs: Float64Array, ys: Float64Array): ((end: number) => boolean) => {
  const all = () => true;
  if (xs.length < fewEnds) return all;
  const grid = new EndGrid(xs, ys, cell);
  const near = new Uint8Array(xs.length);
  for (let i = 0; i < xs.length; i += 1) {
    if (near[i] === 1) continue;
    const [x, y] = [xs[i]!, ys[i]!];
    grid.within(x - widestReported, y - widestReported, x + widestReported, y + widestReported, (k) => {
      if (k === i) return false;
      near[i] = 1;
      near[k] = 1;
      return true;
    });
    if (!grid.helps) return all;
  }
  return (end) => near[end] === 1;
};
