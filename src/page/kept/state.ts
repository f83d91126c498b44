/** All of the sheet that is not worked out: one value, with what was before it and after it. */
import type { Files } from '../work/answers.js';

export const sheets = ['piercing', 'back', 'machine', 'film', 'settings'] as const;
export type SheetName = (typeof sheets)[number];

/** What a person has made: undone and done again as a whole. */
export interface Work {
  /** The job file, as far as it could be understood; '' before there is one. */
  readonly job: string;
  /** Its name. */
  readonly path: string;
  readonly files: Files;
  /** By field: what stands there and the job cannot take. */
  readonly typing: Readonly<Record<string, string>>;
  /** Lines that were begun and have no figures yet. */
  readonly begun: Begun;
  /** Measurements of the machine as they are typed, by part: the table of its form, comma between, without remarks. */
  readonly tables?: Readonly<Record<string, string>>;
}

export interface Begun {
  /** A further reading over this mark. */
  readonly again?: string;
  readonly touch?: {
    readonly on: string;
    readonly start?: readonly [number, number];
    readonly radius?: string;
  };
  /** At the witness point of this place in the drawing. */
  readonly witness?: readonly [number, number];
}

export interface State {
  readonly work: Work;
  readonly sheet: SheetName;
  readonly past: readonly Step[];
  readonly future: readonly Step[];
}

interface Step {
  readonly work: Work;
  /** What led away from it: typing on in one field is one step. */
  readonly by: string;
}

export const emptyWork: Work = { job: '', path: 'job.yaml', files: new Map(), typing: {}, begun: {} };
export const emptyState: State = { work: emptyWork, sheet: 'back', past: [], future: [] };

const mostSteps = 200;

/** @param by what is done; the same field typed on is one step */
export const changedWork = (state: State, by: string, change: (work: Work) => Work): State => {
  const work = change(state.work);
  if (work === state.work) return state;
  const last = state.past.at(-1);
  const goesOn = last?.by === by && by.startsWith('type ') && state.future.length === 0;
  const past = goesOn ? state.past : [...state.past, { work: state.work, by }].slice(-mostSteps);
  return { ...state, work, past, future: [] };
};

export const undone = (state: State): State => {
  const last = state.past.at(-1);
  if (last === undefined) return state;
  return {
    ...state,
    work: last.work,
    past: state.past.slice(0, -1),
    future: [{ work: state.work, by: last.by }, ...state.future],
  };
};

export const redone = (state: State): State => {
  const [next, ...future] = state.future;
  if (next === undefined) return state;
  return { ...state, work: next.work, past: [...state.past, { work: state.work, by: next.by }], future };
};

/** After leaving a field the next key in it is a step of its own. */
export const settledStep = (state: State): State => {
  const last = state.past.at(-1);
  return last?.by.startsWith('type ')
    ? { ...state, past: [...state.past.slice(0, -1), { ...last, by: `typed ${last.by.slice(5)}` }] }
    : state;
};
