/** The sheet: title block and field book, plan, details, bottom line. */
import type { JSX } from 'preact';
import { useEffect, useRef, useState } from 'preact/hooks';
import { Book } from './book/book.js';
import { Bottom } from './drawn/bottom.js';
import { Details } from './drawn/details.js';
import { Plan } from './drawn/plan.js';
import { TitleBlock } from './drawn/title-block.js';
import { answerKeep, missingFiles, openExample, openFiles } from './kept/open.js';
import { saveJob } from './kept/save.js';
import { clear, put, redo, sheet, undo, whenChanged } from './sheet.js';
import { FilmPanel } from './sheets/film.js';
import { MachineSheet } from './sheets/machine.js';
import { PiercingPlan } from './sheets/piercing.js';
import { RunSheet } from './sheets/run-sheet.js';
import { SettingsSheet } from './sheets/settings.js';

export const App = (): JSX.Element => {
  const [, draw] = useState(0);
  const input = useRef<HTMLInputElement>(null);
  const [isOver, setOver] = useState(false);
  useEffect(() => whenChanged(() => draw((n) => n + 1)), []);
  useEffect(() => {
    const over = (event: DragEvent): void => {
      event.preventDefault();
      setOver(event.type === 'dragover' || event.type === 'dragenter');
    };
    const drop = (event: DragEvent): void => {
      event.preventDefault();
      setOver(false);
      void openFiles(event.dataTransfer?.files ?? []);
    };
    const keys = (event: KeyboardEvent): void => {
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== 'z') return;
      event.preventDefault();
      if (event.shiftKey) redo();
      else undo();
    };
    const kinds = ['dragenter', 'dragover', 'dragleave'] as const;
    for (const kind of kinds) window.addEventListener(kind, over);
    window.addEventListener('drop', drop);
    window.addEventListener('keydown', keys);
    return () => {
      for (const kind of kinds) window.removeEventListener(kind, over);
      window.removeEventListener('drop', drop);
      window.removeEventListener('keydown', keys);
    };
  }, []);
  const open = (): void => input.current?.click();
  const { state, shown } = sheet;
  const isEmpty = state.work.job === '';
  const further =
    state.sheet === 'settings' ? <SettingsSheet /> : state.sheet === 'machine' ? <MachineSheet /> : null;
  return (
    <>
      <main
        class={`sheet ${isEmpty ? 'is-empty' : ''} ${further === null ? '' : 'has-further'} ${!isEmpty && (state.sheet === 'piercing' || state.sheet === 'film') ? 'has-panel' : ''} ${isOver ? 'over' : ''}`}
        data-working={sheet.working ?? 'no'}
      >
        <TitleBlock onOpen={open} />
        <Book />
        {further}
        {further !== null ? null : isEmpty ? (
          <Begin onOpen={open} />
        ) : state.sheet === 'piercing' ? (
          <PiercingPlan />
        ) : (
          <Plan />
        )}
        {further !== null || (state.sheet === 'piercing' && !isEmpty) ? null : state.sheet === 'film' ? (
          <FilmPanel />
        ) : (
          <Details />
        )}
        <Acts onOpen={open} />
        <Bottom />
        <Notes />
      </main>
      <input
        ref={input}
        id="files"
        type="file"
        multiple
        hidden
        aria-label="Files"
        onChange={(event) => {
          const target = event.currentTarget;
          void openFiles([...(target.files ?? [])]).then(() => {
            target.value = '';
          });
        }}
      />
      {shown.judged === undefined ? (
        <p class="run" aria-hidden="true">
          There is nothing to print before the part is placed and judged.
        </p>
      ) : (
        <RunSheet />
      )}
    </>
  );
};

const Acts = ({ onOpen }: { readonly onOpen: () => void }): JSX.Element => {
  const { state } = sheet;
  const isEmpty = state.work.job === '';
  return (
    <div class="acts2">
      <button type="button" onClick={onOpen}>
        Open
      </button>
      <button type="button" disabled={isEmpty} onClick={saveJob}>
        Save job
      </button>
      <button type="button" disabled={state.past.length === 0} onClick={undo}>
        Undo
      </button>
      <button type="button" disabled={state.future.length === 0} onClick={redo}>
        Redo
      </button>
      <button type="button" disabled={sheet.shown.judged === undefined} onClick={() => window.print()}>
        Print
      </button>
      <button type="button" disabled={isEmpty} onClick={clear}>
        Clear
      </button>
    </div>
  );
};

const Begin = ({ onOpen }: { readonly onOpen: () => void }): JSX.Element => (
  <section class="beginning" aria-label="Begin">
    <h2>Put a finished part back, and know before you cut whether it will fit.</h2>
    <p>Open the drawing the part was made from, and type what the display shows over its marks.</p>
    <p>
      The sheet says where the part lies, whether the error fits the clearance, and which reading to take
      again.
    </p>
    <p>Nothing leaves this device; what you type is kept on it until you clear it.</p>
    <div class="starts">
      <button type="button" class="start" onClick={onOpen}>
        Open a drawing or a job
      </button>
      <button type="button" class="start quiet" onClick={openExample}>
        See the worked example, with one reading slipped
      </button>
    </div>
    <p class="hint">
      Or drop files anywhere on the sheet: drawings (SVG, DXF), jobs, machine profiles, tables of readings.
    </p>
  </section>
);

const Notes = (): JSX.Element | null => {
  const { asks, note, mistake, notKept, state } = sheet;
  const missing = missingFiles(state.work);
  if (asks !== undefined)
    return (
      <section class="notes" role="alertdialog" aria-label="Another drawing">
        <p>
          <b>{asks.name}</b> is another drawing. What of the sheet is kept?
        </p>
        <button type="button" onClick={() => answerKeep(true)}>
          Keep readings and settings
        </button>
        <button type="button" onClick={() => answerKeep(false)}>
          Begin anew
        </button>
        <button type="button" onClick={() => put({ asks: undefined })}>
          Leave it
        </button>
      </section>
    );
  const said = [
    ...(mistake === undefined
      ? []
      : [
          `A mistake of this program: ${mistake.split('\n')[0]}. Do not rely on anything shown here; keep the drawing and the figures, and report it.`,
        ]),
    ...(missing.length === 0
      ? []
      : [`The job names ${missing.join(' and ')}: open ${missing.length === 1 ? 'it' : 'them'} as well.`]),
    ...(note === undefined ? [] : [note]),
    ...(notKept ? ['This browser keeps nothing: save the job before you close the page.'] : []),
  ];
  if (said.length === 0) return null;
  return (
    <section class={`notes ${mistake === undefined ? '' : 'mistake'}`} role="status" aria-label="Note">
      {said.map((one) => (
        <p key={one}>{one}</p>
      ))}
      {note === undefined ? null : (
        <button type="button" onClick={() => put({ note: undefined })}>
          Understood
        </button>
      )}
    </section>
  );
};
