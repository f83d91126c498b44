/** Whether what closes is an outline. */
import type { Path } from '../../geometry/curve.js';
import { signedArea } from '../../geometry/measure.js';
import { segmentsNow } from '../../geometry/stored-path.js';
import { findOverlaps } from './doubtful/overlap.js';
import { type Part, segmentsOf } from './doubtful/piece.js';
import { lengthBound, sameLine } from './doubtful/same-curve.js';

/** Whether a closed way goes round something. Lines to and fro do not, though they close. */
export const encloses = (parts: readonly Part[], gap: number): boolean => {
  const segments = parts.flatMap(segmentsOf);
  const path: Path = { segments, closed: true };
  let bound = 0;
  for (const s of segments) bound += lengthBound(s);
  if (Math.abs(signedArea(path)) > (gap + sameLine) * bound) return true;
  // A figure of eight has no area on the whole either; what runs to and fro lies on itself.
  const tolerance = Math.max(gap, sameLine);
  const onItself = findOverlaps(segments, segments.length, tolerance);
  if (onItself.covers.size > 0) return false;
  return segments.length > 2 || segments.some(({ kind }) => kind !== 'line');
};

/**
 * A path that would close upon itself has to be longer than the gap it closes over, so many times.
 */
export const leastTurns = 4;

/** Whether parts are together no longer than `limit`, mm. */
export const isShort = (parts: readonly Part[], limit: number): boolean => {
  let sum = 0;
  for (const { piece } of parts) {
    for (const s of segmentsNow(piece.path)) {
      sum += lengthBound(s);
      if (sum > limit) return false;
    }
  }
  return true;
};
