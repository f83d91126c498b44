/** The verdict as `--json` prints it: the contract of README.md, full precision, null where something is absent. */
import type { Fit } from '../fit/fit.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { trueToPointer } from '../marks/frames.js';
import type { Check } from '../verdict/check.js';
import type { Verdict } from '../verdict/decide.js';
import { type FitJson, fitJson, type Pair, pair } from './fit-json.js';

export interface CheckJson {
  job: string;
  verdict: Verdict;
  /** null, like everything that needs an uncertainty, where none can be claimed. */
  risk: number | null;
  acceptedRisk: number;
  neededClearance: number | null;
  clearance: number;
  openings: {
    id: string;
    verdict: Verdict;
    risk: number | null;
    margin: number;
    neededClearance: number | null;
    /** Display coordinates, where the pointer stands over it. */
    worstPoint: Pair | null;
    predictedError: number | null;
  }[];
  fit: FitJson;
  warnings: Warning[];
}

export interface CheckReport {
  readonly check: Check;
  readonly fit: Fit;
  /** Those that `reseat fit` gives. */
  readonly fitWarnings: readonly Warning[];
  /** All of them. */
  readonly warnings: readonly Warning[];
}

export const checkJson = (job: Job, { check, fit, fitWarnings, warnings }: CheckReport): CheckJson => {
  const onDisplay = trueToPointer(job.machine);
  return {
    job: job.path,
    verdict: check.verdict,
    risk: check.risk ?? null,
    acceptedRisk: check.acceptedRisk,
    neededClearance: check.neededClearance ?? null,
    clearance: check.clearance,
    openings: check.openings.map((opening) => ({
      id: opening.id,
      verdict: opening.verdict,
      risk: opening.risk ?? null,
      margin: opening.margin,
      neededClearance: opening.neededClearance ?? null,
      worstPoint: opening.worstPoint === undefined ? null : pair(onDisplay(opening.worstPoint)),
      predictedError: opening.predictedError ?? null,
    })),
    fit: fitJson(job, fit, fitWarnings),
    warnings: [...warnings],
  };
};
