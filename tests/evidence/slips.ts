/**
 * How often a slip is named: simulated jobs on a 600 x 400 mm panel on a bed of 1200 x 900 mm, readings with a known sd, typed with two
 * decimals, one slip per job. Everything goes through `adjust` and `reviewFit` as in a real job.
 */

import { adjust } from '../../src/fit/adjust.js';
import type { FitOptions, Observation } from '../../src/fit/fit.js';
import { reviewFit } from '../../src/fit/warnings.js';
import type { Point } from '../../src/geometry/point.js';
import type { Warning } from '../../src/job/messages.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';

export interface SlipStudyOptions {
  readonly trials: number;
  readonly seed: string;
  /** 3 or 4 marks near the corners of the panel, or four that form no exact rectangle. */
  readonly pattern: keyof typeof patterns;
  /** True sd of a reading per axis, mm. */
  readonly sd: number;
  /** Whether the job states that sd; default true. */
  readonly stated?: boolean;
  /** The part lies turned by up to this, degrees; default 8. */
  readonly turn?: number;
}

export const patterns = {
  'three corners': [
    [25, 25],
    [575, 25],
    [25, 375],
  ],
  rectangle: [
    [25, 25],
    [575, 25],
    [575, 375],
    [25, 375],
  ],
  'four marks': [
    [25, 30],
    [570, 22],
    [540, 378],
    [60, 365],
  ],
} as const;

/** A simulated job: readings as meant, and as typed after the slip. */
interface Trial {
  readonly design: readonly Point[];
  readonly meant: Point[];
  readonly typed: Point[];
  /** Indices of the marks whose readings are wrong. */
  readonly wrong: readonly number[];
}

export interface SlipKindOfStudy {
  readonly name: string;
  /** Puts the slip in; false when this draw offers no room for it (two equal digits, say). */
  readonly slip: (
    trial: { meant: readonly Point[]; typed: Point[]; wrong: number[] },
    random: RandomSource,
  ) => boolean;
  /** Whether the warnings say it rightly. */
  readonly named: (warnings: readonly Warning[], trial: Trial) => boolean;
  /** Whether a likely slip without suggested readings, or with rounded ones, is the right one. */
  readonly right?: (warnings: readonly Warning[]) => boolean;
}

const names = ['A', 'B', 'C', 'D'];
const axes = ['x', 'y'] as const;

const sameMarks = (warning: Warning, wrong: readonly number[]): boolean =>
  [...(warning.marks ?? [])].sort().join() ===
  [...wrong]
    .map((k) => names[k]!)
    .sort()
    .join();

/** A likely slip of this kind at the right marks with the readings as they were meant. */
const namedAs =
  (...kinds: string[]) =>
  (warnings: readonly Warning[], { meant, wrong }: Trial): boolean =>
    warnings.some(
      (w) =>
        w.code === 'likely-slip' &&
        kinds.includes(w.kind!) &&
        sameMarks(w, wrong) &&
        wrong.every((k) => {
          const value = w.suggested?.[names[k]!];
          return (
            value !== undefined &&
            Math.abs(value[0] - meant[k]!.x) < 1e-6 &&
            Math.abs(value[1] - meant[k]!.y) < 1e-6
          );
        }),
    );

const onlyKind =
  (kind: string) =>
  (warnings: readonly Warning[]): boolean =>
    warnings.some((w) => w.code === 'likely-slip' && w.kind === kind);

/** The mirror image is told, and this is named as its cause or as one possible cause. */
const mirrorTold =
  (kind: string, words: string) =>
  (warnings: readonly Warning[]): boolean =>
    warnings.some(
      (w) =>
        (w.code === 'likely-slip' && w.kind === kind) ||
        ((w.code === 'mirrored' || w.code === 'likely-slip') && w.message.includes(words)),
    );

const traced = (warnings: readonly Warning[], { wrong }: Trial): boolean =>
  warnings.some((w) => (w.code === 'suspect-reading' || w.code === 'likely-slip') && sameMarks(w, wrong));

const alters =
  (change: (value: number, random: RandomSource) => number | undefined) =>
  (trial: { typed: Point[]; wrong: number[] }, random: RandomSource): boolean => {
    const k = random.index(trial.typed.length);
    const axis = axes[random.index(2)]!;
    const value = change(trial.typed[k]![axis], random);
    if (value === undefined) return false;
    trial.typed[k] = { ...trial.typed[k]!, [axis]: value };
    trial.wrong.push(k);
    return true;
  };

