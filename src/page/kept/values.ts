/** Values of the job beside its readings: as they are typed, and as they are chosen. */

import { act, setState, settle, sheet } from '../sheet.js';
import { type Key, type Value, withValue, written } from './job-edit.js';
import type { Work } from './state.js';
import { figureOf } from './typed.js';

/** A value of the job as it is typed; what cannot be read stays in its field. */
export const typeValue = (key: Key, raw: string, isFigure: boolean): void =>
  act(`type v:${key.join('.')}`, (work) => {
    const id = `v:${key.join('.')}`;
    const text = raw.trim();
    const figure = figureOf(text);
    if (isFigure && text !== '' && figure === undefined)
      return { ...work, typing: { ...work.typing, [id]: raw } };
    const value: Value | undefined = text === '' ? undefined : isFigure ? figure! : raw;
    return { ...work, job: withValue(work.job, key, value), typing: { ...work.typing, [id]: raw } };
  });

export const leaveValue = (key: Key, isFigure: boolean): void => {
  settle();
  const id = `v:${key.join('.')}`;
  const raw = sheet.state.work.typing[id];
  if (raw === undefined || (isFigure && raw.trim() !== '' && figureOf(raw) === undefined)) return;
  const { [id]: _, ...typing } = sheet.state.work.typing;
  setState({ ...sheet.state, work: { ...sheet.state.work, typing } });
};

/** A choice: undefined takes it out of the job. */
export const choose = (key: Key, value: Value | undefined): void =>
  act(`choose ${key.join('.')}`, (work) => ({ ...work, job: withValue(work.job, key, value) }));

/** Keys that a job cut as drawn has no use for, and the one that only it has. */
const ofEdges: readonly Key[] = [
  ['cut', 'clearance'],
  ['cut', 'kerf'],
  ['cut', 'corners'],
  ['cut', 'mitre-limit'],
  ['cut', 'smallest-land'],
  ['check', 'kerf-sd'],
  ['film'],
];

export const chooseKind = (kind: string): void =>
  act('choose cut.kind', (work) => {
    const useless = kind === 'as-drawn' ? ofEdges : ([['check', 'allowed-deviation']] as const);
    let { job } = work;
    for (const key of useless) job = withValue(job, key, undefined);
    return { ...work, job: withValue(job, ['cut', 'kind'], kind === '' ? undefined : kind) };
  });

export const textOfValue = (work: Work, key: Key): string =>
  work.typing[`v:${key.join('.')}`] ?? written(work.job, key) ?? '';
