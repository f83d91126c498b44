/** A form of measurements as cells, and as the text that is worked out. Pure: tested without a browser. */
import type { MachinePart } from '../../internal.js';
import { figureOf } from './typed.js';

export interface Table {
  /** Lines of remarks, without their signs. */
  readonly remarks: readonly string[];
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
}

export const tableOf = (text: string): Table => {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== '');
  const remarks = lines.filter((line) => line.startsWith('#')).map((line) => line.replace(/^#\s*/, ''));
  const [head = '', ...rows] = lines.filter((line) => !line.startsWith('#'));
  const cells = (line: string): string[] => line.split(/[,;\t]/).map((cell) => cell.trim());
  const width = cells(head).length;
  return {
    remarks,
    head: cells(head),
    rows: rows.map((row) => [...cells(row), ...Array<string>(width).fill('')].slice(0, width)),
  };
};

export const textOfTable = ({ head, rows }: Pick<Table, 'head' | 'rows'>): string =>
  `${[head, ...rows].map((row) => row.join(',')).join('\n')}\n`;

/** One cell put as it is typed; a comma in it is a decimal one. */
export const withCell = (text: string, row: number, column: number, typed: string): string => {
  const { remarks, head, rows } = tableOf(text);
  const figure = figureOf(typed);
  const cell = figure === undefined ? typed.replace(/[,;\t\n]/g, ' ') : figure.value.toFixed(figure.decimals);
  const changed = rows.map((cells, i) =>
    i === row ? cells.map((old, k) => (k === column ? cell : old)) : cells,
  );
  return `${remarks.map((one) => `# ${one}\n`).join('')}${textOfTable({ head, rows: changed })}`;
};

/** As a spreadsheet gives it: between tabs or semicolons a comma is a decimal one. */
export const pastedTable = (text: string): string =>
  text
    .split(/\r?\n/)
    .map((line) =>
      line.startsWith('#') || !/[\t;]/.test(line)
        ? line
        : line
            .split(/[\t;]/)
            .map((cell) => cell.trim().replace(/^([-+]?\d*),(\d+)$/, '$1.$2'))
            .join(','),
    )
    .join('\n');

/** What was measured in a table of the machine, told by its column heads; undefined for any other table. */
export const partOfTable = (text: string): MachinePart | undefined => {
  const { head, rows } = tableOf(text.replace(/^sep=.*\r?\n/, ''));
  const names = head.map((name) => name.toLowerCase());
  const has = (...some: readonly string[]): boolean => some.every((name) => names.includes(name));
  if (has('dot', 'read-x')) return 'beam';
  if (has('from', 'to', 'length')) return 'bed';
  if (has('kind', 'hole', 'piece')) return 'kerf';
  // Readings of a job may have a direction, too; here each mark is driven to from both sides.
  const isPointer = names[0] === 'mark' && names[1] === 'direction' && isReadFromBothSides(rows);
  return isPointer ? 'pointer' : undefined;
};

const isReadFromBothSides = (rows: Table['rows']): boolean => {
  const sides = new Map<string, Set<string>>();
  for (const [mark = '', side = ''] of rows)
    sides.set(mark, (sides.get(mark) ?? new Set()).add(side.toLowerCase()));
  return sides.size > 0 && [...sides.values()].every((of) => of.size > 1);
};
