/** Mistakes that measurements of a kerf may hold, and how they are told. */

import type { Warning } from '../../job/messages.js';
import type { KerfMeasurement } from './measurements.js';
import type { PossibleMistake, WeighedMistake } from './mistakes.js';

export type KerfMistake =
  | { readonly kind: 'wrong'; readonly measured: KerfMeasurement }
  | { readonly kind: 'miscounted'; readonly measured: KerfMeasurement; readonly count: number }
  | { readonly kind: 'not-pressed' };

/** Beside 1 for a table without any; judgement of the trade, no source. */
const priors = { wrong: 0.05, miscounted: 0.02, 'not-pressed': 0.2 } as const;

/**
 * One figure wrong by any amount, pieces miscounted by one, strips with gaps between them.
 * @param cuts the cut of each, numbered
 * @param kerf about, mm
 */
export const kerfMistakes = (
  measurements: readonly KerfMeasurement[],
  cuts: readonly number[],
  kerf: number,
): PossibleMistake<KerfMistake>[] => {
  const all: PossibleMistake<KerfMistake>[] = measurements.map((measured, i) => ({
    what: { kind: 'wrong', measured },
    prior: priors.wrong / measurements.length,
    enters: measurements.map((_, k) => (k === i ? 1 : 0)),
  }));
  const gaps = measurements.map((m) => (m.kind === 'strips' ? m.count - 1 : 0));
  // Gaps make strips look wider, and the kerf narrower. Where all rows are strips nothing tells.
  if (gaps.some((g) => g > 0) && gaps.some((g) => g === 0)) {
    all.push({
      what: { kind: 'not-pressed' },
      prior: priors['not-pressed'],
      enters: gaps.map((g) => (g === 0 ? 0 : -g)),
      positive: true,
    });
  }
  const counted = measurements.flatMap((m, i) => (m.kind !== 'pair' && m.count > 1 ? [{ m, i }] : []));
  const first = counted.filter(({ i }) => cuts.indexOf(cuts[i]!) === i);
  for (const { m, i } of first) {
    for (const by of [-1, 1]) {
      const count = m.count + by;
      all.push({
        what: { kind: 'miscounted', measured: m, count },
        prior: priors.miscounted / (2 * first.length),
        isKnown: true,
        // n k = n w - S: one strip more adds w - k. All rows of one cut were counted together.
        enters: measurements.map((other, k) =>
          cuts[k] !== cuts[i] || other.kind === 'pair'
            ? 0
            : (other.kind === 'strips' ? -1 : 1) *
              by *
              (other.drawn + (other.kind === 'strips' ? -kerf : kerf)),
        ),
      });
    }
  }
  return all;
};

const textOf = ({ what, size }: WeighedMistake<KerfMistake>): string => {
  switch (what.kind) {
    case 'not-pressed':
      return `the strips were not pressed together, or have dust or burr between them (about ${size!.toFixed(3)} mm in each gap)`;
    case 'miscounted': {
      const { measured, count } = what;
      return `there are ${count} ${measured.kind === 'strips' ? 'strips' : 'gaps'}${lineOf(measured)}, counted as ${measured.kind === 'pair' ? 0 : measured.count}`;
    }
    case 'wrong':
      return `the measurement${lineOf(what.measured)} is wrong by ${Math.abs(size!).toFixed(3)} mm`;
  }
};

const lineOf = ({ kind, where: { line } }: KerfMeasurement): string =>
  line === undefined ? ` by ${kind}` : ` in line ${line}`;

export const kerfMistakeWarning = (mistakes: readonly WeighedMistake<KerfMistake>[]): Warning => ({
  code: 'suspect-reading',
  message:
    mistakes.length === 1
      ? `Probably ${textOf(mistakes[0]!)}. Measure again.`
      : `The measurements do not agree, and nothing tells which of these it is: ${mistakes.map(textOf).join('; or ')}. Measure again.`,
});
