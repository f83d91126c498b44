/** The field book: what the display showed, line by line, and what each is off by. */
import type { JSX, TargetedClipboardEvent, TargetedKeyboardEvent } from 'preact';
import { linesOf } from '../kept/book-lines.js';
import { pasteRows } from '../kept/open.js';
import { pastedRows } from '../kept/typed.js';
import { sheet } from '../sheet.js';
import { Reading, Sides } from './readings.js';
import { Touch, TouchBegin } from './touches.js';
import { Witness } from './witness.js';

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
          {readings.some(({ at }) => at !== undefined) ? <Sides /> : null}
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
