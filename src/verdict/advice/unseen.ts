/** What the readings do not see of the panel: how far a bow or a change of size would move a place of it after the fit. */
import type { Fit } from '../../fit/fit.js';
import { type Box, length, type Point } from '../../geometry/point.js';
import { bowError, sizeError } from '../risk/common-errors.js';
import { type Displacement, displacedBy } from '../risk/displacement.js';
import { largestShown } from './assumptions.js';
import { commonPractice } from './common-practice.js';

export type UnseenCause = 'bow' | 'size-change';

export interface Unseen {
  readonly cause: UnseenCause;
  /** Displacement by what is common practice of the cause, as far as the readings leave it possible, mm. */
  readonly size: number;
}

/**
 * The larger of the two at a place, true bed mm. What moves the marks and the openings alike counts nothing: the fit has
 * taken it up.
 */
export const unseenBy = (fit: Fit, panel: Box): ((placed: Point) => Unseen) => {
  const longer = Math.max(panel.maxX - panel.minX, panel.maxY - panel.minY);
  const possible = (one: Displacement, usual: number): number =>
    Math.min(usual, largestShown(fit, one) ?? usual);
  const bow = bowError(fit, possible(bowError(fit, 1, panel), commonPractice.bowPerLength * longer), panel);
  const size = sizeError(fit, possible(sizeError(fit, 1), commonPractice.sizeChange));
  return (placed) => {
    const byBow = length(displacedBy(bow, placed));
    const bySize = length(displacedBy(size, placed));
    return bySize > byBow ? { cause: 'size-change', size: bySize } : { cause: 'bow', size: byBow };
  };
};
