/** One entity or table entry of a DXF file: a tag with group 0 and the tags up to the next one. */
import { cutOff, excerpt, fault, type Tags } from './tags.js';

/**
 * Group codes of the numbers that say where something lies or how it is shown; the others are
 * passed over unread.
 */
const isWanted = (code: number): boolean =>
  (code >= 10 && code <= 79) ||
  (code >= 90 && code <= 99) ||
  (code >= 210 && code <= 239) ||
  code === 290 ||
  code === 420;

/** Made once and filled anew for each record: what is to be kept has to be taken out. */
export class DxfRecord {
  /** Group 0. */
  type = '';
  /** Where it begins; see `Tags.at`. */
  at = 0;
  /** Group 5, upper case; undefined where there is none, or no hexadecimal number. */
  handle: string | undefined;
  /** Group 2. */
  name: string | undefined;
  /** Group 8. */
  layer: string | undefined;
  /** Numbers in file order: group codes, values, and how many of them. */
  codes = new Int32Array(64);
  values = new Float64Array(64);
  count = 0;

  constructor(private readonly tags: Tags) {}

  /**
   * From the tag at hand, which has group 0, to the next such tag, which is then at hand.
   * @throws InputError for a number that is none, and where the file ends
   */
  read(): this {
    const { tags } = this;
    this.type = tags.text();
    this.at = tags.at;
    this.handle = this.name = this.layer = undefined;
    this.count = 0;
    let foreign = false;
    for (;;) {
      if (!tags.next()) throw cutOff(tags, `the end of its ${excerpt(this.type)}`);
      const { code } = tags;
      if (code === 0) return this;
      if (code === 102) {
        // { and } enclose what belongs to other programs.
        foreign = !tags.is('}');
        continue;
      }
      // An embedded object (101) has tags of its own up to the end of the record; from 1000 on come
      // other programs' data.
      if (code === 101) return this.skipRest();
      if (foreign || code >= 1000) continue;
      if (isWanted(code)) this.push(code, tags.number());
      else if (code === 8) this.layer ??= tags.text();
      else if (code === 2) this.name ??= tags.text();
      else if (code === 5 && this.handle === undefined) {
        const text = tags.text();
        if (/^[0-9A-Fa-f]{1,16}$/.test(text)) this.handle = text.toUpperCase();
      }
    }
  }

  private skipRest(): this {
    skipRecord(this.tags);
    return this;
  }

  private push(code: number, value: number): void {
    if (this.count === this.codes.length) {
      const codes = new Int32Array(2 * this.count);
      const values = new Float64Array(2 * this.count);
      codes.set(this.codes);
      values.set(this.values);
      this.codes = codes;
      this.values = values;
    }
    this.codes[this.count] = code;
    this.values[this.count] = value;
    this.count += 1;
  }

  /** The first value of a group. */
  first(code: number): number | undefined {
    for (let i = 0; i < this.count; i += 1) if (this.codes[i] === code) return this.values[i];
    return undefined;
  }

  /** @throws InputError where the group is missing */
  need(code: number, what: string): number {
    const value = this.first(code);
    if (value !== undefined) return value;
    throw this.fault(`${this.label} without ${what} (group ${code})`, `${what}`);
  }

  /** All values of a group, in order. */
  all(code: number): number[] {
    const found: number[] = [];
    for (let i = 0; i < this.count; i += 1) if (this.codes[i] === code) found.push(this.values[i]!);
    return found;
  }

  /** A group of flags or a count; `missing` where the file says nothing. */
  whole(code: number, missing: number): number {
    const value = this.first(code) ?? missing;
    if (Number.isInteger(value)) return value;
    throw this.fault(`${this.label} with ${value} as its group ${code}`, 'a whole number');
  }

  get label(): string {
    const article = /^([AEIO]|LW)/.test(this.type) ? 'an' : 'a';
    return `${article} ${excerpt(this.type)}`;
  }

  /** An error of this record, wherever in it. */
  fault(found: string, expected: string, next?: string) {
    return fault(this.tags, found, expected, next, this.at);
  }
}

/** Passes over the rest of a record; its next one's first tag is then at hand. */
export const skipRecord = (tags: Tags): void => {
  do {
    if (!tags.next()) throw cutOff(tags, 'the end of a record');
  } while (tags.code !== 0);
};
