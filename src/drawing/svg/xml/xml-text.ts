/** The bytes of an XML file as text, piece by piece. */
import { InputError } from '../../../job/messages.js';

/** The one global of browser and node alike that is used here. */
type Decoder = InstanceType<typeof TextDecoder>;

const pieceSize = 65_536;

/** Names that programs on Windows write and the WHATWG list lacks. */
const windowsPages: ReadonlyMap<string, string> = new Map([
  ['cp932', 'shift_jis'],
  ['cp936', 'gbk'],
  ['cp949', 'euc-kr'],
  ['cp950', 'big5'],
]);

/**
 * The text of the file in pieces, without its byte order mark. `line` tells how far the reader has
 * come.
 */
export function* decodePieces(bytes: Uint8Array, path: string, line: () => number): Generator<string> {
  const decoder = decoderFor(bytes, path);
  for (let from = 0; from < bytes.length; from += pieceSize) {
    const end = Math.min(bytes.length, from + pieceSize);
    yield decode(decoder, bytes.subarray(from, end), end < bytes.length, path, line());
  }
}

/** The whole text at once, for messages. */
export const decodeWhole = (bytes: Uint8Array, path: string): string =>
  decode(decoderFor(bytes, path), bytes, false, path, 1);

const decode = (decoder: Decoder, bytes: Uint8Array, stream: boolean, path: string, line: number): string => {
  try {
    return decoder.decode(bytes, { stream });
  } catch {
    // A decoder that was asked to be strict throws a TypeError for bytes outside its encoding, and
    // nothing else.
    const at = decoder.encoding === 'utf-8' ? line + linesBefore(bytes) : line;
    throw new InputError({
      found: `bytes that are no ${decoder.encoding.toUpperCase()} text${at === line ? `, in line ${line} or after it` : ''}`,
      expected: 'a text file in the encoding it states (UTF-8 if it states none)',
      where: { file: path, line: at },
      next: 'Export the drawing again as plain SVG in UTF-8.',
    });
  }
};

/** Lines of a piece of UTF-8 before the first that is none. */
const linesBefore = (piece: Uint8Array): number => {
  const decoder = strict('utf-8');
  let from = 0;
  // The first bytes may be the rest of a letter that began in the piece before.
  while (from < 4 && (piece[from]! & 0xc0) === 0x80) from += 1;
  for (let lines = 0; ; lines += 1) {
    const end = piece.indexOf(10, from);
    if (end < 0) return lines;
    try {
      decoder.decode(piece.subarray(from, end));
    } catch {
      return lines;
    }
    from = end + 1;
  }
};

/**
 * By byte order mark, then by the pattern of the first two bytes, then by the XML declaration; else
 * UTF-8.
 */
const decoderFor = (bytes: Uint8Array, path: string): Decoder => {
  const [first, second] = bytes;
  if ((first === 0xfe && second === 0xff) || (first === 0 && second === 0x3c)) return strict('utf-16be');
  if ((first === 0xff && second === 0xfe) || (first === 0x3c && second === 0)) return strict('utf-16le');
  if (first === 0xef && second === 0xbb) return strict('utf-8');
  const head = String.fromCharCode(...bytes.subarray(0, 200));
  const stated = /^\s*<\?xml[^>]*?\sencoding\s*=\s*["']([^"'>]*)["']/.exec(head)?.[1] ?? 'utf-8';
  const label = windowsPages.get(stated.toLowerCase()) ?? stated;
  // These bytes were just read as ASCII, so a file that calls itself UTF-16 is not.
  if (/^utf-?16/i.test(label)) return strict('utf-8');
  try {
    return strict(label);
  } catch {
    throw new InputError({
      found: `the encoding ${label.slice(0, 40)}`,
      expected: 'UTF-8, UTF-16 or another encoding of the WHATWG list',
      where: { file: path, line: 1 },
      next: 'Save the drawing as UTF-8.',
    });
  }
};

const strict = (label: string): Decoder => new TextDecoder(label, { fatal: true });
