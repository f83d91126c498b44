/**
 * Two mistakes in one job: the readings of two marks swapped, and the whole job mirrored besides. Every pair of marks with every
 * cause in turn, the part at any place, simulated readings typed with two decimals.
 */
import { adjust } from '../../src/fit/adjust.js';
import type { FitOptions, Observation } from '../../src/fit/fit.js';
import { reviewFit } from '../../src/fit/warnings.js';
import type { Point } from '../../src/geometry/point.js';
import type { Warning } from '../../src/job/messages.js';
import { createRandom } from '../../src/numeric/random.js';
import { patterns } from './slips.js';

export const twoCausePatterns = {
  rectangle: patterns.rectangle,
  square: [
    [25, 25],
    [375, 25],
    [375, 375],
    [25, 375],
  ],
  irregular: patterns['four marks'],
} as const;

/** What is done to every reading, and the words that name it. */
const causes: readonly { readonly change: (p: Point) => Point; readonly words: string }[] = [
  { change: (p) => ({ x: p.y, y: p.x }), words: 'x and y of all readings are swapped' },
  // Turned over about an upright line: x counts the other way about the middle of the bed.
  { change: (p) => ({ x: round2(1200 - p.x), y: p.y }), words: 'the part lies face down' },
  { change: (p) => ({ x: -p.x, y: p.y }), words: 'the machine counts x the other way' },
  { change: (p) => ({ x: p.x, y: -p.y }), words: 'the machine counts y the other way' },
];

const names = ['A', 'B', 'C', 'D'] as const;
const round2 = (value: number): number => Number(value.toFixed(2));

/**
 * `told`: what happened stands among several that fit as well, none of them offered. `supposed`: so it does, behind one that is
 * offered for a part that lies as drawn on the stated face; the readings are then those of that one mistake. `wrong`: another
 * cause is offered, or a part of another size, and what happened is not named. `other`: a doubt that names neither. `nothing`.
 */
export type TwoCauseOutcome = 'told' | 'supposed' | 'wrong' | 'other' | 'nothing';

export interface TwoCauseRates {
  readonly counts: Readonly<Record<TwoCauseOutcome, number>>;
  /** First warnings of trials by outcome, for whoever wants to look. */
  readonly examples: Readonly<Record<TwoCauseOutcome, readonly string[]>>;
}

const doubts = ['likely-slip', 'suspect-reading', 'marks-disagree', 'mirrored', 'size-changed'];

/** Whether the message names this cause together with this pair, in one clause. */
const namesBoth = (message: string, words: string, pair: string): boolean =>
  message
    .split(/; or |: /)
    .some((clause) => clause.includes(words) && clause.includes(pair) && clause.includes('swapped as well'));

const outcomeOf = (warnings: readonly Warning[], words: string, pair: string): TwoCauseOutcome => {
  const [first] = warnings.filter((w) => doubts.includes(w.code));
  if (first === undefined) return 'nothing';
  const named = namesBoth(first.message, words, pair);
  if (first.code === 'likely-slip') return named ? 'supposed' : 'wrong';
  if (first.code === 'size-changed') return 'wrong';
  return named ? 'told' : 'other';
};

export const twoCauseStudy = ({
  trials,
  seed,
  pattern,
  sd = 0.08,
  turn = 8,
}: {
  readonly trials: number;
  readonly seed: string;
  readonly pattern: keyof typeof twoCausePatterns;
  readonly sd?: number;
  /** The part lies turned by up to this, degrees. */
  readonly turn?: number;
}): TwoCauseRates => {
  const random = createRandom(`${seed} two causes ${pattern}`);
  const design = twoCausePatterns[pattern].map(([x, y]) => ({ x, y }));
  const options: FitOptions = { model: 'rigid', markSd: 0, readingSd: sd };
  const counts = { told: 0, supposed: 0, wrong: 0, other: 0, nothing: 0 };
  const examples: Record<TwoCauseOutcome, string[]> = {
    told: [],
    supposed: [],
    wrong: [],
    other: [],
    nothing: [],
  };
  const pairs = [0, 1, 2, 3].flatMap((i) => [0, 1, 2, 3].flatMap((j) => (i < j ? [[i, j] as const] : [])));
  for (let trial = 0; trial < trials; trial++) {
    const [i, j] = pairs[trial % pairs.length]!;
    const { change, words } = causes[Math.floor(trial / pairs.length) % causes.length]!;
    const angle = ((2 * random.uniform() - 1) * turn * Math.PI) / 180;
    const middle = { x: 420 + 360 * random.uniform(), y: 400 + 100 * random.uniform() };
    const readings = design.map((q) => {
      const u = q.x - 300;
      const v = q.y - 200;
      return change({
        x: round2(middle.x + Math.cos(angle) * u - Math.sin(angle) * v + sd * random.normal()),
        y: round2(middle.y + Math.sin(angle) * u + Math.cos(angle) * v + sd * random.normal()),
      });
    });
    [readings[i], readings[j]] = [readings[j]!, readings[i]!];
    const observations = design.map(
      (q, k): Observation => ({ mark: names[k]!, design: q, readings: [readings[k]!] }),
    );
    const warnings = reviewFit(observations, options, adjust(observations, options));
    const pair = `marks ${names[i]} and ${names[j]}`;
    const outcome = outcomeOf(warnings, words, pair);
    counts[outcome]++;
    if (examples[outcome].length < 20)
      examples[outcome].push(
        `${words}, ${pair}, ${Math.round((180 * angle) / Math.PI)} degrees: ${warnings.map((w) => `${w.code}: ${w.message}`).join(' | ')}`,
      );
  }
  return { counts, examples };
};

/** The full study as a table; what must not happen goes to `failures`. */
export const twoCauseTable = (trials: number, seed: string, failures: string[]): string[] => {
  const lines = [
    '### Two mistakes at once',
    '',
    `The readings of two marks swapped (all pairs), and besides all x and y exchanged, the part face down, or x or y counted the`,
    `other way; ${trials} trials a row, sd 0.08 mm. Told: among all that fit as well, none offered. Supposed: the same, and one`,
    'mistake is offered for the case that the part lies as drawn, on the stated face: readings of a part face down with two marks',
    'swapped are then those of the other two swapped. Wrong: another cause alone, or a part of another size. Nothing: on a',
    'square two diagonal marks swapped are a mirror image, and the readings are in order; that the pattern is regular is told.',
    '',
    '| marks | turned up to | told | supposed | wrong | another doubt | nothing |',
    '|---|---|---|---|---|---|---|',
  ];
  for (const pattern of ['rectangle', 'square', 'irregular'] as const)
    for (const turn of [8, 180]) {
      const { counts } = twoCauseStudy({ trials, seed, pattern, turn });
      const { told, supposed, wrong, other, nothing } = counts;
      lines.push(`| ${pattern} | ${turn} | ${told} | ${supposed} | ${wrong} | ${other} | ${nothing} |`);
      if (wrong > 0.005 * trials) failures.push(`two mistakes at once, ${pattern}: ${wrong} put down to one`);
    }
  return [...lines, ''];
};
