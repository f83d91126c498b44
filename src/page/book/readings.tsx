/** Readings over marks: what each is off by, what of it is in doubt, and from which side the marks were reached. */
import type { JSX } from 'preact';
import { linesOf, type ReadingLine, whyNot } from '../kept/book-lines.js';
import { sidesOf, withPair, withReading, withSides } from '../kept/job-edit.js';
import { act, put, sheet } from '../sheet.js';
import { fixed } from '../text.js';
import type { Slip } from '../work/answers.js';
import { Figure, isLit, Out, Why } from './figure.js';

export const Reading = ({ line }: { readonly line: ReadingLine }): JSX.Element => {
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
        <th scope="row" class={mark.length > 3 ? 'nm' : ''} title={mark.length > 3 ? mark : undefined}>
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

const sideWords: readonly (readonly [string, string])[] = [
  ['either', 'any side'],
  ['up', 'rising'],
  ['down', 'falling'],
  ['same', 'one side'],
];

/** From which side the pointer came to the marks, along each axis: as the figures ran on the display. */
export const Sides = (): JSX.Element => {
  const sides = sidesOf(sheet.state.work.job);
  return (
    <tr class="sides">
      <th
        scope="row"
        class="nm"
        title="From which side marks were reached: with rising or falling figures, or always from one side that nobody noted"
      >
        sides
      </th>
      {sides.map((side, i) => (
        <td key={i}>
          <select
            aria-label={`Marks reached along ${i === 0 ? 'x' : 'y'}`}
            value={side}
            onChange={(event) => {
              const { value } = event.currentTarget;
              act('sides', (work) => ({
                ...work,
                job: withSides(work.job, i === 0 ? [value, sides[1]] : [sides[0], value]),
              }));
            }}
          >
            {sideWords.map(([value, words]) => (
              <option key={value} value={value}>
                {words}
              </option>
            ))}
          </select>
        </td>
      ))}
      <td class="off note" />
    </tr>
  );
};
