/** Ambiguous patterns of marks in a sentence, before any reading and after. */
import type { Point } from '../geometry/point.js';
import type { Warning } from '../job/messages.js';
import { type Ambiguity, ambiguities } from './ambiguity.js';
import type { Fit, FitOptions, Observation } from './fit.js';
import { listed, marksNamed } from './words.js';

/** Where no sd is known: how far apart two patterns must be to be told apart by eye and pointer, mm. */
const usualTolerance = 0.5;

/** Three sds of the difference of two readings. */
export const ambiguityTolerance = (readingSd: number | undefined, markSd: number): number =>
  readingSd === undefined ? usualTolerance : 3 * Math.SQRT2 * Math.hypot(readingSd, markSd);

/**
 * `ambiguous-pattern` for marks that map onto themselves to within `tolerance` mm; undefined when they do not. Needs
 * no readings.
 */
export const patternWarning = (
  marks: readonly { readonly mark: string; readonly design: Point }[],
  tolerance: number,
): Warning | undefined => {
  const found = ambiguities(
    marks.map((m) => m.design),
    tolerance,
  );
  if (found.length === 0) return undefined;
  const names = marks.map((m) => m.mark);
  const ways = [...new Set(found.map((a) => way(a)))];
  const moved = new Set(found.flatMap((a) => a.image.flatMap((to, k) => (to === k ? [] : [names[k]!]))));
  const cure =
    marks.length === 2
      ? 'A third mark beside the line through them would tell.'
      : 'One more mark, off the pattern, would tell; otherwise make sure by the part itself.';
  return {
    code: 'ambiguous-pattern',
    marks: names.filter((name) => moved.has(name)),
    message: `${marksNamed(names).replace(/^./, (c) => c.toUpperCase())} form a pattern that fits as well ${listed(ways, 'or')}: from the readings alone that cannot be told apart. ${cure}`,
  };
};

const way = ({ kind, degrees, image }: Ambiguity): string => {
  const sameMarks = image.every((to, k) => to === k);
  switch (kind) {
    case 'half-turn':
      return 'turned by half a turn with the marks exchanged';
    case 'turn':
      return `turned by ${(degrees ?? 0).toFixed(0)} degrees with the marks exchanged`;
    case 'mirror':
      return sameMarks ? 'with the part face down' : 'face down with marks exchanged';
    case 'equal-spacing':
      return 'one spacing further along, where there are more such marks';
  }
};

export const ambiguityWarning = (
  observations: readonly Observation[],
  options: FitOptions,
  fit: Pick<Fit, 'sd'>,
): Warning | undefined =>
  patternWarning(observations, ambiguityTolerance(fit.sd.used ?? options.readingSd, options.markSd));
