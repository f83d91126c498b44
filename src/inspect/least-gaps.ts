/** Where each opening has the least gap, and the widest, by what the cut was out by: over every place that can be the nearest. */
import type { Point } from '../geometry/point.js';
import { type Edge, roomAt } from '../verdict/edges/edge.js';
import { type CutError, gapRow, halfWidth, varianceOf } from './cut-error.js';

export interface LeastGap {
  readonly opening: string;
  /** mm; below 0 the new edge lies across the existing one. */
  readonly gap: number;
  /** Half the width of its 95 % limits, mm; undefined where none are claimed. */
  readonly limit?: number;
  /** Of the existing edge, true bed mm. */
  readonly at: Point;
  /** Of a scan: the least gap that was seen, mean of a stretch, true bed mm. */
  readonly seen?: { readonly gap: number; readonly at: Point };
  /** The widest gap beside a side, and its place; undefined for an opening of corners alone. */
  readonly widest?: number;
  readonly widestAt?: Point;
}

/** One for each opening that has an edge. */
export const leastGaps = (edges: readonly Edge[], clearance: number, error: CutError): LeastGap[] =>
  edges.flatMap((edge): LeastGap[] => {
    let least: { gap: number; row: readonly number[]; at: Point } | undefined;
    let widest: { gap: number; at: Point } | undefined;
    for (let i = 0; i < edge.x.length; i += 1) {
      const at = { x: edge.x[i]!, y: edge.y[i]! };
      const row = gapRow({ at, normal: { x: edge.normalX[i]!, y: edge.normalY[i]! } }, error.centre);
      const gap =
        roomAt(edge, i, clearance) -
        (edge.loss?.[i] ?? 0) +
        row.reduce((sum, v, k) => sum + v * error.values[k]!, 0);
      if (least === undefined || gap < least.gap) least = { gap, row, at };
      // A mitre keeps its tip farther away than the sides beside it, which is meant.
      const isAlongside = roomAt(edge, i, clearance) === clearance;
      if (isAlongside && (widest === undefined || gap > widest.gap)) widest = { gap, at };
    }
    if (least === undefined) return [];
    const limit = halfWidth(error, varianceOf(error, least.row));
    return [
      {
        opening: edge.id,
        gap: least.gap,
        ...(limit === undefined ? {} : { limit }),
        at: least.at,
        ...(widest === undefined ? {} : { widest: widest.gap, widestAt: widest.at }),
      },
    ];
  });
