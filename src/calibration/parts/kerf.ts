/**
 * The kerf k, the full width of material the tool removes, out of what was cut along drawn lines. Every edge loses
 * half a kerf of material to the beam that runs along it:
 *
 *     strips   n strips drawn w wide, cut on all their edges, are w - k wide each.
 *              Pressed together they measure S = n (w - k):           n k = n w - S
 *     gap      a slot drawn w wide is w + k wide (w = 0: one pass along one line).
 *              n of them measured together are G = n (w + k):         n k = G - n w
 *     pair     the hole is w + k wide, the piece that fell out of it
 *              w - k, measured along the same line:                   2 k = hole - piece
 *
 * A scale error e of the bed moves strips and gaps by w e (0.01 mm for 0.1 % of 10 mm); in a pair it drops out.
 */

import { consistencyLevel } from '../../fit/solve/uncertainty.js';
import { InputError, type Warning } from '../../job/messages.js';
import { roundingSd } from '../../numeric/display-rounding.js';
import { chiSquareCdf } from '../../numeric/distributions.js';
import { type Consistency, checkSds, type Estimate, holdingAll, normalSd } from '../estimate.js';
import { micrometre, type Proposal } from '../proposal.js';
import { displayStep, mean, median, scatterWithin } from '../spread.js';
import { type KerfMistake, kerfMistakes, kerfMistakeWarning } from './kerf-mistakes.js';
import type { KerfMeasurement } from './measurements.js';
import { namedMistakes, type WeighedMistake, weighMistakes } from './mistakes.js';
import { adjustShared, type SharedFit, type SharedRow } from './shared-errors.js';

export interface KerfResidual {
  readonly measured: KerfMeasurement;
  /** The kerf by this measurement alone. */
  readonly kerf: number;
  /** Its sd by the stated one; absent where none is stated. */
  readonly sd?: number;
}

