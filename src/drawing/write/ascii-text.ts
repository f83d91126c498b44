/**
 * A text of marks and decimal numbers, put together as bytes: a cut has hundreds of thousands of
 * numbers.
 */
import { powerOfTen } from '../../numeric/powers.js';
import { decimal } from './cut-file.js';

const zero = 48;
/** Up to here every whole number is exact. */
const largestWhole = 2 ** 53;

/** Of as many decimals as files have; looked up, for it is asked for each number. */
const powers = Array.from({ length: 10 }, (_, decimals) => powerOfTen(decimals));

export class AsciiText {
  private bytes = new Uint8Array(4096);
  private size = 0;

  /** Letters, digits and marks of ASCII. */
  add(text: string): void {
    const end = this.size + text.length;
    this.room(end);
    for (let i = 0; i < text.length; i++) this.bytes[this.size + i] = text.charCodeAt(i);
    this.size = end;
  }

  /**
   * A decimal number as `decimal` writes it; in its last place it may be off by one more where the
   * value lies half-way.
   */
  number(value: number, decimals: number): void {
    const power = powers[decimals] ?? powerOfTen(decimals);
    const scaled = Math.round(Math.abs(value) * power);
    if (!(scaled < largestWhole)) {
      this.add(decimal(value, decimals));
      return;
    }
    this.room(this.size + 20 + decimals);
    if (value < 0 && scaled > 0) this.bytes[this.size++] = 45;
    const whole = Math.floor(scaled / power);
    this.digits(whole, digitsOf(whole));
    let rest = scaled - whole * power;
    if (rest === 0) return;
    let places = decimals;
    for (let shorter = rest / 10; Number.isInteger(shorter); shorter = rest / 10) {
      rest = shorter;
      places--;
    }
    this.bytes[this.size++] = 46;
    this.digits(rest, places);
  }

  /** The text so far; the next one begins after it. */
  take(): string {
    const text = decoder.decode(this.bytes.subarray(0, this.size));
    this.size = 0;
    return text;
  }

  /** A whole number in so many places. */
  private digits(value: number, places: number): void {
    let left = value;
    for (let i = this.size + places - 1; i >= this.size; i--) {
      const next = Math.floor(left / 10);
      this.bytes[i] = zero + left - 10 * next;
      left = next;
    }
    this.size += places;
  }

  private room(size: number): void {
    if (size <= this.bytes.length) return;
    const more = new Uint8Array(2 * size);
    more.set(this.bytes.subarray(0, this.size));
    this.bytes = more;
  }
}

const decoder = new TextDecoder();

const digitsOf = (whole: number): number => {
  let places = 1;
  for (let bound = 10; whole >= bound; bound *= 10) places++;
  return places;
};
