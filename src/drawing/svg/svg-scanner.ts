/** Numbers, blanks and commas of an attribute's value, read character by character. */
import { AttributeFault } from './xml/attribute-fault.js';

/** 10^0 .. 10^22: the powers of ten that a double holds exactly. */
const exactPowers = Array.from({ length: 23 }, (_, power) => Number(`1e${power}`));
const largestExactMantissa = 2 ** 53;

const isDigit = (code: number): boolean => code >= 48 && code <= 57;

/** Space, tab, line feed, form feed, carriage return: `wsp` of the SVG path grammar. */
const isBlank = (code: number): boolean =>
  code === 32 || code === 10 || code === 9 || code === 13 || code === 12;

export class Scanner {
  at = 0;

  constructor(
    readonly attribute: string,
    readonly text: string,
  ) {}

  get done(): boolean {
    return this.at >= this.text.length;
  }

  /** The code of the character ahead; NaN at the end. */
  peek(): number {
    return this.text.charCodeAt(this.at);
  }

  skipBlanks(): void {
    const { text } = this;
    let { at } = this;
    while (isBlank(text.charCodeAt(at))) at += 1;
    this.at = at;
  }

  /** Blanks with at most one comma among them; true when there was a comma. */
  skipSeparator(): boolean {
    this.skipBlanks();
    if (this.text.charCodeAt(this.at) !== 44) return false;
    this.at += 1;
    this.skipBlanks();
    return true;
  }

  /** True when the character ahead can begin a number. */
  numberAhead(): boolean {
    const code = this.text.charCodeAt(this.at);
    return isDigit(code) || code === 45 || code === 46 || code === 43;
  }

  /**
   * One number of the SVG grammar (sign, digits, point, exponent; no hexadecimal, no Infinity). Up
   * to 2^53 in the digits and 22 decimals the value is digits / 10^decimals, rounded once (Clinger,
   * PLDI 1990); beyond, the language's own conversion reads it.
   * @throws AttributeFault when there is none, and for one that no double holds.
   */
  number(): number {
    const { text } = this;
    const start = this.at;
    let at = start;
    let code = text.charCodeAt(at);
    const negative = code === 45;
    if (negative || code === 43) {
      at += 1;
      code = text.charCodeAt(at);
    }
    let mantissa = 0;
    let digits = 0;
    while (code >= 48 && code <= 57) {
      mantissa = mantissa * 10 + (code - 48);
      digits += 1;
      at += 1;
      code = text.charCodeAt(at);
    }
    let decimals = 0;
    if (code === 46) {
      at += 1;
      code = text.charCodeAt(at);
      while (code >= 48 && code <= 57) {
        mantissa = mantissa * 10 + (code - 48);
        decimals += 1;
        at += 1;
        code = text.charCodeAt(at);
      }
    }
    if (digits + decimals === 0) throw this.fault('a number', start);
    let exponent = false;
    if (code === 101 || code === 69) {
      let after = at + 1;
      const sign = text.charCodeAt(after);
      if (sign === 45 || sign === 43) after += 1;
      if (isDigit(text.charCodeAt(after))) {
        exponent = true;
        at = after + 1;
        while (isDigit(text.charCodeAt(at))) at += 1;
      }
    }
    this.at = at;
    if (!exponent && mantissa <= largestExactMantissa && decimals <= 22) {
      const size = decimals === 0 ? mantissa : mantissa / exactPowers[decimals]!;
      return negative ? -size : size;
    }
    const value = Number(text.slice(start, at));
    if (Number.isFinite(value)) return value;
    throw new AttributeFault({
      attribute: this.attribute,
      offset: start,
      found: `the number ${shorten(text.slice(start, at))}, which is too large to compute with`,
      expected: 'a finite number',
      next: 'Correct the number in the drawing.',
    });
  }

  /** One of the flags of an arc, a single 0 or 1; the next number may follow it without a gap. */
  flag(): boolean {
    const code = this.peek();
    if (code !== 48 && code !== 49) throw this.fault('an arc flag, 0 or 1');
    this.at += 1;
    return code === 49;
  }

  /** Something else was expected where the scanner stands (or at `offset`). */
  fault(expected: string, offset = this.at): AttributeFault {
    const rest = this.text.slice(offset, offset + 24);
    const found = rest === '' ? 'the end of the value' : `"${shorten(rest)}"`;
    return new AttributeFault({
      attribute: this.attribute,
      offset,
      found: `${found} in the attribute ${this.attribute}`,
      expected,
      next: 'Correct the attribute, or export the drawing again.',
    });
  }
}

/** A piece of the input for a message: on one line, at most 24 characters. */
export const shorten = (text: string): string => {
  const line = text.replace(/\s+/g, ' ');
  return line.length <= 24 ? line : `${line.slice(0, 23)}…`;
};

/** The numbers of a whole value, separated by blanks and at most one comma each. */
export const readNumbers = (attribute: string, text: string): number[] => {
  const scan = new Scanner(attribute, text);
  const numbers: number[] = [];
  scan.skipBlanks();
  while (!scan.done) {
    numbers.push(scan.number());
    if (scan.skipSeparator() && !scan.numberAhead()) throw scan.fault('a number after the comma');
  }
  return numbers;
};
