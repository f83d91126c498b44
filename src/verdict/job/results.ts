/** What comes of a job as a whole. */

import type { CutResult } from '../../cut/cut.js';
import type { FilmPlan } from '../../cut/film/film.js';
import type { CutFile } from '../../drawing/write/cut-file.js';
import type { Fit, FitFailure } from '../../fit/fit.js';
import type { Warning } from '../../job/messages.js';
import type { Check } from '../check-result.js';

/** What follows from a fit, or why the part cannot be placed; with all warnings up to there. */
export type FromFit<Result> =
  | { readonly ok: false; readonly failure: FitFailure; readonly warnings: readonly Warning[] }
  | ({
      readonly ok: true;
      readonly fit: Fit;
      /** Those of the job and its fit alone. */
      readonly fitWarnings: readonly Warning[];
      readonly warnings: readonly Warning[];
    } & Result);

export type CheckJob = FromFit<{ readonly check: Check }>;

/** The cut, and what a writer takes of it. */
export type CutJob = FromFit<{
  readonly cut: CutResult;
  readonly file: CutFile;
  /** Where the job asks for film in strips. */
  readonly film?: FilmPlan;
  /**
   * Whether the error fits: a cut that is not proven is made all the same, and says so. Absent for one as drawn that
   * states no allowed deviation, and for drawings so large that it would take longer than the cut.
   */
  readonly check?: Check;
  /** Why the cut is not proven to fit; the file says so, too. Absent: it is. */
  readonly unproven?: string;
  /** Readings that contradict each other so much that the cut should not be written without being asked for. */
  readonly contradiction?: string;
}>;
