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
import { InputError, type Warning, type Where } from '../job/messages.js';
import { type Row, solve } from '../numeric/least-squares.js';
import { type Consistency, checkSds, type Estimate, estimateOf, varianceScale } from './estimate.js';
import { micrometre, type Proposal } from './proposal.js';
import { mean, scatterWithin } from './spread.js';

/** mm throughout; `sd` is that of one measurement with the caliper or rule. */
export type KerfMeasurement = { readonly sd?: number; readonly where: Where } & (
  | {
      readonly kind: 'strips' | 'gap';
      readonly count: number;
      readonly drawn: number;
      readonly measured: number;
    }
  | { readonly kind: 'pair'; readonly hole: number; readonly piece: number }
);

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
  readonly redundancy: number;
  readonly degrees?: number;
  readonly consistency?: Consistency;
  /** sd of single determinations about their mean; absent for one. */
  readonly variation?: number;
  /** What a profile may state as kerf-sd; absent where nothing tells. */
  readonly kerfSd?: number;
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

/** In sds: what errors of measuring alone may push a kerf below zero. */
const tolerated = 3;

/**
 * The weighted mean of all determinations.
 * @throws InputError for a kerf below zero, with its likely cause
 */
export const calibrateKerf = (measurements: readonly KerfMeasurement[], file: string): KerfCalibration => {
  checkSds(measurements, 'measurement');
  for (const measurement of measurements) checkKerf(measurement);
  const stated = measurements.every((m) => m.sd !== undefined);
  const solved = solve(measurements.map(rowOf), 1);
  if (!solved.ok) throw new RangeError('no measurement of the kerf');
  const scale = varianceScale(solved, stated);
  const kerf = estimateOf(solved.solution[0]!, solved.cofactor[0]![0]!, scale);
  if (!(kerf.value > 0)) throw noKerf(kerf, measurements[0]!.where.file ?? file);
  const residuals = measurements.map((measured): KerfResidual => {
    const { design, observed, sd } = rowOf(measured);
    return { measured, kerf: observed / design[0]!, ...(stated ? { sd: sd / design[0]! } : {}) };
  });
  const { sumOfSquares, degrees } = scatterWithin([residuals.map((r) => r.kerf)]);
  const variation = degrees > 0 ? { variation: Math.sqrt(sumOfSquares / degrees) } : {};
  const kerfSd = kerfSdOf(kerf, variation.variation, scale.consistency);
  const found = {
    kerf,
    measurements: residuals,
    redundancy: solved.redundancy,
    ...(scale.degrees === undefined ? {} : { degrees: scale.degrees }),
    ...(scale.consistency === undefined ? {} : { consistency: scale.consistency }),
    ...variation,
    ...(kerfSd === undefined ? {} : { kerfSd }),
  };
  return { ...found, warnings: warningsOf(found), proposal: proposalOf(kerf.value, kerfSd) };
};

/** Coefficient of the kerf, and what it multiplies to. */
const rowOf = (m: KerfMeasurement): Row => {
  const sd = m.sd ?? 1;
  if (m.kind === 'pair') return { design: [2], observed: m.hole - m.piece, sd: sd * Math.SQRT2 };
  const removed = m.count * m.drawn - m.measured;
  return { design: [m.count], observed: m.kind === 'strips' ? removed : -removed, sd };
};

/**
 * What the kerf of another cut may differ by, one sd: how well the mean is known, and where the determinations
 * disagree beyond their stated sd, or have none, their own scatter.
 */
const kerfSdOf = (
  kerf: Estimate,
  variation: number | undefined,
  consistency: Consistency | undefined,
): number | undefined => {
  if (consistency?.consistent || variation === undefined) return kerf.sd;
  return Math.max(variation, kerf.sd ?? 0);
};

const checkKerf = (m: KerfMeasurement): void => {
  const { design, observed, sd } = rowOf(m);
  const kerf = observed / design[0]!;
  const slack = m.sd === undefined ? 0 : (tolerated * sd) / design[0]!;
  if (kerf < -slack) throw belowZero(m, kerf);
};

const belowZero = (m: KerfMeasurement, kerf: number): InputError => {
  const told =
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
    found: `${told}: a kerf of ${kerf.toFixed(3)} mm`,
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
  remove: kerfSd === undefined ? ['kerf-sd'] : [],
});

const warningsOf = (found: Omit<KerfCalibration, 'warnings' | 'proposal'>): Warning[] => {
  const { redundancy, consistency, measurements, variation } = found;
  if (redundancy === 0) {
    return [
      {
        code: 'no-redundancy',
        message:
          'One measurement is checked by nothing: a miscounted strip would not show. Measure the kerf a second way.',
      },
    ];
  }
  if (consistency === undefined || consistency.consistent) return [];
  const kerfs = measurements.map((m) => m.kerf);
  const centre = mean(kerfs);
  const worst = kerfs.reduce((a, b) => (Math.abs(b - centre) > Math.abs(a - centre) ? b : a));
  const line = measurements[kerfs.indexOf(worst)]!.measured.where.line;
  return [
    {
      code: 'lengths-disagree',
      message: `The kerf comes out between ${Math.min(...kerfs).toFixed(3)} and ${Math.max(...kerfs).toFixed(3)} mm, more apart than the stated sd explains; farthest off is ${worst.toFixed(3)} mm${line === undefined ? '' : ` (line ${line})`}. A measurement is wrong, or the kerf changes from place to place; kerf-sd counts it as a change (${variation!.toFixed(3)} mm).`,
    },
  ];
};
