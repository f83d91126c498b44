/** Readings from a table: rows of mark, x, y as a spreadsheet or an editor leaves them. */
import type { Point } from '../../geometry/point.js';
import { limits } from '../bounds.js';
import type { Sides } from '../error-kinds.js';
import type { JobReading } from '../job.js';
import { InputError } from '../messages.js';
import { hasInvisible, quoted } from '../quoted.js';
import { directionOf } from './read-sides.js';
import { type FaultAt, numberPattern, numberReader, type TableRow, tableRows } from './table.js';

const longestText = limits.tableCharacters.most;

/**
 * The readings of a table in the order of their marks' first rows; repeated rows of a mark are
 * repeated readings. The dialect is that of table.ts; a first row of names may stand in any order,
 * and name a column `direction`: from which side the pointer came.
 * @throws InputError with file and line. Any other column is refused: what it says would be lost.
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
  const { mark: markColumn, x: xColumn, y: yColumn, direction: directionColumn } = order ?? plainOrder;
  const width = directionColumn === undefined ? 3 : 4;
  const numbers = numberReader(fault);
  const readings = new Map<string, { at: Point[]; directions: (Sides | undefined)[]; line: number }>();
  for (const { line, cells } of dataRows) {
    // A direction that is not known may be left out at the end of its row.
    const isShort = width === 4 && directionColumn === 3 && cells.length === 3;
    if (cells.length !== width && !isShort) throw columnFault(line, cells, fault);
    const mark = cells[markColumn]!;
    if (mark === '') throw fault(line, 'no mark', 'the name of a mark', 'Write the name in its column.');
    if (hasInvisible(mark)) {
      throw fault(line, `the mark ${quoted(mark)}`, 'a name of visible characters', 'Correct the name.');
    }
    const at = { x: numbers(cells[xColumn]!, 'x', line), y: numbers(cells[yColumn]!, 'y', line) };
    const direction =
      directionColumn === undefined ? undefined : directionIn(cells[directionColumn], line, fault);
    const known = readings.get(mark);
    if (known) {
      known.at.push(at);
      known.directions.push(direction);
    } else readings.set(mark, { at: [at], directions: [direction], line });
  }
  if (readings.size === 0) {
    throw fault(rows[0]!.line, 'column names only', 'rows of mark, x, y', 'Write one reading on each line.');
  }
  return [...readings].map(([mark, { at, directions, line }]) => ({
    mark,
    at,
    ...(directions.every((one) => one === undefined) ? {} : { directions }),
    line,
  }));
};

const columnNames = ['mark', 'x', 'y'] as const;
const directionName = 'direction';

interface ColumnOrder {
  readonly mark: number;
  readonly x: number;
  readonly y: number;
  readonly direction?: number;
}

const plainOrder: ColumnOrder = { mark: 0, x: 1, y: 2 };

const directionIn = (cell: string | undefined, line: number, fault: FaultAt): Sides | undefined => {
  if (cell === undefined || cell === '') return undefined;
  const sides = directionOf(cell);
  if (sides !== undefined) return sides;
  throw fault(
    line,
    `direction is ${quoted(cell)}`,
    'up (with rising figures) or down, or one for each axis as in up/down',
    'Correct the cell, or leave it empty where it is not known.',
  );
};

/** Where mark, x and y stand by the first row, or undefined when it is a reading already. */
const columnOrder = ({ line, cells }: TableRow, fault: FaultAt): ColumnOrder | undefined => {
  const names = cells.map((cell) => cell.toLowerCase());
  const isHeader =
    !cells.some((cell) => numberPattern.test(cell)) &&
    (columnNames.some((name) => names.includes(name)) || !cells.some((cell) => /\d/.test(cell)));
  if (!isHeader) return undefined;
  for (const [index, name] of names.entries()) {
    if (name !== directionName && !(columnNames as readonly string[]).includes(name)) {
      if (cells[0]!.startsWith('PK\u0003'))
        throw fault(
          line,
          'a workbook or an archive, no table of text',
          'a table of text',
          'Save the table as CSV.',
        );
      if (cells.length === 1 && /^mark\s+x\s+y\b/.test(name))
        throw fault(
          line,
          'columns with blanks between them',
          'mark,x,y',
          'Separate mark, x and y by commas.',
        );
      throw fault(
        line,
        `the column ${quoted(cells[index]!)}`,
        'the columns mark, x, y and perhaps direction',
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
  const direction = names.indexOf(directionName);
  return {
    mark: names.indexOf('mark'),
    x: names.indexOf('x'),
    y: names.indexOf('y'),
    ...(direction < 0 ? {} : { direction }),
  };
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
