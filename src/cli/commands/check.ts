/** `reseat check JOB...` */
import { checkJob, checkJson, checkText } from '../../internal.js';
import { type Io, jsonLine, status } from '../io.js';
import { startProgress } from '../progress.js';
import { eachJob, statusOf } from './jobs.js';

export const check = async (jobs: readonly string[], options: { json: boolean }, io: Io): Promise<number> => {
  const progress = startProgress(io.stderr, options.json);
  const outcomes = await eachJob(io, jobs, progress, 'checking', ({ loaded }) => {
    const done = checkJob(loaded);
    if (!done.ok) return done;
    const text = options.json ? jsonLine(checkJson(loaded.job, done)) : checkText(loaded.job, done);
    return { result: { text, fits: done.check.verdict === 'fits' } };
  });
  await progress.end();
  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  io.stdout.write(results.map((r) => r.text).join(options.json ? '' : '\n'));
  const failed = statusOf(outcomes);
  if (failed !== status.done) return failed;
  return results.every((r) => r.fits) ? status.done : status.doesNotFit;
};
