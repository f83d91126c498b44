/** All studies in order, as one text; what they have to show is checked, not only printed. */
import {
  calibrationIntroduction,
  calibrationRows,
  calibrationScenarios,
  studyCalibration,
} from './calibration.js';
import { acceptedRisks, sdKinds, studyCoverage } from './coverage.js';
import { gapStudy, scannedStudy } from './inspection-report.js';
import { neededClearances } from './needed-clearances.js';
import { models } from './simulated-job.js';
import { slipStudy, slipTable } from './slips.js';
import { studyStatedRisk, type Tenth } from './stated-risk.js';
import { touchStudies } from './touch-report.js';
import { twoCauseTable } from './two-causes.js';
import { sidesStudy, workshopStudy } from './workshop-report.js';

const seed = 'evidence';
const statedRiskPerCell = 2000;
const coverageLayouts = 200;
const coveragePerLayout = 100;
const slipTrials = 1000;
const calibrationTrials = 1000;
const workshopJobs = 400;
const jobsOfKind = 300;

export interface Section {
  readonly text: string;
  /** Each thing that was to be shown and was not. */
  readonly failures: readonly string[];
}

type Study = (say: Say, failures: string[], share: number) => void;

const studies: Readonly<Record<string, Study>> = {
  'stated-risk': (say, failures, share) => sayStatedRisk(say, failures, share),
  coverage: (say, failures, share) => sayCoverage(say, failures, share),
  needed: (say) => say(...neededClearances(), ''),
  slips: (say, failures, share) => saySlips(say, failures, share),
  calibration: (say, failures, share) => sayCalibration(say, failures, share, false),
  'calibration-bed': (say, failures, share) => sayCalibration(say, failures, share, true),
  workshop: (say, failures, share) => {
    const { lines, failures: missed } = workshopStudy(part(workshopJobs, share), seed, progress);
    say(...lines);
    failures.push(...missed);
  },
  sides: (say, failures, share) => {
    const { lines, failures: missed } = sidesStudy(part(jobsOfKind, share), seed, progress);
    say(...lines);
    failures.push(...missed);
  },
  touches: (say, failures, share) => {
    const { lines, failures: missed } = touchStudies(seed, share);
    say(...lines);
    failures.push(...missed);
  },
  gaps: (say, failures, share) => {
    const { lines, failures: missed } = gapStudy(seed, share);
    say(...lines);
    failures.push(...missed);
  },
  scans: (say, failures, share) => {
    const { lines, failures: missed } = scannedStudy(seed, share);
    say(...lines);
    failures.push(...missed);
  },
};

export const sectionNames: readonly string[] = Object.keys(studies);

/** Rows of long studies as they come. */
const progress = (row: string): void => console.error(row);

/** @param share of the jobs that each study takes: a part shows less, in less time */
export const runSection = (name: string, share = 1): Section => {
  const study = studies[name];
  if (study === undefined) throw new RangeError(`there is no section ${name}: ${sectionNames.join(', ')}`);
  const lines: string[] = [];
  const failures: string[] = [];
  study((...text) => lines.push(...text), failures, share);
  lines.push(
    failures.length === 0 ? 'What had to be shown was shown.' : 'Not shown:',
    ...failures.map((f) => `- ${f}`),
  );
  return { text: `${lines.join('\n')}\n`, failures };
};

/** At least one. */
const part = (count: number, share: number): number => Math.max(1, Math.round(count * share));

type Say = (...text: string[]) => void;

const percent = (share: number): string => (100 * share).toFixed(2);

const sayStatedRisk: Study = (say, failures, share) => {
  const result = studyStatedRisk(part(statedRiskPerCell, share), seed);
  say(
    '## Does it touch as often as stated? (known sd)',
    '',
    `${result.jobs} simulated jobs: shift, rigid, similarity and affine fits of 2, 3, 4 and 6 marks, openings between the`,
    'marks and well outside them, pierced openings and inlays, mitred and round corners, marks read once or twice,',
    'with and without errors of the mark, the machine and the kerf, beams from none to wider than twice the clearance.',
    'Touching is decided by the exact geometry of the placed and set-back outlines, mitres rounded by the beam. The',
    'difference is in standard deviations of the binomial count. In the last columns the jobs count as well whose',
    'residuals the known sd does not explain (below).',
    '',
    '| stated risk | jobs | mean stated % | touched % | difference, sd | all jobs | mean stated % | touched % | difference, sd |',
    '|---|---|---|---|---|---|---|---|---|',
  );
  const offBy = (t: Tenth): number => (t.touched - t.stated) / Math.sqrt(t.variance);
  const figures = (t: Tenth): string =>
    `${t.jobs} | ${percent(t.stated / t.jobs)} | ${percent(t.touched / t.jobs)} | ${offBy(t).toFixed(2)}`;
  for (const [i, t] of result.tenths.entries()) {
    const off = offBy(t);
    const range = `${t.from.toFixed(1)} to ${(t.from + 0.1).toFixed(1)}`;
    say(`| ${range} | ${figures(t)} | ${figures(result.allTenths[i]!)} |`);
    if (!(Math.abs(off) <= 3)) failures.push(`stated risk ${range}: off by ${off.toFixed(2)} sd`);
  }
  const { fits, doesNotFit, widened } = result;
  say(
    '',
    `Called \`fits\` (accepted risk 5 %): ${fits.jobs} jobs, ${percent(fits.touched / fits.jobs)} % touched.`,
    `Called \`does-not-fit\`: ${doesNotFit.jobs} jobs, ${percent(doesNotFit.touched / doesNotFit.jobs)} % touched.`,
    '',
    `In ${widened.jobs} of these jobs the residuals were larger than the known sd explains (one in forty by chance); the`,
    'tool cannot tell such a job from one with a wrong sd, and widens the verdict by the residuals: no frequency is',
    'promised there, only that it errs to the safe side. Stated on average',
    `${percent(widened.stated / widened.jobs)} %, touched ${percent(widened.touched / widened.jobs)} %.`,
    '',
  );
  if (fits.touched > 0.05 * fits.jobs) failures.push('more than 5 % of the jobs called fits touched');
};

