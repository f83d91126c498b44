/** Is the verdict true under the errors that workshops have? Every cause by itself, as it happens and as it is stated. */
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { type Outcome, offsetShown, type Pair, runJob, type Stated, type Workshop } from './workshop.js';

export const patterns = {
  corners: { A: [20, 20], B: [580, 20], C: [580, 380], D: [20, 380] },
  two: { A: [20, 20], B: [580, 380] },
  six: { A: [20, 20], B: [580, 20], C: [580, 380], D: [20, 380], E: [300, 20], F: [300, 380] },
  near: { A: [20, 20], B: [200, 20], C: [200, 200], D: [20, 200] },
  corner: { A: [20, 20], B: [120, 20], C: [20, 120] },
} as const satisfies Record<string, Record<string, Pair>>;

export interface Scenario {
  readonly name: string;
  /** Share of jobs in which the needed clearance sufficed, and "fits" touched / stated, before; %. */
  readonly before: string;
  /** Clearances tried: these times 0.7 to 1.5. */
  readonly about: number;
  /** All causes are stated with their size: the needed clearance must suffice. Otherwise the verdict has to withhold "fits". */
  readonly isStated: boolean;
  readonly job: (random: RandomSource) => {
    readonly shop: Workshop;
    readonly stated: Omit<Stated, 'clearance'>;
  };
}

export interface Row {
  readonly scenario: Scenario;
  readonly jobs: number;
  readonly covered: number;
  readonly fits: { readonly jobs: number; readonly touched: number; readonly stated: number };
  /** Of the objections to what the figures alone would call "fits". */
  readonly withheld: number;
  readonly why: string;
  readonly told: number;
  /** Median needed clearance over the one that 95 % of these jobs needed. */
  readonly ratio: number;
}

export const sides = (random: RandomSource): Pair => [
  random.uniform() < 0.5 ? -1 : 1,
  random.uniform() < 0.5 ? -1 : 1,
];

/** Nothing else is in doubt. */
export const restStated = 'mark-sd: 0, pointing-sd: 0';
export const checkStated = '{cut-sd: 0, kerf-sd: 0, bow: 0, size-change: 0}';
export const plain = '{axes: y-up, reversal: [0, 0], cut-reversal: compensated}';

export const laid = (random: RandomSource): Pick<Workshop, 'turn' | 'at'> => ({
  turn: 60 * random.uniform() - 30,
  at: { x: 300 + 20 * random.uniform(), y: 320 + 20 * random.uniform() },
});

export const studyWorkshop = (scenario: Scenario, jobs: number, seed: string): Row => {
  const random = createRandom(`${seed} workshop ${scenario.name}`);
  const outcomes: Outcome[] = [];
  for (let i = 0; i < jobs; i++) {
    const { shop, stated } = scenario.job(random);
    const clearance = scenario.about * (0.7 + 0.8 * random.uniform());
    outcomes.push(runJob(random, shop, { ...stated, clearance }));
  }
  return summarized(scenario, outcomes);
};

export const quantile95 = (values: readonly number[]): number =>
  [...values].sort((a, b) => a - b)[Math.min(values.length - 1, Math.floor(0.95 * values.length))]!;

export const isCovered = ({ check, approach }: Outcome): boolean =>
  check.neededClearance !== undefined && check.neededClearance >= approach - 1e-4;

const summarized = (scenario: Scenario, outcomes: readonly Outcome[]): Row => {
  const fits = outcomes.filter(({ check }) => check.verdict === 'fits');
  const withheld = outcomes.filter(({ check }) => check.byFigures?.verdict === 'fits');
  const reasons = new Map<string, number>();
  for (const { check } of withheld) {
    const { kind, reason } = check.objections![0]!;
    const word = kind === 'assumption' ? reason.replace(/^It would not fit if | \d.*$/g, '') : kind;
    reasons.set(word, (reasons.get(word) ?? 0) + 1);
  }
  const [why] = [...reasons].sort((a, b) => b[1] - a[1])[0] ?? [''];
  const needed = outcomes
    .map(({ check }) => check.neededClearance ?? Number.POSITIVE_INFINITY)
    .sort((a, b) => a - b);
  return {
    scenario,
    jobs: outcomes.length,
    covered: outcomes.filter(isCovered).length,
    fits: {
      jobs: fits.length,
      touched: fits.filter(({ check, approach }) => approach > check.clearance).length,
      stated: fits.reduce((sum, { check }) => sum + check.risk!, 0),
    },
    withheld: withheld.length,
    why,
    told: outcomes.filter(({ told }) => told).length,
    ratio: needed[Math.floor(needed.length / 2)]! / quantile95(outcomes.map((o) => o.approach)),
  };
};

