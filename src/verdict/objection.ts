/** What objects to a verdict. */
import type { Advice } from './advice/advice.js';

/** A reason why figures that fit prove nothing. */
export interface Objection {
  readonly kind: /** A reading, or a key of the job, that has to be settled first; also a part off its bed. */
    | 'doubt'
    /** The cut spoils the piece however well it is aligned (spoiled.ts): it does not fit. */
    | 'spoiled'
    /** The residuals reject the stated sd. */
    | 'contradiction'
    /** No reading is checked by another. */
    | 'unchecked'
    /** Something that nobody says and no reading tells, as which way y counts (`unsaid` of a warning). */
    | 'unsaid'
    /** A figure that nobody stated, measured or controls turns the verdict. */
    | 'assumption';
  /** A sentence. */
  readonly reason: string;
  /** `spoiled`: the openings that do. */
  readonly openings?: readonly string[];
  /** What settles it where the verdict itself has no advice for it. */
  readonly advice?: readonly Advice[];
}
