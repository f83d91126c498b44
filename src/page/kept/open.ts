/** Taking files: drawings, jobs, profiles and tables, in any number and order. */
import { isMap, parseDocument } from 'yaml';
import { act, put, setState, sheet } from '../sheet.js';
import type { Files } from '../work/answers.js';
import {
  machinePath,
  readingRows,
  withPair,
  withProfile,
  withReading,
  withValue,
  written,
} from './job-edit.js';
import { emptyWork, type Work } from './state.js';
import { partOfTable, pastedTable } from './table-text.js';
import { type PastedRow, pastedRows } from './typed.js';

type Kind = 'drawing' | 'job' | 'profile' | 'table' | 'measured' | 'unknown';

const textOf = (bytes: Uint8Array): string => new TextDecoder().decode(bytes).replace(/^\uFEFF/, '');

const kindOf = (name: string, bytes: Uint8Array): Kind => {
  if (/\.(svg|dxf)$/i.test(name)) return 'drawing';
  const text = textOf(bytes.subarray(0, 100_000));
  if (/<svg[\s>]/.test(text) || /^\s*0\s*\r?\n\s*SECTION/m.test(text)) return 'drawing';
  if (/\.(ya?ml|json)$/i.test(name) || /^\s*[\w-]+:\s/m.test(text)) {
    const { contents } = parseDocument(textOf(bytes));
    if (isMap(contents)) return contents.has('drawing') ? 'job' : 'profile';
  }
  if (partOfTable(text) !== undefined) return 'measured';
  return pastedRows(text) === undefined ? 'unknown' : 'table';
};

const base = (path: string): string => path.replace(/^.*[/\\]/, '');

/** Files under the paths by which the job names them. */
const named = (job: string, files: Files): Files => {
  const all = new Map(files);
  const paths = namedBy(job);
  for (const path of paths) {
    if (all.has(path)) continue;
    const found = [...all.keys()].find((name) => base(name) === base(path));
    if (found !== undefined) all.set(path, all.get(found)!);
  }
  return all;
};

/** Files under all paths by which these jobs name them. */
export const filesOfJobs = (jobs: readonly string[], files: Files): Files =>
  jobs.reduce((all, job) => named(job, all), files);

/** What the job names and nobody has given. */
export const missingFiles = ({ job, files }: Work): string[] =>
  namedBy(job).filter((path) => !files.has(path));

const namedBy = (job: string): string[] =>
  [written(job, ['drawing']), machinePath(job), written(job, ['readings'])].flatMap((path) => path ?? []);

export const openFiles = async (chosen: Iterable<File>): Promise<void> => {
  const files = new Map<string, Uint8Array>();
  for (const file of chosen) files.set(file.name, new Uint8Array(await file.arrayBuffer()));
  if (files.size > 0) takeFiles(files);
};

export const takeFiles = (files: Files): void => {
  const kinds = [...files].map(([name, bytes]) => ({ name, kind: kindOf(name, bytes), bytes }));
  const of = (kind: Kind) => kinds.filter((one) => one.kind === kind);
  const unknown = of('unknown').map(({ name }) => name);
  const [job] = of('job');
  const [drawing] = of('drawing');
  const notes =
    unknown.length === 0 ? [] : [`${unknown.join(', ')}: neither a drawing, a job, a profile nor a table.`];
  if (of('job').length > 1) notes.push(`Several jobs: ${job!.name} was taken.`);
  put({ note: notes.length === 0 ? undefined : notes.join(' ') });
  const { work } = sheet.state;
  const hasOther = job === undefined && drawing !== undefined && written(work.job, ['drawing']) !== undefined;
  if (hasOther && written(work.job, ['drawing']) !== drawing.name) {
    put({ asks: { name: drawing.name, files } });
    return;
  }
  takeIn(files, work);
};

/** Another drawing: what was typed for the one before it goes on, or all begins anew. */
export const answerKeep = (keepsReadings: boolean): void => {
  const { asks } = sheet;
  if (asks === undefined) return;
  put({ asks: undefined });
  takeIn(asks.files, keepsReadings ? sheet.state.work : emptyWork);
};

