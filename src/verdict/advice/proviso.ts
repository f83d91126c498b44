/** What a verdict of "fits" takes for granted: mistakes of readings that nothing would show. */
import type { Fit } from '../../fit/fit.js';
import { listed, marksNamed, mm } from '../../fit/words.js';
import { neededName } from '../explain.js';
import type { MarkReliability } from './reliability.js';

/**
 * @param reliability of the fit's readings; empty where it was not worked out
 * @param bound the clearance, or the deviation that is allowed, mm
 * @returns sentences that go before the figures; undefined where a mistake that could hide would do no harm
 */
export const provisoOf = (
  fit: Fit,
  reliability: readonly MarkReliability[],
  bound: number,
  asDrawn: boolean,
): string | undefined => {
  // Nothing at all checks the readings: more than a proviso (proof.ts).
  if (fit.redundancy === 0 || fit.covariance === undefined) return undefined;
  const worst = [...reliability].sort((a, b) => (b.approach ?? 0) - (a.approach ?? 0))[0];
  const costs =
    worst?.approach !== undefined && worst.smallestDetectable !== undefined && worst.approach > bound
      ? `${mm(worst.smallestDetectable)} at ${worst.touch ? '' : 'mark '}${worst.mark} could stay unseen and take ${mm(worst.approach)}, more than the ${neededName(asDrawn)} of ${mm(bound)}`
      : undefined;
  if (fit.touches === undefined && fit.marks.length === 2 && fit.model === 'rigid') {
    const also = costs === undefined ? '' : ` A mistake of ${costs}.`;
    const names = listed(fit.marks.map(({ mark }) => mark));
    return `Only if both readings are right: two marks check no more than the distance between them, and a mistake across the line through ${names} would not show.${also}`;
  }
  const unchecked = reliability.filter((r) => r.smallestDetectable === undefined);
  if (unchecked.length > 0) {
    const names = unchecked.map((r) => r.mark);
    const where = unchecked.some((r) => r.touch) ? listed(names) : marksNamed(names);
    return `Only if the reading at ${where} is right: nothing checks it, and a mistake there would not show.`;
  }
  return costs === undefined ? undefined : `Only if no reading is mistaken: a mistake of ${costs}.`;
};
