/** What the operator does next: one decision for whatever shows it. */

import { type Doubt, doubtIn } from '../../fit/doubts/doubted.js';
import type { Warning } from '../../job/messages.js';
import type { Check } from '../check-result.js';
import type { Verdict } from '../decide.js';
import type { Advice } from './advice.js';
import type { WitnessPoint } from './witness.js';

export type NextStep =
  /** What else was worked out rests on what is doubted: no other advice, no point to drive to. */
  | {
      readonly kind: 'settle';
      readonly doubt: Doubt;
      /** What settles it, most likely first; at least one. */
      readonly advice: readonly Advice[];
      readonly witness: readonly [];
    }
  | { readonly kind: 'cut'; readonly witness: readonly WitnessPoint[] }
  | {
      readonly kind: 'improve';
      /** Most useful first; may be empty. */
      readonly advice: readonly Advice[];
      readonly witness: readonly WitnessPoint[];
    };

/** Where the cut is next, and where there are other things to do first. */
const mostWitness: Readonly<Record<Verdict, number>> = { fits: 4, 'too-close': 2, 'does-not-fit': 0 };

/**
 * @param warnings of the job, its fit and its check
 * @returns with the points to drive to before that; `check.witness` holds all that were found
 */
export const nextStep = (
  { verdict, advice, witness }: Pick<Check, 'verdict' | 'advice' | 'witness'>,
  warnings: readonly Warning[],
): NextStep => {
  const doubt = doubtIn(warnings);
  if (doubt !== undefined) return { kind: 'settle', doubt, advice, witness: [] };
  const shown = witness.slice(0, mostWitness[verdict]);
  return verdict === 'fits' ? { kind: 'cut', witness: shown } : { kind: 'improve', advice, witness: shown };
};
