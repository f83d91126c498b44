/** The three-way decision. */

export type Verdict = 'fits' | 'too-close' | 'does-not-fit';

/**
 * Acceptance with a guard band (JCGM 106:2012, 8.3): `fits` when the risk of touching is at most the accepted one,
 * `does-not-fit` when it is at least 1 - accepted or the best estimate touches already, `too-close` in between.
 * Without a risk, because no uncertainty can be claimed, nothing is ever called `fits`.
 */
export const decide = (risk: number | undefined, acceptedRisk: number, touchesAlready: boolean): Verdict => {
  if (touchesAlready) return 'does-not-fit';
  if (risk === undefined) return 'too-close';
  if (risk <= acceptedRisk) return 'fits';
  return risk >= 1 - acceptedRisk ? 'does-not-fit' : 'too-close';
};
