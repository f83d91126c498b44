/** Mistakes that a table of lengths may hold, and how they are told. */
import type { Warning } from '../../job/messages.js';
import type { PossibleMistake, WeighedMistake } from './mistakes.js';
import { lengthName, type MeasuredLength, pointKey } from './network.js';

export type BedMistake =
  | { readonly kind: 'wrong'; readonly length: MeasuredLength }
  | {
      readonly kind: 'exchanged';
      readonly lengths: readonly [MeasuredLength, MeasuredLength];
      readonly diagonals: boolean;
    };

/** Beside 1 for a table without any; judgement of the trade, no source. */
const mistakePriors = { wrong: 0.05, diagonals: 0.1, exchanged: 0.01 } as const;
/** Beyond so many lengths only single ones are looked at. */
const mostExchanged = 40;

/** One length wrong by any amount, two of them in each other's rows. */
export const mistakesIn = (lengths: readonly MeasuredLength[]): PossibleMistake<BedMistake>[] => {
  const singles = lengths.map(
    (length, i): PossibleMistake<BedMistake> => ({
      what: { kind: 'wrong', length },
      prior: mistakePriors.wrong / lengths.length,
      enters: lengths.map((_, k) => (k === i ? 1 : 0)),
    }),
  );
  if (lengths.length > mostExchanged) return singles;
  const pairs = lengths.flatMap((a, i) => lengths.slice(i + 1).map((b, k) => ({ a, b, i, j: i + 1 + k })));
  const areDiagonals = ({ a, b }: { a: MeasuredLength; b: MeasuredLength }): boolean =>
    boxKey(a) === boxKey(b) && pointKey(a.from) !== pointKey(b.from) && pointKey(a.from) !== pointKey(b.to);
  const crossing = pairs.filter(areDiagonals).length;
  const exchanged = pairs.map((pair): PossibleMistake<BedMistake> => {
    const { a, b, i, j } = pair;
    const diagonals = areDiagonals(pair);
    return {
      what: { kind: 'exchanged', lengths: [a, b], diagonals },
      prior: diagonals ? mistakePriors.diagonals / crossing : mistakePriors.exchanged / pairs.length,
      isKnown: true,
      enters: lengths.map((_, k) => (k === i ? a.length - b.length : k === j ? b.length - a.length : 0)),
    };
  });
  return [...singles, ...exchanged];
};

/** The upright rectangle that a length is a diagonal of; the same for both diagonals. */
const boxKey = ({ from, to }: MeasuredLength): string =>
  [Math.min(from.x, to.x), Math.max(from.x, to.x), Math.min(from.y, to.y), Math.max(from.y, to.y)].join(' ');

const mistakeText = ({ what, size }: WeighedMistake<BedMistake>): string => {
  if (what.kind === 'exchanged') {
    const [a, b] = what.lengths;
    return `${what.diagonals ? 'the diagonals' : 'the lengths'} ${lengthName(a)} (${a.length} mm) and ${lengthName(b)} (${b.length} mm) are exchanged`;
  }
  const { length } = what;
  return `${lengthName(length)} was measured as ${length.length} mm, ${Math.abs(size!).toFixed(2)} mm ${size! > 0 ? 'more' : 'less'} than the others lead to expect`;
};

export const mistakeWarning = (mistakes: readonly WeighedMistake<BedMistake>[]): Warning => {
  const [first] = mistakes;
  const finding =
    mistakes.length === 1
      ? `${mistakeText(first!).replace(/^the/, 'Probably the')}. Measure ${first!.what.kind === 'wrong' ? 'it' : 'both'} again.`
      : `One of these is probably wrong, and nothing tells which: ${mistakes.map(mistakeText).join('; or ')}. Measure them again.`;
  return { code: 'suspect-reading', message: finding };
};
