/** Readings from a table: rows of mark, x, y as a spreadsheet or an editor leaves them. */
import type { Point } from '../geometry/point.js';
import { largestCoordinate } from './fields.js';
import type { JobReading } from './job.js';
import { InputError } from './messages.js';
import { hasInvisible, quoted } from './quoted.js';

/** Longer than any list of readings taken by hand. */
const longestText = 16_000_000;

type Separator = ',' | ';' | '\t';

interface Row {
  readonly line: number;
  readonly cells: readonly string[];
}

/**
 * The readings of a table in the order of their marks' first rows; repeated rows of a mark are repeated readings.
 *
 * One separator throughout: a tab if the first row has one, else a semicolon, else a comma. Numbers have a decimal
 * point or a decimal comma, the same in the whole table; a decimal comma in a table separated by commas needs quotes.
 * A first row of names may stand in any order. Cells may stand in double quotes ("" for a quote); blank lines, lines
 * that begin with #, a byte order mark and empty cells at the end of a row are passed over.
 * @throws InputError with file and line. A column beside mark, x and y is refused: what it says would be lost.
 */
export const readReadingsTable = (table: string, file: string): JobReading[] => {
  const fault = (line: number, found: string, expected: string, next: string): InputError =>
    new InputError({ found, expected, where: { file, line }, next });
  if (table.length > longestText) {
    throw fault(
      1,
      `${table.length} characters`,
      `at most ${longestText}`,
      'Name the file of readings itself.',
    );
  }
  const rows = rowsOf(table, fault);
  if (rows.length === 0) {
    throw new InputError({
      found: 'no row',
      expected: 'rows of mark, x, y',
      where: { file },
      next: 'Write one reading on each line.',
    });
  }
  const order = columnOrder(rows[0]!, fault);
  const dataRows = order ? rows.slice(1) : rows;
  const [markColumn, xColumn, yColumn] = order ?? [0, 1, 2];
  const numbers = numberReader(fault);
  const readings = new Map<string, { at: Point[]; line: number }>();
  for (const { line, cells } of dataRows) {
    if (cells.length !== 3) throw columnFault(line, cells, fault);
    const mark = cells[markColumn]!;
    if (mark === '') throw fault(line, 'no mark', 'the name of a mark', 'Write the name in its column.');
    if (hasInvisible(mark)) {
      throw fault(line, `the mark ${quoted(mark)}`, 'a name of visible characters', 'Correct the name.');
    }
    const at = { x: numbers(cells[xColumn]!, 'x', line), y: numbers(cells[yColumn]!, 'y', line) };
    const known = readings.get(mark);
    if (known) known.at.push(at);
    else readings.set(mark, { at: [at], line });
  }
  if (readings.size === 0) {
    throw fault(rows[0]!.line, 'column names only', 'rows of mark, x, y', 'Write one reading on each line.');
  }
  return [...readings].map(([mark, { at, line }]) => ({ mark, at, line }));
};

type FaultAt = (line: number, found: string, expected: string, next: string) => InputError;

const rowsOf = (table: string, fault: FaultAt): Row[] => {
  const lines = table.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const rows: Row[] = [];
  let separator: Separator | undefined;
  for (const [index, content] of lines.entries()) {
    if (content.trim() === '' || content.trimStart().startsWith('#')) continue;
    separator ??= separatorOf(content);
    const cells = cellsOf(content, separator, index + 1, fault);
    while (cells.length > 3 && cells.at(-1) === '') cells.pop();
    if (cells.some((cell) => cell !== '')) rows.push({ line: index + 1, cells });
  }
  return rows;
};

const separatorOf = (content: string): Separator => {
  const bare = content.replace(/"[^"]*"/g, '');
  if (bare.includes('\t')) return '\t';
  return bare.includes(';') ? ';' : ',';
};

