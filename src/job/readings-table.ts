/** Readings from a table: rows of mark, x, y as a spreadsheet or an editor leaves them. */
import type { Point } from '../geometry/point.js';
import type { JobReading } from './job.js';
import { InputError } from './messages.js';
import { hasInvisible, quoted } from './quoted.js';
import { type FaultAt, numberPattern, numberReader, type TableRow, tableRows } from './table.js';

/** Longer than any list of readings taken by hand. */
const longestText = 16_000_000;

/**
 * The readings of a table in the order of their marks' first rows; repeated rows of a mark are repeated readings. The
 * dialect is that of table.ts; a first row of names may stand in any order.
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
  const rows = tableRows(table, columnNames.length, fault);
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

const columnNames = ['mark', 'x', 'y'] as const;

/** Where mark, x and y stand by the first row, or undefined when it is a reading already. */
const columnOrder = ({ line, cells }: TableRow, fault: FaultAt): [number, number, number] | undefined => {
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
