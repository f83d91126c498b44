/**
 * A cut as `--json` prints it: the contract of the README beside it; display coordinates, full
 * precision.
 */

import type { CutResult } from '../../cut/cut.js';
import type { FilmPlan } from '../../cut/film/film.js';
import type { Fit } from '../../fit/fit.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { Check } from '../../verdict/check-result.js';
import type { Verdict } from '../../verdict/decide.js';
import { type FilmJson, filmJson } from '../film-report.js';
import { type BoxJson, boxJson } from './box-json.js';
import { type FitJson, fitJson, type Pair, pair } from './fit-json.js';

export interface CutJson {
  job: string;
  /** The cut file as the call named it. */
  output: string;
  /** `area` is null for an open line. */
  paths: { openings: string[]; length: number; area: number | null; box: BoxJson }[];
  merged: string[][];
  vanished: string[];
  thinLands: { between: [string, string]; width: number; at: Pair }[];
  tolerance: number;
  /**
   * Of `check`, for a cut is written whatever it says; null where nothing is stated that the error
   * could fit into, and for drawings so large that only `check` does it.
   */
  verdict: Verdict | null;
  /** Why the cut is not proven to fit, in sentences; null where it is. */
  unproven: string | null;
  risk: number | null;
  neededClearance: number | null;
  /** Only where the job asks for film in strips. */
  film?: FilmJson;
  /** null where nothing was placed: pieces from a board of their own. */
  fit: FitJson | null;
  warnings: Warning[];
}

export interface CutReport {
  readonly cut: CutResult;
  readonly film?: FilmPlan;
  readonly check?: Check;
  readonly unproven?: string;
  readonly fit: Fit;
  /** Those that `reseat fit` gives. */
  readonly fitWarnings: readonly Warning[];
  /** All of them. */
  readonly warnings: readonly Warning[];
}

export const cutJson = (
  job: Job,
  output: string,
  { cut, film, check, unproven, fit, fitWarnings, warnings }: CutReport,
): CutJson => ({
  job: job.path,
  output,
  paths: cut.paths.map((path) => ({
    openings: [...path.openings],
    length: path.length,
    area: path.open ? null : path.area,
    box: boxJson(path.box),
  })),
  merged: cut.merged.map((group) => [...group]),
  vanished: [...cut.vanished],
  thinLands: cut.thinLands.map(({ between, width, at }) => ({
    between: [...between],
    width,
    at: pair(at),
  })),
  tolerance: job.cut.tolerance,
  verdict: check?.verdict ?? null,
  unproven: unproven ?? null,
  risk: check?.risk ?? null,
  neededClearance: check?.neededClearance ?? null,
  ...(film === undefined ? {} : { film: filmJson(film) }),
  fit: fit.unplaced ? null : fitJson(job, fit, fitWarnings),
  warnings: [...warnings],
});
