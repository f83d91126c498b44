/** Parts of a form: a figure or a choice of the job in a line of its own, with what it means. */
import type { ComponentChildren, JSX } from 'preact';
import { ValueField } from '../drawn/field.js';
import { type Key, written } from '../kept/job-edit.js';
import { choose, chooseKind } from '../kept/values.js';
import { sheet } from '../sheet.js';

export const Part = ({
  title,
  children,
}: {
  readonly title: string;
  readonly children: ComponentChildren;
}): JSX.Element => (
  <section class="part">
    <h2>{title}</h2>
    {children}
  </section>
);

export const Row = ({
  label,
  hint,
  children,
}: {
  readonly label: string;
  readonly hint?: string;
  readonly children: ComponentChildren;
}): JSX.Element => (
  <div class="row">
    <div class="rowline">
      <span>{label}</span>
      {children}
    </div>
    {hint === undefined ? null : <p class="hint">{hint}</p>}
  </div>
);

interface FigureRowProps {
  readonly of: Key;
  readonly label: string;
  /** What it is called where the label is not enough. */
  readonly name?: string;
  readonly hint?: string;
  /** What holds where nothing is written. */
  readonly otherwise: string;
  readonly text?: boolean;
}

/** A figure of the job. */
export const FigureRow = ({
  of,
  label,
  name = label,
  hint,
  otherwise,
  text,
}: FigureRowProps): JSX.Element => (
  <Row label={label} {...(hint === undefined ? {} : { hint })}>
    <ValueField of={of} label={name} otherwise={otherwise} {...(text === undefined ? {} : { text })} />
  </Row>
);

export const Choice = ({
  of,
  label,
  options,
  usual,
}: {
  readonly of: Key;
  /** The word that says what holds anyway. */
  readonly usual?: string;
  readonly label: string;
  readonly options: readonly (readonly [string, string])[];
}): JSX.Element => {
  const said = written(sheet.state.work.job, of) ?? '';
  const now = said === usual ? '' : said;
  const id = `c-${of.join('-')}`;
  return (
    <div class="row">
      <div class="rowline">
        <label for={id}>{label}</label>
        <select id={id} value={now} onChange={(e) => pick(of, e.currentTarget.value)}>
          {options.map(([value, text]) => (
            <option key={value} value={value}>
              {text}
            </option>
          ))}
          {options.some(([value]) => value === now) ? null : <option value={now}>{now}</option>}
        </select>
      </div>
    </div>
  );
};

const pick = (of: Key, value: string): void =>
  of.join('.') === 'cut.kind' ? chooseKind(value) : choose(of, value === '' ? undefined : value);
