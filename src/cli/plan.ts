/** `reseat plan JOB...` */
import { loadPlan, planJob, planJson, planText } from '../index.js';
import { type Io, jsonLine } from './io.js';
import { eachLoaded, statusOf } from './jobs.js';
import { startProgress } from './progress.js';

export const plan = async (jobs: readonly string[], options: { json: boolean }, io: Io): Promise<number> => {
  const progress = startProgress(io.stderr);
  const outcomes = await eachLoaded(io, jobs, progress, 'planning', loadPlan, ({ loaded }) => {
    const done = planJob(loaded);
    return { result: options.json ? jsonLine(planJson(loaded.job, done)) : planText(loaded.job, done) };
  });
  await progress.end();
  const results = outcomes.flatMap((o) => ('result' in o ? [o.result] : []));
  io.stdout.write(results.join(options.json ? '' : '\n'));
  return statusOf(outcomes);
};