/** Cells without the blanks around them. */
const cellsOf = (content: string, separator: Separator, line: number, fault: FaultAt): string[] => {
  const cells: string[] = [];
  let rest = content;
  for (;;) {
    const opened = /^[ ]*"/.exec(rest);
    let cell: string;
    if (opened) {
      const closed = /^((?:[^"]|"")*)"[ ]*/.exec(rest.slice(opened[0].length));
      if (!closed) {
        throw fault(
          line,
          'a quote that is not closed',
          'a " at the end of the cell',
          'Close it on the same line.',
        );
      }
      cell = closed[1]!.replaceAll('""', '"');
      rest = rest.slice(opened[0].length + closed[0].length);
      if (rest !== '' && !rest.startsWith(separator)) {
        throw fault(
          line,
          `${quoted(rest.trim())} behind a closing quote`,
          'the end of the cell',
          'Double a quote that belongs to the name: "".',
        );
      }
    } else {
      const end = rest.indexOf(separator);
      cell = end < 0 ? rest : rest.slice(0, end);
      rest = end < 0 ? '' : rest.slice(end);
    }
    cells.push(cell.trim());
    if (rest === '') return cells;
    rest = rest.slice(1);
  }
};

const columnNames = ['mark', 'x', 'y'] as const;

/** Where mark, x and y stand by the first row, or undefined when it is a reading already. */
const columnOrder = ({ line, cells }: Row, fault: FaultAt): [number, number, number] | undefined => {
  const names = cells.map((cell) => cell.toLowerCase());
  const isHeader =
    !cells.some((cell) => numberPattern.test(cell)) &&
    (columnNames.some((name) => names.includes(name)) || !cells.some((cell) => /\d/.test(cell)));
  if (!isHeader) return undefined;
  for (const [index, name] of names.entries()) {
    if (!(columnNames as readonly string[]).includes(name)) {
      throw fault(
        line,
        `the column ${quoted(cells[index]!)}`,
        'the columns mark, x and y',
        'Name the columns mark, x and y, and remove others; a remark may stand on a line of its own that begins with #.',
      );
    }
  }
  for (const name of columnNames) {
    if (names.filter((one) => one === name).length !== 1) {
      throw fault(
        line,
        names.includes(name) ? `the column ${name} twice` : `no column ${name}`,
        'the columns mark, x and y',
        'Correct the row of column names.',
      );
    }
  }
  return [names.indexOf('mark'), names.indexOf('x'), names.indexOf('y')];
};

const columnFault = (line: number, cells: readonly string[], fault: FaultAt): InputError => {
  const found = cells.length === 1 ? 'one column' : `${cells.length} columns`;
  const numeric = cells.slice(1).every((cell) => numberPattern.test(cell));
  if (cells.length > 3 && numeric) {
    return fault(
      line,
      `${found}, perhaps decimal commas between separating commas`,
      'mark, x and y',
      'Separate the columns by semicolons, or write decimal points.',
    );
  }
  const next =
    cells.length < 3
      ? 'Separate mark, x and y by commas, semicolons or tabs.'
      : 'Remove what is more; a remark may stand on a line of its own that begins with #.';
  return fault(line, found, 'mark, x and y', next);
};

const numberPattern = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;

/** Reads the numbers of one table, which must agree about the decimal sign. */
const numberReader = (fault: FaultAt): ((cell: string, column: string, line: number) => number) => {
  let first: { sign: string; line: number } | undefined;
  return (cell, column, line) => {
    if (!numberPattern.test(cell)) {
      throw fault(line, `${column} is ${quoted(cell)}`, 'a number in mm', numberHint(cell));
    }
    const sign = /[.,]/.exec(cell)?.[0];
    if (sign !== undefined) {
      first ??= { sign, line };
      if (sign !== first.sign) {
        throw fault(
          line,
          `${column} is ${cell}, although line ${first.line} has a decimal ${first.sign === ',' ? 'comma' : 'point'}`,
          'one decimal sign in the whole table',
          'Write all numbers alike, without signs between thousands.',
        );
      }
    }
    const value = Number(cell.replace(',', '.'));
    if (!(Math.abs(value) <= largestCoordinate)) {
      throw fault(
        line,
        `${column} is ${cell}`,
        `a number in mm between -${largestCoordinate} and ${largestCoordinate}`,
        'Correct the number.',
      );
    }
    return value;
  };
};

const numberHint = (cell: string): string => {
  if (cell === '') return 'Fill in the reading, or remove the row.';
  if (/[.,].*[.,]/.test(cell)) return 'Write no signs between thousands.';
  if (/^[\d.,+-]+\s*mm$/.test(cell)) return 'Write the bare number.';
  if (/#/.test(cell)) return 'Put the remark on a line of its own that begins with #.';
  return 'Write digits with a decimal point or comma.';
};
