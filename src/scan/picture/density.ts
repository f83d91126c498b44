/**
 * How large the pixels of a file are, as exactly as it says so: pHYs of PNG (W3C PNG 11.3.4.3), JFIF (ITU-T T.871), Exif and
 * TIFF tags 274, 282, 283 and 296 (TIFF 6.0). No number is rounded: 11811 and 11820 pixels to the metre differ by 0.2 mm
 * over 300.
 */
import { InputError } from '../../job/messages.js';

/** Pixels to the millimetre along the rows and the columns as they are stored. */
export interface Density {
  readonly x: number;
  readonly y: number;
  /** Which entry of the file says so. */
  readonly source: string;
}

export interface StoredDensity {
  readonly density?: Density;
  /** 1..8: how the stored rows lie in the picture (Exif). */
  readonly orientation: number;
  /** An entry that names a ratio only, or no unit. */
  readonly unitless?: string;
}

const perInch = 1 / 25.4;

/** @throws InputError where the file says two different things */
export const storedDensity = (bytes: Uint8Array, file: string): StoredDensity => {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (startsWith(bytes, [0x89, 0x50, 0x4e, 0x47])) return ofPng(bytes, view);
  if (startsWith(bytes, [0xff, 0xd8])) return ofJpeg(bytes, view, file);
  if (startsWith(bytes, [0x49, 0x49, 42, 0]) || startsWith(bytes, [0x4d, 0x4d, 0, 42]))
    return ofTiff(view, 'TIFF tags');
  return { orientation: 1 };
};

const startsWith = (bytes: Uint8Array, head: readonly number[]): boolean =>
  head.every((b, i) => bytes[i] === b);

const ofPng = (bytes: Uint8Array, view: DataView): StoredDensity => {
  let found: StoredDensity = { orientation: 1 };
  for (let at = 8; at + 12 <= bytes.length; ) {
    const length = view.getUint32(at);
    const type = String.fromCharCode(...bytes.subarray(at + 4, at + 8));
    if (at + 12 + length > bytes.length) break;
    if (type === 'pHYs' && length >= 9) {
      const x = view.getUint32(at + 8) / 1000;
      const y = view.getUint32(at + 12) / 1000;
      found =
        bytes[at + 16] === 1
          ? { ...found, density: { x, y, source: 'pHYs' } }
          : { ...found, unitless: 'pHYs without a unit' };
    } else if (type === 'eXIf') {
      const exif = ofTiff(new DataView(view.buffer, view.byteOffset + at + 8, length), 'Exif');
      found = { ...exif, ...found, orientation: exif.orientation };
    } else if (type === 'IEND') break;
    at += 12 + length;
  }
  return found;
};

const ofJpeg = (bytes: Uint8Array, view: DataView, file: string): StoredDensity => {
  let jfif: Density | undefined;
  let unitless: string | undefined;
  let exif: StoredDensity = { orientation: 1 };
  for (let at = 2; at + 4 <= bytes.length && bytes[at] === 0xff; ) {
    const marker = bytes[at + 1]!;
    if (marker === 0xff) {
      at += 1;
      continue;
    }
    if (marker === 0xda || marker === 0xd9) break;
    const length = view.getUint16(at + 2);
    const end = at + 2 + length;
    if (end > bytes.length) break;
    const named = (name: string): boolean => [...name].every((c, i) => bytes[at + 4 + i] === c.charCodeAt(0));
    if (marker === 0xe0 && named('JFIF\0') && length >= 14) {
      const unit = bytes[at + 11];
      const scale = unit === 1 ? perInch : unit === 2 ? 0.1 : undefined;
      if (scale === undefined) unitless = 'JFIF without a unit';
      else jfif = { x: view.getUint16(at + 12) * scale, y: view.getUint16(at + 14) * scale, source: 'JFIF' };
    } else if (marker === 0xe1 && named('Exif\0\0'))
      exif = ofTiff(new DataView(view.buffer, view.byteOffset + at + 10, length - 8), 'Exif');
    at = end;
  }
  const { density = jfif } = exif;
  if (jfif !== undefined && exif.density !== undefined && contradict(jfif, exif.density)) {
    throw new InputError({
      found: `two densities, ${inWords(jfif)} (JFIF) and ${inWords(exif.density)} (Exif)`,
      expected: 'one',
      where: { file },
      next: 'Say which one holds, as in --dpi 600.',
    });
  }
  return {
    orientation: exif.orientation,
    ...(density === undefined ? {} : { density }),
    ...(unitless === undefined ? {} : { unitless }),
  };
};

/** JFIF has whole numbers only. */
const contradict = (jfif: Density, exif: Density): boolean =>
  Math.abs(jfif.x - exif.x) * 25.4 > 1.3 || Math.abs(jfif.y - exif.y) * 25.4 > 1.3;

/** 600 to the inch */
export const inWords = ({ x, y }: Pick<Density, 'x' | 'y'>): string => {
  const shown = (v: number): string => `${Number((v * 25.4).toFixed(3))}`;
  return x === y ? `${shown(x)} to the inch` : `${shown(x)} x ${shown(y)} to the inch`;
};

const ofTiff = (view: DataView, source: string): StoredDensity => {
  const size = view.byteLength;
  if (size < 8) return { orientation: 1 };
  const little = view.getUint16(0) === 0x4949;
  const first = view.getUint32(4, little);
  if (first + 2 > size) return { orientation: 1 };
  const count = view.getUint16(first, little);
  let x: number | undefined;
  let y: number | undefined;
  let unit = 2;
  let orientation = 1;
  for (let i = 0; i < count; i += 1) {
    const at = first + 2 + 12 * i;
    if (at + 12 > size) break;
    const tag = view.getUint16(at, little);
    const rational = (): number | undefined => {
      const where = view.getUint32(at + 8, little);
      return where + 8 > size ? undefined : view.getUint32(where, little) / view.getUint32(where + 4, little);
    };
    if (tag === 274) orientation = view.getUint16(at + 8, little);
    else if (tag === 282) x = rational();
    else if (tag === 283) y = rational();
    else if (tag === 296) unit = view.getUint16(at + 8, little);
  }
  const right = orientation >= 1 && orientation <= 8 ? orientation : 1;
  if (x === undefined && y === undefined) return { orientation: right };
  if (unit !== 2 && unit !== 3) return { orientation: right, unitless: `${source} without a unit` };
  const scale = unit === 2 ? perInch : 0.1;
  return { orientation: right, density: { x: (x ?? y)! * scale, y: (y ?? x)! * scale, source } };
};
