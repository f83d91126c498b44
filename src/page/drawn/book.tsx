/** The field book: what the display showed, line by line, and what each is off by. */
import type { JSX, TargetedClipboardEvent, TargetedKeyboardEvent } from 'preact';
import { withPair, withReading } from '../kept/job-edit.js';
import { pasteRows } from '../kept/open.js';
import { pastedRows } from '../kept/typed.js';
import {
  act,
  type BookLine,
  leave,
  linesOf,
  put,
  type ReadingLine,
  sheet,
  type TouchLine,
  takeOut,
  typeIn,
  type WitnessLine,
  whyNot,
} from '../sheet.js';
import { fixed, listed } from '../text.js';
import type { Slip } from '../work/answers.js';

export const Book = (): JSX.Element => {
  const { work } = sheet.state;
  const { shown } = sheet;
  const lines = linesOf(work, shown);
  const readings = lines.filter((line) => line.kind === 'reading');
  const touches = lines.filter((line) => line.kind === 'touch');
  const looks = lines.filter((line) => line.kind === 'witness');
  return (
    <section class="book" aria-label="Field book" tabIndex={-1} onPaste={paste} onKeyDown={walk}>
      <table class="fb">
        <thead>
          <tr>
            <th scope="col">Mark</th>
            <th scope="col">x</th>
            <th scope="col">y</th>
            <th scope="col">off by</th>
          </tr>
        </thead>
        <tbody>
          {readings.length === 0 ? (
            <tr class="none">
              <td colSpan={4}>{emptyWords()}</td>
            </tr>
          ) : (
            readings.map((line) => <Reading key={line.id} line={line} />)
          )}
        </tbody>
        <tbody>
          <tr class="sec touches">
            <th colSpan={4} scope="colgroup">
              Touches: tap an edge in the plan
              <TouchBegin />
            </th>
          </tr>
          {touches.map((line) => (
            <Touch key={line.id} line={line} />
          ))}
        </tbody>
        <tbody>
          <tr class="sec">
            <th colSpan={4} scope="colgroup">
              Witness: drive here, beam off <span>allowed</span>
            </th>
          </tr>
          <Witness looks={looks} />
        </tbody>
      </table>
    </section>
  );
};

const emptyWords = (): string => {
  const { drawing } = sheet.shown;
  if (drawing === undefined) return 'The marks of the drawing stand here.';
  return drawing.marks.length === 0
    ? 'No mark is drawn. Tap the edges you touch in the plan, or type marks in the settings.'
    : '';
};

/** Enter goes from x to y and on to the next line. */
const walk = (event: TargetedKeyboardEvent<HTMLElement>): void => {
  const target = event.target as HTMLElement;
  if (event.key !== 'Enter' || !(target instanceof HTMLInputElement) || event.isComposing) return;
  event.preventDefault();
  const fields = [...event.currentTarget.querySelectorAll<HTMLInputElement>('input[data-walk]')];
  const next = fields[fields.indexOf(target) + (event.shiftKey ? -1 : 1)];
  if (next === undefined) document.querySelector<HTMLInputElement>('[aria-label="Clearance"]')?.focus();
  else {
    next.focus();
    next.select();
  }
};

const paste = (event: TargetedClipboardEvent<HTMLElement>): void => {
  const text = event.clipboardData?.getData('text/plain') ?? '';
  const rows = pastedRows(text);
  const target = event.target as HTMLElement;
  if (rows === undefined || !(target instanceof HTMLElement)) return;
  event.preventDefault();
  const from = target.closest<HTMLElement>('[data-mark]')?.dataset.mark ?? '';
  const marks = [
    ...new Set(
      linesOf(sheet.state.work, sheet.shown).flatMap((line) => (line.kind === 'reading' ? [line.mark] : [])),
    ),
  ];
  pasteRows(rows, from, marks);
};

