/** The sheet's one value, what is done to it, and what comes back from the worker. */

import type { Role } from '../internal.js';
import {
  type Key,
  readingRows,
  touchRows,
  typedMarks,
  type Value,
  withoutPair,
  withPair,
  withReading,
  withTouch,
  withValue,
  withWitness,
  witnessRows,
  written,
} from './kept/job-edit.js';
import { forget, keep, kept } from './kept/keep.js';
import {
  type Begun,
  changedWork,
  emptyState,
  redone,
  type SheetName,
  type State,
  settledStep,
  undone,
  type Work,
} from './kept/state.js';
import { figureOf, whyNoFigure } from './kept/typed.js';
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
  readonly failed?: string | undefined;
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
        shown: { drawing: shown.drawing, settings: shown.settings, failed: answer.reason },
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
    written(job, ['cut', 'kind']) === 'infill'
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

/* Fields */

/** A line of the field book by its place: its key in the job, or what it will be there. */
export interface Line {
  readonly id: string;
  readonly x: string;
  readonly y: string;
  /** Undefined while it has no figures. */
  readonly at: Key | undefined;
  /** Puts both figures into a job that has no such line yet. */
  readonly add: (
    job: string,
    x: NonNullable<ReturnType<typeof figureOf>>,
    y: NonNullable<ReturnType<typeof figureOf>>,
  ) => string;
}

export const typeIn = (line: Line, axis: 'x' | 'y', raw: string): void =>
  act(`type ${line.id}`, (work) => typedIn(work, line, axis, raw));

const typedIn = (work: Work, line: Line, axis: 'x' | 'y', raw: string): Work => {
  const typing = { ...work.typing, [`${line.id}:${axis}`]: raw };
  const text = (one: 'x' | 'y'): string => typing[`${line.id}:${one}`] ?? line[one];
  const [x, y] = [figureOf(text('x')), figureOf(text('y'))];
  if (x !== undefined && y !== undefined) {
    const job = line.at === undefined ? line.add(work.job, x, y) : withPair(work.job, line.at, x, y);
    const begun = line.at === undefined ? withoutBegun(work.begun, line.id) : work.begun;
    return { ...work, typing, job, begun };
  }
  if (text('x').trim() === '' && text('y').trim() === '' && line.at !== undefined)
    return { ...work, typing, job: withoutPair(work.job, line.at), begun: begunAgain(work, line) };
  return { ...work, typing };
};

/** A line that is emptied stays where it is, to be typed in again. */
const begunAgain = ({ begun, job }: Work, { id, at }: Line): Begun => {
  if (at?.[0] === 'touches') {
    const touch = touchRows(job).find((row) => row.at[1] === at[1]);
    return touch === undefined
      ? begun
      : { ...begun, touch: { on: touch.on, ...(touch.start === undefined ? {} : { start: touch.start }) } };
  }
  const again = /^r:(.*):(\d+)$/.exec(id);
  return again !== null && again[2] !== '0' ? { ...begun, again: again[1]! } : begun;
};

const withoutBegun = (begun: Begun, id: string): Begun => {
  const { again, touch, witness, ...others } = begun;
  return {
    ...others,
    ...(again !== undefined && !id.startsWith(`r:${again}:`) ? { again } : {}),
    ...(touch !== undefined && !id.startsWith('t:') ? { touch } : {}),
    ...(witness !== undefined && !id.startsWith('w:') ? { witness } : {}),
  };
};

/** Leaving a field: a figure that could be read stands as it is written in the job from then on. */
export const leave = (id: string): void => {
  settle();
  const { typing } = sheet.state.work;
  const [x, y] = [typing[`${id}:x`], typing[`${id}:y`]];
  if (x === undefined && y === undefined) return;
  const isGood = [x, y].every((one) => one === undefined || figureOf(one) !== undefined);
  const line = linesOf(sheet.state.work, sheet.shown).find((one) => one.id === id);
  const isBlank = (x ?? '') === '' && (y ?? '') === '' && line?.at === undefined;
  if (!isBlank && !(isGood && line?.at !== undefined)) return;
  const { [`${id}:x`]: _x, [`${id}:y`]: _y, ...others } = typing;
  setState({ ...sheet.state, work: { ...sheet.state.work, typing: others } });
};

/** Why a line cannot be taken as it stands. */
export const whyNot = (line: Line, work: Work, isLeft: boolean): string | undefined => {
  const text = (axis: 'x' | 'y'): string => (work.typing[`${line.id}:${axis}`] ?? line[axis]).trim();
  for (const axis of ['x', 'y'] as const)
    if (text(axis) !== '' && figureOf(text(axis)) === undefined) return whyNoFigure(text(axis));
  if ((text('x') === '') === (text('y') === '')) return undefined;
  return isLeft || line.at !== undefined ? `${text('x') === '' ? 'x' : 'y'} is missing` : undefined;
};

