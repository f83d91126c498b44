/** Lines of the field book: what stands in them, what is typed into them, and why one cannot be taken. */

import { act, type Sheet, type Shown, setState, settle, sheet } from '../sheet.js';
import {
  type Key,
  readingRows,
  touchRows,
  typedMarks,
  withoutPair,
  withPair,
  withReading,
  withTouch,
  withWitness,
  witnessRows,
} from './job-edit.js';
import type { Begun, Work } from './state.js';
import { figureOf, whyNoFigure } from './typed.js';

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
      ...(typedNames(job).length > 0 ? typedNames(job) : (drawing?.marks ?? []).map(({ name }) => name)),
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
