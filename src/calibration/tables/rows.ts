/**
 * Measurements as rows of named columns, from a table or from YAML; what reads them does not know which it was.
 *
 *     count,drawn,measured        strips:
 *     20,10,196.82                  - {count: 20, drawn: 10, measured: 196.82}
 */
import { limits, type NumberRule } from '../../job/bounds.js';
import { InputError, type Where } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import { hasInvisible, quoted } from '../../job/quoted.js';
import {
  type Field,
  isWithin,
  items,
  knownEntries,
  number,
  refused,
  rootField,
  ruleText,
  text,
  whereOf,
} from '../../job/read/fields.js';
import { type NumberReader, numberReader, type TableRow, tableRows } from '../../job/read/table.js';

/** A file of measurements: its path as given, for messages, and its text. */
export interface DataSource {
  readonly path: string;
  readonly text: string;
}

export interface DataRow {
  /** Of the row as a whole. */
  readonly where: Where;
  /** Undefined where the column is absent or its cell blank. */
  readonly text: (column: string) => string | undefined;
  readonly number: (column: string, rule: NumberRule) => number | undefined;
  readonly whereOf: (column: string) => Where;
}

/** What a file of measurements may hold. */
export interface RowsFormat {
  /** The key of the list in YAML. */
  readonly list: string;
  readonly required: readonly string[];
  readonly optional: readonly string[];
  /** The columns the operator fills in: a row of the form with nothing in any of them was not measured. */
  readonly measured: readonly string[];
}

export interface Rows {
  readonly rows: readonly DataRow[];
  /** Rows of the form in which nothing was filled in. */
  readonly blank: number;
}

const mostRows = limits.measurementRows.most;

/** True for a path whose content is YAML (or JSON); everything else is a table. */
export const isYaml = (path: string): boolean => /\.(ya?ml|json)$/i.test(path);

/**
 * The rows of a file in its order, without those in which nothing was measured.
 * @throws InputError for a column or key that is not known or missing, and where nothing is left
 */
export const readRows = (source: DataSource, format: RowsFormat): Rows => {
  const all = isYaml(source.path) ? yamlRows(source, format) : tableDataRows(source, format);
  const rows = all.filter((row) => format.measured.some((column) => row.text(column) !== undefined));
  if (rows.length === 0) {
    throw new InputError({
      found: all.length === 0 ? 'no row' : 'a form in which nothing is filled in',
      expected: `rows of ${format.required.join(', ')}`,
      where: { file: source.path },
      next: `Fill in ${format.measured.join(' and ')} of what you have measured; rows you leave blank are passed over.`,
    });
  }
  if (rows.length > mostRows) {
    throw new InputError({
      found: `${rows.length} rows`,
      expected: `at most ${mostRows}`,
      where: { file: source.path },
      next: 'Check that this is the right file.',
    });
  }
  return { rows, blank: all.length - rows.length };
};

/** A number that must be there. */
export const needed = (row: DataRow, column: string, rule: NumberRule): number => {
  const value = row.number(column, rule);
  if (value !== undefined) return value;
  throw new InputError({
    found: `no ${column}`,
    expected: ruleText(rule, undefined),
    where: row.whereOf(column),
    next: 'Fill it in, or remove the row.',
  });
};

/** A name that must be there. */
export const neededText = (row: DataRow, column: string, what: string): string => {
  const value = row.text(column);
  if (value !== undefined) return value;
  throw new InputError({
    found: `no ${column}`,
    expected: what,
    where: row.whereOf(column),
    next: 'Fill it in, or remove the row.',
  });
};

const yamlRows = (source: DataSource, format: RowsFormat): DataRow[] => {
  const root = rootField(source.path, source.text);
  const { [format.list]: list } = knownEntries(root, [format.list]);
  if (!list) {
    const example = format.required.map((column) => `${column}: ...`).join(', ');
    throw refused(root, `a key "${format.list}"`, `Write ${format.list}: and rows such as {${example}}.`);
  }
  return yamlRowsOf(list, format);
};

