/** What the sheet is of: piece, drawing, date, machine, how it lies; and the sheets of the book. */
import type { JSX } from 'preact';
import { machinePath, withMachine, written } from '../kept/job-edit.js';
import type { SheetName } from '../kept/state.js';
import { choose } from '../kept/values.js';
import { act, goTo, sheet } from '../sheet.js';
import { ValueField } from './field.js';

export const register: readonly { readonly name: SheetName; readonly label: string }[] = [
  { name: 'piercing', label: 'Before piercing' },
  { name: 'back', label: 'Putting back' },
  { name: 'machine', label: 'Know your machine' },
  { name: 'film', label: 'Film in strips' },
  { name: 'settings', label: 'Settings' },
];

const setAxes = (value: string): void =>
  act('choose machine.axes', (work) => ({
    ...work,
    job: withMachine(work.job, 'axes', value === '' ? undefined : value),
  }));

export const TitleBlock = ({ onOpen }: { readonly onOpen: () => void }): JSX.Element => {
  const { state, shown } = sheet;
  const { job } = state.work;
  const drawing = written(job, ['drawing']);
  const machine = shown.settings?.machineName ?? written(job, ['machine', 'name']) ?? machinePath(job);
  const says = (key: readonly string[]): string => written(job, key) ?? '';
  const axes = says(['machine', 'axes']);
  const held = shown.settings?.axesSaid === true ? shown.settings.axes.slice(2) : 'not said';
  return (
    <header class="tb">
      <div class="piece">
        <label for="v-title">Piece</label>
        <ValueField of={['title']} label="Piece" text long otherwise="no name" />
      </div>
      <div class="c1">
        <span>Drawing</span>
        <button type="button" class="line" onClick={onOpen} title="Open files">
          {drawing === undefined ? 'none; open one' : drawing.replace(/^.*[/\\]/, '')}
          {shown.drawing === undefined || drawing === undefined
            ? ''
            : `, ${shown.drawing.facts.replace(/^.*mm, /, '')}`}
        </button>
      </div>
      <div class="c2">
        <label for="v-date">Date</label>
        <ValueField of={['date']} label="Date" text otherwise="YYYY-MM-DD" />
      </div>
      <div class="c3">
        <span>Machine</span>
        <button type="button" class="line" onClick={onOpen} title="Open a machine profile">
          {machine === undefined ? 'no profile' : machine.replace(/^.*[/\\]/, '')}
        </button>
      </div>
      <div class="c4">
        <label for="face">Face</label>
        <select
          id="face"
          value={says(['face'])}
          onChange={(e) => choose(['face'], e.currentTarget.value || undefined)}
        >
          <option value="">{says(['face']) === '' ? 'up' : 'up, not said'}</option>
          <option value="up">up</option>
          <option value="down">down</option>
        </select>
      </div>
      <div class="c5">
        <label for="axes">y counts</label>
        <select id="axes" value={axes} onChange={(e) => setAxes(e.currentTarget.value)}>
          <option value="">{held}</option>
          <option value="y-up">up</option>
          <option value="y-down">down</option>
        </select>
      </div>
      <nav class="reg" aria-label="Sheets">
        {register.map(({ name, label }, i) => (
          <button
            type="button"
            key={name}
            aria-current={state.sheet === name ? 'page' : undefined}
            onClick={() => goTo(name)}
          >
            <i>{i + 1}</i>
            {label}
          </button>
        ))}
      </nav>
    </header>
  );
};
