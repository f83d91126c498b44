/** Touches on edges: begun in the plan or here, on rims whose radius is known or not. */
import type { JSX } from 'preact';
import { type TouchLine, whyNot } from '../kept/book-lines.js';
import { withRadius } from '../kept/job-edit.js';
import { act, sheet } from '../sheet.js';
import { fixed } from '../text.js';
import { Figure, isLit, Out, Why } from './figure.js';

export const Touch = ({ line }: { readonly line: TouchLine }): JSX.Element => {
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
          <Radius line={line} />
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

/** Of a round rim: its radius is taken as drawn, as typed in the job, or found from the touches on it. */
const Radius = ({ line }: { readonly line: TouchLine }): JSX.Element | null => {
  const isRound = sheet.shown.drawing?.shapes.some(({ id, round }) => id === line.on && round) === true;
  if (!isRound && line.radius === undefined) return null;
  const said = line.radius ?? '';
  return (
    <select
      class="radius"
      aria-label={`Radius, touch ${line.number}`}
      value={said}
      onChange={(event) => setRadius(line, event.currentTarget.value)}
    >
      <option value="">radius drawn</option>
      <option value="unknown">radius unknown</option>
      {said === '' || said === 'unknown' ? null : <option value={said}>radius {said}</option>}
    </select>
  );
};

/** A rim has one radius: it is said, or not, at every touch on it. */
const setRadius = ({ on }: TouchLine, value: string): void =>
  act(`radius ${on}`, (work) => {
    const { touch } = work.begun;
    const { radius: _, ...bare } = touch ?? { on: '' };
    return {
      ...work,
      job: withRadius(work.job, on, value),
      begun:
        touch?.on === on
          ? { ...work.begun, touch: { ...bare, ...(value === '' ? {} : { radius: value }) } }
          : work.begun,
    };
  });

/** A touch begins in the plan, or here with the panel’s own edge. */
export const TouchBegin = (): JSX.Element | null => {
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
