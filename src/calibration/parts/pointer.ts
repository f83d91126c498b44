/**
 * How well the pointer is read: repeated returns to the same marks, from one side or from two.
 *
 * Reversal and repeatability in the manner of ISO 230-2 (formulas from memory): at each mark i the reversal is
 * B_i = mean from below minus mean from above; per direction R_i = 4 s_i; both ways
 * R_i = max(2 s_up + 2 s_down + |B_i|, R_i up, R_i down). Of an axis: B is the B_i largest in size, the mean
 * reversal their mean, R the largest R_i.
 */
import { InputError, type Warning } from '../../job/messages.js';
import { roundingSd, sdBeforeRounding, varianceOfRounded } from '../../numeric/display-rounding.js';
import { studentQuantile } from '../../numeric/distributions.js';
import { micrometre, type Proposal, threeDigits } from '../proposal.js';
import {
  chanceOfRatio,
  confidence,
  displayStep,
  mean,
  outliersAmong,
  type Spread,
  scatterWithin,
  spreadOf,
} from '../spread.js';
import { type Habit, habitsOf, isShown, isSteady } from './habit.js';
import type { Direction, Group, PointerReading } from './measurements.js';
import { exchangedIn } from './pointer-mistakes.js';

/** Of one axis, mm. */
export interface Reversal {
  /** Mean over the marks read from both sides, up minus down. */
  readonly mean: number;
  /** 95 % limits of the mean by Student-t; undefined where nothing is left over to say. */
  readonly limits?: readonly [number, number];
  /** The largest at one mark, with its sign. */
  readonly largest: { readonly mark: string; readonly value: number };
  /** 4 s of the worst mark, each way and both ways; undefined where no mark was read twice each way. */
  readonly repeatability?: { readonly up: number; readonly down: number; readonly both: number };
}

export interface PointerOutlier {
  readonly mark: string;
  readonly axis: 'x' | 'y';
  readonly direction?: Direction;
  readonly deviation: number;
  readonly pValue: number;
  /** The reading; both where it is one of two. */
  readonly readings: readonly PointerReading[];
}

