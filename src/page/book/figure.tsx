/** One figure of a line, why the line cannot be taken, and how it is taken out. */
import type { JSX } from 'preact';
import { type BookLine, leave, takeOut, typeIn } from '../kept/book-lines.js';
import { put, sheet } from '../sheet.js';

export const Figure = ({
  line,
  axis,
  name,
  why,
  describedBy,
}: {
  readonly line: BookLine;
  readonly axis: 'x' | 'y';
  readonly name: string;
  readonly why: string | undefined;
  readonly describedBy: string | undefined;
}): JSX.Element => {
  const raw = sheet.state.work.typing[`${line.id}:${axis}`] ?? line[axis];
  const isWrong =
    why !== undefined && (why.startsWith('“') ? why.includes(`“${raw.trim()}”`) : why.startsWith(axis));
  return (
    <input
      class="fig"
      data-walk
      aria-label={name}
      value={raw}
      placeholder=" "
      inputMode="decimal"
      autocomplete="off"
      spellcheck={false}
      aria-invalid={isWrong ? 'true' : undefined}
      aria-describedby={describedBy}
      onInput={(event) => typeIn(line, axis, event.currentTarget.value)}
      onFocus={() => put({ lit: litOf(line) })}
      onBlur={(event) => {
        const to = event.relatedTarget as HTMLElement | null;
        leave(line.id);
        if (to?.closest(`[data-line="${CSS.escape(line.id)}"]`) === null || to === null)
          put({ lit: undefined });
      }}
    />
  );
};

const litOf = (line: BookLine): string =>
  line.kind === 'reading'
    ? `mark ${line.mark}`
    : line.kind === 'touch'
      ? `touch ${line.number}`
      : `witness ${line.number}`;

export const isLit = (line: BookLine): boolean => sheet.lit === litOf(line);

export const Out = ({ line, what }: { readonly line: BookLine; readonly what: string }): JSX.Element => (
  <button type="button" class="out" aria-label={`Take out ${what}`} onClick={() => takeOut(line)}>
    ×
  </button>
);

export const Why = ({
  id,
  why,
}: {
  readonly id: string;
  readonly why: string | undefined;
}): JSX.Element | null =>
  why === undefined ? null : (
    <tr class="whynot">
      <td />
      <td colSpan={3} id={id} role="status">
        {why}. The figures shown are those from before.
      </td>
    </tr>
  );