export interface KerfCalibration {
  readonly kerf: Estimate;
  readonly measurements: readonly KerfResidual[];
  readonly cuts: number;
  readonly redundancy: number;
  readonly consistency?: Consistency;
  /** sd of single determinations about their mean; absent for one. */
  readonly variation?: number;
  /** From one pass of the beam to the next, one sd, mm; absent where nothing shows it. */
  readonly passSd?: NonNullable<SharedFit['sharedSd']>;
  /** What a profile may state as kerf-sd: of the kerf of one further pass. Absent where nothing tells. */
  readonly kerfSd?: number;
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

/** In sds: what errors of measuring alone may push a kerf below zero. */
const tolerated = 3;
/**
 * Share of cuts that are all alike, before any measurement, where the sd of measuring is known: with more, kerf-sd holds a
 * further cut in less than 93 % where cuts differ by as much as that sd (tests/evidence/calibration.ts).
 */
const alikeShare = 0.6;
/** Fewer figures than this may all be whole multiples of a step by chance. */
const fewestForStep = 4;

/**
 * The mean over passes of the beam, each of which may be wider or narrower than the others: determinations of one cut
 * share that, and the error of measuring is each one's own (shared-errors.ts).
 * @throws InputError for a kerf below zero, with its likely cause
 */
export const calibrateKerf = (measurements: readonly KerfMeasurement[], file: string): KerfCalibration => {
  checkSds(measurements, 'measurement');
  for (const measurement of measurements) checkKerf(measurement);
  const hasStated = measurements.every((m) => m.sd !== undefined);
  const step = measurements.length < fewestForStep ? undefined : displayStep(measurements.flatMap(figuresOf));
  const cuts = cutsOf(measurements);
  const count = new Set(cuts).size;
  const given = measurements.map((m, i) => rowOf(m, m.sd === undefined ? 1 : notBelow(m.sd, step), cuts[i]!));
  const first = adjustShared(given, 1, count, hasStated, ...(hasStated ? [alikeShare] : []));
  if (first === undefined) throw new RangeError('no measurement of the kerf');
  const consistency =
    hasStated && first.redundancy > 0 ? consistencyOf(first.leastSquares, first.redundancy) : undefined;
  const isKnown = hasStated && consistency?.consistent !== false;
  const fit = isKnown ? first : estimatedFit(given, count, step);
  const asMeasured = fit.estimate([1]);
  if (!(asMeasured.value > 0)) throw noKerf(asMeasured, measurements[0]!.where.file ?? file);
  const residuals = measurements.map((measured, i): KerfResidual => {
    const { design, observed, sd } = given[i]!;
    return { measured, kerf: observed / design[0]!, ...(hasStated ? { sd: sd / design[0]! } : {}) };
  });
  const { sumOfSquares, degrees } = scatterWithin([residuals.map((r) => r.kerf)]);
  const weighed =
    fit.redundancy < 2
      ? []
      : weighMistakes(fit, kerfMistakes(measurements, cuts, median(residuals.map((r) => r.kerf))));
  const kerf = holdingAll(asMeasured, withGaps(measurements, given, weighed, count, isKnown));
  // Fewer cuts than show a change from one to the next: nothing is claimed of another one.
  const kerfSd = fit.sharedSd === undefined ? undefined : normalSd(fit.estimate([1], 1));
  const found = {
    kerf,
    measurements: residuals,
    cuts: count,
    redundancy: fit.redundancy,
    ...(consistency === undefined ? {} : { consistency }),
    ...(degrees > 0 ? { variation: Math.sqrt(sumOfSquares / degrees) } : {}),
    ...(fit.sharedSd === undefined ? {} : { passSd: fit.sharedSd }),
    ...(kerfSd === undefined ? {} : { kerfSd }),
  };
  const mistakes = namedMistakes(weighed);
  const isUnlikely = kerfSd !== undefined && kerfSd >= kerf.value;
  return {
    ...found,
    warnings: [
      ...(mistakes.length === 0 ? [] : [kerfMistakeWarning(mistakes)]),
      ...(isUnlikely ? [unlikelySd(kerfSd, kerf.value)] : []),
      ...warningsOf(found),
    ],
    proposal: isUnlikely ? { part: 'kerf', set: {}, remove: [] } : proposalOf(kerf.value, kerfSd),
  };
};

/** Belief in gaps between the strips over that in no mistake, above which the kerf may be the wider one as well. */
const notExcluded = 0.1;

/** The kerf with strips that have gaps between them, where the measurements do not exclude it. */
const withGaps = (
  measurements: readonly KerfMeasurement[],
  rows: readonly SharedRow[],
  weighed: readonly WeighedMistake<KerfMistake>[],
  cuts: number,
  isKnown: boolean,
): Estimate[] => {
  const none = 1 - weighed.reduce((sum, { share }) => sum + share, 0);
  const gaps = weighed.find(({ what }) => what.kind === 'not-pressed');
  if (gaps === undefined || !(gaps.share > notExcluded * none)) return [];
  const open = rows.map((row, i): SharedRow => {
    const m = measurements[i]!;
    return { ...row, design: [...row.design, m.kind === 'strips' ? 1 - m.count : 0] };
  });
  const fit = adjustShared(open, 2, cuts, isKnown, ...(isKnown ? [alikeShare] : []));
  return fit === undefined ? [] : [fit.estimate([1, 0])];
};

/** Where nothing tells the sd, or it is contradicted, it is estimated; but not below the rounding of the figures. */
const estimatedFit = (rows: readonly SharedRow[], cuts: number, step: number | undefined): SharedFit => {
  const fit = adjustShared(rows, 1, cuts, false)!;
  const floor = step === undefined ? 0 : roundingSd(step);
  if (!(floor > 0) || fit.redundancy === 0 || fit.leastSquares / fit.redundancy >= floor ** 2) return fit;
  return adjustShared(
    rows.map((row) => ({ ...row, sd: floor * row.sd })),
    1,
    cuts,
    true,
    alikeShare,
  )!;
};

const figuresOf = (m: KerfMeasurement): number[] => (m.kind === 'pair' ? [m.hole, m.piece] : [m.measured]);

/** A stated sd far below the step it was read to has no rounding in it. */
const notBelow = (sd: number, step: number | undefined): number =>
  step === undefined || sd >= 0.42 * step ? sd : Math.hypot(sd, roundingSd(step));

const consistencyOf = (chiSquare: number, degrees: number): Consistency => {
  const pValue = Math.max(0, 1 - chiSquareCdf(chiSquare, degrees));
  return { chiSquare, pValue, consistent: pValue >= consistencyLevel };
};

/** The cut of each row, numbered. */
const cutsOf = (measurements: readonly KerfMeasurement[]): number[] => {
  const numbers = new Map<string, number>();
  let next = 0;
  return measurements.map(({ cut }) => {
    if (cut === undefined) return next++;
    const known = numbers.get(cut) ?? next++;
    numbers.set(cut, known);
    return known;
  });
};

/** The kerf that a measurement removes, and how often. */
const removedBy = (m: KerfMeasurement): { readonly times: number; readonly removed: number } => {
  if (m.kind === 'pair') return { times: 2, removed: m.hole - m.piece };
  const removed = m.count * m.drawn - m.measured;
  return { times: m.count, removed: m.kind === 'strips' ? removed : -removed };
};

/**
 * Variance of a measurement's mean kerf over that of one pass. n strips have n - 1 passes between them and half of one at
 * either end; a slot has half of one on each side, and one pass is one; a hole loses half of one on each side, its piece
 * the other halves.
 */
const passShare = (m: KerfMeasurement): number => {
  if (m.kind === 'pair') return 1 / 2;
  if (m.kind === 'strips') return (m.count - 1 / 2) / m.count ** 2;
  return (m.drawn === 0 ? 1 : 1 / 2) / m.count;
};

/** @param sd of one figure read off the caliper, mm */
const rowOf = (m: KerfMeasurement, sd: number, cut: number): SharedRow => {
  const { times, removed } = removedBy(m);
  return {
    design: [times],
    observed: removed,
    sd: m.kind === 'pair' ? sd * Math.SQRT2 : sd,
    shared: [[cut, times * Math.sqrt(passShare(m))]],
  };
};

const checkKerf = (m: KerfMeasurement): void => {
  const { times, removed } = removedBy(m);
  const kerf = removed / times;
  const slack = m.sd === undefined ? 0 : (tolerated * m.sd * (m.kind === 'pair' ? Math.SQRT2 : 1)) / times;
  if (kerf < -slack) throw belowZero(m, kerf);
};

const belowZero = (m: KerfMeasurement, kerf: number): InputError => {
  const clauses =
    m.kind === 'pair'
      ? `a hole of ${m.hole} mm and a piece of ${m.piece} mm`
      : m.kind === 'strips'
        ? `${m.count} strips of ${m.drawn} mm that measure ${m.measured} mm together`
        : `${m.count === 1 ? 'a gap' : `${m.count} gaps`} drawn ${m.drawn} mm that ${m.count === 1 ? 'measures' : 'measure'} ${m.measured} mm`;
  const causes = {
    pair: 'The piece cannot be larger than its hole: the two are probably exchanged, or not measured along the same line.',
    strips:
      'Count the strips again, press them together without dust or burr between them, and check that the file was cut along the drawn lines, without kerf correction.',
    gap: 'Measure the gap, not the tooth beside it, and check that the file was cut along the drawn lines, without kerf correction.',
  };
  return new InputError({
    found: `${clauses}: a kerf of ${kerf.toFixed(3)} mm`,
    expected: 'a kerf above zero, for every cut removes material',
    where: m.where,
    next: causes[m.kind],
  });
};

const noKerf = ({ value, sd }: Estimate, file: string): InputError =>
  new InputError({
    found: `a kerf of ${value.toFixed(3)} mm${sd === undefined ? '' : ` with an sd of ${sd.toFixed(3)} mm`}, not to be told from zero`,
    expected: 'a kerf above zero',
    where: { file },
    next: 'For a knife write kerf: 0 into the profile by hand. Otherwise measure more strips at once: the error is shared among them.',
  });

const proposalOf = (kerf: number, kerfSd: number | undefined): Proposal => ({
  part: 'kerf',
  set: {
    kerf: micrometre(kerf),
    // An sd of less than a micrometre is not worth claiming.
    ...(kerfSd === undefined ? {} : { 'kerf-sd': Math.max(0.001, Number(kerfSd.toPrecision(2))) }),
  },
  // The old one belonged to the old kerf.
  remove: kerfSd === undefined ? ['kerf-sd', 'kerf-dof'] : ['kerf-dof'],
});

const unlikelySd = (kerfSd: number, kerf: number): Warning => ({
  code: 'unlikely-sd',
  message: `One further cut may differ by ${kerfSd.toFixed(3)} mm (one sd), as much as the kerf of ${kerf.toFixed(3)} mm itself, which no machine does. Nothing of this is written; look for a wrong figure, or measure more cuts.`,
});

const warningsOf = (found: Omit<KerfCalibration, 'warnings' | 'proposal'>): Warning[] => {
  const { redundancy, consistency, measurements, passSd, cuts } = found;
  if (redundancy === 0) {
    return [
      {
        code: 'no-redundancy',
        message:
          'One measurement is checked by nothing: a miscounted strip would not show, nor how the kerf changes from cut to cut, so no kerf-sd is stated. Measure the kerf a second and a third way.',
      },
    ];
  }
  const few: Warning[] =
    passSd === undefined
      ? [
          {
            code: 'few-readings',
            message: `${cuts === 1 ? 'One cut does' : `${cuts} cuts do`} not show how the kerf changes from cut to cut, so no kerf-sd is stated. Measure three cuts or more.`,
          },
        ]
      : [];
  if (consistency === undefined || consistency.consistent) return few;
  const kerfs = measurements.map((m) => m.kerf);
  const centre = mean(kerfs);
  const worst = kerfs.reduce((a, b) => (Math.abs(b - centre) > Math.abs(a - centre) ? b : a));
  const line = measurements[kerfs.indexOf(worst)]!.measured.where.line;
  return [
    ...few,
    {
      code: 'lengths-disagree',
      message: `The kerf comes out between ${Math.min(...kerfs).toFixed(3)} and ${Math.max(...kerfs).toFixed(3)} mm, more apart than the stated sd and a change from cut to cut explain; farthest off is ${worst.toFixed(3)} mm${line === undefined ? '' : ` (line ${line})`}. A measurement is wrong, or the stated sd too small.`,
    },
  ];
};
