/** What is kept on this device, so that a reload or a closed tab loses nothing. */
import { clear, createStore, get, setMany } from 'idb-keyval';
import type { Files } from '../work/answers.js';
import { emptyState, type State, sheets, type Work } from './state.js';

/** Pages saved under different names, such as one for each job, keep what is theirs. */
const place = `reseat ${location.protocol === 'file:' ? location.pathname : location.href.split('#')[0]}`;

const store = (): ReturnType<typeof createStore> => createStore(place, 'sheet');

interface Kept {
  readonly work: Omit<Work, 'files'>;
  readonly sheet: State['sheet'];
  /** What the page came with: another one goes before what was kept. */
  readonly given: string;
}

let writtenFiles: Files | undefined;

/** @returns whether it was kept: a browser may refuse to keep anything */
export const keep = async (state: State, given: string): Promise<boolean> => {
  const { files, ...work } = state.work;
  const kept: Kept = { work, sheet: state.sheet, given };
  const entries: [string, unknown][] = [['state', kept]];
  if (files !== writtenFiles) entries.push(['files', files]);
  try {
    await setMany(entries, store());
    writtenFiles = files;
    return true;
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    return false;
  }
};

/** @returns undefined where nothing was kept, or what was kept belongs to what the page came with before */
export const kept = async (given: string): Promise<State | undefined> => {
  try {
    const state = await get<Kept>('state', store());
    const files = await get<Files>('files', store());
    if (state === undefined || files === undefined || state.given !== given) return undefined;
    writtenFiles = files;
    const sheet = sheets.find((one) => one === state.sheet) ?? 'back';
    return { ...emptyState, work: { ...state.work, files }, sheet };
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
    return undefined;
  }
};

export const forget = async (): Promise<void> => {
  writtenFiles = undefined;
  try {
    await clear(store());
  } catch (error) {
    if (!(error instanceof DOMException)) throw error;
  }
};