const sayCoverage: Study = (say, failures, share) => {
  const { cells, largestDeviation } = studyCoverage(part(coverageLayouts, share), coveragePerLayout, seed);
  const jobs = cells[0]!.jobs;
  say(
    '## Is the needed clearance enough as often as promised?',
    '',
    `${jobs} jobs for each number of marks and model with redundancy. Known sd; sd estimated from the residuals; sd`,
    'pooled from a stated one with 9 degrees of freedom and the residuals. Share of the jobs, in %, in which the needed',
    'clearance at accepted risk 0.05 and 0.2 does not touch by exact geometry: 95 and 80 are promised.',
    '',
    `| model | marks | ${sdKinds.flatMap((k) => acceptedRisks.map((r) => `${k} ${r}`)).join(' | ')} |`,
    `|---|---|${sdKinds.flatMap(() => acceptedRisks.map(() => '---|')).join('')}`,
  );
  for (const model of models) {
    for (const marks of [2, 3, 4, 6]) {
      const row = cells.filter((c) => c.model === model && c.marks === marks);
      if (row.length === 0) continue;
      say(`| ${model} | ${marks} | ${row.map((c) => percent(c.covered / c.jobs)).join(' | ')} |`);
    }
  }
  for (const c of cells) {
    const off = c.covered / c.jobs - (1 - c.acceptedRisk);
    if (Math.abs(off) > 0.01)
      failures.push(
        `coverage of ${c.model}, ${c.marks} marks, ${c.sd}, ${c.acceptedRisk}: off by ${percent(off)} %`,
      );
  }
  say(
    '',
    'For one layout the needed clearance is taken as proportional to the sd used; of every hundredth job it was asked for',
    `itself, and differed by at most ${percent(largestDeviation)} %.`,
    '',
  );
  if (largestDeviation > 0.005) failures.push('the needed clearance is not proportional to the sd used');
};

/** Least share named rightly with four marks, and the largest share of clean jobs that raise a warning. */
const slipBounds: Readonly<Record<string, readonly [number, number]>> = {
  'two marks swapped': [0.95, 1],
  'digits before the point exchanged': [0.95, 1],
  'x and y swapped': [0.95, 1],
  'decimal point lost': [0.95, 1],
  'slip of 1 mm traced to its mark': [0.9, 1],
  'no slip: any warning of one': [0, 0.05],
};

const saySlips: Study = (say, failures, share) => {
  const trials = part(slipTrials, share);
  say('## Slips', '', '```', slipTable(trials, seed), '```', '');
  const rates = slipStudy({ trials, seed, pattern: 'four marks', sd: 0.08 });
  say(...twoCauseTable(trials, seed, failures));
  for (const [name, [least, most]] of Object.entries(slipBounds)) {
    const rate = rates.find((r) => r.name === name)?.rate;
    if (rate === undefined || rate < least || rate > most)
      failures.push(`${name}: ${rate === undefined ? 'not studied' : `${percent(rate)} %`}`);
  }
};

const sayCalibration = (say: Say, failures: string[], share: number, ofBed: boolean): void => {
  const trials = part(calibrationTrials, share);
  const scenarios = calibrationScenarios.filter(({ kind }) => (kind === 'bed') === ofBed);
  const rows = scenarios.map((scenario) => {
    const row = studyCalibration(scenario, trials, seed);
    progress(calibrationRows([row]).at(-1)!);
    return row;
  });
  say(...calibrationIntroduction(trials, ofBed), ...calibrationRows(rows), '');
  for (const { kind, name, held, named, written } of rows) {
    // With a mistake what is written anyway is another question, where next to nothing is.
    if (written === 0 || (named !== undefined && written < 5)) continue;
    // 93 promised, less the noise of so many data sets.
    const least = 93 - 260 * Math.sqrt((0.93 * 0.07) / ((trials * written) / 100));
    for (const share of held)
      if (share < least) failures.push(`calibration, ${kind}, ${name}: limits hold ${share.toFixed(1)} %`);
  }
};