export interface PointerCalibration {
  readonly marks: number;
  readonly readings: number;
  readonly sides: 1 | 2;
  readonly x: Spread;
  readonly y: Spread;
  /** Both axes together: what a profile states. */
  readonly both: Spread;
  /** Chance that the axes differ so much where their true sds are the same. */
  readonly axesPValue: number;
  readonly reversal?: { readonly x: Reversal; readonly y: Reversal };
  /** mm; undefined where the figures are finer than any display. */
  readonly step?: number;
  /** The step hides so much of the scatter that no limits of an sd can be stated. */
  readonly isCoarse: boolean;
  /** How the people that have read differ, the largest difference first; empty where nobody says who read. */
  readonly habits: readonly Habit[];
  readonly outliers: readonly PointerOutlier[];
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

const axes = ['x', 'y'] as const;

/** Fewer than this leave the sd uncertain by a third or more; common practice, no source. */
const fewDegrees = 10;
/** Below this many steps the step hides most of the scatter, and what of it shows is no chi-square: no limits are stated. */
const coarseShare = 0.42;
/**
 * Below this many steps the scatter is seen now and then where there is hardly any: the lower limit is that of rounding alone.
 * Without limits up to here, those of the other data sets of the same sd would hold too seldom.
 */
const hiddenShare = 0.6;
/** Beyond this no display with a pointer is read, mm: half a division of a coarse rule is 0.5. Common practice, no source. */
const largestReadingSd = 2;
/** Level at which the two axes are called different. */
const differentLevel = 0.01;

/**
 * @throws InputError where no mark was read twice from one side (by one person), or a direction or a name is given for some
 *   readings only
 */
export const calibratePointer = (readings: readonly PointerReading[], file: string): PointerCalibration => {
  const sides = checkDirections(readings);
  checkNames(readings);
  const groups = groupsOf(readings);
  const byAxis = (axis: 'x' | 'y') => groups.map((g) => g.readings.map((r) => r.at[axis]));
  const scatter = { x: scatterWithin(byAxis('x')), y: scatterWithin(byAxis('y')) };
  if (scatter.x.degrees < 1) {
    throw new InputError({
      found: `no mark read twice${sides === 2 ? ' from one side' : ''}${readings[0]?.who === undefined ? '' : ' by one person'}`,
      expected: 'repeated readings of the same marks',
      where: { file },
      next: 'Drive away, come back to each mark and read again: five times at each of four marks is a good start.',
    });
  }
  const step = displayStep(readings.flatMap(({ at }) => [at.x, at.y]));
  const exchanged = exchangedIn(groups, step);
  const { least } = exchanged;
  const x = displayedSpread(scatter.x, step, least.x);
  const y = displayedSpread(scatter.y, step, least.y);
  const both = displayedSpread(
    {
      sumOfSquares: scatter.x.sumOfSquares + scatter.y.sumOfSquares,
      degrees: scatter.x.degrees + scatter.y.degrees,
    },
    step,
    (scatter.x.sumOfSquares * least.x + scatter.y.sumOfSquares * least.y) /
      Math.max(scatter.x.sumOfSquares + scatter.y.sumOfSquares, Number.MIN_VALUE),
  );
  const axesPValue = chanceOfRatio(x, y);
  const reversal =
    sides === 2 ? { x: reversalOf(groups, 'x', x, step), y: reversalOf(groups, 'y', y, step) } : undefined;
  const habits = habitsOf(groups, both, step ?? 0, file);
  const outliers = axes.flatMap((axis) =>
    outliersAmong(byAxis(axis), 2 * readings.length, step ?? 0).map(({ group, index, deviation, pValue }) => {
      const { mark, direction, readings: within } = groups[group]!;
      return {
        mark,
        axis,
        ...(direction === undefined ? {} : { direction }),
        deviation,
        pValue,
        readings: index === undefined ? within : [within[index]!],
      };
    }),
  );
  const found = {
    marks: new Set(readings.map((r) => r.mark)).size,
    readings: readings.length,
    sides,
    x,
    y,
    both,
    axesPValue,
    ...(reversal === undefined ? {} : { reversal }),
    ...(step === undefined ? {} : { step }),
    isCoarse: step !== undefined && both.sd < coarseShare * step,
    habits,
    outliers,
  };
  return { ...found, warnings: [...exchanged.warnings, ...warningsOf(found)], proposal: proposalOf(found) };
};

/**
 * Of readings as displayed, their rounding in it.
 * @param least of the squares, which a row with x and y exchanged may have made too many
 */
const displayedSpread = (
  { sumOfSquares, degrees }: { readonly sumOfSquares: number; readonly degrees: number },
  step = 0,
  least = 1,
): Spread => {
  const spread = spreadOf(sumOfSquares, degrees);
  const low = spread.low * Math.sqrt(least);
  return { ...spread, low: spread.sd < hiddenShare * step ? Math.min(low, roundingSd(step)) : low };
};

type Found = Omit<PointerCalibration, 'warnings' | 'proposal'>;

const checkDirections = (readings: readonly PointerReading[]): 1 | 2 => {
  const without = readings.find((r) => r.direction === undefined);
  const withOne = readings.find((r) => r.direction !== undefined);
  if (without !== undefined && withOne !== undefined) {
    throw new InputError({
      found: 'a reading without a direction among readings with one',
      expected: 'up or down for all of them, or for none',
      where: without.where,
      next: 'Fill in from which side the pointer came, or leave the column out.',
    });
  }
  return new Set(readings.map((r) => r.direction)).size === 2 ? 2 : 1;
};

const checkNames = (readings: readonly PointerReading[]): void => {
  const without = readings.find((r) => r.who === undefined);
  if (without === undefined || readings.every((r) => r.who === undefined)) return;
  throw new InputError({
    found: 'a reading without a name among readings with one',
    expected: 'who read, for all of them or for none',
    where: without.where,
    next: 'Fill in who read, or leave the column out.',
  });
};

/** Readings of one mark from one side by one person, in the order of their first rows. */
const groupsOf = (readings: readonly PointerReading[]): Group[] => {
  const groups = new Map<string, Group & { readings: PointerReading[] }>();
  for (const reading of readings) {
    const { mark, direction, who } = reading;
    const key = JSON.stringify([mark, direction, who]);
    const known = groups.get(key);
    if (known) known.readings.push(reading);
    else
      groups.set(key, {
        mark,
        ...(direction === undefined ? {} : { direction }),
        ...(who === undefined ? {} : { who }),
        readings: [reading],
      });
  }
  return [...groups.values()];
};

const reversalOf = (groups: readonly Group[], axis: 'x' | 'y', spread: Spread, step = 0): Reversal => {
  const valuesOf = (group: Group): number[] => group.readings.map((r) => r.at[axis]);
  const pairs = groups
    .filter((g) => g.direction === 'up')
    .flatMap((up) => {
      const down = groups.find((g) => g.direction === 'down' && g.mark === up.mark && g.who === up.who);
      return down ? [{ mark: up.mark, up: valuesOf(up), down: valuesOf(down) }] : [];
    });
  if (pairs.length === 0) {
    throw new InputError({
      found: 'no mark read from both sides',
      expected: 'readings up and down at the same marks',
      where: groups[0]!.readings[0]!.where,
      next: 'Read at least one mark from both sides, or leave the column of directions out.',
    });
  }
  const reversals = pairs.map(({ mark, up, down }) => ({ mark, value: mean(up) - mean(down) }));
  const average = mean(reversals.map((r) => r.value));
  const before = sdBeforeRounding(spread.sd, step);
  const varianceOf = (values: readonly number[]): number => varianceOfRounded(before, step, values.length);
  const variance = pairs.reduce((sum, { up, down }) => sum + varianceOf(up) + varianceOf(down), 0);
  const half = (studentQuantile((1 + confidence) / 2, spread.degrees) * Math.sqrt(variance)) / pairs.length;
  const repeated = pairs.filter(({ up, down }) => up.length > 1 && down.length > 1);
  return {
    mean: average,
    limits: [average - half, average + half],
    largest: reversals.reduce((a, b) => (Math.abs(b.value) > Math.abs(a.value) ? b : a)),
    ...(repeated.length === 0 ? {} : { repeatability: repeatabilityOf(repeated) }),
  };
};

const repeatabilityOf = (
  pairs: readonly { readonly up: readonly number[]; readonly down: readonly number[] }[],
): NonNullable<Reversal['repeatability']> => {
  const sdOf = (values: readonly number[]): number => {
    const { sumOfSquares, degrees } = scatterWithin([values]);
    return Math.sqrt(sumOfSquares / degrees);
  };
  let largest = { up: 0, down: 0, both: 0 };
  for (const { up, down } of pairs) {
    const sUp = sdOf(up);
    const sDown = sdOf(down);
    const reversal = Math.abs(mean(up) - mean(down));
    largest = {
      up: Math.max(largest.up, 4 * sUp),
      down: Math.max(largest.down, 4 * sDown),
      both: Math.max(largest.both, 2 * sUp + 2 * sDown + reversal, 4 * sUp, 4 * sDown),
    };
  }
  return largest;
};

/**
 * What a profile may state: the sd of one reading as displayed, its rounding in it. Where the step hides most of the
 * scatter (`coarseShare`) the rounding that repeats share is not seen in it, and the sd is put together from both.
 */
export const statedSd = ({ both, step }: Pick<Found, 'both' | 'step'>): { sd: number; floored: boolean } => {
  if (step === undefined || both.sd >= coarseShare * step) return { sd: both.sd, floored: false };
  return { sd: Math.hypot(sdBeforeRounding(both.sd, step), roundingSd(step)), floored: true };
};

/** The largest that is shown to be one. */
export const shownHabit = ({ habits }: Pick<Found, 'habits'>): Habit | undefined =>
  habits.find((habit) => isShown(habit, habits.length));

/** The bound that a difference is within, to the next micrometre. */
export const boundOf = ({ limits }: Habit): number => Math.ceil(limits[1] * 1000 - 1e-6) / 1000;

const proposalOf = (found: Found): Proposal => {
  const { sd, floored } = statedSd(found);
  const habit = shownHabit(found);
  // Nothing of what cannot be is written.
  if (sd > largestReadingSd) return { part: 'pointer', set: {}, remove: [] };
  return {
    part: 'pointer',
    set: {
      'reading-sd': threeDigits(sd),
      // The rounding of a display is known; degrees of freedom would make it less so.
      ...(floored ? {} : { 'reading-sd-dof': found.both.degrees }),
      ...(found.reversal === undefined
        ? {}
        : { reversal: [micrometre(found.reversal.x.mean), micrometre(found.reversal.y.mean)] }),
      // A step far below the scatter makes no difference.
      ...(found.step !== undefined && found.step > found.both.sd / 2 ? { 'display-step': found.step } : {}),
      ...(habit === undefined ? {} : { 'pointing-bias': boundOf(habit) }),
    },
    remove: [
      ...(floored ? ['reading-sd-dof'] : []),
      ...(found.habits.length > 0 && habit === undefined ? ['pointing-bias'] : []),
    ],
  };
};

const mm = (value: number): string => `${value.toFixed(3)} mm`;

const warningsOf = (found: Found): Warning[] => {
  const { x, y, both, axesPValue, reversal, step, outliers } = found;
  const warnings: Warning[] = outliers.map((o): Warning => {
    const lines = o.readings.map((r) => r.where.line).filter((line) => line !== undefined);
    const place = lines.length === 0 ? '' : ` (line ${lines.join(' and line ')})`;
    const which =
      o.readings.length === 1
        ? `A reading of mark ${o.mark}${place} lies ${mm(Math.abs(o.deviation))} off the others in ${o.axis}`
        : `The two readings of mark ${o.mark}${place} lie ${mm(2 * Math.abs(o.deviation))} apart in ${o.axis}`;
    return {
      code: 'suspect-reading',
      marks: [o.mark],
      message: `${which}, farther than the rest leads to expect (Grubbs, ${o.pValue < 0.001 ? 'less than 0.001' : o.pValue.toFixed(3)} by chance). The sd counts it. If you know it for a slip, remove it and call this again.`,
    };
  });
  const { sd, floored } = statedSd(found);
  if (sd > largestReadingSd) {
    warnings.unshift({
      code: 'unlikely-sd',
      message: `A reading would be out by ${sd.toFixed(1)} mm (one sd), which no pointer is. Nothing of this is written; a wrong row is likely: see whether readings stand under the right mark, and x and y in their columns.`,
    });
  }
  if (floored) {
    warnings.push({
      code: 'display-step',
      message: `The readings scatter less than the display's step of ${step} mm shows. With its rounding a reading has an sd of ${sd.toFixed(4)} mm, which more repeats at a mark do not lower.`,
    });
  } else if (step !== undefined && both.sd < step / 2) {
    warnings.push({
      code: 'display-step',
      message: `The scatter is less than half the display's step of ${step} mm, so rounding makes up much of it; the true scatter may be smaller or larger.`,
    });
  }
  if (both.degrees < fewDegrees) {
    warnings.push({
      code: 'few-readings',
      message: `Only ${both.degrees} degrees of freedom stand behind the sd, which may lie anywhere from ${mm(both.low)} to ${mm(both.high)}. More returns to the marks narrow that.`,
    });
  }
  warnings.push(...habitWarnings(found));
  if (!floored && axesPValue < differentLevel) {
    const [worse, sdOfWorse] = x.sd > y.sd ? ['x', x.sd] : ['y', y.sd];
    warnings.push({
      code: 'axes-differ',
      message: `The axes are not read alike: sd ${mm(x.sd)} in x, ${mm(y.sd)} in y. One figure for both says too little of ${worse}; write reading-sd: ${threeDigits(sdOfWorse)} to be on the safe side.`,
    });
  }
  const reversed = axes.flatMap((axis) => {
    const b = reversal?.[axis].mean ?? 0;
    const limits = reversal?.[axis].limits;
    const sure = limits !== undefined && limits[0] * limits[1] > 0;
    return sure && Math.abs(b) > sd ? [{ axis, size: Math.abs(b) }] : [];
  });
  if (reversed.length > 0) {
    const by = reversed.map(({ axis, size }) => `${mm(size)} in ${axis}`).join(' and ');
    warnings.push({
      code: 'reversal',
      message: `The display differs by ${by} with the side you come from, more than the sd of a reading. Come to every mark from the same side and say so in the job, fit: {approach: same}; otherwise half of it counts as an error of every mark.`,
    });
  }
  return warnings;
};

const habitWarnings = (found: Found): Warning[] => {
  const shown = shownHabit(found);
  const unsteady = found.habits.filter((habit) => !isSteady(habit));
  const clauses = unsteady.map(
    ({ between: [a, b], steadyPValue }): Warning => ({
      code: 'readers-differ',
      message: `${a} and ${b} differ, but not alike at all marks (by chance: ${steadyPValue < 0.001 ? 'less than 0.001' : steadyPValue.toFixed(3)}): that is no habit of the eye. See whether the sheet has moved between them, and whether rows stand under the right name. No pointing-bias is taken from them.`,
    }),
  );
  if (shown === undefined) return clauses;
  const { between, difference, distance, limits } = shown;
  const [a, b] = between;
  const axis = (value: number): string => `${value < 0 ? '-' : '+'}${Math.abs(value).toFixed(3)}`;
  return [
    ...clauses,
    {
      code: 'readers-differ',
      message: `${a} reads ${mm(distance)} beside ${b} (x ${axis(difference.x)}, y ${axis(difference.y)} mm; 95 %: ${mm(limits[0])} to ${mm(limits[1])}): a habit of the eye, which more readings do not average out. pointing-bias: ${boundOf(shown)} counts it where one of them reads the marks of a job and the other has read the dots of the beam offset; where one person does both, write fit: {pointing-bias: 0} in the job. What both do alike does not show here.`,
    },
  ];
};
