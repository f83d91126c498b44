/** The form: what is typed, and where a fault is said. */
import { parseDocument } from 'yaml';
import type { InputError, LoadedJob, Point } from '../index.js';
import { all, byId, make, show } from './dom.js';
import type { TypedMark, TypedReading } from './job-text.js';
import { fixed, upperFirst } from './text.js';

type Field = HTMLInputElement | HTMLSelectElement;

interface Row {
  readonly tr: HTMLTableRowElement;
  readonly mark: () => string;
  readonly x: HTMLInputElement;
  readonly y: HTMLInputElement;
  /** Of a mark that is not drawn. */
  readonly typed?: { readonly x: HTMLInputElement; readonly y: HTMLInputElement };
}

const rows: Row[] = [];
const fields = (): Field[] => all<Field>('[data-key]');

/** A reading row for a mark, behind the others of it. */
const addRow = (mark: string, note: string, typed = false): Row => {
  const tr = byId<HTMLTemplateElement>('row').content.firstElementChild!.cloneNode(
    true,
  ) as HTMLTableRowElement;
  const [x, y] = all<HTMLInputElement>('input', tr) as [HTMLInputElement, HTMLInputElement];
  const head = tr.querySelector('th')!;
  const again = tr.querySelector<HTMLButtonElement>('[data-again]')!;
  let row: Row;
  if (typed) {
    const input = (label: string): HTMLInputElement => make('input', '', { 'aria-label': label });
    const name = input('Name of the mark');
    const place = { x: input('Its x in the drawing, mm'), y: input('Its y in the drawing, mm') };
    name.placeholder = 'name';
    place.x.placeholder = 'drawn x';
    place.y.placeholder = 'drawn y';
    head.append(name, place.x, place.y);
    row = { tr, mark: () => name.value.trim(), x, y, typed: place };
    again.remove();
    name.addEventListener('input', () => label(row));
  } else {
    head.append(make('span', mark), make('small', note));
    row = { tr, mark: () => mark, x, y };
    again.setAttribute('aria-label', `Read mark ${mark} once more`);
    again.addEventListener('click', () => addRow(mark, 'once more').x.focus());
  }
  label(row);
  const last = rows.findLastIndex((other) => other.mark() === mark && mark !== '');
  if (last < 0) {
    byId('marks').querySelector('tbody')!.append(tr);
    rows.push(row);
  } else {
    rows[last]!.tr.after(tr);
    rows.splice(last + 1, 0, row);
  }
  return row;
};

const label = ({ mark, x, y }: Row): void => {
  x.setAttribute('aria-label', `Display x over mark ${mark()}`);
  y.setAttribute('aria-label', `Display y over mark ${mark()}`);
};

/** The marks that can be read; rows with figures stay, whatever becomes of the drawing. */
export const offerMarks = (marks: ReadonlyMap<string, Point>): void => {
  const isEmpty = (row: Row): boolean => row.x.value === '' && row.y.value === '';
  for (const row of [...rows]) {
    if (row.typed !== undefined || marks.has(row.mark()) || !isEmpty(row)) continue;
    row.tr.remove();
    rows.splice(rows.indexOf(row), 1);
  }
  for (const [name, at] of marks) {
    if (rows.some((row) => row.mark() === name)) continue;
    addRow(name, `${fixed(at.x, 1)}, ${fixed(at.y, 1)}`);
  }
};

export const addTypedMark = (): void => {
  addRow('', '', true).tr.querySelector('input')!.focus();
};

/** Readings of which both figures are there. */
export const typedReadings = (): TypedReading[] =>
  rows.flatMap((row) => {
    const [x, y, mark] = [row.x.value.trim(), row.y.value.trim(), row.mark()];
    return x === '' || y === '' || mark === '' ? [] : [{ mark, x, y }];
  });

export const typedMarks = (): TypedMark[] =>
  rows.flatMap(({ typed, mark }) => {
    const [x, y] = [typed?.x.value.trim() ?? '', typed?.y.value.trim() ?? ''];
    return x === '' || y === '' || mark() === '' ? [] : [{ name: mark(), x, y }];
  });

/** Keys that a job cut as drawn has no use for, beside those of hidden fields. */
const withoutUse = ['cut.corners', 'cut.mitre-limit', 'cut.smallest-land', 'check.kerf-sd'];

