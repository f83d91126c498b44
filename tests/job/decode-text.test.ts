import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { decodeText } from '../../src/job/decode-text.js';
import { besideJob } from '../../src/job/files.js';
import { messageOf } from './message-of.js';

const bytes = (...parts: (string | number[])[]): Uint8Array =>
  Uint8Array.from(
    parts.flatMap((part) => (typeof part === 'string' ? [...new TextEncoder().encode(part)] : part)),
  );

describe('Text of a file', () => {
  test('is read as UTF-8, whatever it says', () => {
    const text = fc
      .string({ unit: 'binary', maxLength: 50 })
      .filter((s) => !s.includes('\0') && !s.startsWith('\uFEFF'));
    fc.assert(
      fc.property(text, (s) => {
        expect(decodeText(bytes(s), 'a')).toBe(s);
      }),
      { seed: 20261125, numRuns: 500 },
    );
  });

  test('loses its byte order mark', () => {
    expect(decodeText(bytes([0xef, 0xbb, 0xbf], 'Färn'), 'a')).toBe('Färn');
  });

  test.each<[what: string, content: Uint8Array, message: string]>([
    [
      'UTF-16, low byte first',
      bytes([0xff, 0xfe, 0x61, 0]),
      'fern.csv text in UTF-16; expected text in UTF-8. Save the file as UTF-8 text and try again.',
    ],
    [
      'UTF-16, high byte first',
      bytes([0xfe, 0xff, 0, 0x61]),
      'fern.csv text in UTF-16; expected text in UTF-8. Save the file as UTF-8 text and try again.',
    ],
    [
      'UTF-16 without its mark',
      bytes([0x61, 0, 0x62, 0]),
      'fern.csv a zero byte (byte 2), as in UTF-16 without its mark or in a file that is no text; expected text in UTF-8. Save the file as UTF-8 text and try again.',
    ],
    [
      'an older encoding, with its line',
      bytes('A;1;2\r\nB;3;4\r\nM', [0xfc], 'hle;5;6\r\n'),
      'fern.csv:3 bytes that are no UTF-8; expected text in UTF-8. Save the file as UTF-8 text and try again.',
    ],
    [
      'a character cut off at the end',
      bytes('A\nB', [0xc3]),
      'fern.csv:2 bytes that are no UTF-8; expected text in UTF-8. Save the file as UTF-8 text and try again.',
    ],
  ])('is refused for %s', (_what, content, message) => {
    expect(messageOf(() => decodeText(content, 'fern.csv'))).toBe(message);
  });
});

test.each([
  ['jobs/fern.yaml', 'fern.csv', 'jobs/fern.csv'],
  ['fern.yaml', './fern.csv', 'fern.csv'],
  ['jobs/fern.yaml', '../bed.yaml', 'jobs/../bed.yaml'],
  ['jobs/fern.yaml', '/home/bed.yaml', '/home/bed.yaml'],
  ['C:\\jobs\\fern.yaml', 'bed.yaml', 'C:\\jobs\\bed.yaml'],
  ['jobs/fern.yaml', 'D:\\bed.yaml', 'D:\\bed.yaml'],
])('A file named in %s as %s is called %s in messages', (job, written, shown) => {
  expect(besideJob(job, written)).toBe(shown);
});
