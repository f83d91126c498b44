/** `reseat fit JOB...` */
import { fitJob, fitJson, fitText } from '../../internal.js';
import { type Io, jsonLine } from '../io.js';
import { startProgress } from '../progress.js';
import { eachJob, statusOf } from './jobs.js';

export const fit = async (jobs: readonly string[], options: { json: boolean }, io: Io): Promise<number> => {
  const progress = startProgress(io.stderr, options.json);
  const outcomes = await eachJob(io, jobs, progress, 'fitting', ({ loaded }) => {
    const { outcome, warnings } = fitJob(loaded);
    if (!outcome.ok) return { failure: outcome.failure, warnings };
    const { job } = loaded;
    const result = options.json
      ? jsonLine(fitJson(job, outcome.fit, warnings))
      : fitText(job, outcome.fit, warnings);
    return { result };
  });
  await progress.end();
  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  io.stdout.write(results.join(options.json ? '' : '\n'));
  return statusOf(outcomes);
};
