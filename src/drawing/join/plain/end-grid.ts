/**
 * Ends of lines by where they lie: tells the few that have others near them from the many that have
 * not.
 */

/** Fewer than these are searched as they are. */
export const fewEnds = 20_000;

/**
 * Ends looked at before a drawing counts as a heap of lines: so many for each, and what small
 * drawings may cost.
 */
const looksPerEnd = 64;
const looksAtLeast = 1_000_000;

/**
 * Ends in the cells of a grid. Cells far from each other may share a row of the table: what is
 * found has its place looked at.
 */
export class EndGrid {
  private readonly heads: Int32Array;
  private readonly next: Int32Array;
  private readonly stride: number;
  private left: number;

  /** @param cell width of a cell, mm: about that of the boxes to be looked up */
  constructor(
    private readonly xs: Float64Array,
    private readonly ys: Float64Array,
    private readonly cell: number,
  ) {
    const bits = Math.max(6, 33 - Math.clz32(xs.length));
    this.heads = new Int32Array(2 ** bits);
    this.next = new Int32Array(xs.length);
    // About the square root of the rows, so that cells side by side lie near each other in the
    // table as well.
    this.stride = 2 ** (bits >> 1) + 1;
    this.left = looksAtLeast + looksPerEnd * xs.length;
    for (let i = 0; i < xs.length; i += 1) {
      const row = this.rowOf(Math.floor(xs[i]! / cell), Math.floor(ys[i]! / cell));
      this.next[i] = this.heads[row]!;
      this.heads[row] = i + 1;
    }
  }

  /**
   * False once so much was looked at that a grid is of no help: what it said so far is not all
   * there is.
   */
  get helps(): boolean {
    return this.left >= 0;
  }

  /** Calls `found` with each end in a box, some of them twice, until it answers true. */
  within(minX: number, minY: number, maxX: number, maxY: number, found: (end: number) => boolean): void {
    const { cell, xs, ys } = this;
    const x1 = Math.floor(maxX / cell);
    const y1 = Math.floor(maxY / cell);
    for (let y = Math.floor(minY / cell); y <= y1; y += 1) {
      for (let x = Math.floor(minX / cell); x <= x1; x += 1) {
        this.left -= 1;
        if (this.left < 0) return;
        for (let i = this.heads[this.rowOf(x, y)]! - 1; i >= 0; i = this.next[i]! - 1) {
          this.left -= 1;
          if (xs[i]! < minX || xs[i]! > maxX || ys[i]! < minY || ys[i]! > maxY) continue;
          if (found(i)) return;
        }
      }
    }
  }

  private rowOf(x: number, y: number): number {
    return ((x | 0) + Math.imul(y | 0, this.stride)) & (this.heads.length - 1);
  }
}
