import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { readReadingsTable } from '../../src/job/read/readings-table.js';
import { messageOf } from './message-of.js';

const read = (table: string): unknown =>
  readReadingsTable(table, 'fern.csv').map(({ mark, at, line }) => [
    mark,
    line,
    ...at.map(({ x, y }) => [x, y]),
  ]);

const two = [
  ['A', 1, [112.42, 96.1]],
  ['B', 2, [671.93, -4.5]],
];

describe('A table of readings', () => {
  test.each([
    ['commas and decimal points', 'A,112.42,96.1\nB,671.93,-4.5\n'],
    ['semicolons and decimal points', 'A;112.42;96.1\nB;671.93;-4.5'],
    ['semicolons and decimal commas', 'A;112,42;96,1\nB;671,93;-4,5'],
    ['tabs and decimal commas', 'A\t112,42\t96,1\nB\t671,93\t-4,5'],
    ['tabs and decimal points', 'A\t112.42\t96.1\nB\t671.93\t-4.5'],
    ['quoted decimal commas between commas', 'A,"112,42","96,1"\nB,"671,93","-4,5"'],
    ['quotes around everything', '"A";"112.42";"96.1"\n"B";"671.93";"-4.5"'],
    ['Windows line ends and a byte order mark', '\uFEFFA,112.42,96.1\r\nB,671.93,-4.5\r\n'],
    ['old line ends', 'A,112.42,96.1\rB,671.93,-4.5\r'],
    ['blanks around the cells', ' A , 112.42 ,96.1 \n "B" , 671.93,  -4.5'],
    ['empty cells at the end of the rows', 'A;112.42;96.1;;\nB;671.93;-4.5;'],
    ['a plus sign, an exponent, a bare point', 'A,+1.1242e2,96.10\nB,671.930,-4.5E0'],
  ])('may have %s', (_what, table) => {
    expect(read(table)).toEqual(two);
  });

  test.each([
    'sep=;\r\nA;112,42;96,1\r\nB;671,93;-4,5',
    '"sep=;"\nA;112.42;96.1\nB;671.93;-4.5',
    'sep=,\n"A",112.42,96.1\nB,671.93,-4.5',
  ])('may state its separator in a first line: %j', (table) => {
    const points = readReadingsTable(table, 'fern.csv').map(({ mark, at }) => [mark, at[0]]);
    expect(points).toEqual([
      ['A', { x: 112.42, y: 96.1 }],
      ['B', { x: 671.93, y: -4.5 }],
    ]);
  });

  test('may begin with the names of its columns, in any order and case', () => {
    expect(read('Mark;X;Y\nA;1;2')).toEqual([['A', 2, [1, 2]]]);
    expect(read('y,x,mark\n2,1,A')).toEqual([['A', 2, [1, 2]]]);
    expect(read('# taken on Monday\n\nx\ty\tmark\n\n1\t2\tA\n')).toEqual([['A', 5, [1, 2]]]);
  });

  test('passes over blank lines, rows of empty cells and comments, and still counts them', () => {
    expect(read('\n# pass 1\n  # still\nA,1,2\n\n,,\nB,3,4\n#C,5,6')).toEqual([
      ['A', 4, [1, 2]],
      ['B', 7, [3, 4]],
    ]);
  });

  test('gathers the repeated readings of a mark in their order', () => {
    expect(read('B,1,2\nA,3,4\nB,5,6\nB,7,8')).toEqual([
      ['B', 1, [1, 2], [5, 6], [7, 8]],
      ['A', 2, [3, 4]],
    ]);
  });

  test('may have marks named like numbers, columns or comments', () => {
    expect(read('1,10,20\n01,30,40')).toEqual([
      ['1', 1, [10, 20]],
      ['01', 2, [30, 40]],
    ]);
    expect(read('x,10,20\ny,30,40')).toEqual([
      ['x', 1, [10, 20]],
      ['y', 2, [30, 40]],
    ]);
    expect(read('"#1",10,20\n"a ""b"", c",30,40')).toEqual([
      ['#1', 1, [10, 20]],
      ['a "b", c', 2, [30, 40]],
    ]);
  });

  test.each([
    ['nothing', '', 'fern.csv no row; expected rows of mark, x, y. Write one reading on each line.'],
    [
      'comments only',
      '# A,1,2\n',
      'fern.csv no row; expected rows of mark, x, y. Write one reading on each line.',
    ],
    [
      'column names only',
      '\nmark,x,y\n',
      'fern.csv:2 column names only; expected rows of mark, x, y. Write one reading on each line.',
    ],
    [
      'a column that is not known',
      'mark,x,y,remark\nA,1,2,clear',
      'fern.csv:1 the column "remark"; expected the columns mark, x, y and perhaps direction. Name the columns mark, x and y, and remove others; a remark may stand on a line of its own that begins with #.',
    ],
    [
      'a column that is missing',
      'mark,x\nA,1',
      'fern.csv:1 no column y; expected the columns mark, x and y. Correct the row of column names.',
    ],
    [
      'a column that comes twice',
      'mark,x,x,y\nA,1,1,2',
      'fern.csv:1 the column x twice; expected the columns mark, x and y. Correct the row of column names.',
    ],
    [
      'other column names',
      'name,xpos,ypos\nA,1,2',
      'fern.csv:1 the column "name"; expected the columns mark, x, y and perhaps direction. Name the columns mark, x and y, and remove others; a remark may stand on a line of its own that begins with #.',
    ],
    [
      'commas both ways',
      'A,1,5,2,5\n',
      'fern.csv:1 5 columns, perhaps decimal commas between separating commas; expected mark, x and y. Separate the columns by semicolons, or write decimal points.',
    ],
    [
      'a comma both ways in one number',
      'A,1,2\nB,1,5,2',
      'fern.csv:2 4 columns, perhaps decimal commas between separating commas; expected mark, x and y. Separate the columns by semicolons, or write decimal points.',
    ],
    [
      'a remark behind a reading',
      'A;1;2;clear\n',
      'fern.csv:1 4 columns; expected mark, x and y. Remove what is more; a remark may stand on a line of its own that begins with #.',
    ],
    [
      'a comment behind a reading',
      'A;1;2 # clear\n',
      'fern.csv:1 y is "2 # clear"; expected a number in mm. Put the remark on a line of its own that begins with #.',
    ],
    [
      'one number for a mark',
      'A;1;2\nB;1\n',
      'fern.csv:2 2 columns; expected mark, x and y. Separate mark, x and y by commas, semicolons or tabs.',
    ],
    [
      'blanks between the columns',
      'A 1 2\n',
      'fern.csv:1 one column; expected mark, x and y. Separate mark, x and y by commas, semicolons or tabs.',
    ],
    [
      'commas in a row of a table with semicolons',
      'A;1;2\nB,3,4\n',
      'fern.csv:2 one column; expected mark, x and y. Separate mark, x and y by commas, semicolons or tabs.',
    ],
    [
      'no name',
      'A,1,2\n,3,4',
      'fern.csv:2 no mark; expected the name of a mark. Write the name in its column.',
    ],
    [
      'a name with invisible characters',
      'A\u200b,1,2',
      'fern.csv:1 the mark "A\\u200b"; expected a name of visible characters. Correct the name.',
    ],
    [
      'an empty number',
      'A,1,2\nB,,4',
      'fern.csv:2 x is ""; expected a number in mm. Fill in the reading, or remove the row.',
    ],
    [
      'a letter for a digit',
      'A,1,2\nB,3,4o',
      'fern.csv:2 y is "4o"; expected a number in mm. Write digits with a decimal point or comma.',
    ],
    [
      'signs between thousands',
      'A;1.234,5;2\n',
      'fern.csv:1 x is "1.234,5"; expected a number in mm. Write no signs between thousands.',
    ],
    ['a unit', 'A,1 mm,2\n', 'fern.csv:1 x is "1 mm"; expected a number in mm. Write the bare number.'],
    [
      'both decimal signs',
      'A;1,5;2\n# again\nB;1.5;2',
      'fern.csv:3 x is 1.5, although line 1 has a decimal comma; expected one decimal sign in the whole table. Write all numbers alike, without signs between thousands.',
    ],
    [
      'a number beyond double precision',
      'A,1e999,2',
      'fern.csv:1 x is 1e999; expected a number in mm between -100000 and 100000. Correct the number.',
    ],
    [
      'a coordinate a kilometre out',
      'A,1,-1000000',
      'fern.csv:1 y is -1000000; expected a number in mm between -100000 and 100000. Correct the number.',
    ],
    [
      'not a number',
      'A,NaN,1',
      'fern.csv:1 x is "NaN"; expected a number in mm. Write digits with a decimal point or comma.',
    ],
    [
      'a quote that is not closed',
      '"A,1,2\nB,3,4',
      'fern.csv:1 a quote that is not closed; expected a " at the end of the cell. Close it on the same line.',
    ],
    [
      'a letter behind a quote',
      '"A"b,1,2',
      'fern.csv:1 "b,1,2" behind a closing quote; expected the end of the cell. Double a quote that belongs to the name: "".',
    ],
  ])('is refused for %s', (_what, table, message) => {
    expect(messageOf(() => readReadingsTable(table, 'fern.csv'))).toBe(message);
  });

  test('is refused when it is longer than any table of readings', () => {
    const rows = 'A,1,2\n'.repeat(2_700_000);
    expect(messageOf(() => readReadingsTable(rows, 'fern.csv'))).toBe(
      'fern.csv:1 16200000 characters; expected at most 16000000. Name the file of readings itself.',
    );
  });

  test('reads back identically however any marks and numbers were written', () => {
    const name = fc
      .string({ unit: fc.constantFrom(...'ABxy mark019.,;#"\'é-_'), minLength: 1, maxLength: 6 })
      .map((text) => text.trim())
      .filter((text) => text !== '');
    // 0 + -0 is 0: no table tells the two apart.
    const coordinate = fc
      .oneof(
        fc.double({ min: -100_000, max: 100_000, noNaN: true }),
        fc.integer({ min: -10_000_000, max: 10_000_000 }).map((hundredths) => hundredths / 100),
      )
      .map((value) => 0 + value);
    const rows = fc.array(fc.record({ mark: name, x: coordinate, y: coordinate }), {
      minLength: 1,
      maxLength: 8,
    });
    const dialect = fc.record({
      separator: fc.constantFrom(',', ';', '\t'),
      decimal: fc.constantFrom('.', ','),
      lineEnd: fc.constantFrom('\n', '\r\n', '\r'),
      header: fc.constantFrom(undefined, ['mark', 'x', 'y'], ['y', 'mark', 'x'], ['x', 'y', 'mark']),
      quoteAll: fc.boolean(),
      noise: fc.constantFrom('', '# a remark, with; all\tsigns "', '   '),
      mark: fc.constantFrom('', '\uFEFF'),
    });
    fc.assert(
      fc.property(
        rows,
        dialect,
        (readings, { separator, decimal, lineEnd, header, quoteAll, noise, mark }) => {
          const needsQuotes = (text: string): boolean => quoteAll || /^#|[",;\t]/.test(text);
          const cell = (text: string): string =>
            needsQuotes(text) ? `"${text.replaceAll('"', '""')}"` : text;
          const number = (value: number): string => {
            const text = String(value).replace('.', decimal);
            return text.includes(separator) || quoteAll ? `"${text}"` : text;
          };
          const order = header ?? ['mark', 'x', 'y'];
          const lines = readings.map((row) => {
            const cells = { mark: cell(row.mark), x: number(row.x), y: number(row.y) };
            return order.map((column) => cells[column as keyof typeof cells]).join(separator);
          });
          const all = [...(header ? [header.join(separator)] : []), ...lines].flatMap((line) => [
            line,
            noise,
          ]);
          const expected = new Map<string, { x: number; y: number }[]>();
          for (const { mark: name, x, y } of readings)
            expected.set(name, [...(expected.get(name) ?? []), { x, y }]);
          const back = readReadingsTable(mark + all.join(lineEnd), 'fern.csv');
          expect(back.map(({ mark: name, at }) => [name, at])).toEqual([...expected]);
        },
      ),
      { seed: 20261125, numRuns: 1000 },
    );
  });
});
