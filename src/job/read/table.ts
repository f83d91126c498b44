/**
 * The dialect of every table an operator hands in, as a spreadsheet or an editor leaves it.
 *
 * One separator throughout: the one that a first line such as `sep=;` states, as spreadsheets write
 * it; else a tab if the first row has one, else a semicolon, else a comma. Numbers have a decimal
 * point or a decimal comma, the same in the whole table; a decimal comma in a table separated by
 * commas needs quotes. Cells may stand in double quotes ("" for a quote); blank lines, lines that
 * begin with #, a byte order mark and empty cells at the end of a row are passed over.
 */
import { largestCoordinate } from '../bounds.js';
import type { InputError } from '../messages.js';
import { quoted } from '../quoted.js';

type Separator = ',' | ';' | '\t';

export interface TableRow {
  readonly line: number;
  /** Without the blanks around them. */
  readonly cells: readonly string[];
}

/** Makes the error for a line of the table. */
export type FaultAt = (line: number, found: string, expected: string, next: string) => InputError;

/** The rows that hold anything; empty cells behind the first `columns` are taken away. */
export const tableRows = (table: string, columns: number, fault: FaultAt): TableRow[] => {
  const lines = table.replace(/^\uFEFF/, '').split(/\r\n|\n|\r/);
  const rows: TableRow[] = [];
  const stated = /^"?sep=([,;\t])"?\s*$/i.exec(lines[0] ?? '')?.[1] as Separator | undefined;
  let separator = stated;
  for (const [index, content] of lines.entries()) {
    if (index === 0 && stated !== undefined) continue;
    if (content.trim() === '' || content.trimStart().startsWith('#')) continue;
    separator ??= separatorOf(content);
    const cells = cellsOf(content, separator, index + 1, fault);
    while (cells.length > columns && cells.at(-1) === '') cells.pop();
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

export const numberPattern = /^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/;

/** A cell of a column as a number; `kind` says what was expected, "a number in mm" unless told. */
export type NumberReader = (cell: string, column: string, line: number, kind?: string) => number;

/** Reads the numbers of one table, which must agree about the decimal sign. */
export const numberReader = (fault: FaultAt): NumberReader => {
  let first: { sign: string; line: number } | undefined;
  return (cell, column, line, kind = 'a number in mm') => {
    if (!numberPattern.test(cell)) {
      throw fault(line, `${column} is ${quoted(cell)}`, kind, numberHint(cell));
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
        `${kind} between -${largestCoordinate} and ${largestCoordinate}`,
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
