/**
 * Whether a machine has drifted since its profile was measured, from the readings of jobs done on it. The marks of a
 * part have known distances; with a profile that holds, the size of every part comes out as 1.
 *
 * What this cannot see: marks that this machine made itself by the same display, the part lying as it lay then, carry
 * the machine's error with them. And a panel may have moved where the machine has not; jobs that disagree with each
 * other more than their readings explain are told as that.
 */
import { adjust } from '../fit/adjust.js';
import type { Fit, Observation } from '../fit/fit.js';
import { decompose } from '../geometry/affine.js';
import { distance, type Point } from '../geometry/point.js';
import { daysBetween } from '../job/dates.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { type Row, solve } from '../numeric/least-squares.js';
import { ageWarnings } from './age.js';
import {
  type Consistency,
  type Estimate,
  estimateOf,
  normalSd,
  varianceScale,
  withLimits,
} from './estimate.js';

/** What is needed of a loaded job. */
export interface DriftJob {
  readonly job: Pick<Job, 'path' | 'date' | 'fit' | 'machine'> & Partial<Pick<Job, 'drawing'>>;
  readonly observations: readonly Observation[];
}

export interface JobSize {
  readonly path: string;
  readonly date?: string;
  readonly marks: number;
  /** Largest distance between two marks, mm. */
  readonly span: number;
  /** Distances as read, through the profile, over distances as drawn. */
  readonly size: Estimate;
  /** What its marks may make of that, one sd: the same in every job of its drawing. */
  readonly byMarks?: { readonly drawing: string; readonly sd: number };
}

export interface Drift {
  readonly jobs: readonly JobSize[];
  /** Jobs that say nothing about size, and why. */
  readonly silent: readonly { readonly path: string; readonly reason: string }[];
  /** Weighted mean over the jobs; absent where none says anything. */
  readonly size?: Estimate;
  /** Of the jobs with each other; absent for one. */
  readonly agreement?: Consistency;
  /** Change of size per year; absent with fewer than three jobs with different dates. */
  readonly perYear?: Estimate;
  /** The limits of the mean do not hold 1. */
  readonly drifted: boolean;
  readonly warnings: readonly Warning[];
}

/**
 * @param date ISO date on which this is asked, for the age of the profile; undefined: the age is not judged
 */
export const driftOf = (jobs: readonly DriftJob[], date?: string): Drift => {
  const sizes: JobSize[] = [];
  const silent: { path: string; reason: string }[] = [];
  for (const each of jobs) {
    const found = sizeOf(each);
    if (typeof found === 'string') silent.push({ path: each.job.path, reason: found });
    else sizes.push(found);
  }
  const { size, agreement } = meanSize(sizes);
  const perYear = trendOf(sizes);
  const drifted = outside(size, 1);
  return {
    jobs: sizes,
    silent,
    ...(size === undefined ? {} : { size }),
    ...(agreement === undefined ? {} : { agreement }),
    ...(perYear === undefined ? {} : { perYear }),
    drifted,
    warnings: [
      ...driftWarnings(size, drifted, agreement, perYear),
      ...(jobs[0] === undefined ? [] : ageWarnings(jobs[0].job.machine, date)),
    ],
  };
};

const outside = (estimate: Estimate | undefined, value: number): boolean =>
  estimate?.limits !== undefined && (value < estimate.limits[0] || value > estimate.limits[1]);

const sizeOf = ({ job, observations }: DriftJob): JobSize | string => {
  const outcome = adjust(observations, { ...job.fit, model: 'similarity' });
  if (!outcome.ok) return outcome.failure.reason;
  const { fit } = outcome;
  const size = sizeEstimate(fit);
  if (size === undefined) {
    return 'Nothing tells how good its readings are: state a reading-sd, or read more than two marks.';
  }
  const byMarks = marksShare(observations, job);
  return {
    path: job.path,
    ...(job.date === undefined ? {} : { date: job.date }),
    marks: observations.length,
    span: largestDistance(observations.map((o) => o.design)),
    size,
    ...(byMarks === undefined ? {} : { byMarks }),
  };
};

/**
 * The part of the size's sd that comes from marks off their places. Jobs of one drawing may well be one part read again,
 * whose marks are off alike each time: more jobs of it do not average that.
 */
const marksShare = (observations: readonly Observation[], job: DriftJob['job']): JobSize['byMarks'] => {
  const { drawing, fit } = job;
  if (drawing === undefined || !(fit.markSd > 0) || fit.readingSd === undefined) return undefined;
  const varianceOf = (markSd: number): number | undefined => {
    const outcome = adjust(observations, { ...fit, markSd, model: 'similarity' });
    const { cofactor, matrix } = outcome.ok
      ? { cofactor: outcome.fit.covariance?.[3]?.[3], matrix: outcome.fit.matrix }
      : {};
    const used = outcome.ok ? outcome.fit.sd.used : undefined;
    if (cofactor === undefined || matrix === undefined || used === undefined) return undefined;
    // As stated, not as the residuals may have widened it.
    return (decompose(matrix).scale[0] ** 2 * cofactor * fit.readingSd! ** 2) / used ** 2;
  };
  const [all, read] = [varianceOf(fit.markSd), varianceOf(0)];
  if (all === undefined || read === undefined || !(all > read)) return undefined;
  return { drawing, sd: Math.sqrt(all - read) };
};

