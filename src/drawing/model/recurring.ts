/** Values that come again and again, by number. */
export class Recurring<T> {
  readonly values: T[] = [];
  private readonly numbers = new Map<T, number>();
  private last = -1;

  numberOf(value: T): number {
    if (this.last >= 0 && this.values[this.last] === value) return this.last;
    let known = this.numbers.get(value);
    if (known === undefined) {
      known = this.values.length;
      this.values.push(value);
      this.numbers.set(value, known);
    }
    this.last = known;
    return known;
  }
}
