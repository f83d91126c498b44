/**
 * The verdict as `--json` prints it: the contract of the README beside it, full precision, null
 * where something is absent.
 */

import type { Fit } from '../../fit/fit.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { trueToPointer } from '../../marks/frames.js';
import type { Advice } from '../../verdict/advice/advice.js';
import type { AssumptionCode } from '../../verdict/advice/assumptions.js';
import type { WitnessPoint } from '../../verdict/advice/witness.js';
import type { Check } from '../../verdict/check-result.js';
import type { Verdict } from '../../verdict/decide.js';
import { type FitJson, fitJson, type Pair, pair } from './fit-json.js';

export interface CheckJson {
  job: string;
  verdict: Verdict;
  /** null, like everything that needs an uncertainty, where none can be claimed. */
  risk: number | null;
  /** Why the risk is null, in a sentence; null where it is not. */
  riskUnknown: string | null;
  acceptedRisk: number;
  neededClearance: number | null;
  /**
   * What would be needed if the sd of a reading were known, mm; null where it is, or where that
   * costs less than a quarter.
   */
  neededWithKnownSd: number | null;
  clearance: number;
  /**
   * How well the drawn edges are known, as the job or the drawing states it, mm; null: they are
   * what was cut.
   */
  edgeSd: number | null;
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
  /** Why the verdict is what it is, for people. */
  explanation: string;
  /**
   * What to do next, the same list as in the text, with the needed clearance it would bring; empty
   * when it fits. Of a doubt, what settles it: nothing else counts before that.
   */
  advice: {
    kind: Advice['kind'];
    message: string;
    neededClearance: number | null;
    marks: string[];
    /** What to write into the job; null unless the kind is `change-job`. */
    set: { key: string; value: string } | null;
    /** Where a new mark would lie, design frame. */
    at: Pair | null;
  }[];
  /**
   * Places to look at before the cut, whatever the verdict. `allowed`: 95 of 100 sound jobs miss by
   * no more, mm.
   */
  witness: {
    opening: string;
    kind: WitnessPoint['kind'];
    design: Pair;
    /** Display coordinates. */
    at: Pair;
    allowed: number | null;
    /** What the first one shows of the panel that the marks do not. */
    shows: WitnessPoint['shows'] | null;
  }[];
  /**
   * The largest mistake that could hide in each reading, and how much closer it would bring the
   * edges; null: any, unseen.
   */
  reliability: {
    mark: string;
    smallestDetectable: number | null;
    approach: number | null;
    opening: string | null;
  }[];
  /**
   * Figures behind the verdict that nobody stated, the one nearest to turning it first: the value
   * supposed, the one at which the verdict turns (null: none within reason, or it does not fit
   * anyway), the largest that the readings leave possible (null: they show nothing of it), whether
   * that controls it, and what is common practice (without a source).
   */
  assumptions: {
    code: AssumptionCode;
    text: string;
    supposed: number;
    turnsAt: number | null;
    unit: 'mm' | 'share';
    atMost: number | null;
    controlled: boolean;
    usual: number;
    cure: string;
  }[];
  /** How much lost motion in the cut narrows the clearance at most, mm. */
  cutLoss: number;
  /** null where nothing was placed: pieces from a board of their own. */
  fit: FitJson | null;
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
    riskUnknown: check.riskUnknown ?? null,
    acceptedRisk: check.acceptedRisk,
    neededClearance: check.neededClearance ?? null,
    neededWithKnownSd: check.neededWithKnownSd ?? null,
    clearance: check.clearance,
    edgeSd: job.check.edgeSd ?? null,
    openings: check.openings.map((opening) => ({
      id: opening.id,
      verdict: opening.verdict,
      risk: opening.risk ?? null,
      margin: opening.margin,
      neededClearance: opening.neededClearance ?? null,
      worstPoint: opening.worstPoint === undefined ? null : pair(onDisplay(opening.worstPoint)),
      predictedError: opening.predictedError ?? null,
    })),
    explanation: check.explanation,
    advice: check.advice.map(({ kind, message, neededClearance, marks, set, at }) => ({
      kind,
      message,
      neededClearance: neededClearance ?? null,
      marks: [...(marks ?? [])],
      set: set ?? null,
      at: at === undefined ? null : pair(at),
    })),
    witness: check.witness.map(({ opening, kind, design, at, allowedMiss, shows }) => ({
      opening,
      kind,
      design: pair(design),
      at: pair(onDisplay(at)),
      allowed: allowedMiss ?? null,
      shows: shows ?? null,
    })),
    assumptions: (check.assumptions ?? []).map(({ turnsAt = null, atMost = null, ...others }) => ({
      ...others,
      turnsAt,
      atMost,
    })),
    cutLoss: check.cutLoss ?? 0,
    reliability: check.reliability.map(({ mark, smallestDetectable, approach, opening }) => ({
      mark,
      smallestDetectable: smallestDetectable ?? null,
      approach: approach ?? null,
      opening: opening ?? null,
    })),
    fit: fit.unplaced ? null : fitJson(job, fit, fitWarnings),
    warnings: [...warnings],
  };
};
