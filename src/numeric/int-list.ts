/** Whole numbers one after another, four bytes each: a list that may grow to millions. */
export class IntList {
  length = 0;
  private data = new Int32Array(64);

  /** Adds a number below 2^31; its place is the answer. */
  push(value: number): number {
    if (this.length === this.data.length) {
      const more = new Int32Array(2 * this.length);
      more.set(this.data);
      this.data = more;
    }
    this.data[this.length] = value;
    this.length += 1;
    return this.length - 1;
  }

  at(place: number): number {
    return this.data[place]!;
  }

  /** The numbers there are now; a view that further ones may leave behind. */
  toArray(): Int32Array {
    return this.data.subarray(0, this.length);
  }
}
