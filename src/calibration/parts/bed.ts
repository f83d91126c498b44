/**
 * The bed's map out of lengths measured between points at known display positions, by least squares.
 *
 * Convention (frames.ts): x_true = sx x - sy y sin g,  y_true = sy y cos g. The true distance of two points dx, dy
 * apart on the display follows from u = sx dx - sy dy sin g,  v = sy dy cos g,  d^2 = u^2 + v^2.
 */
import { consistencyLevel } from '../../fit/solve/uncertainty.js';
import type { Machine } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import { roundingSd } from '../../numeric/display-rounding.js';
import { chiSquareCdf } from '../../numeric/distributions.js';
import { gaussNewton } from '../../numeric/gauss-newton.js';
import type { Row, Solved } from '../../numeric/least-squares.js';
import { type Consistency, checkSds, type Estimate, holdingAll, normalSd } from '../estimate.js';
import { decimals, type Proposal } from '../proposal.js';
import { displayStep } from '../spread.js';
import { type BedMistake, mistakesIn, mistakeWarning } from './bed-mistakes.js';
import { namedMistakes, type WeighedMistake, weighMistakes } from './mistakes.js';
import {
  checkTriangles,
  type MeasuredLength,
  pointKey,
  type Rectangle,
  rectanglesIn,
  spanDirections,
} from './network.js';
import { type Rule, ruleBound, withBound } from './rule.js';
import { adjustShared, type SharedFit, type SharedRow } from './shared-errors.js';

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
  };
  /** How far crosses lie off their places, one sd per axis, mm; absent where nothing shows it. */
  readonly crossSd?: NonNullable<SharedFit['sharedSd']>;
  /** What the rule may be out by, relative: in the limits of the scales. Absent where no rule is stated. */
  readonly ruleBound?: number;
  readonly consistency?: Consistency;
  /** The skew of each rectangle by hand, from its diagonals alone: sin g = (d1^2 - d2^2) / (4 W H). */
  readonly rectangles: readonly (Rectangle & { readonly skew: number })[];
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

