/** Fields that take figures as hands and spreadsheets write them. */
import type { JSX } from 'preact';
import type { Key } from '../kept/job-edit.js';
import { figureOf } from '../kept/typed.js';
import { leaveValue, textOfValue, typeValue } from '../kept/values.js';
import { sheet } from '../sheet.js';

interface ValueFieldProps {
  readonly of: Key;
  readonly label: string;
  /** What holds where nothing is written. */
  readonly otherwise?: string | undefined;
  readonly unit?: string;
  readonly text?: boolean;
  /** Text that may take a second line. */
  readonly long?: boolean;
  readonly class?: string;
  readonly describedBy?: string;
}

/** A value of the job; what the core says against it stands beside it. */
export const ValueField = (props: ValueFieldProps): JSX.Element => {
  const { of, label, otherwise, unit, text = false, long = false, describedBy } = props;
  const raw = textOfValue(sheet.state.work, of);
  const fault = faultOfValue(of, text);
  const id = `v-${of.join('-')}`;
  return (
    <span class={`value ${props.class ?? ''}`}>
      {long ? (
        <textarea
          id={id}
          aria-label={label}
          rows={1}
          value={raw}
          placeholder={otherwise ?? ''}
          autocomplete="off"
          spellcheck={false}
          onKeyDown={(event) => {
            if (event.key === 'Enter') event.preventDefault();
          }}
          onInput={(event) => typeValue(of, event.currentTarget.value.replace(/\s*\n\s*/g, ' '), false)}
          onBlur={() => leaveValue(of, false)}
        />
      ) : (
        <input
          id={id}
          aria-label={label}
          value={raw}
          placeholder={otherwise ?? ''}
          title={text && raw !== '' ? raw : undefined}
          inputMode={text ? 'text' : 'decimal'}
          autocomplete="off"
          spellcheck={false}
          aria-invalid={fault === undefined ? undefined : 'true'}
          aria-describedby={fault === undefined ? describedBy : `${id}-fault`}
          onInput={(event) => typeValue(of, event.currentTarget.value, !text)}
          onBlur={() => leaveValue(of, !text)}
        />
      )}
      {unit === undefined ? null : <i>{unit}</i>}
      {fault === undefined ? null : (
        <span class="fault" id={`${id}-fault`} role="alert">
          {fault}
        </span>
      )}
    </span>
  );
};

export const faultOfValue = (of: Key, text = false): string | undefined => {
  const { typing } = sheet.state.work;
  const raw = typing[`v:${of.join('.')}`];
  if (!text && raw !== undefined && raw.trim() !== '' && figureOf(raw) === undefined)
    return `“${raw.trim()}” is no number`;
  const { fault } = sheet.shown;
  if (fault === undefined || fault.element === '') return undefined;
  const name = of.join('.');
  if (fault.element !== name) return undefined;
  return `Expected ${fault.expected}. ${fault.next}`;
};