/** By key; a field still as the job had it gives what stood there, however the page shows it. */
export const typedValues = (): Map<string, string> => {
  const values = new Map<string, string>();
  for (const field of fields()) {
    const { key = '', shown, raw } = field.dataset;
    if (field.closest('[hidden]')) values.set(key, '');
    else values.set(key, raw !== undefined && field.value === shown ? raw : field.value);
  }
  const kind = document.querySelector<HTMLInputElement>('[name=kind]:checked')!.value;
  const was = byId('kind').dataset.raw;
  values.set('cut.kind', kind === 'opening' && was !== 'opening' ? '' : kind);
  if (kind === 'as-drawn') for (const key of withoutUse) values.set(key, '');
  return values;
};

/** Fills the fields from a job's own text, and its readings from what was read of it. */
export const fillFrom = (text: string, { job, marks }: LoadedJob): void => {
  const document = parseDocument(text);
  for (const field of fields()) {
    const value = document.getIn(field.dataset.key!.split('.'));
    if (typeof value !== 'number' && typeof value !== 'string') continue;
    field.value = String(value);
    if (field.value !== String(value)) field.value = '';
    field.dataset.raw = String(value);
    field.dataset.shown = field.value;
  }
  const kind = byId('kind');
  if (document.hasIn(['cut', 'kind'])) kind.dataset.raw = job.cut.kind;
  kind.querySelector<HTMLInputElement>(`[value=${job.cut.kind}]`)!.checked = true;
  for (const { mark, at } of job.readings) {
    const place = marks.get(mark);
    at.forEach((reading, i) => {
      const note = i > 0 || place === undefined ? 'once more' : `${fixed(place.x, 1)}, ${fixed(place.y, 1)}`;
      const row = addRow(mark, note);
      row.x.value = String(reading.x);
      row.y.value = String(reading.y);
    });
  }
  offerMarks(marks);
};

/** What holds where a field is left empty, in its place. */
export const showDefaults = ({ job }: LoadedJob): void => {
  const defaults: Readonly<Record<string, number | undefined>> = {
    'cut.clearance': job.cut.clearance,
    'cut.kerf': job.cut.kerf,
    'fit.reading-sd': job.fit.readingSd,
    'fit.mark-sd': job.fit.markSd,
    'check.accepted-risk': job.check.acceptedRisk,
    'check.cut-sd': job.check.cutSd,
  };
  for (const field of fields()) {
    const key = field.dataset.key!;
    if (!(field instanceof HTMLInputElement) || !(key in defaults) || field.value !== '') continue;
    const value = defaults[key];
    field.placeholder = value === undefined ? 'not known' : String(value);
  }
};

/** The residual of each mark, beside its first row; `doubted` marks are set off. */
export const showResiduals = (
  residuals: ReadonlyMap<string, string>,
  doubted: ReadonlySet<string> = new Set(),
): void => {
  const seen = new Set<string>();
  for (const row of rows) {
    const mark = row.mark();
    const off = row.tr.querySelector('.off')!;
    off.replaceChildren(make('span', seen.has(mark) ? '' : (residuals.get(mark) ?? '')));
    const isDoubted = doubted.has(mark) && !seen.has(mark);
    if (isDoubted) off.append(make('small', 'look again'));
    row.tr.classList.toggle('doubt', isDoubted);
    seen.add(mark);
  }
};

export const clearFaults = (): void => {
  for (const place of all<HTMLElement>('.fault')) place.textContent = '';
  for (const field of all('[aria-invalid]')) field.removeAttribute('aria-invalid');
  const panel = byId('fault-panel');
  panel.replaceChildren();
  show(panel, false);
};

/** Says a fault beside the field it is about, or above the result where it is about none. */
export const showFault = (error: InputError): void => {
  const { found, expected, next, where } = error;
  const element = where.element ?? '';
  const keys = element.split('.').map((_, i, parts) => parts.slice(0, parts.length - i).join('.'));
  const places = all<HTMLElement>('.fault[data-for]');
  const place = keys
    .map((key) => places.find((one) => one.dataset.for === key))
    .find((one) => one !== undefined && !one.closest('[hidden]'));
  if (place === undefined) {
    const panel = byId('fault-panel');
    panel.replaceChildren(
      make('h2', `Found: ${found}`),
      make('p', `Expected: ${expected}.`),
      make('p', next),
    );
    show(panel, true);
    return;
  }
  // Beside its field a value needs no key.
  const said = found.replace(`${element} is `, 'This is ');
  place.textContent = `${upperFirst(said)}; expected ${expected}. ${next}`;
  place.closest('details')?.setAttribute('open', '');
  const mark = /^readings\.(.*)$/.exec(element)?.[1];
  const invalid: Element[] =
    mark === undefined
      ? fields().filter((field) => keys.includes(field.dataset.key!))
      : rows.filter((row) => row.mark() === mark).flatMap((row) => [row.x, row.y]);
  for (const field of invalid) field.setAttribute('aria-invalid', 'true');
};