/** The relative size is the fourth unknown of a similarity (placement.ts). */
const sizeEstimate = ({ matrix, covariance, sd }: Fit): Estimate | undefined => {
  if (covariance === undefined) return undefined;
  const value = decompose(matrix).scale[0];
  const size = value * Math.sqrt(covariance[3]![3]!);
  return size > 0 ? withLimits(value, size, sd.usedDof) : undefined;
};

/**
 * Rows of `unknowns` common values and one more for each drawing whose marks may be off: what that is, is observed to be
 * 0 within its sd.
 */
const sizeRows = (
  sizes: readonly JobSize[],
  common: (size: JobSize, index: number) => readonly number[],
): { rows: Row[]; unknowns: number } => {
  const drawings = [...new Set(sizes.flatMap(({ byMarks }) => byMarks?.drawing ?? []))];
  const of = (drawing: string | undefined): number[] => drawings.map((d) => (d === drawing ? 1 : 0));
  const count = sizes.length === 0 ? 0 : common(sizes[0]!, 0).length;
  const rows = sizes.map((job, i): Row => {
    const sd = normalSd(job.size)!;
    const own =
      job.byMarks === undefined ? sd : Math.sqrt(Math.max(sd ** 2 - job.byMarks.sd ** 2, (sd / 10) ** 2));
    return {
      design: [...common(job, i), ...of(job.byMarks?.drawing)],
      observed: job.size.value - 1,
      sd: own,
    };
  });
  const marks = drawings.map((drawing): Row => {
    const largest = Math.max(...sizes.map(({ byMarks }) => (byMarks?.drawing === drawing ? byMarks.sd : 0)));
    return { design: [...new Array<number>(count).fill(0), ...of(drawing)], observed: 0, sd: largest };
  });
  return { rows: [...rows, ...marks], unknowns: count + drawings.length };
};

const meanSize = (sizes: readonly JobSize[]): Pick<Drift, 'size' | 'agreement'> => {
  if (sizes.length === 0) return {};
  const { rows, unknowns } = sizeRows(sizes, () => [1]);
  const solved = solve(rows, unknowns);
  if (!solved.ok) throw new RangeError('no size to average');
  const scale = varianceScale(solved, true);
  return {
    size: shifted(estimateOf(solved.solution[0]!, solved.cofactor[0]![0]!, scale)),
    ...(scale.consistency === undefined ? {} : { agreement: scale.consistency }),
  };
};

const shifted = ({ value, sd, limits }: Estimate): Estimate => ({
  value: 1 + value,
  ...(sd === undefined ? {} : { sd }),
  ...(limits === undefined ? {} : { limits: [1 + limits[0], 1 + limits[1]] as const }),
});

const daysOfYear = 365.25;

const trendOf = (sizes: readonly JobSize[]): Estimate | undefined => {
  const dated = sizes.flatMap((job) => (job.date === undefined ? [] : [{ ...job, date: job.date }]));
  if (new Set(dated.map((d) => d.date)).size < 3) return undefined;
  const first = dated[0]!.date;
  const years = dated.map((d) => daysBetween(first, d.date) / daysOfYear);
  const middle = years.reduce((a, b) => a + b, 0) / years.length;
  const { rows, unknowns } = sizeRows(dated, (_, i) => [1, years[i]! - middle]);
  const solved = solve(rows, unknowns);
  if (!solved.ok) return undefined;
  return estimateOf(solved.solution[1]!, solved.cofactor[1]![1]!, varianceScale(solved, true));
};

const largestDistance = (points: readonly Point[]): number =>
  Math.max(...points.flatMap((p) => points.map((q) => distance(p, q))));

const perMetre = (relative: number): string => `${Math.abs(1000 * relative).toFixed(2)} mm in a metre`;

const driftWarnings = (
  size: Estimate | undefined,
  drifted: boolean,
  agreement: Consistency | undefined,
  perYear: Estimate | undefined,
): Warning[] => {
  const warnings: Warning[] = [];
  if (agreement !== undefined && !agreement.consistent) {
    warnings.push({
      code: 'lengths-disagree',
      message:
        'The jobs disagree with each other by more than their readings explain: the panels themselves changed, or their marks are not where they are drawn. The limits of the mean are widened accordingly.',
    });
  }
  if (size !== undefined && drifted) {
    warnings.push({
      code: 'drifted',
      message: `Parts come out ${perMetre(size.value - 1)} too ${size.value > 1 ? 'long' : 'short'} through this profile. If their marks are where they are drawn, the machine is not what the profile says: measure the bed ("reseat calibrate sheet", then "reseat calibrate bed").`,
    });
  }
  if (outside(perYear, 0)) {
    warnings.push({
      code: 'drifted',
      message: `Sizes change with time, by ${perMetre(perYear!.value)} a year. Something wears or slips; measure the bed, and again in some months.`,
    });
  }
  return warnings;
};
