/**
 * Of very many rows those that stand for the others. Rows of one cell of the part with like normals, that lose alike in the
 * cut, move nearly alike whatever the error: of them the nearest ones are kept, and towards each corner of the cell the ones
 * that are near and lie far out, for displacements grow towards one of the corners.
 *
 * A cell is an eighth of the part wide, so what a figure takes of a row that is left out is missed by a small part of what it
 * takes of those that are kept; tests/verdict/alike-rows.test.ts holds the values found against those of all rows.
 */

import type { Box } from '../../geometry/point.js';

const cellsAcross = 8;
const nearestOnes = 4;
/** The nearest ones, and one towards each corner. */
const ofOneKind = nearestOnes + 4;
/** Share of its sds that a row at the corner of its cell may have more than one in the middle. */
const outwards = 0.5;

export class AlikeRows {
  private readonly scores: Float64Array;
  private readonly edges: Int32Array;
  private readonly points: Int32Array;
  private readonly perX: number;
  private readonly perY: number;

  /**
   * @param box of all points
   * @param kinds of normals and losses told apart
   */
  constructor(
    private readonly box: Box,
    private readonly kinds: number,
  ) {
    const count = cellsAcross ** 2 * kinds * ofOneKind;
    this.scores = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
    this.edges = new Int32Array(count).fill(-1);
    this.points = new Int32Array(count);
    this.perX = cellsAcross / Math.max(box.maxX - box.minX, 1e-9);
    this.perY = cellsAcross / Math.max(box.maxY - box.minY, 1e-9);
  }

  /** Point `i` of an edge, which keeps so many sds. */
  offer(edge: number, i: number, x: number, y: number, kind: number, sds: number): void {
    const { scores, box } = this;
    const alongX = (x - box.minX) * this.perX;
    const alongY = (y - box.minY) * this.perY;
    const column = Math.min(Math.floor(alongX), cellsAcross - 1);
    const line = Math.min(Math.floor(alongY), cellsAcross - 1);
    const start = ((line * cellsAcross + column) * this.kinds + kind) * ofOneKind;
    let at = start + nearestOnes;
    if (sds < scores[at - 1]!) {
      for (at--; at > start && scores[at - 1]! > sds; at--)
        this.put(at, scores[at - 1]!, this.edges[at - 1]!, this.points[at - 1]!);
      this.put(at, sds, edge, i);
    }
    const right = outwards * Math.abs(sds) * (alongX - column - 0.5);
    const up = outwards * Math.abs(sds) * (alongY - line - 0.5);
    const corner = start + nearestOnes;
    if (sds - right - up < scores[corner]!) this.put(corner, sds - right - up, edge, i);
    if (sds - right + up < scores[corner + 1]!) this.put(corner + 1, sds - right + up, edge, i);
    if (sds + right - up < scores[corner + 2]!) this.put(corner + 2, sds + right - up, edge, i);
    if (sds + right + up < scores[corner + 3]!) this.put(corner + 3, sds + right + up, edge, i);
  }

  private put(at: number, score: number, edge: number, i: number): void {
    this.scores[at] = score;
    this.edges[at] = edge;
    this.points[at] = i;
  }

  /** Of each edge the points that were kept, in order. */
  kept(): Map<number, Int32Array> {
    const { edges, points } = this;
    const byEdge = new Map<number, Set<number>>();
    for (let at = 0; at < edges.length; at++) {
      const edge = edges[at]!;
      if (edge < 0) continue;
      const own = byEdge.get(edge);
      if (own === undefined) byEdge.set(edge, new Set([points[at]!]));
      else own.add(points[at]!);
    }
    return new Map([...byEdge].map(([edge, own]) => [edge, Int32Array.from(own).sort()]));
  }
}
