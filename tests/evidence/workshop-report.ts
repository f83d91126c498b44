/** The tables of the errors that workshops have, and what they have to show. */
import { type KindResult, kinds, studyKind } from './lost-motion.js';
import { type Row, scenarios, studyWorkshop } from './workshop-errors.js';

const share = (part: number, of: number): string => (of === 0 ? '-' : ((100 * part) / of).toFixed(1));

export const workshopRow = (row: Row): string => {
  const { scenario, jobs, covered, fits, withheld, why, told, ratio } = row;
  const touched =
    fits.jobs === 0
      ? 'none'
      : `${fits.jobs}: ${share(fits.touched, fits.jobs)} / ${share(fits.stated, fits.jobs)}`;
  const reason = withheld === 0 ? '0' : `${withheld} (${why})`;
  return `| ${scenario.name} | ${scenario.before} | ${jobs} | ${share(covered, jobs)} | ${touched} | ${reason} | ${share(told, jobs)} | ${ratio.toFixed(2)} |`;
};

/** Beyond the promise by more than 2 points and the noise of so many jobs (2.6 sd). */
const isShort = (part: number, of: number, promised: number): boolean =>
  part / of < promised - 0.02 - 2.6 * Math.sqrt((promised * (1 - promised)) / of);

export const workshopFailures = (row: Row): string[] => {
  const { scenario, jobs, covered, fits, ratio } = row;
  const failures: string[] = [];
  if (scenario.isStated && isShort(covered, jobs, 0.95))
    failures.push(`needed clearance suffices in ${share(covered, jobs)} %`);
  if (fits.jobs > 0 && isShort(fits.jobs - fits.touched, fits.jobs, 0.95))
    failures.push(`${share(fits.touched, fits.jobs)} % of what fits touched`);
  if (scenario.isStated && ratio > 2)
    failures.push(`needed clearance ${ratio.toFixed(2)} times what is needed`);
  return failures.map((failure) => `${scenario.name}: ${failure}`);
};

export const kindRow = ({ kind, worst, any, ratio }: KindResult): string => {
  const { marks, read, burnt, cut, combinations } = kind;
  return `| ${marks} | ${read} | ${burnt} | ${cut} | ${combinations.length} | ${worst.jobs} | ${share(worst.covered, worst.jobs)} | ${share(any.covered, any.jobs)} | ${ratio.toFixed(2)} |`;
};

export const kindFailures = ({ kind, worst, any, ratio }: KindResult): string[] => {
  const { marks, read, burnt, cut } = kind;
  const failures: string[] = [];
  if (isShort(worst.covered, worst.jobs, 0.95)) failures.push(`${share(worst.covered, worst.jobs)} %`);
  if (isShort(any.covered, any.jobs, 0.95)) failures.push(`any: ${share(any.covered, any.jobs)} %`);
  if (ratio > 2) failures.push(`${ratio.toFixed(2)} times what is needed`);
  return failures.map((failure) => `sides ${[marks, read, burnt, cut].join(' ')}: ${failure}`);
};

export interface Study {
  readonly lines: readonly string[];
  readonly failures: readonly string[];
}

export const workshopStudy = (jobs: number, seed: string, print: (row: string) => void): Study => {
  const rows = scenarios.map((scenario) => {
    const row = studyWorkshop(scenario, jobs, seed);
    print(workshopRow(row));
    return row;
  });
  return {
    lines: [...introduction, ...rows.map(workshopRow), ''],
    failures: rows.flatMap(workshopFailures),
  };
};

/** @param jobs of either sort for each kind of combination */
export const sidesStudy = (jobs: number, seed: string, print: (row: string) => void): Study => {
  const results = kinds.map((kind) => {
    const result = studyKind(kind, jobs, seed);
    print(kindRow(result));
    return result;
  });
  const all = (of: 'worst' | 'any'): string =>
    share(
      results.reduce((sum, r) => sum + r[of].covered, 0),
      results.reduce((sum, r) => sum + r[of].jobs, 0),
    );
  return {
    lines: [
      ...sidesIntroduction,
      ...results.map(kindRow),
      `| all | | | | ${results.reduce((sum, r) => sum + r.kind.combinations.length, 0)} | ${results.reduce((sum, r) => sum + r.worst.jobs, 0)} | ${all('worst')} | ${all('any')} | ${Math.max(...results.map((r) => r.ratio)).toFixed(2)} |`,
      '',
    ],
    failures: results.flatMap(kindFailures),
  };
};

export const introduction: readonly string[] = [
  '## Errors that workshops have',
  '',
  'Truth and program have nothing in common but the job file and the paths: readings and beam follow tests/evidence/workshop.ts,',
  'with a play operator for the axes, at any turn up to 30 degrees; panel of 600 x 400 mm, three openings, clearances from 0.7 to',
  '1.5 times about the one needed. Everything but what the row says is unsaid is stated. Suffices: share of the jobs in which the',
  'needed clearance does not touch (95 promised where all is stated). Fits: how many are called so, and of those how many touched /',
  'were stated to touch, %. Withheld: would fit by the figures alone, but something objects, most often what stands in brackets.',
  'Told: that marks disagree. Over needed: median needed clearance over the one that 95 % of the jobs needed. Before: suffices /',
  'touched / stated, before this budget of errors.',
  '',
  '| what happens | before | jobs | suffices, % | fits | withheld | told, % | over needed |',
  '|---|---|---|---|---|---|---|---|',
];

export const sidesIntroduction: readonly string[] = [
  '## Sides of arrival, in every combination',
  '',
  'Lost motion 0.1 and 0.06 mm, sd of a reading 0.05. The 160 combinations of what is said of the marks (up, down, either, same,',
  'nothing), of the dots when read (up, down, both, nothing) and when burnt (figures, up, down, nothing), and of the cut. Those of',
  'which the same is known are one row, its jobs dealt out to its combinations in turn. Worst: what is not said lies, in each job,',
  'so that all of it pushes to one side; any: it lies anywhere. Suffices: the needed clearance does not touch, 95 promised.',
  '',
  '| marks | dots read | dots burnt | cut | combinations | jobs of each sort | suffices, worst, % | any, % | over needed |',
  '|---|---|---|---|---|---|---|---|---|',
];
