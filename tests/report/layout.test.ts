import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  columns,
  counted,
  fixed,
  listed,
  printable,
  shortened,
  signed,
  table,
  widthOf,
  wrapped,
} from '../../src/report/text/layout.js';

describe('a number for people', () => {
  it('has fixed decimals and no minus before zero', () => {
    expect(fixed(1.23456, 3)).toBe('1.235');
    expect(fixed(-0.0004, 3)).toBe('0.000');
    expect(fixed(-0.4, 0)).toBe('0');
    expect(fixed(-0.0006, 3)).toBe('-0.001');
  });

  it('carries its sign where it is a difference', () => {
    expect(signed(0.021, 3)).toBe('+0.021');
    expect(signed(-0.021, 3)).toBe('-0.021');
    expect(signed(0.0001, 3)).toBe('0.000');
  });

  it('is a dash where there is none', () => {
    expect(fixed(undefined, 3)).toBe('-');
    expect(signed(undefined, 3)).toBe('-');
  });
});

describe('text for a terminal', () => {
  it('is wrapped at 80 columns and loses no word', () => {
    fc.assert(
      fc.property(
        fc.array(fc.stringMatching(/^[a-zäöü,.]{1,30}$/), { minLength: 1, maxLength: 60 }),
        (words) => {
          const lines = wrapped(words.join(' '), '  - ');
          for (const line of lines) expect(widthOf(line)).toBeLessThanOrEqual(columns);
          expect(lines[0]!.startsWith('  - ')).toBe(true);
          const said = lines.map((line) => line.slice(4)).join(' ');
          expect(said.split(/\s+/).filter((w) => w !== '')).toEqual(words);
        },
      ),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('leaves a word that is too long whole', () => {
    const path = `out/${'x'.repeat(90)}.svg`;
    expect(wrapped(`see ${path} there`)).toEqual(['see', path, 'there']);
  });

  it('counts what takes two columns and what takes none', () => {
    expect(widthOf('Fächer')).toBe(6);
    expect(widthOf('Fa\u0308cher')).toBe(6);
    expect(widthOf('羊歯')).toBe(4);
  });

  it('shortens a long name in its middle', () => {
    expect(shortened('leaf-12', 16)).toBe('leaf-12');
    expect(shortened('frond-left-leaflet-17', 12)).toBe('frond-…et-17');
    for (const room of [3, 4, 5, 11, 20]) {
      expect(widthOf(shortened('羊歯の葉の一番目の開口部の名前', room))).toBeLessThanOrEqual(room);
    }
  });

  it('shows characters that a terminal would obey', () => {
    expect(printable(['a\u001b[31mb', 'c\u009bd\u202ee', 'f\ng'])).toBe(
      'a\\u001b[31mb\nc\\u009bd\\u202ee\nf\\u000ag',
    );
  });
});

describe('a table', () => {
  it('aligns words to the left and numbers to the right', () => {
    const lines = table(
      [
        { title: 'mark', align: 'left' },
        { title: 'x', align: 'right' },
      ],
      [
        ['A', '1.000'],
        ['corner', '112.420'],
      ],
    );
    expect(lines).toEqual(['  mark          x', '  A         1.000', '  corner  112.420']);
  });
});

describe('counts and lists', () => {
  it('know one from many', () => {
    expect([counted(1, 'path'), counted(2, 'path'), counted(0, 'copy', 'copies')]).toEqual([
      '1 path',
      '2 paths',
      '0 copies',
    ]);
  });

  it('name a few and count the rest', () => {
    expect(listed(['a'])).toBe('a');
    expect(listed(['a', 'b', 'c'])).toBe('a, b and c');
    expect(listed(['a', 'b', 'c', 'd'], 2)).toBe('a, b and 2 more');
  });
});