export interface BedOptions {
  /** The map that the profile has had so far, to tell whether the machine has changed. */
  readonly before?: Machine['bedMap'];
  readonly rule?: Rule;
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
/** Fewer lengths than this may all be whole multiples of a step by chance. */
const fewestForStep = 4;
/** Nobody measures between more by hand; each has two unknown errors. */
const mostCrosses = 120;
/** mm per axis; common practice, no source. */
const largestCrossSd = 0.5;
/** No working display is out by more; a length in other units is. Common practice, no source. */
const likelyScale = 0.02;

/**
 * Scale of x and y and skew with their sds. Lengths that do not determine them are a returned failure.
 * @throws InputError for lengths that cannot be: a triangle that does not close, sds for some only, too many points
 */
export const calibrateBed = (
  lengths: readonly MeasuredLength[],
  { before, rule }: BedOptions = {},
): BedOutcome => {
  checkSds(lengths, 'length');
  checkTriangles(lengths);
  const crosses = crossesOf(lengths);
  const hasStated = lengths.every((l) => l.sd !== undefined);
  const step = lengths.length < fewestForStep ? undefined : displayStep(lengths.map((l) => l.length));
  const weighed = lengths.map((l) => ({ ...l, ...(hasStated ? { sd: readingSd(l.sd!, step) } : {}) }));
  const adjusted = gaussNewton<Map3>({
    start: startOf(weighed),
    unknowns,
    rowsAt: (state) => weighed.map((l) => rowAt(state, l)),
    step: (s, [sx = 0, sy = 0, skew = 0]) => ({ sx: s.sx + sx, sy: s.sy + sy, skew: s.skew + skew }),
    size: (change) => metre * Math.max(...change.map(Math.abs)),
    negligible,
  });
  if (!adjusted.ok) return { ok: false, failure: failureOf(lengths, adjusted.why) };
  const { state, solved: plain } = adjusted;
  if (!isBed(state)) return { ok: false, failure: failureOf(lengths, 'no-convergence') };

  const rows = weighed.map((l) => sharedRow(state, l, crosses));
  const errors = 2 * crosses.size;
  const asStated = adjustShared(rows, unknowns, errors, hasStated)!;
  const { redundancy } = asStated;
  const consistency =
    hasStated && redundancy > 0 ? consistencyOf(asStated.leastSquares, redundancy) : undefined;
  const isKnown = hasStated && consistency?.consistent !== false;
  const fitted = (of: readonly SharedRow[]): SharedFit =>
    isKnown ? adjustShared(of, unknowns, errors, true)! : estimatedFit(of, errors, step);
  const fit = fitted(rows);
  const mistakes = redundancy < 2 ? [] : weighMistakes(fit, mistakesIn(lengths));
  const asMeasured = foundOf(state, fit, { lengths, plain, consistency, hasStated, mistakes });
  const exchanged = diagonalsTheOtherWay(lengths, rows, mistakes).map(
    (other) => foundOf(state, fitted(other), { lengths, plain, consistency, hasStated, mistakes }).skew,
  );
  const found = { ...asMeasured, skew: holdingAll(asMeasured.skew, exchanged) };
  const { scale, skew } = found;
  const bound = rule === undefined ? 0 : ruleBound(rule, Math.max(...lengths.map((l) => l.length)));
  const withRule = {
    ...found,
    scale: { x: withBound(scale.x, bound), y: withBound(scale.y, bound) },
    ...(rule === undefined ? {} : { ruleBound: bound }),
  };
  return {
    ok: true,
    bed: {
      ...withRule,
      warnings: [...warningsOf(withRule, namedMistakes(mistakes)), ...changeWarnings(asMeasured, before)],
      proposal: proposalOf({ sx: scale.x.value, sy: scale.y.value, skew: skew.value }, withRule),
    },
  };
};

/** Belief in exchanged diagonals over that in no mistake, above which the skew may be the other one as well. */
const notExcluded = 0.02;

/**
 * The rows with two diagonals in each other's places, for each pair of which the lengths do not exclude it. Of a single
 * rectangle no length ever tells, and the limits are those of a table without mistakes.
 */
const diagonalsTheOtherWay = (
  lengths: readonly MeasuredLength[],
  rows: readonly SharedRow[],
  mistakes: readonly WeighedMistake<BedMistake>[],
): SharedRow[][] => {
  const none = 1 - mistakes.reduce((sum, { share }) => sum + share, 0);
  const pairs = mistakes.flatMap(({ what, share }) =>
    what.kind === 'exchanged' && what.diagonals ? [{ lengths: what.lengths, share }] : [],
  );
  if (pairs.length < 2) return [];
  return pairs.flatMap(({ lengths: [a, b], share }) => {
    if (!(share > notExcluded * none)) return [];
    const more = (length: MeasuredLength): number =>
      length === a ? b.length - a.length : length === b ? a.length - b.length : 0;
    return [rows.map((row, i) => ({ ...row, observed: row.observed + more(lengths[i]!) }))];
  });
};

/** Where the lengths tell no sd, or contradict the stated one, theirs is estimated; but not below their rounding. */
const estimatedFit = (rows: readonly SharedRow[], errors: number, step: number | undefined): SharedFit => {
  const fit = adjustShared(rows, unknowns, errors, false)!;
  const floor = step === undefined ? 0 : roundingSd(step);
  if (!(floor > 0) || fit.redundancy === 0 || fit.leastSquares / fit.redundancy >= floor ** 2) return fit;
  return adjustShared(
    rows.map((row) => ({ ...row, sd: floor * row.sd })),
    unknowns,
    errors,
    true,
  )!;
};

interface Basis {
  readonly lengths: readonly MeasuredLength[];
  readonly plain: Solved;
  readonly consistency: Consistency | undefined;
  readonly hasStated: boolean;
  readonly mistakes: readonly WeighedMistake<BedMistake>[];
}

const foundOf = (
  state: Map3,
  fit: SharedFit,
  { lengths, plain, consistency, hasStated, mistakes }: Basis,
): Omit<BedCalibration, 'warnings' | 'proposal'> => {
  const estimate = (value: number, index: number): Estimate => {
    const change = fit.estimate([0, 1, 2].map((k) => (k === index ? 1 : 0)));
    return shiftedBy(change, value);
  };
  const { redundancy } = fit;
  return {
    scale: { x: estimate(state.sx, 0), y: estimate(state.sy, 1) },
    skew: estimate(state.skew, 2),
    lengths: lengths.map((measured, i): LengthResidual => {
      const residual = fit.residuals[i]!;
      const own = mistakes.find(({ what }) => what.kind === 'wrong' && what.length === measured);
      return {
        measured,
        computed: measured.length - residual,
        residual,
        ...(own?.size === undefined || !((own.sizeSd ?? 0) > 0) || plain.redundancyNumbers[i]! < 1e-9
          ? {}
          : { normalized: own.size / own.sizeSd! }),
      };
    }),
    redundancy,
    sd: {
      ...(hasStated
        ? { stated: Math.sqrt(lengths.reduce((sum, l) => sum + l.sd! ** 2, 0) / lengths.length) }
        : {}),
      ...(redundancy === 0
        ? {}
        : { estimated: Math.sqrt(plain.residuals.reduce((sum, r) => sum + r ** 2, 0) / redundancy) }),
    },
    ...(fit.sharedSd === undefined ? {} : { crossSd: fit.sharedSd }),
    ...(consistency === undefined ? {} : { consistency }),
    rectangles: rectanglesIn(lengths).map((r) => ({ ...r, skew: skewByHand(r) })),
  };
};

const shiftedBy = ({ value, sd, limits }: Estimate, by: number): Estimate => ({
  value: value + by,
  ...(sd === undefined ? {} : { sd }),
  ...(limits === undefined ? {} : { limits: [limits[0] + by, limits[1] + by] as const }),
});

const consistencyOf = (chiSquare: number, degrees: number): Consistency => {
  const pValue = Math.max(0, 1 - chiSquareCdf(chiSquare, degrees));
  return { chiSquare, pValue, consistent: pValue >= consistencyLevel };
};

/** A stated sd far below the step it was read to has no rounding in it. */
const readingSd = (sd: number, step: number | undefined): number =>
  step === undefined || sd >= 0.42 * step ? sd : Math.hypot(sd, roundingSd(step));

/** Crosses by their place on the display, numbered. */
const crossesOf = (lengths: readonly MeasuredLength[]): ReadonlyMap<string, number> => {
  const crosses = new Map<string, number>();
  for (const { from, to } of lengths)
    for (const p of [from, to]) if (!crosses.has(pointKey(p))) crosses.set(pointKey(p), crosses.size);
  if (crosses.size <= mostCrosses) return crosses;
  throw new InputError({
    found: `lengths between ${crosses.size} points`,
    expected: `at most ${mostCrosses}`,
    where: { ...(lengths[0]!.where.file === undefined ? {} : { file: lengths[0]!.where.file }) },
    next: 'Two rectangles with their diagonals are enough; leave the rest out.',
  });
};

/** Each cross may lie off its place, the same for all lengths that end there. */
const sharedRow = (state: Map3, length: MeasuredLength, crosses: ReadonlyMap<string, number>): SharedRow => {
  const { from, to } = length;
  const d = Math.hypot(to.x - from.x, to.y - from.y);
  const [ux, uy] = [(to.x - from.x) / d, (to.y - from.y) / d];
  const [a, b] = [2 * crosses.get(pointKey(from))!, 2 * crosses.get(pointKey(to))!];
  return {
    ...rowAt(state, length),
    shared: [
      [a, -ux],
      [a + 1, -uy],
      [b, ux],
      [b + 1, uy],
    ],
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

const warningsOf = (
  found: Omit<BedCalibration, 'warnings' | 'proposal'>,
  mistakes: readonly WeighedMistake<BedMistake>[],
): Warning[] => {
  const { redundancy, consistency, sd, scale, crossSd, ruleBound: bound } = found;
  const warnings: Warning[] = [];
  if (redundancy === 0) {
    warnings.push({
      code: 'no-redundancy',
      message:
        'Three lengths for three unknowns: a slip in any of them would not show. Measure further sides and diagonals.',
    });
  }
  if (mistakes.length > 0) warnings.push(mistakeWarning(mistakes));
  if (consistency !== undefined && !consistency.consistent && sd.estimated !== undefined) {
    warnings.push({
      code: 'lengths-disagree',
      message: `The lengths disagree by more than their stated sd explains (${sd.estimated.toFixed(3)} mm where ${sd.stated!.toFixed(3)} mm was stated; ${consistency.pValue < 0.001 ? 'less than 0.001' : consistency.pValue.toFixed(3)} by chance), and crosses that lie off their places do not explain it either. The limits are widened accordingly.`,
    });
  } else if (crossSd !== undefined && crossSd.value > largestCrossSd) {
    warnings.push({
      code: 'lengths-disagree',
      message: `The lengths agree only if crosses lie ${crossSd.value.toFixed(2)} mm (one sd per axis) from where they were sent, which no sound machine does. Look at the crosses, and measure again.`,
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
  if (bound === undefined && redundancy > 0) {
    warnings.push({
      code: 'rule-unstated',
      message:
        "The rule's own error is not in these limits, and no length shows it: a rule of class 2 may be 0.5 mm out over a metre, one of class 1 0.2 mm. Give --rule 1 or --rule 2, or what its certificate allows (--rule 0.08mm/m).",
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
  const turned =
    skew.limits !== undefined &&
    Math.abs(skew.value + before.skew) < changed * (skew.limits[1] - skew.value) &&
    moved.some(([what]) => what === 'skew');
  const clauses = moved.map(([what, { value }, old, text]) => `${what} was ${text(old)}, now ${text(value)}`);
  return [
    {
      code: 'drifted',
      message: `The machine is not what the profile said: ${clauses.join('; ')}, more than these measurements are out by. It has drifted, or one of the two was measured wrong.${turned ? ' The skew is the same with the other sign: look whether the two diagonals were exchanged, now or then.' : ''}`,
    },
  ];
};
