/**
 * Habit of the eye: the same marks read by two people or more. What one of them reads beside the other at every mark alike is no
 * scatter: it is common to all readings of a job, and no repeat averages it out.
 *
 * Only the difference of two people shows. What they do alike does not, and neither of them is right for it. Where one of the two
 * reads the marks of a job and the other has read the dots of the beam's offset, the cut is shifted by that difference; where
 * one reads both, by nothing. A habit is the same every day, so the difference is a bound for this workshop and no sd of a draw.
 */
import { length, type Point } from '../../geometry/point.js';
import { InputError, type Where } from '../../job/messages.js';
import { sdBeforeRounding, varianceOfRounded } from '../../numeric/display-rounding.js';
import { fCdf, studentQuantile } from '../../numeric/distributions.js';
import { confidence, mean, type Spread } from '../spread.js';

/** What one person read at one mark, coming from one side. */
export interface ReadGroup {
  readonly mark: string;
  readonly who?: string;
  readonly direction?: string;
  readonly readings: readonly { readonly at: Point; readonly where: Where }[];
}

/** How two people differ. */
export interface Habit {
  readonly between: readonly [string, string];
  /** Places and sides at which both have read. */
  readonly places: number;
  /** Mean of the first less mean of the second, mm. */
  readonly difference: Point;
  /** Length of the difference, with its 95 % limits, mm; over all pairs of people together. */
  readonly distance: number;
  readonly limits: readonly [number, number];
  /** Chance of a difference as large between two people without any. */
  readonly pValue: number;
  /** Chance that the differences at single places vary so much where the two differ alike everywhere; 1 at one place. */
  readonly steadyPValue: number;
}

/** Level at which a difference counts as shown, over all pairs of people. */
const shownLevel = 0.01;
/** Below it the difference is not the same at all places: then it is no habit. */
const steadyLevel = 0.001;

export const isSteady = ({ steadyPValue }: Habit): boolean => steadyPValue >= steadyLevel;

/** @param pairs of people that were compared */
export const isShown = (habit: Habit, pairs: number): boolean =>
  isSteady(habit) && habit.pValue < shownLevel / pairs;

/**
 * All pairs of people that have read a mark in common, the largest difference first; empty where nobody says who read.
 *
 * @param groups readings of one mark by one person from one side
 * @param spread of single readings within the groups, both axes
 * @param step of the display, 0 where it is finer than matters
 * @throws InputError where only one person is named, or no two of them have read the same mark from the same side
 */
export const habitsOf = (
  groups: readonly ReadGroup[],
  spread: Spread,
  step: number,
  file: string,
): Habit[] => {
  const people = [...new Set(groups.flatMap(({ who }) => who ?? []))];
  if (people.length === 0) return [];
  const pairs = people.flatMap((a, i) =>
    people.slice(i + 1).flatMap((b): Compared[] => {
      const places = groups.flatMap((one) => {
        const other = groups.find((g) => g.who === b && g.mark === one.mark && g.direction === one.direction);
        return one.who === a && other !== undefined ? [[one, other] as const] : [];
      });
      return places.length === 0 ? [] : [{ between: [a, b], places }];
    }),
  );
  if (pairs.length === 0) {
    throw new InputError({
      found:
        people.length === 1 ? 'one name under who' : 'no mark that two people have read from the same side',
      expected: 'the same marks read by two people',
      where: people.length === 1 ? { file } : (groups[0]?.readings[0]?.where ?? { file }),
      next: 'Let a second person read some of the marks, coming from the same side, or leave the column who out.',
    });
  }
  return pairs
    .map((pair) => habitOf(pair, pairs.length, spread, step))
    .sort((a, b) => b.distance - a.distance);
};

interface Compared {
  readonly between: readonly [string, string];
  readonly places: readonly (readonly [ReadGroup, ReadGroup])[];
}

const habitOf = ({ between, places }: Compared, pairs: number, spread: Spread, step: number): Habit => {
  const before = sdBeforeRounding(spread.sd, step);
  const differences = places.map(([one, other]) => ({
    x: mean(one.readings.map((r) => r.at.x)) - mean(other.readings.map((r) => r.at.x)),
    y: mean(one.readings.map((r) => r.at.y)) - mean(other.readings.map((r) => r.at.y)),
    variance:
      varianceOfRounded(before, step, one.readings.length) +
      varianceOfRounded(before, step, other.readings.length),
  }));
  // Readings without any scatter, on a display as fine as can be, leave nothing to weigh by.
  const weightOf = ({ variance }: { readonly variance: number }): number => (variance > 0 ? 1 / variance : 1);
  const total = differences.reduce((sum, d) => sum + weightOf(d), 0);
  const average = (axis: 'x' | 'y'): number =>
    differences.reduce((sum, d) => sum + weightOf(d) * d[axis], 0) / total;
  const difference = { x: average('x'), y: average('y') };
  const variance = differences.some((d) => d.variance > 0) ? 1 / total : 0;
  const distance = length(difference);
  const half = studentQuantile(1 - (1 - confidence) / 2 / pairs, spread.degrees) * Math.sqrt(variance);
  const squares = differences.reduce(
    (sum, d) => sum + weightOf(d) * ((d.x - difference.x) ** 2 + (d.y - difference.y) ** 2),
    0,
  );
  const moreThan = (meanSquare: number, degrees: number): number =>
    degrees === 0 ? 1 : 1 - fCdf(meanSquare, degrees, spread.degrees);
  const degrees = 2 * (places.length - 1);
  const pValue = variance > 0 ? moreThan(distance ** 2 / variance / 2, 2) : distance > 0 ? 0 : 1;
  return {
    between,
    places: places.length,
    difference,
    distance,
    // Errors in two axes lengthen a difference of nothing; the test of both together says when it may be nothing.
    limits: [pValue > (1 - confidence) / pairs ? 0 : Math.max(0, distance - half), distance + half],
    pValue,
    steadyPValue: degrees === 0 ? 1 : moreThan(squares / degrees, degrees),
  };
};