const Figure = ({
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

const isLit = (line: BookLine): boolean => sheet.lit === litOf(line);

const Out = ({ line, what }: { readonly line: BookLine; readonly what: string }): JSX.Element => (
  <button type="button" class="out" aria-label={`Take out ${what}`} onClick={() => takeOut(line)}>
    ×
  </button>
);

const Why = ({ id, why }: { readonly id: string; readonly why: string | undefined }): JSX.Element | null =>
  why === undefined ? null : (
    <tr class="whynot">
      <td />
      <td colSpan={3} id={id} role="status">
        {why}. The figures shown are those from before.
      </td>
    </tr>
  );

const Reading = ({ line }: { readonly line: ReadingLine }): JSX.Element => {
  const { shown, fresh, state } = sheet;
  const { mark, count } = line;
  const name = count === 0 ? '' : `, reading ${count + 1}`;
  const label = (axis: 'x' | 'y'): string =>
    count === 0 ? `${axis} of ${mark}` : `${axis}, ${mark} again ${count}`;
  const why = whyNot(line, state.work, !isLit(line));
  const placed = shown.placed?.marks.find((one) => one.name === mark);
  const slips = shown.placed?.doubt?.slips.filter((slip) => slip.mark === mark && slip.count === count) ?? [];
  const isDoubted = count === 0 && shown.placed?.doubt?.marks.includes(mark) === true;
  const isUnread = line.at === undefined;
  const off = isUnread
    ? ''
    : count > 0
      ? 'again'
      : placed === undefined
        ? ''
        : placed.distance === undefined
          ? 'unchecked'
          : fixed(placed.distance, 2);
  const isLast = !linesOf(state.work, shown).some(
    (one) => one.kind === 'reading' && one.mark === mark && one.count > count,
  );
  const whyId = `why-${line.id}`;
  return (
    <>
      <tr
        data-line={line.id}
        data-mark={mark}
        class={`${slips.length > 0 || isDoubted ? 'doubt' : ''} ${slips.length > 0 ? 'asked' : ''} ${isLit(line) ? 'lit' : ''} ${why !== undefined || !fresh ? 'old' : ''}`}
      >
        <th scope="row">
          {count === 0 ? mark : <i>{mark}</i>}
          {isLit(line) && !isUnread && isLast ? (
            <button
              type="button"
              class="again"
              onMouseDown={(e) => e.preventDefault()}
              onClick={() => again(mark)}
              aria-label={`Read ${mark} again`}
            >
              again
            </button>
          ) : null}
        </th>
        {(['x', 'y'] as const).map((axis) => (
          <td key={axis} class={slips.some((slip) => slip.axis === axis) ? 'slipped' : ''}>
            <Figure
              line={line}
              axis={axis}
              name={label(axis)}
              why={why}
              describedBy={why === undefined ? undefined : whyId}
            />
          </td>
        ))}
        <td class={`off ${/^\d/.test(off) ? '' : 'note'}`}>
          <span>{off}</span>
          {isLit(line) && !isUnread ? <Out line={line} what={`the reading of ${mark}${name}`} /> : null}
        </td>
      </tr>
      <Why id={whyId} why={why} />
      {slips.length > 0 ? <Ask slips={slips} mark={mark} line={line} /> : null}
    </>
  );
};

const again = (mark: string): void => {
  act(`again ${mark}`, (work) => ({ ...work, begun: { ...work.begun, again: mark } }));
  requestAnimationFrame(() => {
    const inputs = document.querySelectorAll<HTMLInputElement>(`[data-mark="${CSS.escape(mark)}"] input`);
    inputs[inputs.length - 2]?.focus();
  });
};

/** The doubt stands in its row, with a button that tries what was probably meant. */
const Ask = ({
  slips,
  mark,
  line,
}: {
  readonly slips: readonly Slip[];
  readonly mark: string;
  readonly line: ReadingLine;
}): JSX.Element => {
  const [first] = slips;
  const one = slips.length === 1 && first !== undefined;
  return (
    <tr class="ask">
      <td />
      <td colSpan={3}>
        <span class="was">
          {one ? (
            <>
              {first.typed}, was it <b>{first.meant}</b>?
            </>
          ) : (
            <>
              Was it <b>{slips.map(({ axis, meant }) => `${axis} ${meant}`).join(', ')}</b>?
            </>
          )}
        </span>
        <span class="acts">
          <button type="button" onClick={trySlips}>
            {one ? `Try ${first.meant}` : 'Try these'}
          </button>
          <button type="button" onClick={() => readAgain(line, mark)}>
            Read {mark} again
          </button>
        </span>
      </td>
    </tr>
  );
};

const readAgain = (line: ReadingLine, mark: string): void => {
  const input = document.querySelector<HTMLInputElement>(`[data-line="${CSS.escape(line.id)}"] input`);
  input?.focus();
  input?.select();
  put({ note: `Drive to ${mark} and type what the display shows.` });
};

/** Every figure that is probably a slip is put as it was probably meant; undone like any other step. */
export const trySlips = (): void => {
  const { doubt } = sheet.shown.placed ?? {};
  if (doubt === undefined) return;
  act('try', (work) => {
    let { job } = work;
    const typing = { ...work.typing };
    for (const line of linesOf(work, sheet.shown)) {
      if (line.kind !== 'reading') continue;
      const own = doubt.slips.filter((slip) => slip.mark === line.mark && slip.count === line.count);
      if (own.length === 0) continue;
      const meant = (axis: 'x' | 'y') => {
        const text = own.find((slip) => slip.axis === axis)?.meant ?? line[axis];
        return { value: Number(text), decimals: text.split('.')[1]?.length ?? 0 };
      };
      delete typing[`${line.id}:x`];
      delete typing[`${line.id}:y`];
      job =
        line.at === undefined
          ? withReading(job, line.mark, meant('x'), meant('y'))
          : withPair(job, line.at, meant('x'), meant('y'));
    }
    return { ...work, job, typing };
  });
};

const Touch = ({ line }: { readonly line: TouchLine }): JSX.Element => {
  const { shown, state, fresh } = sheet;
  const why = whyNot(line, state.work, !isLit(line));
  const touch = line.at === undefined ? undefined : shown.placed?.touches[line.number - 1];
  const off = touch === undefined ? '' : touch.checked ? fixed(Math.abs(touch.residual), 2) : 'unchecked';
  const whyId = `why-${line.id}`;
  return (
    <>
      <tr
        data-line={line.id}
        class={`${isLit(line) ? 'lit' : ''} ${why !== undefined || !fresh ? 'old' : ''}`}
      >
        <th scope="row" class="nm">
          {line.on}
          {line.radius === undefined ? null : <small>radius {line.radius}</small>}
        </th>
        {(['x', 'y'] as const).map((axis) => (
          <td key={axis}>
            <Figure
              line={line}
              axis={axis}
              name={`${axis}, touch ${line.number}`}
              why={why}
              describedBy={why === undefined ? undefined : whyId}
            />
          </td>
        ))}
        <td class={`off ${/^\d/.test(off) ? '' : 'note'}`}>
          <span>{off}</span>
          {isLit(line) ? <Out line={line} what={`touch ${line.number}`} /> : null}
        </td>
      </tr>
      <Why id={whyId} why={why} />
    </>
  );
};

/** A touch begins in the plan, or here with the panel’s own edge. */
const TouchBegin = (): JSX.Element | null => {
  const { drawing } = sheet.shown;
  if (drawing === undefined || sheet.state.work.begun.touch !== undefined) return null;
  const hasOutline = drawing.shapes.some(({ role }) => role === 'outline');
  return (
    <button
      type="button"
      class="begin"
      onClick={() => beginTouch(hasOutline ? 'outline' : (drawing.shapes[0]?.id ?? 'outline'))}
    >
      {hasOutline ? 'Touch the outline' : 'Add a touch'}
    </button>
  );
};

export const beginTouch = (on: string, start?: readonly [number, number]): void => {
  act('begin touch', (work) => ({
    ...work,
    begun: { ...work.begun, touch: { on, ...(start === undefined ? {} : { start }) } },
  }));
  requestAnimationFrame(() => {
    const inputs = document.querySelectorAll<HTMLInputElement>('[data-line^="t:"] input');
    const input = inputs[inputs.length - 2];
    input?.scrollIntoView({ block: 'nearest' });
    input?.focus();
  });
};

const Witness = ({ looks }: { readonly looks: readonly WitnessLine[] }): JSX.Element => {
  const { shown, fresh, state } = sheet;
  const points = shown.judged?.witness ?? [];
  const doubt = shown.placed?.doubt;
  const rows = looks.map((line) => {
    const why = whyNot(line, state.work, !isLit(line));
    return (
      <>
        <tr key={line.id} data-line={line.id} class={`w ${isLit(line) ? 'lit' : ''}`}>
          <th scope="row" class="nm">
            stood
          </th>
          {(['x', 'y'] as const).map((axis) => (
            <td key={axis}>
              <Figure
                line={line}
                axis={axis}
                name={`${axis}, witness ${line.number}`}
                why={why}
                describedBy={undefined}
              />
            </td>
          ))}
          <td class="off note">
            <span>{line.at === undefined ? '' : 'counts'}</span>
            <Out line={line} what={`witness reading ${line.number}`} />
          </td>
        </tr>
        <Why id={`why-${line.id}`} why={why} />
      </>
    );
  });
  if (points.length === 0)
    return (
      <>
        {rows}
        <tr class="none">
          <td colSpan={4}>
            {doubt !== undefined
              ? doubt.marks.length > 0
                ? `Named once the doubt about ${listed(doubt.marks)} is settled.`
                : 'Named once the doubt is settled.'
              : shown.judged === undefined
                ? 'Named once the marks are read.'
                : 'None for this cut.'}
          </td>
        </tr>
      </>
    );
  return (
    <>
      {points.map(({ at, allowed, opening, what, design }, i) => (
        <tr key={`${opening}${design}`} class={`w ${fresh ? '' : 'old'}`} title={`${what} of ${opening}`}>
          <th scope="row" class="nm">
            <button
              type="button"
              class="aim"
              onClick={() => beginWitness(design)}
              aria-label={`Write down where the pointer stands at w${i + 1}`}
            >
              w{i + 1}
            </button>
          </th>
          <td>
            <span class="fig">{fixed(at.x, 2)}</span>
          </td>
          <td>
            <span class="fig">{fixed(at.y, 2)}</span>
          </td>
          <td class="off">
            <span>{fixed(allowed, 2)}</span>
          </td>
        </tr>
      ))}
      {rows}
    </>
  );
};

const beginWitness = (design: readonly [number, number]): void => {
  act('begin witness', (work) => ({ ...work, begun: { ...work.begun, witness: design } }));
  requestAnimationFrame(() => {
    const inputs = document.querySelectorAll<HTMLInputElement>('[data-line^="w:"] input');
    inputs[inputs.length - 2]?.focus();
  });
};
