/** The sheet's one value, what is done to it, and what comes back from the worker. */

import type { Role } from '../internal.js';
import { readingRows, touchRows, written } from './kept/job-edit.js';
import { forget, keep, kept } from './kept/keep.js';
import {
  changedWork,
  emptyState,
  redone,
  type SheetName,
  type State,
  settledStep,
  undone,
  type Work,
} from './kept/state.js';
import type {
  Answered,
  CutView,
  DrawingView,
  Fault,
  Files,
  Judged,
  OpeningView,
  Placed,
  Settings,
} from './work/answers.js';
import { Client } from './work/client.js';

/** What was worked out, of the job as it stands or, where that cannot be, of the last that could. */
export interface Shown {
  readonly drawing?: DrawingView | undefined;
  readonly settings?: Settings | undefined;
  readonly placed?: Placed | undefined;
  readonly judged?: Judged | undefined;
  readonly cut?: CutView | undefined;
  readonly gone?: number | undefined;
  readonly failed?: { readonly reason: string; readonly cure: string } | undefined;
  readonly unjudged?: string | undefined;
  readonly fault?: Fault | undefined;
  readonly refused?: Fault | undefined;
  readonly slid?:
    | {
        readonly clearance: number;
        readonly word: string;
        readonly explanation: string;
        readonly openings: readonly OpeningView[];
      }
    | undefined;
}

export type Working = 'reading' | 'placing' | 'judging' | 'cutting' | undefined;

export interface Sheet {
  readonly state: State;
  readonly shown: Shown;
  /** The verdict that is shown belongs to the job as it stands. */
  readonly fresh: boolean;
  readonly working: Working;
  /** ms, performance.now() */
  readonly since: number;
  readonly lit: string | undefined;
  readonly sliding: number | undefined;
  readonly mistake: string | undefined;
  readonly notKept: boolean;
  readonly note: string | undefined;
  readonly asks: Asks | undefined;
  /** While roles are told by touch: as what, and the shape that was tapped last. */
  readonly roles: { readonly role: Role; readonly picked?: string } | undefined;
}

/** What has to be decided before files are taken. */
export interface Asks {
  readonly name: string;
  readonly files: Files;
}

export let sheet: Sheet = {
  state: emptyState,
  shown: {},
  fresh: false,
  working: undefined,
  since: 0,
  lit: undefined,
  sliding: undefined,
  mistake: undefined,
  notKept: false,
  note: undefined,
  asks: undefined,
  roles: undefined,
};

let onChange: () => void = () => {};
export const whenChanged = (then: () => void): void => {
  onChange = then;
};

export const put = (change: Partial<Sheet>): void => {
  sheet = { ...sheet, ...change };
  onChange();
};

let given = '';
let askedJob: string | undefined;
let askedFiles: Files | undefined;

export const client = new Client(
  (answer) => take(answer),
  (message) => put({ mistake: message, working: undefined }),
);

const stages = {
  drawing: 'placing',
  settings: 'placing',
  placed: 'judging',
  judged: 'cutting',
} as const;

const take = (answer: Answered): void => {
  const { shown } = sheet;
  const working = stages[answer.stage as keyof typeof stages] ?? sheet.working;
  switch (answer.stage) {
    case 'drawing':
      put({ shown: { ...shown, drawing: answer.drawing }, working });
      return;
    case 'settings':
      put({ shown: { ...shown, settings: answer.settings, fault: undefined }, working });
      return;
    case 'fault':
      put({ shown: { ...shown, fault: answer.fault }, fresh: false });
      return;
    case 'failed':
      put({
        shown: { drawing: shown.drawing, settings: shown.settings, failed: answer },
        fresh: false,
      });
      return;
    case 'placed':
      put({
        shown: { ...shown, placed: answer.placed, failed: undefined, unjudged: undefined, fault: undefined },
        working,
      });
      return;
    case 'unjudged':
      put({
        shown: { ...shown, unjudged: answer.missing, judged: undefined, cut: undefined },
        fresh: false,
      });
      return;
    case 'judged':
      put({
        shown: { ...shown, judged: answer.judged, cut: undefined, refused: undefined, slid: undefined },
        fresh: true,
        working,
      });
      return;
    case 'cut':
      put({ shown: { ...shown, cut: answer.cut } });
      return;
    case 'refused':
      put({ shown: { ...shown, refused: answer.fault } });
      return;
    case 'gone':
      put({ shown: { ...shown, gone: answer.gone } });
      return;
    case 'done':
      put({ working: undefined, ...(isRead() ? {} : { shown: withoutResult(sheet.shown) }) });
      return;
    default:
  }
};

const withoutResult = ({ drawing, settings, fault }: Shown): Shown => ({ drawing, settings, fault });

const isRead = (): boolean => {
  const { job } = sheet.state.work;
  return (
    (readingRows(job)?.length ?? 1) > 0 ||
    touchRows(job).length > 0 ||
    written(job, ['cut', 'kind']) === 'inlay'
  );
};

const ask = (): void => {
  const { job, path, files } = sheet.state.work;
  if (job === askedJob && files === askedFiles) return;
  askedJob = job;
  askedFiles = files;
  if (job === '') {
    put({ shown: {}, working: undefined, fresh: false });
    return;
  }
  sheet = { ...sheet, working: 'reading', since: performance.now(), fresh: false };
  client.askJob(path, job, files);
};

const save = (): void => {
  void keep(sheet.state, given).then((done) => {
    if (done === sheet.notKept) put({ notKept: !done });
  });
};

export const setState = (state: State): void => {
  if (state === sheet.state) return;
  sheet = { ...sheet, state };
  ask();
  onChange();
  save();
};

export const act = (by: string, change: (work: Work) => Work): void =>
  setState(changedWork(sheet.state, by, change));

export const undo = (): void => setState(undone(sheet.state));
export const redo = (): void => setState(redone(sheet.state));
export const settle = (): void => {
  sheet = { ...sheet, state: settledStep(sheet.state) };
};
export const goTo = (name: SheetName): void => setState({ ...sheet.state, sheet: name });

export const clear = (): void => {
  setState({ ...emptyState, past: [...sheet.state.past, { work: sheet.state.work, by: 'clear' }] });
  put({ sliding: undefined, note: undefined, lit: undefined, asks: undefined, roles: undefined });
  void forget();
};

/** A job that came with the page, with the files it names, as base64. */
interface Given {
  readonly path: string;
  readonly text: string;
  readonly files: Readonly<Record<string, string>>;
}

/** Begins with what the page came with, or with what was kept on this device. */
export const begin = async (came: string): Promise<void> => {
  given = came === 'null' ? '' : String(hashOf(came));
  const before = await kept(given);
  if (before !== undefined) {
    setState(before);
    return;
  }
  const { path, text, files } = (JSON.parse(came) as Given | null) ?? { path: '', text: '', files: {} };
  if (path === '') {
    onChange();
    return;
  }
  const bytes = Object.entries(files).map(
    ([name, base64]) => [name, Uint8Array.from(atob(base64), (c) => c.charCodeAt(0))] as const,
  );
  setState({ ...emptyState, work: { ...emptyState.work, job: text, path, files: new Map(bytes) } });
};

/** Tells one text from another (FNV-1a, 32 bits). */
const hashOf = (text: string): number => {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return hash >>> 0;
};
