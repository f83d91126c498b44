/** Sides of arrival in every combination of what is said of the marks, of the dots when read and burnt, and of the cut. */
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { fitAlone, offsetShown, type Pair, type Stated, type Workshop } from './workshop.js';
import { checkStated, laid, patterns, quantile95, restStated, sides } from './workshop-errors.js';

export const marksSaid = ['up', 'down', 'either', 'same', 'unsaid'] as const;
export const dotsReadSaid = ['up', 'down', 'both', 'unsaid'] as const;
export const dotsBurntSaid = ['figures', 'up', 'down', 'unsaid'] as const;
export const cuts = ['compensated', 'lossy'] as const;

export interface Combination {
  readonly marks: (typeof marksSaid)[number];
  readonly read: (typeof dotsReadSaid)[number];
  readonly burnt: (typeof dotsBurntSaid)[number];
  readonly cut: (typeof cuts)[number];
}

const play: Pair = [0.1, 0.06];
const sd = 0.05;
/** Of one lay, half of either sort. */
const jobsAtPlace = 20;

/** What is said, as it is; what is not said, as the habit pushes: +1 or -1 for each axis, or any. */
const sideOf = (said: string, habit: Pair | undefined, random: RandomSource): Pair => {
  if (said === 'up') return [1, 1];
  if (said === 'down') return [-1, -1];
  if (said === 'both' || said === 'figures') return [0, 0];
  return habit ?? sides(random);
};

const shopOf = (
  c: Combination,
  place: Pick<Workshop, 'turn' | 'at'>,
  random: RandomSource,
  isWorst: boolean,
) => {
  const push = sides(random);
  const against: Pair = [-push[0], -push[1]];
  const one = sideOf(c.marks, isWorst ? push : undefined, random);
  const drawn = Array.from({ length: 4 }, () => sides(random));
  const varies = !isWorst && (c.marks === 'either' || (c.marks === 'unsaid' && random.uniform() < 0.5));
  return {
    marks: patterns.corners,
    ...place,
    sd,
    play,
    side: (mark: number): Pair => (varies ? drawn[mark]! : one),
    dotsRead: sideOf(c.read, isWorst ? against : undefined, random),
    dotsBurnt: sideOf(c.burnt, isWorst ? push : undefined, random),
    offset: { x: 12.3, y: -4.5 },
    playInCut: c.cut === 'lossy',
  } satisfies Workshop;
};

const statedOf = (c: Combination, shop: Workshop): Stated => {
  const approach = c.marks === 'unsaid' ? '' : `, approach: ${c.marks}`;
  const read = c.read === 'unsaid' ? '' : `, beam-offset-approach: ${c.read}`;
  const burnt = c.burnt === 'unsaid' ? '' : `, beam-offset-dots: ${c.burnt}`;
  const cut = c.cut === 'compensated' ? 'compensated' : `[${play.join(', ')}]`;
  return {
    fit: `{reading-sd: ${sd}, ${restStated}${approach}}`,
    machine: `{axes: y-up, reversal: [${play.join(', ')}], cut-reversal: ${cut}, beam-offset: ${offsetShown(shop)}, beam-offset-sd: 0${read}${burnt}}`,
    check: checkStated,
    clearance: 0.3,
  };
};

export const combinations: readonly Combination[] = marksSaid.flatMap((marks) =>
  dotsReadSaid.flatMap((read) =>
    dotsBurntSaid.flatMap((burnt) => cuts.map((cut): Combination => ({ marks, read, burnt, cut }))),
  ),
);

/** Combinations with the same things known: which side it is makes no difference in kind. */
export interface Kind {
  readonly marks: 'known' | 'either' | 'same' | 'unsaid';
  readonly read: 'known' | 'unsaid';
  readonly burnt: 'known' | 'unsaid';
  readonly cut: Combination['cut'];
  readonly combinations: readonly Combination[];
}

const kindOf = ({ marks, read, burnt, cut }: Combination): Omit<Kind, 'combinations'> => ({
  marks: marks === 'up' || marks === 'down' ? 'known' : marks,
  read: read === 'unsaid' ? 'unsaid' : 'known',
  burnt: burnt === 'unsaid' ? 'unsaid' : 'known',
  cut,
});

const byKind = new Map<string, Combination[]>();
for (const combination of combinations) {
  const key = JSON.stringify(kindOf(combination));
  byKind.set(key, [...(byKind.get(key) ?? []), combination]);
}
export const kinds: readonly Kind[] = [...byKind.values()].map((of) => ({
  ...kindOf(of[0]!),
  combinations: of,
}));

export interface KindResult {
  readonly kind: Kind;
  /** Of the jobs of a workshop whose habits all push to one side, the side drawn anew; and of any habits. */
  readonly worst: { readonly jobs: number; readonly covered: number };
  readonly any: { readonly jobs: number; readonly covered: number };
  /** Mean needed clearance over what 95 % of the first kind of jobs needed. */
  readonly ratio: number;
}

/** @param jobs of each of the two sorts */
export const studyKind = (kind: Kind, jobs: number, seed: string): KindResult => {
  const { marks, read, burnt, cut } = kind;
  const random = createRandom(`${seed} sides ${[marks, read, burnt, cut].join(' ')}`);
  const worst = { jobs: 0, covered: 0 };
  const any = { jobs: 0, covered: 0 };
  const approaches: number[] = [];
  let sum = 0;
  let places = 0;
  while (worst.jobs < jobs) {
    const combination = kind.combinations[places++ % kind.combinations.length]!;
    const place = laid(random);
    // Of readings that agree, known at this place.
    let needed: number | undefined;
    for (let i = 0; i < jobsAtPlace; i++) {
      const isWorst = i % 2 === 0;
      const shop = shopOf(combination, place, random, isWorst);
      const one = fitAlone(random, shop, statedOf(combination, shop));
      if (one.agrees) needed ??= one.needed();
      const own = one.agrees ? needed! : one.needed();
      const group = isWorst ? worst : any;
      group.jobs++;
      if (own >= one.approach - 1e-4) group.covered++;
      if (isWorst) approaches.push(one.approach);
    }
    sum += needed ?? 0;
  }
  return { kind, worst, any, ratio: sum / places / quantile95(approaches) };
};