/** The first entry that the job could not take: what is shown is then what was worked out before it. */
export const wrongEntry = ({ state: { work }, shown }: Sheet): string | undefined => {
  for (const line of linesOf(work, shown)) {
    const why = whyNot(line, work, true);
    if (why === undefined) continue;
    const name =
      line.kind === 'reading'
        ? `Mark ${line.mark}`
        : line.kind === 'touch'
          ? `Touch ${line.number}`
          : 'Witness';
    return `${name}: ${why}`;
  }
  const wrong = Object.entries(work.typing).find(
    ([key, raw]) =>
      /^v:(cut|check|fit|pierced|film|plan)\./.test(key) && raw.trim() !== '' && figureOf(raw) === undefined,
  );
  return wrong === undefined ? undefined : `“${wrong[1].trim()}” is no number`;
};

export interface ReadingLine extends Line {
  readonly kind: 'reading';
  readonly mark: string;
  readonly count: number;
}
export interface TouchLine extends Line {
  readonly kind: 'touch';
  readonly on: string;
  readonly number: number;
  readonly radius: string | undefined;
}
export interface WitnessLine extends Line {
  readonly kind: 'witness';
  readonly number: number;
  readonly point: string | readonly [number, number];
}
export type BookLine = ReadingLine | TouchLine | WitnessLine;

/** Every line of the field book, those of marks that nobody has read included. */
export const linesOf = (work: Work, shown: Shown): BookLine[] => [
  ...readingLines(work, shown),
  ...touchLines(work),
  ...witnessLines(work),
];

const readingLines = ({ job, begun }: Work, { drawing }: Shown): ReadingLine[] => {
  const rows = readingRows(job) ?? [];
  const marks = [
    ...new Set([
      ...(drawing?.marks ?? []).map(({ name }) => name),
      ...typedNames(job),
      ...rows.map(({ mark }) => mark),
    ]),
  ];
  return marks.flatMap((mark) => {
    const own = rows.filter((row) => row.mark === mark);
    const line = (count: number): ReadingLine => {
      const row = own[count];
      return {
        kind: 'reading',
        id: `r:${mark}:${count}`,
        mark,
        count,
        x: row?.x ?? '',
        y: row?.y ?? '',
        at: row?.at,
        add: (text, x, y) => withReading(text, mark, x, y),
      };
    };
    const count = Math.max(1, own.length) + (begun.again === mark && own.length > 0 ? 1 : 0);
    return Array.from({ length: count }, (_, i) => line(i));
  });
};

const typedNames = (job: string): string[] => typedMarks(job).map(({ name }) => name);

const touchLines = ({ job, begun }: Work): TouchLine[] => {
  const rows = touchRows(job);
  const lines = rows.map(
    ({ x, y, on, at, radius }, i): TouchLine => ({
      kind: 'touch',
      id: `t:${i}`,
      number: i + 1,
      on,
      x,
      y,
      at,
      radius,
      add: (text) => text,
    }),
  );
  const { touch } = begun;
  if (touch !== undefined)
    lines.push({
      kind: 'touch',
      id: `t:${rows.length}`,
      number: rows.length + 1,
      on: touch.on,
      x: '',
      y: '',
      at: undefined,
      radius: touch.radius,
      add: (text, x, y) => withTouch(text, touch, x, y),
    });
  return lines;
};

const witnessLines = ({ job, begun }: Work): WitnessLine[] => {
  const rows = witnessRows(job);
  const lines = rows.map(
    ({ x, y, at, point }, i): WitnessLine => ({
      kind: 'witness',
      id: `w:${i}`,
      number: i + 1,
      point,
      x,
      y,
      at,
      add: (text) => text,
    }),
  );
  const { witness } = begun;
  if (witness !== undefined)
    lines.push({
      kind: 'witness',
      id: `w:${rows.length}`,
      number: rows.length + 1,
      point: witness,
      x: '',
      y: '',
      at: undefined,
      add: (text, x, y) => withWitness(text, witness, x, y),
    });
  return lines;
};

export const takeOut = (line: Line): void =>
  act(`take out ${line.id}`, (work) => {
    const { [`${line.id}:x`]: _x, [`${line.id}:y`]: _y, ...typing } = work.typing;
    const job = line.at === undefined ? work.job : withoutPair(work.job, line.at);
    return { ...work, typing: withoutLines(typing, line.id), job, begun: withoutBegun(work.begun, line.id) };
  });

/** What stood in lines behind one that is gone would stand in others. */
const withoutLines = (typing: Work['typing'], id: string): Work['typing'] => {
  const kind = id.slice(0, id.lastIndexOf(':'));
  return Object.fromEntries(Object.entries(typing).filter(([key]) => !key.startsWith(`${kind}:`)));
};

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
