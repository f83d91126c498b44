/** A table of measurements as a form: what the form says itself, and cells for what was measured. */
import type { JSX } from 'preact';
import { useState } from 'preact/hooks';
import type { MachinePart } from '../../internal.js';
import { pastedTable, type Table, tableOf, withCell } from '../kept/table-text.js';
import { act } from '../sheet.js';

const typeCell = (part: MachinePart, text: string, row: number, column: number, typed: string): void =>
  act(`type table ${part} ${row} ${column}`, (work) => ({
    ...work,
    tables: { ...work.tables, [part]: withCell(text, row, column, typed) },
  }));

/** What the form itself says of each row; the rest is to be filled in. */
const given: Readonly<Record<MachinePart, readonly string[]>> = {
  pointer: ['mark', 'direction'],
  bed: ['from', 'to'],
  kerf: ['kind', 'count', 'drawn', 'cut'],
  beam: ['dot', 'x', 'y'],
};
/** Columns that nobody fills in or has to see. */
const unseen: readonly string[] = ['from-x', 'from-y', 'to-x', 'to-y', 'axes'];

/** Of kerf rows only some columns mean anything. */
const isAsked = (part: MachinePart, { head }: Table, row: readonly string[], name: string): boolean => {
  if (given[part].includes(name)) return false;
  if (part !== 'kerf' || name === 'sd') return true;
  return (row[head.indexOf('kind')] === 'pair') === (name === 'hole' || name === 'piece');
};

export const MeasuredForm = ({
  part,
  text,
}: {
  readonly part: MachinePart;
  readonly text: string;
}): JSX.Element => {
  const table = tableOf(text);
  const seen = table.head.flatMap((name, k) => (unseen.includes(name) ? [] : [{ name, k }]));
  return (
    <>
      <details class="hint">
        <summary>What to do</summary>
        {table.remarks.map((one) => (
          <p key={one}>{one}</p>
        ))}
      </details>
      <table
        class="form"
        onPaste={(event) => {
          const pasted = event.clipboardData?.getData('text/plain') ?? '';
          if (!/\n/.test(pasted.trim())) return;
          event.preventDefault();
          act('paste table', (work) => ({
            ...work,
            tables: { ...work.tables, [part]: pastedTable(pasted) },
          }));
        }}
      >
        <thead>
          <tr>
            {seen.map(({ name }) => (
              <th scope="col" key={name}>
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {table.rows.map((row, i) => (
            <tr key={i}>
              {seen.map(({ name, k }) => (
                <td key={name}>
                  {isAsked(part, table, row, name) ? (
                    <Cell
                      label={`${name}, row ${i + 1}`}
                      value={row[k] ?? ''}
                      onType={(typed) => typeCell(part, text, i, k, typed)}
                    />
                  ) : (
                    row[k]
                  )}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </>
  );
};

/** What is typed stays as it is until the cell is left. */
const Cell = ({
  label,
  value,
  onType,
}: {
  readonly label: string;
  readonly value: string;
  readonly onType: (typed: string) => void;
}): JSX.Element => {
  const [raw, setRaw] = useState<string>();
  return (
    <input
      aria-label={label}
      value={raw ?? value}
      autocomplete="off"
      onInput={(e) => {
        setRaw(e.currentTarget.value);
        onType(e.currentTarget.value);
      }}
      onBlur={() => setRaw(undefined)}
      onKeyDown={(e) => {
        if (e.key !== 'Enter') return;
        const cells = [...e.currentTarget.closest('table')!.querySelectorAll('input')];
        cells[cells.indexOf(e.currentTarget) + 1]?.focus();
      }}
    />
  );
};
