/**
 * The job worked out beside the page: what is quick first, what takes long last. Between two stages it listens whether there is
 * a newer question, and says nothing more of a job that has been typed over.
 */
import './same-digits.js';

import {
  applicableTransform,
  checkJob,
  cutJob,
  type Fit,
  fitJob,
  fitOptionsOf,
  hasBound,
  InputError,
  type Job,
  judgedFit,
  type LoadedJob,
  loadJob,
  openingPoints,
  type Warning,
  writeCutFile,
} from '../../internal.js';
import { readingRows, touchRows, written } from '../kept/job-edit.js';
import type { Answer, Answered, Asked, Detail, Fault, Files, JobQuestion, Question } from './answers.js';
import { cutView } from './view-cut.js';
import { listJob, viewOfDrawing } from './view-drawing.js';
import { goneAt, judgedView, slidView } from './view-judged.js';
import { comparedWith, placedView, settingsView } from './view-placed.js';
import { answerFurther } from './worker-further.js';

const port = globalThis as unknown as {
  onmessage: ((event: { data: Asked }) => void) | null;
  postMessage(answer: Answered): void;
};

let files: Files = new Map();
const reader = { read: (path: string): Uint8Array | undefined => files.get(path) };

const waiting: Asked[] = [];
let isWorking = false;

/** What the last job that was worked out stands on, for the questions that follow it. */
let current: { loaded: LoadedJob; fitted: Fitted; fit: Fit; warnings: readonly Warning[] } | undefined;
type Fitted = Parameters<typeof slidView>[2];

port.onmessage = ({ data }) => {
  waiting.push(data);
  if (!isWorking) void work();
};

const work = async (): Promise<void> => {
  isWorking = true;
  for (let asked = waiting.shift(); asked !== undefined; asked = waiting.shift()) {
    if (asked.files !== undefined) files = asked.files;
    const { number } = asked;
    // A save is done whatever was typed since; of the others only the newest counts.
    const isStale = (): boolean => asked.kind === 'job' && waiting.some(({ kind }) => kind === 'job');
    if (!isStale()) {
      const say = (answer: Answer): void => port.postMessage({ ...answer, number });
      try {
        await answerTo(asked, say, isStale);
      } catch (error) {
        if (error instanceof InputError) say({ stage: 'fault', fault: faultOf(error) });
        else
          say({
            stage: 'mistake',
            message: error instanceof Error ? (error.stack ?? error.message) : String(error),
          });
      }
      say({ stage: 'done' });
    }
    await breath();
  }
  isWorking = false;
};

/** Lets messages in that have come meanwhile. */
const breath = (): Promise<void> =>
  new Promise((resolve) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = () => resolve();
    port2.postMessage(0);
  });

/** ms without another key: what takes long is not begun for a figure that is still being typed. */
const beforeVerdict = 40;
const beforeCut = 150;
const quiet = (time: number): Promise<void> => new Promise((resolve) => setTimeout(resolve, time));

const faultOf = ({ found, expected, next, where }: InputError): Fault => ({
  found,
  expected,
  next,
  element: where.element ?? '',
  file: where.file,
});

const answerTo = async (
  question: Question,
  say: (answer: Answer) => void,
  isStale: () => boolean,
): Promise<void> => {
  switch (question.kind) {
    case 'job':
      return workOut(question, say, isStale);
    case 'slide': {
      if (current === undefined || waiting.length > 0) return;
      const { loaded, fitted, fit, warnings } = current;
      say(slidView(loaded, question.clearance, fitted, fit, warnings));
      return;
    }
    case 'save': {
      if (current === undefined) return;
      const done = cutJob(current.loaded);
      if (!done.ok) return;
      say({ stage: 'saved', name: question.format, text: writeCutFile(done.file, question.format) });
      return;
    }
    default:
      answerFurther(question, reader, say);
  }
};

/** What the last drawing was drawn from: it is sent once. */
let sentKey = '';

const drawingKey = ({ path, text }: JobQuestion): string => {
  const keys = ['drawing', 'units', 'dpi', 'join', 'roles', 'marks', 'cut'].map(
    (key) => written(text, [key]) ?? '',
  );
  return JSON.stringify([
    path,
    keys,
    text.match(/^(roles|marks|units|dpi|join):[\s\S]*?(?=^\S|(?![\s\S]))/gm),
    idOf(files),
  ]);
};