const round2 = (value: number): number => Number(value.toFixed(2));

export const studiedSlips: readonly SlipKindOfStudy[] = [
  {
    name: 'two marks swapped',
    slip: ({ typed, wrong }, random) => {
      const i = random.index(typed.length);
      const j = (i + 1 + random.index(typed.length - 1)) % typed.length;
      [typed[i], typed[j]] = [typed[j]!, typed[i]!];
      wrong.push(i, j);
      return true;
    },
    named: namedAs('swapped'),
  },
  {
    name: 'digits before the point exchanged',
    slip: alters((value, random) => {
      const text = value.toFixed(2);
      const whole = text.indexOf('.');
      if (whole < 2) return undefined;
      const at = random.index(whole - 1);
      if (text[at] === text[at + 1]) return undefined;
      return Number(text.slice(0, at) + text[at + 1] + text[at] + text.slice(at + 2));
    }),
    named: namedAs('digits'),
  },
  {
    name: 'x and y swapped',
    slip: ({ typed, wrong }, random) => {
      const k = random.index(typed.length);
      typed[k] = { x: typed[k]!.y, y: typed[k]!.x };
      wrong.push(k);
      return true;
    },
    named: namedAs('axes-swapped'),
  },
  {
    name: 'decimal point lost',
    slip: alters((value) => Math.round(value * 100)),
    named: namedAs('decimal-point'),
  },
  {
    name: 'slip of 1 mm traced to its mark',
    slip: alters((value, random) => round2(value + (random.uniform() < 0.5 ? -1 : 1))),
    named: traced,
  },
  {
    name: 'one whole digit wrong',
    slip: alters((value, random) => {
      const text = value.toFixed(2);
      const tens = text.indexOf('.') - 2;
      if (tens < 0) return undefined;
      const at = random.index(tens + 1);
      const digit = String((Number(text[at]) + 1 + random.index(9)) % 10);
      if (at === 0 && digit === '0') return undefined;
      return Number(text.slice(0, at) + digit + text.slice(at + 1));
    }),
    named: namedAs('digits'),
  },
  { name: 'sign lost or added', slip: alters((value) => -value), named: namedAs('sign') },
  {
    name: 'all in inches',
    slip: ({ typed, wrong }) => {
      typed.forEach((p, k) => {
        typed[k] = { x: Number((p.x / 25.4).toFixed(3)), y: Number((p.y / 25.4).toFixed(3)) };
        wrong.push(k);
      });
      return true;
    },
    named: onlyKind('inches'),
    right: onlyKind('inches'),
  },
  {
    name: 'part face down: told, this among the causes',
    slip: ({ typed, wrong }) => {
      // The part turned over about an upright line: x counts the other way about its middle.
      typed.forEach((p, k) => {
        typed[k] = { x: round2(1200 - p.x), y: p.y };
        wrong.push(k);
      });
      return true;
    },
    named: mirrorTold('face-down', 'the part lies face down'),
    right: onlyKind('face-down'),
  },
  {
    name: 'all x and y swapped: told, this among the causes',
    slip: ({ typed, wrong }) => {
      typed.forEach((p, k) => {
        typed[k] = { x: p.y, y: p.x };
        wrong.push(k);
      });
      return true;
    },
    named: mirrorTold('axes-swapped', 'x and y of all readings are swapped'),
  },
  {
    name: 'slip of 1 mm, its mark among those named',
    slip: alters((value, random) => round2(value + (random.uniform() < 0.5 ? -1 : 1))),
    named: (warnings, { wrong }) =>
      warnings.some(
        (w) =>
          (w.code === 'suspect-reading' || w.code === 'likely-slip') && w.marks?.includes(names[wrong[0]!]!),
      ),
  },
  {
    name: 'no slip: any warning of one',
    slip: () => true,
    named: (warnings) =>
      warnings.some((w) =>
        ['likely-slip', 'suspect-reading', 'marks-disagree', 'mirrored', 'size-changed'].includes(w.code),
      ),
  },
  {
    name: 'no slip: likely slip or suspect reading',
    slip: () => true,
    named: (warnings) => warnings.some((w) => w.code === 'likely-slip' || w.code === 'suspect-reading'),
  },
];

