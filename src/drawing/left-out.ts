/** What a reader did not take over, gathered so that a thousand texts make one line. */
import type { LeftOut } from './drawing.js';

/** Places named before the rest is only counted. */
const namedPlaces = 4;

export class LeftOutList {
  private readonly entries = new Map<
    string,
    { readonly what: string; readonly why: string; readonly places: string[]; count: number }
  >();

  note(what: string, where: string, why: string): void {
    const key = `${what}\n${why}`;
    let entry = this.entries.get(key);
    if (entry === undefined) {
      entry = { what, why, places: [], count: 0 };
      this.entries.set(key, entry);
    }
    entry.count += 1;
    if (entry.places.length < namedPlaces) entry.places.push(where);
  }

  /** In the order in which they were first met. */
  toList(): LeftOut[] {
    return [...this.entries.values()].map(({ what, why, places, count }) => {
      const more = count - places.length;
      return { what, where: places.join('; ') + (more > 0 ? `; and ${more} more` : ''), why };
    });
  }

  /** One line for a warning: what, and how often. */
  summary(): string {
    return [...this.entries.values()]
      .map(({ what, count }) => (count === 1 ? what : `${what} (${count} times)`))
      .join(', ');
  }
}