const takeIn = (files: Files, from: Work): void => {
  act(`open ${[...files.keys()].join(', ')}`, () => {
    let work: Work = { ...from, files: new Map([...from.files, ...files]) };
    const kinds = [...files].map(([name, bytes]) => ({ name, kind: kindOf(name, bytes), bytes }));
    for (const { name, kind, bytes } of kinds)
      if (kind === 'job') work = { ...emptyWork, files: work.files, path: name, job: textOf(bytes) };
    const namesDrawing = written(work.job, ['drawing']);
    for (const { name, kind } of kinds) {
      if (kind !== 'drawing' || base(namesDrawing ?? '') === name) continue;
      const isTitled = written(work.job, ['title']) !== undefined;
      work = { ...work, job: withValue(work.job, ['drawing'], name) };
      if (!isTitled) work = { ...work, job: withValue(work.job, ['title'], name.replace(/\.[^.]*$/, '')) };
      break;
    }
    for (const { name, kind } of kinds)
      if (kind === 'profile' && base(machinePath(work.job) ?? '') !== name)
        work = { ...work, job: withProfile(work.job, name) };
    for (const { kind, bytes, name } of kinds)
      if (kind === 'table' && base(written(work.job, ['readings']) ?? '') !== name)
        work = { ...work, job: withTable(work.job, pastedRows(textOf(bytes)) ?? []) };
    for (const { kind, bytes } of kinds) {
      const text = textOf(bytes);
      const part = kind === 'measured' ? partOfTable(text) : undefined;
      if (part !== undefined) work = { ...work, tables: { ...work.tables, [part]: pastedTable(text) } };
    }
    return { ...work, files: named(work.job, work.files) };
  });
  const isMeasured = [...files].some(([name, bytes]) => kindOf(name, bytes) === 'measured');
  if (isMeasured) setState({ ...sheet.state, sheet: 'machine' });
};

/** A table of readings in the place of those that are there. */
export const withTable = (job: string, rows: readonly PastedRow[]): string => {
  let text = withValue(job, ['readings'], undefined);
  for (const { name, x, y } of rows) if (name !== undefined) text = withReading(text, name, x, y);
  return text;
};

/** Rows without names fill lines of the book, from one on downwards; named ones go to their marks. */
export const pasteRows = (rows: readonly PastedRow[], fromMark: string, marks: readonly string[]): void =>
  act('paste', (work) => {
    let { job } = work;
    let next = Math.max(0, marks.indexOf(fromMark));
    for (const { name, x, y } of rows) {
      const mark = name ?? marks[next++];
      if (mark === undefined) break;
      const known = readingRows(job)?.filter((row) => row.mark === mark) ?? [];
      const isAgain =
        name !== undefined &&
        rows
          .slice(
            0,
            rows.findIndex((r) => r.x === x),
          )
          .some((r) => r.name === name);
      job =
        known[0] === undefined || isAgain ? withReading(job, mark, x, y) : withPair(job, known[0].at, x, y);
    }
    const typing = Object.fromEntries(Object.entries(work.typing).filter(([key]) => !key.startsWith('r:')));
    return { ...work, job, typing };
  });

/** The files of the worked example, which the page brings along. */
interface Example {
  readonly job: string;
  readonly drawing: string;
  readonly machine: string;
}

/** The worked example, in which two figures of one reading are exchanged. */
export const openExample = (): void => {
  const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);
  const example = JSON.parse(document.getElementById('example')?.textContent ?? 'null') as Example;
  const job = example.job.replace('[772.84, 731.85]', '[727.84, 731.85]');
  act('example', () => ({
    ...emptyWork,
    path: 'fern-screen.yaml',
    job,
    files: new Map([
      ['fern-screen.svg', bytes(example.drawing)],
      ['../profiles/workshop.yaml', bytes(example.machine)],
    ]),
  }));
  setState({ ...sheet.state, sheet: 'back' });
};
