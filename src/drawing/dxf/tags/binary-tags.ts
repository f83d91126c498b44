/** The tags of a binary DXF file: group codes and values as bytes, little end first. */
import type { Where } from '../../../job/messages.js';
import { cutOff, fault, type Tags } from './tags.js';
import { TextDecoding } from './text-decoding.js';

/** What every binary DXF file begins with: this text, CR, LF, SUB, NUL. */
const greeting = 'AutoCAD Binary DXF\r\n\x1a\0';

export const isBinaryDxf = (bytes: Uint8Array): boolean => {
  for (let i = 0; i < greeting.length; i += 1) if (bytes[i] !== greeting.charCodeAt(i)) return false;
  return true;
};

type ValueKind = 'text' | 'double' | 'int16' | 'int32' | 'int64' | 'byte' | 'chunk';

/**
 * Ranges of group codes and what their values are: the published DXF reference, "group code value
 * types", from memory.
 */
const ranges: readonly (readonly [from: number, to: number, kind: ValueKind])[] = [
  [0, 9, 'text'],
  [10, 59, 'double'],
  [60, 79, 'int16'],
  [90, 99, 'int32'],
  [100, 105, 'text'],
  [110, 149, 'double'],
  [160, 169, 'int64'],
  [170, 179, 'int16'],
  [210, 239, 'double'],
  [270, 289, 'int16'],
  [290, 299, 'byte'],
  [300, 309, 'text'],
  [310, 319, 'chunk'],
  [320, 369, 'text'],
  [370, 389, 'int16'],
  [390, 399, 'text'],
  [400, 409, 'int16'],
  [410, 419, 'text'],
  [420, 429, 'int32'],
  [430, 439, 'text'],
  [440, 459, 'int32'],
  [460, 469, 'double'],
  [470, 481, 'text'],
  [999, 1003, 'text'],
  [1004, 1004, 'chunk'],
  [1005, 1009, 'text'],
  [1010, 1059, 'double'],
  [1060, 1070, 'int16'],
  [1071, 1071, 'int32'],
];

/** By group code; made for a file, since most calls never see one. */
const kindsOfCodes = (): readonly (ValueKind | undefined)[] => {
  const kinds: (ValueKind | undefined)[] = new Array(1072).fill(undefined);
  for (const [from, to, kind] of ranges) kinds.fill(kind, from, to + 1);
  return kinds;
};

export class BinaryTags implements Tags {
  code = 0;
  /** Byte at which the tag at hand begins. */
  at = 0;
  private cursor = greeting.length;
  private from = 0;
  private to = 0;
  private value = Number.NaN;
  private readonly view: DataView;
  /**
   * Up to release 12 a group code is one byte, and 255 says that two more hold it; later it is
   * always two bytes.
   */
  readonly shortCodes: boolean;
  private readonly decoding = new TextDecoding();
  private readonly kinds = kindsOfCodes();

  constructor(
    private readonly bytes: Uint8Array,
    private readonly path: string,
  ) {
    this.view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
    // The first tag is 0 SECTION: what follows its code is a letter.
    this.shortCodes = bytes[this.cursor] === 0 && bytes[this.cursor + 1] !== 0;
  }

  get begin(): number {
    return this.at;
  }

  get end(): number {
    return this.cursor;
  }

  next(): boolean {
    do {
      if (this.cursor >= this.bytes.length) return false;
      this.at = this.cursor;
      this.readCode();
      this.readValue();
    } while (this.code === 999);
    return true;
  }

  private readCode(): void {
    if (this.shortCodes) {
      this.code = this.bytes[this.take(1)]!;
      if (this.code === 255) this.code = this.view.getInt16(this.take(2), true);
    } else this.code = this.view.getInt16(this.take(2), true);
  }

  private readValue(): void {
    const { view } = this;
    const kind = this.kinds[this.code];
    this.from = this.to = this.cursor;
    this.value = Number.NaN;
    switch (kind) {
      case 'text':
        this.to = this.bytes.indexOf(0, this.cursor);
        if (this.to < 0) throw cutOff(this, `the end of the text of group ${this.code}`);
        this.cursor = this.to + 1;
        return;
      case 'chunk':
        this.take(this.bytes[this.take(1)]!);
        return;
      case 'double':
        this.value = view.getFloat64(this.take(8), true);
        return;
      case 'int16':
        this.value = view.getInt16(this.take(2), true);
        return;
      case 'int32':
        this.value = view.getInt32(this.take(4), true);
        return;
      case 'int64':
        this.value = Number(view.getBigInt64(this.take(8), true));
        return;
      case 'byte':
        this.value = this.bytes[this.take(1)]!;
        return;
      case undefined:
        throw fault(
          this,
          `the group code ${this.code}`,
          'a group code of DXF, which says how long its value is',
        );
    }
  }

  /** The place of the next bytes, which are then gone by. */
  private take(size: number): number {
    const place = this.cursor;
    if (place + size > this.bytes.length) throw cutOff(this, 'the end of a value');
    this.cursor = place + size;
    return place;
  }

  number(): number {
    if (Number.isFinite(this.value)) return this.value;
    const what = Number.isNaN(this.value) ? 'no number (NaN)' : 'infinite';
    throw fault(this, `a value of group ${this.code} that is ${what}`, 'a number');
  }

  text(): string {
    return this.decoding.decode(this.bytes.subarray(this.from, this.to)).trim();
  }

  is(word: string): boolean {
    return this.text() === word;
  }

  setEncoding(version: string | undefined, codepage: string | undefined): void {
    this.decoding.set(version, codepage);
  }

  where(at: number): Where {
    return { file: this.path, element: this.place(at) };
  }

  place(at: number): string {
    return `byte ${at}`;
  }
}
