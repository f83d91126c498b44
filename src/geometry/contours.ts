/** Regions in which a sampled field lies above a level: marching squares with linear interpolation. */
import type { Point } from './point.js';

/** Samples at (column, row), row after row. */
export interface SampledField {
  readonly columns: number;
  readonly rows: number;
  readonly values: Float64Array;
}

/**
 * The boundary of the region above `level` as closed rings, in units of the grid: between samples the field is taken as
 * linear, and beyond the outermost ones as far below, so that every ring closes. Islands and holes by the even-odd rule.
 * Where a cell is a saddle the mean of its corners decides.
 */
export const ringsAbove = (field: SampledField, level: number): Point[][] => {
  const { columns, rows } = field;
  const at = (i: number, j: number): number =>
    i < 0 || j < 0 || i >= columns || j >= rows ? Number.NEGATIVE_INFINITY : field.values[j * columns + i]!;
  /** Where the level is met between two neighbours; at the sample itself where beyond it there is nothing. */
  const meeting = (a: number, b: number): number => {
    if (a === Number.NEGATIVE_INFINITY) return 1;
    if (b === Number.NEGATIVE_INFINITY) return 0;
    return (level - a) / (b - a);
  };
  // Sides of the grid by number: 2 k to the right of sample k, 2 k + 1 above it, in a grid with a margin all round.
  const wide = columns + 2;
  const sideRight = (i: number, j: number): number => 2 * ((j + 1) * wide + i + 1);
  const sideAbove = (i: number, j: number): number => sideRight(i, j) + 1;
  const pointOn = (side: number): Point => {
    const sample = side >> 1;
    const i = (sample % wide) - 1;
    const j = Math.floor(sample / wide) - 1;
    return side % 2 === 0
      ? { x: i + meeting(at(i, j), at(i + 1, j)), y: j }
      : { x: i, y: j + meeting(at(i, j), at(i, j + 1)) };
  };
  const next = new Map<number, number>();
  for (let j = -1; j < rows; j++) {
    for (let i = -1; i < columns; i++) {
      const corners = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)] as const;
      const [a, b, c, d] = corners.map((value) => value > level) as [boolean, boolean, boolean, boolean];
      const bottom = sideRight(i, j);
      const right = sideAbove(i + 1, j);
      const top = sideRight(i, j + 1);
      const left = sideAbove(i, j);
      // From where the walk along the cell's sides leaves the region to where it enters: the region lies to the left.
      const leaves: number[] = [];
      const enters: number[] = [];
      for (const [from, to, side] of [
        [a, b, bottom],
        [b, c, right],
        [c, d, top],
        [d, a, left],
      ] as const) {
        if (from && !to) leaves.push(side);
        if (!from && to) enters.push(side);
      }
      if (leaves.length === 1) next.set(leaves[0]!, enters[0]!);
      else if (leaves.length === 2) {
        const mean = (corners[0] + corners[1] + corners[2] + corners[3]) / 4;
        const joined = mean > level;
        // Sides in order round the cell: with the middle inside, a leave is joined to the enter after it.
        const first = a ? [bottom, right, top, left] : [right, top, left, bottom];
        next.set(first[0]!, joined ? first[1]! : first[3]!);
        next.set(first[2]!, joined ? first[3]! : first[1]!);
      }
    }
  }
  const rings: Point[][] = [];
  while (next.size > 0) {
    const start = next.keys().next().value!;
    const ring: Point[] = [];
    for (let side: number | undefined = start; side !== undefined; ) {
      ring.push(pointOn(side));
      const to: number | undefined = next.get(side);
      next.delete(side);
      side = to;
    }
    rings.push(ring);
  }
  return rings;
};
