/** From bytes to text: UTF-8, with or without a byte order mark. */
import { InputError } from './messages.js';

/**
 * The text of a file, without its byte order mark.
 * @throws InputError for UTF-16, for bytes that are no text and for text in another encoding (with
 * its line).
 */
export const decodeText = (bytes: Uint8Array, path: string): string => {
  const next = 'Save the file as UTF-8 text and try again.';
  if ((bytes[0] === 0xff && bytes[1] === 0xfe) || (bytes[0] === 0xfe && bytes[1] === 0xff)) {
    throw new InputError({ found: 'text in UTF-16', expected: 'text in UTF-8', where: { file: path }, next });
  }
  const zero = bytes.indexOf(0);
  if (zero >= 0) {
    const found = `a zero byte (byte ${zero + 1}), as in UTF-16 without its mark or in a file that is no text`;
    throw new InputError({ found, expected: 'text in UTF-8', where: { file: path }, next });
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(bytes);
  } catch {
    const found = 'bytes that are no UTF-8';
    throw new InputError({
      found,
      expected: 'text in UTF-8',
      where: { file: path, line: firstBadLine(bytes) },
      next,
    });
  }
};

/** A line feed is never part of a longer UTF-8 sequence, so the lines can be tried one by one. */
const firstBadLine = (bytes: Uint8Array): number => {
  const decoder = new TextDecoder('utf-8', { fatal: true });
  let line = 1;
  for (let from = 0; ; line += 1) {
    const end = bytes.indexOf(0x0a, from);
    try {
      decoder.decode(bytes.subarray(from, end < 0 ? bytes.length : end));
    } catch {
      return line;
    }
    if (end < 0) return line;
    from = end + 1;
  }
};
