/** Reads a drawing, whatever its format. */
import type { LengthUnit, PixelsToInch } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { readDxf } from './dxf/read-dxf.js';
import { isBinaryDxf } from './dxf/tags/binary-tags.js';
import { edgeSdInDxf } from './edge-sd.js';
import type { Drawing } from './model/drawing.js';
import { lineOf } from './model/left-out.js';
import { readSvg } from './svg/svg.js';

export interface ReadOptions {
  readonly path: string;
  readonly units?: LengthUnit;
  readonly dpi?: PixelsToInch;
}

/**
 * @param options.units length of a unit of the drawing where it states none; where it contradicts
 * the drawing, it wins
 * @param options.dpi px to the inch of a drawing in px
 * @throws InputError for a file that is empty, of no known format, wrong in itself, or without
 * anything to take
 */
export const readDrawing = (bytes: Uint8Array, options: ReadOptions): Drawing => {
  const { path } = options;
  if (bytes.length === 0) {
    throw new InputError({
      found: 'an empty file',
      expected: 'a drawing in SVG or DXF',
      where: { file: path, line: 1 },
      next: 'Export the drawing again.',
    });
  }
  if (bytes[0] === 0x1f && bytes[1] === 0x8b) {
    throw new InputError({
      found: 'a compressed file (gzip, as in .svgz)',
      expected: 'a drawing in plain SVG or DXF',
      where: { file: path },
      next: 'Unpack the file, or export the drawing as plain SVG.',
    });
  }
  if (isSvg(bytes, path)) {
    const drawing = readSvg(bytes, options);
    if (drawing.shapes.length === 0) throw nothingDrawn(drawing, bytes);
    return drawing;
  }
  const isDwg = looksLikeDwg(bytes);
  if (!isDwg && (isBinaryDxf(bytes) || looksLikeDxf(bytes) || /\.dxf$/i.test(path))) {
    const edgeSd = edgeSdInDxf(bytes);
    const drawing = readDxf(bytes, options);
    return edgeSd === undefined ? drawing : { ...drawing, edgeSd };
  }
  throw new InputError({
    found: isDwg
      ? 'a DWG file, which only its own programs read'
      : (otherFormat(bytes) ?? 'a file of unknown format'),
    expected: 'a drawing in SVG (.svg) or DXF (.dxf)',
    where: { file: path, line: 1 },
    next: 'Export the drawing as SVG or DXF.',
  });
};

/** Formats that people hand in, by their first bytes. */
const otherFormats: readonly [RegExp, string][] = [
  [/^%PDF/, 'a PDF file'],
  [/^%!PS/, 'a PostScript file'],
  [/^.PNG|^\xff\xd8\xff|^GIF8|^BM/, 'a picture of pixels, which has no lines to follow'],
  [/^PK./, 'an archive, or a file of an office program'],
];

const otherFormat = (bytes: Uint8Array): string | undefined => {
  const start = String.fromCharCode(...bytes.subarray(0, 8));
  return otherFormats.find(([pattern]) => pattern.test(start))?.[1];
};

/** Whether a drawing is read as SVG rather than as DXF. */
export const isSvg = (bytes: Uint8Array, path: string): boolean =>
  looksLikeXml(bytes) || /\.svg$/i.test(path);

const nothingDrawn = ({ path, leftOut }: Drawing, bytes: Uint8Array): InputError => {
  const [first] = leftOut;
  const found =
    first === undefined
      ? 'a drawing without a single shape'
      : `a drawing of which nothing can be taken (first ${first.what} at ${first.where.split(';')[0]}: ${first.why})`;
  return new InputError({
    found,
    expected: 'paths, lines, circles or other basic shapes',
    where: { file: path, line: lineOfRoot(bytes), ...lineOf(first) },
    next: 'Export the drawing again with the edges that are to be cut.',
  });
};

/** Where the outermost element begins, as far as its bytes are those of letters. */
const lineOfRoot = (bytes: Uint8Array): number => {
  const head = String.fromCharCode(...bytes.subarray(0, 10_000));
  return head.slice(0, Math.max(0, head.search(/<([\w.-]+:)?svg\b/))).split(/\r\n|\r|\n/).length;
};

/**
 * The first character that is not blank is a `<`; byte order marks and the zero bytes of UTF-16 are
 * passed over.
 */
const looksLikeXml = (bytes: Uint8Array): boolean => {
  const passed = new Set([0xef, 0xbb, 0xbf, 0xff, 0xfe, 0, 32, 9, 10, 13]);
  return bytes.find((byte) => !passed.has(byte)) === 0x3c;
};

/** Text whose first line is the group code of a first tag: 0, or 999 for a comment. */
const looksLikeDxf = (bytes: Uint8Array): boolean =>
  /^(\xef\xbb\xbf)?[ \t]*(0|999)[ \t]*[\r\n]/.test(String.fromCharCode(...bytes.subarray(0, 64)));

/** A DWG file begins with its version: AC10 and two more digits. */
const looksLikeDwg = (bytes: Uint8Array): boolean =>
  /^AC10[0-9]{2}/.test(String.fromCharCode(...bytes.subarray(0, 6)));
