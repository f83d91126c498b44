/** Ambiguous patterns of marks in a sentence, before any reading and after. */
import type { Point } from '../../geometry/point.js';
import type { Warning } from '../../job/messages.js';
import type { FitOptions } from '../fit.js';
import { listed, marksNamed } from '../words.js';
import { type Ambiguity, ambiguities } from './ambiguity.js';

/** Where no sd is stated: how far apart two patterns must be to be told apart by eye and pointer, mm. */
const usualTolerance = 0.5;

/** Three sds of the difference of two readings. */
export const ambiguityTolerance = (options: Pick<FitOptions, 'readingSd' | 'markSd'>): number =>
  options.readingSd === undefined
    ? usualTolerance
    : 3 * Math.SQRT2 * Math.hypot(options.readingSd, options.markSd);

/**
 * `ambiguous-pattern` for marks that map onto themselves to within `tolerance` mm; undefined when they do not. Needs
 * no readings. `possible`: false for a way that something else rules out.
 */
export const patternWarning = (
  marks: readonly { readonly mark: string; readonly design: Point }[],
  tolerance: number,
  possible: (way: Ambiguity) => boolean = () => true,
): Warning | undefined => {
  const designs = marks.map((m) => m.design);
  const found = ambiguities(designs, tolerance).filter(possible);
  if (found.length === 0) return undefined;
  const names = marks.map((m) => m.mark);
  return {
    code: 'ambiguous-pattern',
    marks: names.filter((_, k) => found.some(({ image }) => image[k] !== k)),
    ...(found.some(isPlainMirror) ? { otherFace: true as const } : {}),
    message: marks.length === 2 && found.length > 1 ? twoMarks(names) : regular(names, found),
  };
};

/** Without any mark taken for another: a display that counts y the other way shows such a pattern as it is. */
const isPlainMirror = ({ kind, image }: Ambiguity): boolean =>
  kind === 'mirror' && image.every((to, k) => to === k);

const twoMarks = (names: readonly string[]): string =>
  `Two marks cannot tell the part from one that lies face down, nor from one turned by half a turn with ${listed(names)} exchanged. A third mark beside the line through them would tell; otherwise look at the part.`;

const regular = (names: readonly string[], found: readonly Ambiguity[]): string => {
  const ways = [...new Set(found.map(way))];
  return `${marksNamed(names).replace(/^./, (c) => c.toUpperCase())} form a regular pattern: ${listed(ways, 'or')}, it fits as well, and no reading tells. One more mark off the pattern would; otherwise look at the part.`;
};

const way = ({ kind, degrees, image }: Ambiguity): string => {
  const sameMarks = image.every((to, k) => to === k);
  switch (kind) {
    case 'half-turn':
      return 'turned by half a turn';
    case 'turn':
      return Math.abs(((degrees ?? 0) % 180) - 90) < 1
        ? 'turned by a quarter'
        : `turned by ${Math.min(degrees ?? 0, 360 - (degrees ?? 0)).toFixed(0)} degrees`;
    case 'mirror':
      return sameMarks ? 'face down' : 'face down with marks exchanged';
    case 'equal-spacing':
      return 'read one spacing further along';
  }
};
