/** Reads a drawing, whatever its format. */
import type { LengthUnit } from '../job/job.js';
import { InputError } from '../job/messages.js';
import type { Drawing } from './drawing.js';
import { readSvg } from './svg.js';

/**
 * @param options.units length of a unit of the drawing where it states none; where it contradicts the drawing, it wins
 * @throws InputError for a file that is empty, of no known format, or wrong in itself
 */
export const readDrawing = (
  bytes: Uint8Array,
  options: { readonly path: string; readonly units?: LengthUnit },
): Drawing => {
  const { path } = options;
  if (bytes.length === 0) {
    throw new InputError({
      found: 'an empty file',
      expected: 'a drawing in SVG',
      where: { file: path },
      next: 'Export the drawing again.',
    });
  }
  if (bytes[0] === 0x1f && bytes[1] === 0x8b) {
    throw new InputError({
      found: 'a compressed file (gzip, as in .svgz)',
      expected: 'a drawing in plain SVG',
      where: { file: path },
      next: 'Unpack the file, or export the drawing as plain SVG.',
    });
  }
  if (looksLikeXml(bytes) || /\.svg$/i.test(path)) return readSvg(bytes, options);
  throw new InputError({
    found: 'a file of unknown format',
    expected: 'a drawing in SVG (.svg)',
    where: { file: path },
    next: 'Export the drawing as SVG.',
  });
};

/** The first character that is not blank is a `<`; byte order marks and the zero bytes of UTF-16 are passed over. */
const looksLikeXml = (bytes: Uint8Array): boolean => {
  const passed = new Set([0xef, 0xbb, 0xbf, 0xff, 0xfe, 0, 32, 9, 10, 13]);
  return bytes.find((byte) => !passed.has(byte)) === 0x3c;
};