const lost: Pair = [0.2, 0.1];
const offset = { x: 12.3, y: -4.5 };

/** Beam offset by dots that were burnt as figures and read from below, said so. */
const offsetProfile = (shop: Workshop, more = ''): string =>
  `{axes: y-up, reversal: [${lost.join(', ')}], cut-reversal: compensated, beam-offset: ${offsetShown(shop)}, beam-offset-sd: 0${more}}`;
const dotsSaid = ', beam-offset-approach: up, beam-offset-dots: figures';

const lostMotion = (
  name: string,
  before: string,
  about: number,
  marks: (random: RandomSource) => (mark: number) => Pair,
  approach: string,
  profile: string,
  isStated = true,
): Scenario => ({
  name,
  before,
  about,
  isStated,
  job: (random) => {
    const shop: Workshop = {
      marks: patterns.corners,
      ...laid(random),
      sd: 0.05,
      play: lost,
      side: marks(random),
      dotsRead: [1, 1],
      dotsBurnt: [0, 0],
      offset,
    };
    const fit = `{reading-sd: 0.05, ${restStated}${approach}}`;
    return { shop, stated: { fit, machine: offsetProfile(shop, profile), check: checkStated } };
  },
});

const atRandom = (random: RandomSource) => {
  const drawn = Array.from({ length: 8 }, () => sides(random));
  return (mark: number): Pair => drawn[mark]!;
};
const allDown = () => (): Pair => [-1, -1];

const other = (
  name: string,
  before: string,
  about: number,
  isStated: boolean,
  shop: (random: RandomSource) => Partial<Workshop>,
  stated: Omit<Stated, 'clearance'>,
): Scenario => ({
  name,
  before,
  about,
  isStated,
  job: (random) => ({
    shop: { marks: patterns.corners, ...laid(random), sd: 0.05, ...shop(random) },
    stated: { machine: plain, check: checkStated, ...stated },
  }),
});

const bowed = (random: RandomSource): Pick<Workshop, 'deformed'> => {
  const b = random.uniform() < 0.5 ? 0.3 : -0.3;
  return { deformed: ({ x, y }) => ({ x, y: y + b * (1 - ((x - 300) / 300) ** 2) }) };
};
const shrunk = (): Pick<Workshop, 'deformed'> => ({
  deformed: ({ x, y }) => ({ x: 0.999 * x, y: 0.999 * y }),
});
const biased = (random: RandomSource): Pick<Workshop, 'bias'> => {
  const angle = 2 * Math.PI * random.uniform();
  return { bias: { x: 0.1 * Math.cos(angle), y: 0.1 * Math.sin(angle) } };
};
const without = (key: string): string => checkStated.replace(new RegExp(`, ${key}: 0|${key}: 0, `), '');
const mapSds = [2e-4, 2e-4, 2e-4] as const;
const mapUncertain = (random: RandomSource): Pick<Workshop, 'map'> => ({
  map: [mapSds[0] * random.normal(), mapSds[2] * random.normal(), mapSds[1] * random.normal()],
});
const known = `{reading-sd: 0.05, ${restStated}}`;

