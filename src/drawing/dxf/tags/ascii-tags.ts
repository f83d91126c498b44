/** The tags of a DXF file in text: two lines each, a group code and a value. */
import type { Where } from '../../../job/messages.js';
import { cutOff, damaged, excerpt, fault, type Tags } from './tags.js';
import { TextDecoding } from './text-decoding.js';

const lineFeed = 10;
const carriageReturn = 13;
const comment = 999;
/** No group code has more digits (the largest is 1071). */
const mostCodeDigits = 4;
/** Words that are kept for the next time they come. */
const longestWord = 40;
const mostWords = 2000;
/** Integers up to here, and powers of ten up to the 22nd, are exact in double precision. */
const largestExact = 2 ** 53;
const powersOfTen = Array.from({ length: 23 }, (_, i) => Number(`1e${i}`));

/** Lines end with LF, CR LF or CR, mixed as it comes. */
export class AsciiTags implements Tags {
  code = 0;
  /** Line of the value at hand, counted from 1. */
  at = 0;
  begin = 0;
  private cursor: number;
  private from = 0;
  private to = 0;
  private readonly decoding = new TextDecoding();
  /** Types, layers and the like come again and again: what is plain ASCII is decoded once. */
  private readonly words = new Map<number, string>();

  /** @param isUtf8 true for what was UTF-16, whatever its header says */
  constructor(
    private readonly bytes: Uint8Array,
    private readonly path: string,
    private readonly isUtf8 = false,
  ) {
    const marked = bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf;
    this.cursor = marked ? 3 : 0;
  }

  next(): boolean {
    do {
      this.begin = this.cursor;
      if (!this.readLine()) return false;
      if (this.from === this.to && this.restIsBlank()) return false;
      this.code = this.parseCode();
      if (!this.readLine()) throw cutOff(this, `the value of group ${this.code}`);
    } while (this.code === comment);
    return true;
  }

  get end(): number {
    return this.cursor;
  }

  /** Sets `from` and `to` to the next line, blanks around it left out. */
  private readLine(): boolean {
    const { bytes } = this;
    const size = bytes.length;
    let i = this.cursor;
    if (i >= size) return false;
    this.at += 1;
    while (i < size && (bytes[i] === 32 || bytes[i] === 9)) i += 1;
    this.from = i;
    while (i < size && bytes[i] !== lineFeed && bytes[i] !== carriageReturn) i += 1;
    let end = i;
    while (end > this.from && (bytes[end - 1] === 32 || bytes[end - 1] === 9)) end -= 1;
    this.to = end;
    this.cursor = bytes[i] === carriageReturn && bytes[i + 1] === lineFeed ? i + 2 : i + 1;
    return true;
  }

  /** Blank lines and the end-of-file byte of DOS may follow the last tag. */
  private restIsBlank(): boolean {
    for (let i = this.cursor; i < this.bytes.length; i += 1) {
      const byte = this.bytes[i]!;
      if (byte > 32 || byte === 0) return false;
    }
    return true;
  }

  private parseCode(): number {
    const { bytes, from, to } = this;
    const negative = bytes[from] === 45;
    const first = negative ? from + 1 : from;
    let code = 0;
    for (let i = first; i < to; i += 1) {
      const digit = bytes[i]! - 48;
      if (digit < 0 || digit > 9 || i - first >= mostCodeDigits) throw this.noCode();
      code = code * 10 + digit;
    }
    if (first === to) throw this.noCode();
    return negative ? -code : code;
  }

  private noCode() {
    const text = excerpt(this.text());
    const found = text === '' ? 'an empty line instead of a group code' : `the group code "${text}"`;
    return fault(this, found, 'a group code, which is a whole number, on every other line');
  }

  number(): number {
    const { bytes, from, to } = this;
    let i = from;
    const negative = bytes[i] === 45;
    if (negative || bytes[i] === 43) i += 1;
    let mantissa = 0;
    let digits = 0;
    let decimals = 0;
    for (; i < to; i += 1) {
      const digit = bytes[i]! - 48;
      if (digit < 0 || digit > 9) break;
      mantissa = mantissa * 10 + digit;
      digits += 1;
    }
    if (bytes[i] === 46 && i < to) {
      for (i += 1; i < to; i += 1) {
        const digit = bytes[i]! - 48;
        if (digit < 0 || digit > 9) break;
        mantissa = mantissa * 10 + digit;
        digits += 1;
        decimals += 1;
      }
    }
    if (digits > 0 && i === to && mantissa < largestExact && decimals < powersOfTen.length) {
      // One exact number divided by another: rounded once, and so correctly.
      const value = mantissa / powersOfTen[decimals]!;
      return negative ? 0 - value : value;
    }
    return this.numberOfText();
  }

  private numberOfText(): number {
    const text = this.text();
    const value = /^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$/.test(text) ? Number(text) : Number.NaN;
    if (Number.isFinite(value)) return value;
    const found =
      text === '' ? `nothing as the value of group ${this.code}` : `"${excerpt(text)}" as the value`;
    const of = text === '' ? '' : ` of group ${this.code}`;
    throw fault(this, found + of, 'a number', damaged);
  }

  text(): string {
    const { bytes, from, to } = this;
    if (to - from > longestWord) return this.decoding.decode(bytes.subarray(from, to));
    let hash = to - from;
    let bits = 0;
    for (let i = from; i < to; i += 1) {
      bits |= bytes[i]!;
      hash = (Math.imul(hash, 31) + bytes[i]!) | 0;
    }
    if (bits >= 0x80) return this.decoding.decode(bytes.subarray(from, to));
    const known = this.words.get(hash);
    if (known !== undefined && this.is(known)) return known;
    const text = this.decoding.decode(bytes.subarray(from, to));
    if (known === undefined && this.words.size < mostWords) this.words.set(hash, text);
    return text;
  }

  is(word: string): boolean {
    const { bytes, from } = this;
    if (this.to - from !== word.length) return false;
    for (let i = 0; i < word.length; i += 1) if (bytes[from + i] !== word.charCodeAt(i)) return false;
    return true;
  }

  setEncoding(version: string | undefined, codepage: string | undefined): void {
    if (this.isUtf8) return;
    this.decoding.set(version, codepage);
    this.words.clear();
  }

  where(at: number): Where {
    return at > 0 ? { file: this.path, line: at } : { file: this.path };
  }

  place(at: number): string {
    return `line ${at}`;
  }
}