export interface SlipRate {
  readonly name: string;
  readonly trials: number;
  readonly rate: number;
  /** Share in which a likely slip was offered that was not the right one. */
  readonly wrongly: number;
  /** First warnings of trials that were not named rightly, for whoever wants to look. */
  readonly missed: readonly string[];
}

export const slipRate = (kind: SlipKindOfStudy, study: SlipStudyOptions): SlipRate => {
  const { trials, seed, pattern, sd, stated = true, turn = 8 } = study;
  const random = createRandom(`${seed} ${kind.name}`);
  const design = patterns[pattern].map(([x, y]) => ({ x, y }));
  const options: FitOptions = { model: 'rigid', markSd: 0, ...(stated ? { readingSd: sd } : {}) };
  const missed: string[] = [];
  let named = 0;
  let wrongly = 0;
  const isRight = namedAs(
    'swapped',
    'digits',
    'axes-swapped',
    'decimal-point',
    'sign',
    'inches',
    'half-turn',
  );
  for (let done = 0; done < trials; ) {
    const angle = ((2 * random.uniform() - 1) * turn * Math.PI) / 180;
    const middle = { x: 420 + 360 * random.uniform(), y: 400 + 100 * random.uniform() };
    const meant = design.map((q) => {
      const u = q.x - 300;
      const v = q.y - 200;
      return {
        x: round2(middle.x + Math.cos(angle) * u - Math.sin(angle) * v + sd * random.normal()),
        y: round2(middle.y + Math.sin(angle) * u + Math.cos(angle) * v + sd * random.normal()),
      };
    });
    const trial = { design, meant, typed: [...meant], wrong: [] as number[] };
    if (!kind.slip(trial, random)) continue;
    done++;
    const observations = design.map(
      (q, k): Observation => ({ mark: names[k]!, design: q, readings: [trial.typed[k]!] }),
    );
    const warnings = reviewFit(observations, options, adjust(observations, options));
    const isNamed = kind.named(warnings, trial);
    const offered = warnings.some((w) => w.code === 'likely-slip');
    if (offered && !isRight(warnings, trial) && !(kind.right ?? (() => false))(warnings)) wrongly++;
    if (isNamed) named++;
    else if (missed.length < 20)
      missed.push(
        `${JSON.stringify(trial.typed)} meant ${JSON.stringify(trial.wrong.map((k) => meant[k]))}: ${
          warnings
            .filter((w) => w.code !== 'ambiguous-pattern')
            .map((w) => `${w.code}: ${w.message}`)
            .join(' | ') || 'nothing said'
        }`,
      );
  }
  return { name: kind.name, trials, rate: named / trials, wrongly: wrongly / trials, missed };
};

/** One rate per kind of slip. */
export const slipStudy = (study: SlipStudyOptions): SlipRate[] =>
  studiedSlips.map((kind) => slipRate(kind, study));

/** The full study as a table: the figures of README and summary. */
export const slipTable = (trials = 1000, seed = 'slips'): string => {
  const columns: [string, SlipStudyOptions][] = [
    ['4 marks', { trials, seed, pattern: 'four marks', sd: 0.08 }],
    ['rectangle', { trials, seed, pattern: 'rectangle', sd: 0.08 }],
    ['any turn', { trials, seed, pattern: 'rectangle', sd: 0.08, turn: 180 }],
    ['4, no sd', { trials, seed, pattern: 'four marks', sd: 0.08, stated: false }],
    ['3 marks', { trials, seed, pattern: 'three corners', sd: 0.08 }],
    ['3, no sd', { trials, seed, pattern: 'three corners', sd: 0.08, stated: false }],
  ];
  const rates = columns.map(([, study]) => slipStudy(study));
  const cell = (text: string) => text.padStart(13);
  const share = (value: number) => (100 * value).toFixed(1);
  return [
    `rigid, sd 0.08 mm, 600 x 400 mm, ${trials} trials each: said rightly / another slip offered, %`,
    `${''.padEnd(52)}${columns.map(([name]) => cell(name)).join('')}`,
    ...studiedSlips.map(
      ({ name }, row) =>
        name.padEnd(52) +
        rates.map((of) => cell(`${share(of[row]!.rate)} / ${share(of[row]!.wrongly)}`)).join(''),
    ),
  ].join('\n');
};
