/** What a reader did not take over, gathered so that a thousand texts make one line. */
import type { LeftOut } from './drawing.js';

/** Places named before the rest is only counted. */
const namedPlaces = 4;
/** Entries named in a summary before the rest is only counted. */
const namedEntries = 6;

interface Entry {
  readonly what: string;
  readonly why: string;
  readonly places: string[];
  readonly harmless: boolean;
  count: number;
}

export class LeftOutList {
  private readonly entries = new Map<string, Entry>();

  /** Something that is seen in the drawing and is missing, or different, in what was read. */
  note(what: string, where: string, why: string): void {
    this.add(what, where, why, false);
  }

  /** Something that is not seen in the drawing either: a hidden shape, one without size. */
  noteHarmless(what: string, where: string, why: string): void {
    this.add(what, where, why, true);
  }

  /** All that another list holds, as if it were noted now. */
  take(other: LeftOutList): void {
    for (const [key, { what, why, places, harmless, count }] of other.entries) {
      const known = this.entries.get(key);
      if (known === undefined) this.entries.set(key, { what, why, places: [...places], harmless, count });
      else {
        known.count += count;
        known.places.push(...places.slice(0, namedPlaces - known.places.length));
      }
    }
  }

  /** In the order in which they were first met. */
  toList(): LeftOut[] {
    return [...this.entries.values()].map(({ what, why, places, count }) => {
      const more = count - places.length;
      return { what, where: places.join('; ') + (more > 0 ? `; and ${more} more` : ''), why };
    });
  }

  /**
   * One line for a warning: what, and how often, the harmless aside; undefined when there is
   * nothing to say.
   */
  summary(): string | undefined {
    const entries = [...this.entries.values()].filter(({ harmless }) => !harmless);
    if (entries.length === 0) return undefined;
    const named = entries
      .slice(0, namedEntries)
      .map(({ what, count }) => (count === 1 ? what : `${what} (${count} times)`));
    const more = entries.length - named.length;
    return named.join(', ') + (more > 0 ? ` and ${more} more` : '');
  }

  private add(what: string, where: string, why: string, harmless: boolean): void {
    const key = `${what}\n${why}`;
    let entry = this.entries.get(key);
    if (entry === undefined) {
      entry = { what, why, places: [], harmless, count: 0 };
      this.entries.set(key, entry);
    }
    entry.count += 1;
    if (entry.places.length < namedPlaces) entry.places.push(where);
  }
}

/**
 * The line of the first place that an entry names, for an error; none where places have no line.
 */
export const lineOf = (entry: LeftOut | undefined): { readonly line?: number } => {
  const line = /^line ([0-9]+)/.exec(entry?.where ?? '')?.[1];
  return line === undefined ? {} : { line: Number(line) };
};
