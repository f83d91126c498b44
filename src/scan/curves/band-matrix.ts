/** A symmetric positive definite matrix whose entries lie near its diagonal, its Cholesky factor, and parts of its inverse. */
export class BandMatrix {
  private readonly rows: Float64Array;

  /** @param reach entries farther from the diagonal are zero */
  constructor(
    readonly size: number,
    readonly reach: number,
  ) {
    this.rows = new Float64Array(size * (reach + 1));
  }

  add(i: number, j: number, value: number): void {
    const row = Math.max(i, j);
    const back = row - Math.min(i, j);
    this.rows[row * (this.reach + 1) + this.reach - back]! += value;
  }

  /** Puts the factor in the matrix's place. False where it is not positive definite. */
  factor(): boolean {
    const { rows, reach, size } = this;
    const wide = reach + 1;
    for (let i = 0; i < size; i += 1) {
      const least = Math.max(0, i - reach);
      for (let j = least; j <= i; j += 1) {
        let sum = rows[i * wide + reach - (i - j)]!;
        for (let k = Math.max(least, j - reach); k < j; k += 1)
          sum -= rows[i * wide + reach - (i - k)]! * rows[j * wide + reach - (j - k)]!;
        if (j < i) rows[i * wide + reach - (i - j)] = sum / rows[j * wide + reach]!;
        else {
          if (!(sum > 0)) return false;
          rows[i * wide + reach] = Math.sqrt(sum);
        }
      }
    }
    return true;
  }

  /** Solves for one right side, in its place; after `factor`. */
  solve(b: Float64Array): void {
    const { rows, reach, size } = this;
    const wide = reach + 1;
    for (let i = 0; i < size; i += 1) {
      let sum = b[i]!;
      for (let k = Math.max(0, i - reach); k < i; k += 1) sum -= rows[i * wide + reach - (i - k)]! * b[k]!;
      b[i] = sum / rows[i * wide + reach]!;
    }
    for (let i = size - 1; i >= 0; i -= 1) {
      let sum = b[i]!;
      const last = Math.min(size - 1, i + reach);
      for (let k = i + 1; k <= last; k += 1) sum -= rows[k * wide + reach - (k - i)]! * b[k]!;
      b[i] = sum / rows[i * wide + reach]!;
    }
  }
}
