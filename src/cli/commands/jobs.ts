/** What `fit`, `cut` and `check` share: reading jobs, and one answer for all of them. */
import {
  decodeText,
  type Files,
  type FitFailure,
  failureText,
  faultText,
  InputError,
  type LoadedJob,
  loadJob,
  type Warning,
} from '../../internal.js';
import { filesBeside, readJobBytes } from '../disk.js';
import { type Io, status } from '../io.js';
import type { Progress } from '../progress.js';

export interface OpenedJob<Loaded = LoadedJob> {
  readonly path: string;
  readonly loaded: Loaded;
  /** Paths of the job file and of everything it names. */
  readonly inputs: readonly string[];
}

/** Reads a job for what a command does: with its readings, or without. */
type Load<Loaded> = (source: { readonly path: string; readonly text: string }, files: Files) => Loaded;

const openJob = async <Loaded>(io: Io, path: string, load: Load<Loaded>): Promise<OpenedJob<Loaded>> => {
  const bytes = await readJobBytes(io, path);
  if (isDrawing(path, bytes)) throw drawingAsJob(path);
  const { files, used } = filesBeside(io, path);
  const loaded = load({ path, text: decodeText(bytes, path) }, files);
  return { path, loaded, inputs: [path, ...used] };
};

const isDrawing = (path: string, bytes: Uint8Array): boolean =>
  /\.(svg|dxf)$/i.test(path) || /^\uFEFF?\s*</.test(new TextDecoder().decode(bytes.subarray(0, 64)));

/** Who begins has a drawing, and takes it for all that is needed. */
const drawingAsJob = (path: string): InputError => {
  const drawing = path.replace(/^.*[/\\]/, '');
  const name = `${drawing.replace(/\.[^.]*$/, '')}.yaml`;
  return new InputError({
    found: 'a drawing in place of a job',
    expected:
      'a job file: a text file that names the drawing and holds what the display showed over its marks',
    where: { file: path },
    next: `Write these lines into a file ${name} beside the drawing, with your own figures, and give that file:`,
    lines: [
      `drawing: ${JSON.stringify(drawing)}`,
      'readings:',
      '  A: [112.42, 96.10]',
      '  B: [671.93, 104.82]',
      '  C: [668.10, 491.07]',
      'fit: {reading-sd: 0.08}',
      'cut: {clearance: 0.5, kerf: 0.12}',
    ],
  });
};

/** A job that was worked on: its result, or why its part cannot be placed. */
export type Work<T> =
  | { readonly result: T }
  | { readonly failure: FitFailure; readonly warnings: readonly Warning[] };

/** What became of one job: its result, or the status with which it failed; why was told on stderr. */
export type Outcome<T> = { readonly result: T } | { readonly failed: number };

/**
 * Does the work for each job in turn. A job that fails does not keep the others from being looked at: all that is
 * wrong is told in one call.
 */
export const eachJob = <T>(
  io: Io,
  paths: readonly string[],
  progress: Progress,
  doing: string,
  work: (opened: OpenedJob) => Work<T>,
): Promise<Outcome<T>[]> => eachLoaded(io, paths, progress, doing, loadJob, work);

/** The same for jobs that are read in another way. */
export const eachLoaded = async <T, Loaded>(
  io: Io,
  paths: readonly string[],
  progress: Progress,
  doing: string,
  load: Load<Loaded>,
  work: (opened: OpenedJob<Loaded>) => Work<T>,
): Promise<Outcome<T>[]> => {
  const outcomes: Outcome<T>[] = [];
  for (const [index, path] of paths.entries()) {
    progress.step(`${doing} ${path}${paths.length > 1 ? ` (${index + 1} of ${paths.length})` : ''}`);
    outcomes.push(await outcomeOf(io, path, load, work));
  }
  return outcomes;
};

const outcomeOf = async <T, Loaded>(
  io: Io,
  path: string,
  load: Load<Loaded>,
  work: (opened: OpenedJob<Loaded>) => Work<T>,
): Promise<Outcome<T>> => {
  try {
    const done = work(await openJob(io, path, load));
    if ('result' in done) return done;
    io.stderr.write(`${failureText(path, done.failure, done.warnings)}\n`);
    return { failed: status.noSolution };
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    io.stderr.write(`${faultText(error, path)}\n`);
    return { failed: status.wrongInput };
  }
};

/** The status of the call: wrong input counts before a fit without solution. */
export const statusOf = (outcomes: readonly Outcome<unknown>[]): number => {
  const failed = outcomes.flatMap((o) => ('failed' in o ? [o.failed] : []));
  if (failed.includes(status.wrongInput)) return status.wrongInput;
  return failed.length > 0 ? status.noSolution : status.done;
};
