/** `reseat inspect JOB [SCAN] ... [--picture FILE] [--places N]` */
import {
  allWarnings,
  expectedGap,
  InputError,
  type InspectableFit,
  type InspectReport,
  inspectable,
  inspectByHand,
  inspectJson,
  inspectText,
  placesOf,
  toDrawing,
} from '../../internal.js';
import { type Io, jsonLine } from '../io.js';
import { startProgress } from '../progress.js';
import { eachJob, statusOf } from './jobs.js';

export interface InspectOptions {
  /** As typed. */
  readonly places: string | undefined;
  readonly json: boolean;
}

export const inspect = async (paths: readonly string[], options: InspectOptions, io: Io): Promise<number> => {
  const { json } = options;
  const count = options.places === undefined ? undefined : countOf(options.places);
  const progress = startProgress(io.stderr, json);
  const outcomes = await eachJob(io, paths, progress, 'inspecting', ({ loaded }) => {
    const job = inspectable(loaded);
    if (!job.ok) return job;
    const report = reportOf(job, count);
    return { result: json ? jsonLine(inspectJson(report)) : inspectText(report) };
  });
  await progress.end();
  io.stdout.write(outcomes.flatMap((o) => ('result' in o ? [o.result] : [])).join(json ? '' : '\n'));
  return statusOf(outcomes);
};

const reportOf = (job: InspectableFit, count: number | undefined): InspectReport => {
  const inspection = inspectByHand(job);
  return {
    job: job.loaded.job,
    toDrawing: toDrawing(job),
    expected: expectedGap(job),
    ...(inspection === undefined ? { places: placesOf(job, count) } : { inspection }),
    warnings: allWarnings(job, inspection),
  };
};

const countOf = (typed: string): number => {
  const count = /^\d+$/.test(typed) ? Number(typed) : Number.NaN;
  if (count >= 5 && count <= 100) return count;
  throw new InputError({
    found: `--places ${typed}`,
    expected: 'a whole number of places to measure, from 5 to 100',
    next: 'Write for example --places 12: five errors are sought, and further gaps check them.',
  });
};
