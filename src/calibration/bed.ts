/**
 * The bed's map out of lengths measured between points at known display positions, by least squares.
 *
 * Convention (frames.ts): x_true = sx x - sy y sin g,  y_true = sy y cos g. The true distance of two points dx, dy
 * apart on the display follows from u = sx dx - sy dy sin g,  v = sy dy cos g,  d^2 = u^2 + v^2.
 */
import type { Machine } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { studentQuantile } from '../numeric/distributions.js';
import { gaussNewton } from '../numeric/gauss-newton.js';
import type { Row, Solved } from '../numeric/least-squares.js';
import {
  type Consistency,
  checkSds,
  type Estimate,
  estimateOf,
  normalSd,
  type VarianceScale,
  varianceScale,
} from './estimate.js';
import {
  checkTriangles,
  lengthName,
  type MeasuredLength,
  type Rectangle,
  rectanglesIn,
  spanDirections,
} from './network.js';
import { decimals, type Proposal } from './proposal.js';

export interface LengthResidual {
  readonly measured: MeasuredLength;
  readonly computed: number;
  /** measured minus computed, mm. */
  readonly residual: number;
  /** Over its own sd; absent without redundancy or sd. */
  readonly normalized?: number;
}

export interface BedCalibration {
  readonly scale: { readonly x: Estimate; readonly y: Estimate };
  /** radians */
  readonly skew: Estimate;
  readonly lengths: readonly LengthResidual[];
  readonly redundancy: number;
  readonly sd: {
    /** Root mean square of the stated sds. */
    readonly stated?: number;
    /** From the residuals; absent without redundancy. */
    readonly estimated?: number;
    /** Degrees of freedom of the limits; undefined: the stated sd counts as known. */
    readonly degrees?: number;
  };
  readonly consistency?: Consistency;
  /** The skew of each rectangle by hand, from its diagonals alone: sin g = (d1^2 - d2^2) / (4 W H). */
  readonly rectangles: readonly (Rectangle & { readonly skew: number })[];
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

export type BedOutcome =
  | { readonly ok: true; readonly bed: BedCalibration }
  | { readonly ok: false; readonly failure: { readonly reason: string; readonly cure: string } };

interface Map3 {
  readonly sx: number;
  readonly sy: number;
  readonly skew: number;
}

const unknowns = 3;
/** mm over a metre; far below what any rule shows. */
const negligible = 1e-7;
const metre = 1000;
/** Two-sided level 0.001, as for the readings of a job (Baarda 1968). */
const criticalResidual = 3.2905;
/** No working display is out by more; a length in other units is. Common practice, no source. */
const likelyScale = 0.02;

/**
 * Scale of x and y and skew with their sds. Lengths that do not determine them are a returned failure.
 * @param before the map that the profile has had so far, to tell whether the machine has changed
 * @throws InputError for lengths that cannot be: a triangle that does not close, sds for some only
 */
export const calibrateBed = (lengths: readonly MeasuredLength[], before?: Machine['bedMap']): BedOutcome => {
  checkSds(lengths, 'length');
  checkTriangles(lengths);
  const stated = lengths.every((l) => l.sd !== undefined);
  const adjusted = gaussNewton<Map3>({
    start: startOf(lengths),
    unknowns,
    rowsAt: (state) => lengths.map((l) => rowAt(state, l)),
    step: (s, [sx = 0, sy = 0, skew = 0]) => ({ sx: s.sx + sx, sy: s.sy + sy, skew: s.skew + skew }),
    size: (change) => metre * Math.max(...change.map(Math.abs)),
    negligible,
  });
  if (!adjusted.ok) return { ok: false, failure: failureOf(lengths, adjusted.why) };
  const { state, solved } = adjusted;
  if (!isBed(state)) return { ok: false, failure: failureOf(lengths, 'no-convergence') };
  const scale = varianceScale(solved, stated);
  const estimate = (value: number, index: number): Estimate =>
    estimateOf(value, solved.cofactor[index]![index]!, scale);
  const found: Omit<BedCalibration, 'warnings' | 'proposal'> = {
    scale: { x: estimate(state.sx, 0), y: estimate(state.sy, 1) },
    skew: estimate(state.skew, 2),
    lengths: lengths.map((measured, i) => residualOf(measured, i, solved, scale)),
    redundancy: solved.redundancy,
    sd: {
      ...(stated
        ? { stated: Math.sqrt(lengths.reduce((sum, l) => sum + l.sd! ** 2, 0) / lengths.length) }
        : {}),
      ...(solved.redundancy === 0
        ? {}
        : {
            estimated: Math.sqrt(solved.residuals.reduce((sum, r) => sum + r ** 2, 0) / solved.redundancy),
          }),
      ...(scale.degrees === undefined ? {} : { degrees: scale.degrees }),
    },
    ...(scale.consistency === undefined ? {} : { consistency: scale.consistency }),
    rectangles: rectanglesIn(lengths).map((r) => ({ ...r, skew: skewByHand(r) })),
  };
  return {
    ok: true,
    bed: {
      ...found,
      warnings: [...warningsOf(found), ...changeWarnings(found, before)],
      proposal: proposalOf(state, found),
    },
  };
};

/** Skew from the diagonals of a rectangle (falling: from top left to bottom right), radians. */
export const skewByHand = ({ width, height, rising, falling }: Omit<Rectangle, 'names'>): number =>
  Math.asin((falling ** 2 - rising ** 2) / (4 * width * height));

/** What a profile may state (read-machine.ts); beyond that the lengths have led nowhere. */
const isBed = ({ sx, sy, skew }: Map3): boolean =>
  [sx, sy].every((scale) => scale > 0.01 && scale < 100) && Math.abs(skew) < 0.5;

const rowAt = ({ sx, sy, skew }: Map3, { from, to, length, sd = 1 }: MeasuredLength): Row => {
  const dx = to.x - from.x;
  const dy = to.y - from.y;
  const sin = Math.sin(skew);
  const cos = Math.cos(skew);
  const u = sx * dx - sy * dy * sin;
  const v = sy * dy * cos;
  const d = Math.hypot(u, v);
  return {
    design: [(u * dx) / d, (dy * (v * cos - u * sin)) / d, (-sy * dy * (u * cos + v * sin)) / d],
    observed: length - d,
    sd,
  };
};

const startOf = (lengths: readonly MeasuredLength[]): Map3 => {
  const ratios = lengths.map(ratioOf).sort((a, b) => a - b);
  const middle = ratios[Math.floor(ratios.length / 2)]!;
  return { sx: middle, sy: middle, skew: 0 };
};

const ratioOf = ({ from, to, length }: MeasuredLength): number =>
  length / Math.hypot(to.x - from.x, to.y - from.y);

const residualOf = (
  measured: MeasuredLength,
  index: number,
  { residuals, redundancyNumbers }: Solved,
  { factor, consistency }: VarianceScale,
): LengthResidual => {
  const residual = residuals[index]!;
  const share = redundancyNumbers[index]!;
  // Against the stated sd where there is one: a scale widened by a slip would hide that slip.
  const unit = consistency === undefined ? Math.sqrt(factor ?? 0) : 1;
  const own = unit * (measured.sd ?? 1) * Math.sqrt(share);
  return {
    measured,
    computed: measured.length - residual,
    residual,
    ...(share > 1e-9 && own > 0 ? { normalized: residual / own } : {}),
  };
};

const failureOf = (
  lengths: readonly MeasuredLength[],
  why: 'rank' | 'no-convergence',
): { reason: string; cure: string } => {
  if (why === 'no-convergence') {
    return {
      reason: 'No map of the bed comes near these lengths; they contradict each other too much.',
      cure: 'Compare each length with its display positions; one of them is far off.',
    };
  }
  const { alongX, alongY, oblique } = spanDirections(lengths);
  const cure =
    'Measure both sides and both diagonals of a rectangle as large as the bed; with a second rectangle of another shape the lengths check each other.';
  if (oblique === 0 && alongX && alongY) {
    return {
      reason: 'All lengths run along x or along y. How far the axes are from square does not show in them.',
      cure: `Measure a diagonal as well. ${cure}`,
    };
  }
  if (oblique + Number(alongX) + Number(alongY) === 1) {
    const unknown = alongX
      ? 'the scale of y and the skew'
      : alongY
        ? 'the scale of x and the skew'
        : 'the scales of x and y apart, and the skew';
    return { reason: `All lengths run in one direction, which leaves ${unknown} undetermined.`, cure };
  }
  return {
    reason: 'Two directions determine two of the three unknowns: the scales of x and y and the skew.',
    cure,
  };
};

/** The sds as a normal distribution would need them for the limits, so that few degrees of freedom count as such. */
const proposalOf = ({ sx, sy, skew }: Map3, found: Pick<BedCalibration, 'scale' | 'skew'>): Proposal => {
  const x = decimals(normalSd(found.scale.x) ?? 0, 6);
  const y = decimals(normalSd(found.scale.y) ?? 0, 6);
  const g = decimals(1000 * (normalSd(found.skew) ?? 0), 4);
  const isKnown = x > 0 && y > 0 && g > 0;
  return {
    part: 'bed',
    set: {
      'bed-map': { scale: [decimals(sx, 6), decimals(sy, 6)], 'skew-mrad': decimals(1000 * skew, 3) },
      ...(isKnown ? { 'bed-map-sd': { scale: [x, y], 'skew-mrad': g } } : {}),
    },
    remove: isKnown ? [] : ['bed-map-sd'],
  };
};

const warningsOf = (found: Omit<BedCalibration, 'warnings' | 'proposal'>): Warning[] => {
  const { lengths, redundancy, consistency, sd, scale } = found;
  const warnings: Warning[] = [];
  if (redundancy === 0) {
    warnings.push({
      code: 'no-redundancy',
      message:
        'Three lengths for three unknowns: a slip in any of them would not show. Measure further sides and diagonals.',
    });
  }
  const suspects = suspectsOf(lengths, redundancy, consistency !== undefined);
  for (const { measured, residual } of suspects) {
    warnings.push({
      code: 'suspect-reading',
      message: `${lengthName(measured)} was measured as ${measured.length} mm, ${Math.abs(residual).toFixed(2)} mm ${residual > 0 ? 'more' : 'less'} than the others lead to expect. Measure it again.`,
    });
  }
  if (consistency !== undefined && !consistency.consistent && sd.estimated !== undefined) {
    warnings.push({
      code: 'lengths-disagree',
      message: `The lengths disagree by more than their stated sd explains (${sd.estimated.toFixed(3)} mm where ${sd.stated!.toFixed(3)} mm was stated; ${consistency.pValue < 0.001 ? 'less than 0.001' : consistency.pValue.toFixed(3)} by chance). The sds below are widened accordingly.`,
    });
  }
  for (const axis of ['x', 'y'] as const) {
    const { value } = scale[axis];
    if (Math.abs(value - 1) <= likelyScale) continue;
    const inches = [25.4, 1 / 25.4].some((unit) => Math.abs(value / unit - 1) < likelyScale);
    const tens = [10, 0.1].some((unit) => Math.abs(value / unit - 1) < likelyScale);
    const cause = inches
      ? 'Inches and millimetres look mixed up.'
      : tens
        ? 'Centimetres and millimetres look mixed up.'
        : 'Check the display positions, and the steps per millimetre of the machine.';
    warnings.push({
      code: 'unlikely-scale',
      message: `The scale of ${axis} is ${value.toFixed(4)}, which no working display has. ${cause}`,
    });
  }
  return warnings;
};

/**
 * A map as good as this one, of a machine that has not changed, differs by more than this many half widths of the
 * 95 % limits once in a thousand: 3.29 / 1.96 sds, and the root of two for the earlier map's own error.
 */
const changed = (3.2905 / 1.96) * Math.SQRT2;

const changeWarnings = (
  { scale, skew }: Pick<BedCalibration, 'scale' | 'skew'>,
  before: Machine['bedMap'] | undefined,
): Warning[] => {
  if (before === undefined) return [];
  const compared: readonly (readonly [string, Estimate, number, (value: number) => string])[] = [
    ['scale of x', scale.x, before.scale[0], (v) => v.toFixed(5)],
    ['scale of y', scale.y, before.scale[1], (v) => v.toFixed(5)],
    ['skew', skew, before.skew, (v) => `${(1000 * v).toFixed(3)} mrad`],
  ];
  const moved = compared.filter(
    ([, { value, limits }, old]) =>
      limits !== undefined && Math.abs(value - old) > changed * (limits[1] - value),
  );
  if (moved.length === 0) return [];
  const told = moved.map(([what, { value }, old, text]) => `${what} was ${text(old)}, now ${text(value)}`);
  return [
    {
      code: 'drifted',
      message: `The machine is not what the profile said: ${told.join('; ')}, more than these measurements are out by. It has drifted, or one of the two was measured wrong.`,
    },
  ];
};

/** The worst length, where it stands out at 0.001; without a stated sd by Pope's tau. */
const suspectsOf = (
  lengths: readonly LengthResidual[],
  redundancy: number,
  stated: boolean,
): LengthResidual[] => {
  const size = (l: LengthResidual): number => Math.abs(l.normalized ?? 0);
  const worst = lengths.reduce((a, b) => (size(b) > size(a) ? b : a));
  if (stated) return size(worst) > criticalResidual ? [worst] : [];
  if (redundancy < 2) return [];
  const t = studentQuantile(1 - 0.001 / 2, redundancy - 1);
  const tau = t * Math.sqrt(redundancy / (redundancy - 1 + t ** 2));
  return size(worst) > tau ? [worst] : [];
};