/** The rows of a YAML list; for readers that know other forms beside it. */
export const yamlRowsOf = (list: Field, { required, optional }: Omit<RowsFormat, 'list'>): DataRow[] =>
  items(list, `a list of rows with ${required.join(', ')}`).map((item): DataRow => {
    const fields = knownEntries(item, [...required, ...optional]) as { readonly [column: string]: Field };
    // A key without a value is a cell left blank.
    const filled = (column: string): Field | undefined => {
      const field = fields[column];
      const node = field && (field.tree.resolved(field.node) as { value?: unknown; source?: string });
      return node && node.value === null && !node.source ? undefined : field;
    };
    return {
      where: whereOf(item),
      text: (column) => {
        const field = filled(column);
        return field && text(field);
      },
      number: (column, rule) => {
        const field = filled(column);
        return field && number(field, rule);
      },
      whereOf: (column) => whereOf(fields[column] ?? item),
    };
  });

const tableDataRows = ({ path, text: table }: DataSource, format: RowsFormat): DataRow[] => {
  const fault = (line: number, found: string, expected: string, next: string): InputError =>
    new InputError({ found, expected, where: { file: path, line }, next });
  const columns = [...format.required, ...format.optional];
  const [head, ...rows] = tableRows(table, 1, fault);
  if (!head) return [];
  const order = columnsOf(head, format, path);
  const numbers = numberReader(fault);
  return rows.map((row) => {
    if (row.cells.length > order.length) {
      throw fault(
        row.line,
        `${row.cells.length} cells`,
        `${order.length}, one for each column`,
        'A decimal comma needs semicolons or tabs between the columns; a remark may stand on a line of its own that begins with #.',
      );
    }
    return tableDataRow(row, order, columns, numbers, path);
  });
};

const tableDataRow = (
  { line, cells }: TableRow,
  order: readonly string[],
  columns: readonly string[],
  numbers: NumberReader,
  file: string,
): DataRow => {
  const cell = (column: string): string | undefined => {
    if (!columns.includes(column)) throw new RangeError(`no column ${column} in this format`);
    const index = order.indexOf(column);
    return index < 0 ? undefined : cells[index] || undefined;
  };
  const whereOfColumn = (column: string): Where => ({ file, line, element: column });
  return {
    where: { file, line },
    text: (column) => {
      const written = cell(column);
      if (written !== undefined && hasInvisible(written)) {
        throw new InputError({
          found: `the ${column} ${quoted(written)}`,
          expected: 'visible characters',
          where: whereOfColumn(column),
          next: 'Type it again.',
        });
      }
      return written;
    },
    number: (column, rule) => {
      const written = cell(column);
      if (written === undefined) return undefined;
      const value = numbers(written, column, line, `a number${rule.unit ? ` in ${rule.unit}` : ''}`);
      if (!isWithin(value, rule)) {
        throw new InputError({
          found: `${column} is ${written}`,
          expected: ruleText(rule, value),
          where: whereOfColumn(column),
          next: rule.next ?? 'Correct the number.',
        });
      }
      return value;
    },
    whereOf: whereOfColumn,
  };
};

/** The names of the first row, checked. */
const columnsOf = ({ line, cells }: TableRow, format: RowsFormat, file: string): string[] => {
  const { required, optional } = format;
  const known = [...required, ...optional];
  const expected = `the columns ${required.join(', ')}${optional.length === 0 ? '' : `, and perhaps ${optional.join(', ')}`}`;
  const fault = (found: string, next: string): InputError =>
    new InputError({ found, expected, where: { file, line }, next });
  const names = cells.map((cell) => cell.toLowerCase());
  if (!names.some((name) => known.includes(name))) {
    throw fault('a first row without the names of the columns', `Begin with the row ${required.join(',')}.`);
  }
  for (const [index, name] of names.entries()) {
    if (known.includes(name)) {
      if (names.indexOf(name) !== index) throw fault(`the column ${name} twice`, 'Remove one of them.');
      continue;
    }
    const nearest = nearestWord(name, known);
    throw fault(
      name === '' ? 'a column without a name' : `the column ${quoted(cells[index]!)}`,
      nearest
        ? `Did you mean ${nearest}?`
        : 'Remove it; a remark may stand on a line of its own that begins with #.',
    );
  }
  for (const name of required) {
    if (!names.includes(name)) throw fault(`no column ${name}`, 'Add it to the first row, and its values.');
  }
  return names;
};
