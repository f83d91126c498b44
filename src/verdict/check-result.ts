/** What a check says. */

import type { Point } from '../geometry/point.js';
import type { Warning } from '../job/messages.js';
import type { Advice } from './advice/advice.js';
import type { Assumption } from './advice/assumptions.js';
import type { MarkReliability } from './advice/reliability.js';
import type { WitnessPoint } from './advice/witness.js';
import type { Verdict } from './decide.js';
import type { Extrapolation } from './extrapolation.js';
import type { Objection } from './objection.js';

/** One opening. mm throughout; what needs an uncertainty is absent where none can be claimed. */
export interface OpeningCheck {
  readonly id: string;
  readonly verdict: Verdict;
  /** P(the new edge touches this opening's edge somewhere). */
  readonly risk?: number;
  /**
   * Room left at the worst point by the best estimate: the clearance, less what is known to remain there (`cut.apply`), more
   * or less what a corner gains or loses by the tools' widths; the whole clearance along an edge where the cutter applies
   * the whole fit.
   */
  readonly margin: number;
  readonly neededClearance?: number;
  /** On the existing edge, true bed mm. */
  readonly worstPoint?: Point;
  /** sd of the approach at the worst point: fit, machine and half the kerf together. */
  readonly predictedError?: number;
}

/** Of a cut as drawn: `clearance` is the allowed deviation, and touching means lying farther off than that. */
export interface Check {
  readonly verdict: Verdict;
  /** P(the new edge touches an existing edge anywhere). */
  readonly risk?: number;
  /** Why there is none, in a sentence; absent where there is one. */
  readonly riskUnknown?: string;
  readonly acceptedRisk: number;
  readonly neededClearance?: number;
  /** What a known sd of a reading would need, mm; present where so few readings tell it that this costs a quarter. */
  readonly neededWithKnownSd?: number;
  readonly clearance: number;
  /** In the order of the drawing; those without a closed path are left out. */
  readonly openings: readonly OpeningCheck[];
  /** Why the verdict is what it is: one or two sentences. */
  readonly explanation: string;
  /** What a verdict of `fits` takes for granted; it opens the explanation. Absent: nothing that could do harm. */
  readonly proviso?: string;
  /** Figures that nobody stated, the one nearest to turning the verdict first. */
  readonly assumptions?: readonly Assumption[];
  /** What lost motion in the cut takes of the clearance at most, mm; absent: nothing. */
  readonly cutLoss?: number;
  /** What the figures alone say, where something objects to them. */
  readonly byFigures?: { readonly verdict: Verdict; readonly explanation: string };
  /** Why it is not proven although the figures may fit, the weightiest first; absent: nothing objects (proof.ts). */
  readonly objections?: readonly Objection[];
  /** What to do next, most useful first; empty when it fits. */
  readonly advice: readonly Advice[];
  readonly reliability: readonly MarkReliability[];
  readonly extrapolation: readonly Extrapolation[];
  readonly witness: readonly WitnessPoint[];
  readonly warnings: readonly Warning[];
}