export const scenarios: readonly Scenario[] = [
  lostMotion(
    'lost motion .2/.1, `either`, random sides',
    '73.6 / 10.7 / 1.2',
    0.2,
    atRandom,
    ', approach: either',
    dotsSaid,
  ),
  lostMotion(
    'the same, sides of the dots unsaid',
    '73.6 / 10.7 / 1.2',
    0.4,
    atRandom,
    ', approach: either',
    '',
  ),
  lostMotion('all opposite to the dots, nothing said', '4.8 / 58 / 1.1', 0.4, allDown, '', ''),
  lostMotion('the same, `either`', '4.8 / 58 / 1.1', 0.2, allDown, ', approach: either', dotsSaid),
  lostMotion('the same, `down`, dots said', '4.8 / 58 / 1.1', 0.08, allDown, ', approach: down', dotsSaid),
  lostMotion('`same`, but opposite to the dots', '0.8 / 77 / 0.3', 0.4, allDown, ', approach: same', ''),
  lostMotion('the same, dots said', '0.8 / 77 / 0.3', 0.2, allDown, ', approach: same', dotsSaid),
  other('display step 0.1, sd 0.02', '75.6 / 11.2 / 0.5', 0.06, true, () => ({ sd: 0.02, step: 0.1 }), {
    fit: `{reading-sd: 0.02, ${restStated}}`,
  }),
  other(
    'the same, unturned, marks at whole steps',
    '-',
    0.08,
    true,
    () => ({ sd: 0.02, step: 0.1, turn: 0 }),
    {
      fit: `{reading-sd: 0.02, ${restStated}}`,
    },
  ),
  other(
    'the same, marks in one corner',
    '-',
    0.35,
    true,
    () => ({ sd: 0.02, step: 0.1, turn: 0, marks: patterns.corner }),
    {
      fit: `{reading-sd: 0.02, ${restStated}}`,
    },
  ),
  other('display step 0.5, sd 0.1', '77.6 / 3.6 / 0.7', 0.3, true, () => ({ sd: 0.1, step: 0.5 }), {
    fit: `{reading-sd: 0.1, ${restStated}, display-step: 0.5}`,
  }),
  other('the same, step not stated', '77.6 / 3.6 / 0.7', 0.3, true, () => ({ sd: 0.1, step: 0.5 }), {
    fit: `{reading-sd: 0.1, ${restStated}}`,
  }),
  other(
    'lost motion 0.1 in the cut',
    '19 / 25 / 0.5',
    0.12,
    true,
    () => ({ play: [0.1, 0.1], playInCut: true }),
    {
      fit: known,
      machine: '{axes: y-up, reversal: [0, 0], cut-reversal: 0.1}',
    },
  ),
  other('the same, not stated', '19 / 25 / 0.5', 0.12, false, () => ({ play: [0.1, 0.1], playInCut: true }), {
    fit: known,
    machine: '{axes: y-up}',
  }),
  other(
    'two marks read four times, drilled 0.1 off, unsaid',
    '72.6 / 13.5 / 0.0',
    0.2,
    false,
    () => ({ marks: patterns.two, repeats: 4, markSd: 0.1 }),
    {
      fit: '{reading-sd: 0.05, pointing-sd: 0}',
    },
  ),
  other(
    'the same, mark-sd stated',
    '-',
    0.25,
    true,
    () => ({ marks: patterns.two, repeats: 4, markSd: 0.1 }),
    {
      fit: '{reading-sd: 0.05, mark-sd: 0.1, pointing-sd: 0}',
    },
  ),
  other('bowed by 0.3, marks at the corners, unsaid', '1.8 / 53 / 0.2', 0.2, false, bowed, {
    fit: known,
    check: without('bow'),
  }),
  other('the same, bow stated', '-', 0.3, true, bowed, {
    fit: known,
    check: checkStated.replace('bow: 0', 'bow: 0.3'),
  }),
  other(
    'bowed by 0.3, six marks that disagree, unsaid',
    '49 / 11.5 / 0.9',
    0.25,
    false,
    (r) => ({ ...bowed(r), marks: patterns.six }),
    {
      fit: known,
      check: without('bow'),
    },
  ),
  other('x of the bed longer by 0.1 %, nothing said of it', '-', 0.35, false, () => ({ map: [1e-3, 0, 0] }), {
    fit: known,
  }),
  other(
    'shrunk by 0.1 %, marks within 200 mm, unsaid',
    '64 / 11.5 / 0.8',
    0.35,
    false,
    () => ({ ...shrunk(), marks: patterns.near }),
    {
      fit: known,
      check: without('size-change'),
    },
  ),
  other('the same, size-change stated', '-', 0.6, true, () => ({ ...shrunk(), marks: patterns.near }), {
    fit: known,
    check: checkStated.replace('size-change: 0', 'size-change: 0.001'),
  }),
  other('habit of the eye 0.1, unsaid', '55 / 15.7 / 0.5', 0.12, false, biased, {
    fit: '{reading-sd: 0.05, mark-sd: 0}',
  }),
  other('the same, pointing-bias stated', '-', 0.16, true, biased, {
    fit: '{reading-sd: 0.05, mark-sd: 0, pointing-bias: 0.1}',
  }),
  other('bed map uncertain as its profile says', 'fine, 35 told', 0.1, true, mapUncertain, {
    fit: known,
    machine: `{axes: y-up, reversal: [0, 0], bed-map: {scale: [1, 1], skew-mrad: 0}, bed-map-sd: {scale: [${mapSds[0]}, ${mapSds[1]}], skew-mrad: ${1000 * mapSds[2]}}}`,
  }),
];