const ids = new WeakMap<object, number>();
let lastId = 0;
const idOf = (of: object): number => {
  const known = ids.get(of);
  if (known !== undefined) return known;
  ids.set(of, ++lastId);
  return lastId;
};

const showDrawing = (question: JobQuestion, say: (answer: Answer) => void): void => {
  const key = drawingKey(question);
  if (key === sentKey) return;
  const listed = listJob(question, reader);
  say({ stage: 'drawing', drawing: viewOfDrawing(key, listed) });
  sentKey = key;
};

const workOut = async (
  question: JobQuestion,
  say: (answer: Answer) => void,
  isStale: () => boolean,
): Promise<void> => {
  current = undefined;
  const { text } = question;
  if (written(text, ['drawing']) === undefined) return;
  showDrawing(question, say);
  await breath();
  if (isStale()) return;
  const isRead = (readingRows(text)?.length ?? 1) > 0 || touchRows(text).length > 0;
  const isInlay = written(text, ['cut', 'kind']) === 'inlay';
  if (!isRead && !isInlay) return;
  const loaded = loadJob(question, reader);
  say({ stage: 'settings', settings: settingsView(loaded.job) });
  const isUnplaced = isInlay && !isRead;
  let fitted: Fitted = { observations: loaded.observations, options: fitOptionsOf(loaded.job) };
  if (!isUnplaced) {
    const placed = fitJob(loaded);
    fitted = placed;
    const { outcome, warnings } = placed;
    if (!outcome.ok) {
      say({ stage: 'failed', reason: outcome.failure.reason, cure: outcome.failure.cure, warnings });
      return;
    }
    const { fit } = outcome;
    const compared = comparedWith(question, loaded, fit, warnings, reader);
    say({ stage: 'placed', placed: placedView(loaded, judgedFit(loaded.job, fit), fit, warnings, compared) });
    await quiet(beforeVerdict);
    if (isStale()) return;
  }
  if (!hasBound(loaded.job)) {
    sayMissing(loaded, say);
    return;
  }
  const done = checkJob(loaded);
  if (!done.ok) {
    say({ stage: 'failed', ...done.failure, warnings: done.warnings });
    return;
  }
  if (isUnplaced) say({ stage: 'placed', placed: placedView(loaded, done.fit, done.fit, done.warnings, []) });
  current = { loaded, fitted, fit: done.fit, warnings: done.warnings };
  const judged = judgedView(loaded, done, appliedOf(loaded, done.fit));
  say({ stage: 'judged', judged });
  await quiet(beforeCut);
  if (isStale()) return;
  await showCut(loaded, judged.details, say);
  await breath();
  if (isStale()) return;
  say({ stage: 'gone', gone: goneAt(loaded, done.fit) });
};

/** A cut as drawn whose job does not say how far it may lie off: what would be needed is told all the same. */
const sayMissing = (loaded: LoadedJob, say: (answer: Answer) => void): void => {
  try {
    checkJob(loaded);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    say({ stage: 'unjudged', missing: `${error.expected}. ${error.next}` });
  }
};

const appliedOf = ({ job, edges }: LoadedJob, fit: Fit): Fit['matrix'] => {
  if (job.cut.apply === 'full') return fit.matrix;
  const points = openingPoints(edges, faceOf(job), job.cut.kind === 'as-drawn');
  return applicableTransform(fit.matrix, job.cut.apply, points);
};

const faceOf = ({ face }: Job): Fit['matrix'] => (face === 'down' ? [-1, 0, 0, 1, 0, 0] : [1, 0, 0, 1, 0, 0]);

/** A cut that is refused keeps the verdict. */
const showCut = async (
  loaded: LoadedJob,
  details: readonly Detail[],
  say: (answer: Answer) => void,
): Promise<void> => {
  try {
    const done = cutJob(loaded);
    if (done.ok) say({ stage: 'cut', cut: cutView(loaded, done, details) });
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    say({ stage: 'refused', fault: faultOf(error) });
  }
};
