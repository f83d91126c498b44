/**
 * What the rule itself may be out by. Its error is common to all lengths measured with it: it moves both scales alike and
 * the skew not at all, and no length shows it.
 *
 * A class is a bound and not an sd: at most a + b L, L the length in metres rounded up to the next whole one. Class I
 * 0.1 + 0.1 L mm, II 0.3 + 0.2 L mm, III 0.6 + 0.4 L mm (Directive 2014/32/EU, annex VIII, from memory). A certificate
 * counts as a bound as well. One rule is out by the same amount every day, so no average over rules is taken: limits are
 * so wide that they hold for a rule at its bound.
 */
import { bounds } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { isWithin } from '../../job/read/fields.js';
import { normalCdf, normalQuantile } from '../../numeric/distributions.js';
import type { Estimate } from '../estimate.js';
import { normalSd } from '../estimate.js';
import { confidence } from '../spread.js';

export type Rule = { readonly class: 1 | 2 | 3 } | { readonly mmPerMetre: number };

const classes = { 1: [0.1, 0.1], 2: [0.3, 0.2], 3: [0.6, 0.4] } as const;

/**
 * `1`, `2`, `3` (or I, II, III) is a class; `0.08` or `0.08 mm/m` a certificate.
 * @throws InputError
 */
export const readRule = (written: string): Rule => {
  const text = written.trim().toUpperCase();
  const roman = ['I', 'II', 'III'].indexOf(text);
  const called = roman >= 0 ? roman + 1 : /^[123]$/.test(text) ? Number(text) : undefined;
  if (called !== undefined) return { class: called as 1 | 2 | 3 };
  const [, figure] = /^(\d*\.\d+|\d+\.?)\s*(?:MM\/M)?$/.exec(text) ?? [];
  const mmPerMetre = Number(figure);
  if (isWithin(mmPerMetre, bounds['--rule'])) return { mmPerMetre };
  throw new InputError({
    found: `--rule ${written}`,
    expected: 'the class of the rule (1, 2 or 3), or what its certificate allows, such as 0.08mm/m',
    next: 'The class stands on the rule, in an oval; without either leave --rule out.',
  });
};

/** Bound of the relative error over lengths up to the longest, mm. */
export const ruleBound = (rule: Rule, longest: number): number => {
  if ('mmPerMetre' in rule) return rule.mmPerMetre / 1000;
  const [fixed, each] = classes[rule.class];
  return (fixed + each * Math.ceil(longest / 1000 - 1e-9)) / longest;
};

/** An estimate whose limits also hold where its value is out by the whole bound. `sd` stays that of the measurements. */
export const withBound = (estimate: Estimate, bound: number): Estimate => {
  const sd = normalSd(estimate);
  if (sd === undefined || bound === 0) return estimate;
  const { value } = estimate;
  if (!(sd > 0)) return { ...estimate, limits: [value - bound, value + bound] };
  // P(|bound + sd z| <= half) = confidence.
  let [low, high] = [0, bound + normalQuantile((1 + confidence) / 2) * sd];
  for (let i = 0; i < 60; i++) {
    const half = (low + high) / 2;
    if (normalCdf((half - bound) / sd) - normalCdf((-half - bound) / sd) < confidence) low = half;
    else high = half;
  }
  return { ...estimate, limits: [value - high, value + high] };
};
