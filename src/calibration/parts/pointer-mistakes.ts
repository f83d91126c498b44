/** Readings of the pointer whose x and y are exchanged, or that stand under another mark. */

import { distance, type Point } from '../../geometry/point.js';
import type { Warning } from '../../job/messages.js';
import { roundingSd } from '../../numeric/display-rounding.js';
import { power } from '../../numeric/powers.js';
import { median, scatterWithin } from '../spread.js';
import type { Group, PointerReading } from './measurements.js';
import { doubtedAbove, namedAbove } from './mistakes.js';

/** mm: a reading that comes so near to where it may belong instead, and is ten times farther from its own mark, is told. */
const nearest = 3;

export interface Exchanged {
  readonly warnings: readonly Warning[];
  /** What all readings may scatter by at least, of what is summed without the mistakes, per axis: rows not told, yet not excluded. */
  readonly least: { readonly x: number; readonly y: number };
}

const none = { x: 1, y: 1 } as const;

/** @param step of the display, mm */
export const exchangedIn = (groups: readonly Group[], step: number | undefined): Exchanged => {
  const far = farFromTheirMarks(groups);
  return far.length > 0 ? { warnings: far, least: none } : exchangedNearby(groups, step ?? 0);
};

const exchangedAxes = ({ x, y }: Point): Point => ({ x: y, y: x });

const warningFor = ({ mark, where: { line } }: PointerReading, what: string): Warning => ({
  code: 'columns-exchanged',
  marks: [mark],
  message: `A reading of mark ${mark}${line === undefined ? '' : ` (line ${line})`} ${what}. Correct the row, or read the mark again.`,
});

const farFromTheirMarks = (groups: readonly Group[]): Warning[] => {
  const middleOf = (readings: readonly PointerReading[]): Point => ({
    x: median(readings.map((r) => r.at.x)),
    y: median(readings.map((r) => r.at.y)),
  });
  const marks = new Map<string, PointerReading[]>();
  for (const { mark, readings } of groups) marks.set(mark, [...(marks.get(mark) ?? []), ...readings]);
  // The middle of three or more holds where one of them is wrong.
  const middles = [...marks].flatMap(([mark, readings]) =>
    readings.length < 3 ? [] : [{ mark, at: middleOf(readings), readings }],
  );
  return middles.flatMap(({ mark, at, readings }) =>
    readings.flatMap((reading): Warning[] => {
      const off = distance(reading.at, at);
      const isNear = (p: Point, q: Point): boolean => distance(p, q) < nearest && 10 * distance(p, q) < off;
      if (isNear(exchangedAxes(reading.at), at)) return [warningFor(reading, 'has its x and y exchanged')];
      const other = middles.find((m) => m.mark !== mark && isNear(reading.at, m.at));
      return other === undefined ? [] : [warningFor(reading, `is one of mark ${other.mark}`)];
    }),
  );
};

/** That some row has x and y exchanged, beside 1 for a table without any; judgement of the trade, no source. */
const prior = 0.05;
/** Belief in one row exchanged, beside 1 for none, above which the scatter may be that without it as well. */
const notExcluded = 0.004;

/**
 * At a mark whose x and y are nearly the same an exchanged row is off by little, and no outlier: each row is weighed by how
 * much less all readings scatter with it exchanged, (S / S_i)^(degrees / 2) where nothing tells their sd beforehand
 * (H. Jeffreys, *Theory of Probability*).
 */
const exchangedNearby = (groups: readonly Group[], step: number): Exchanged => {
  const repeated = groups.filter(({ readings }) => readings.length > 1);
  const squares = (points: readonly Point[], axis: 'x' | 'y'): number =>
    scatterWithin([points.map((p) => p[axis])]).sumOfSquares;
  const degrees = repeated.reduce((sum, { readings }) => sum + 2 * (readings.length - 1), 0);
  // What agrees by its rounding alone is not known better than that.
  const rounding = (degrees / 2) * roundingSd(step) ** 2;
  const sumOf = (axis: 'x' | 'y'): number =>
    repeated.reduce(
      (sum, { readings }) =>
        sum +
        squares(
          readings.map((r) => r.at),
          axis,
        ),
      0,
    );
  const all = { x: sumOf('x'), y: sumOf('y') };
  const scatter = all.x + all.y + 2 * rounding;
  if (!(all.x > 0 && all.y > 0)) return { warnings: [], least: none };
  const rows = repeated.flatMap(({ readings }) => {
    const asRead = readings.map((r) => r.at);
    return readings.map((reading, i) => {
      const points = asRead.map((at, k) => (k === i ? exchangedAxes(at) : at));
      const left = (axis: 'x' | 'y'): number => all[axis] - squares(asRead, axis) + squares(points, axis);
      const [x, y] = [left('x'), left('y')];
      const weight = power(scatter / Math.max(x + y + 2 * rounding, 1e-9 * scatter), degrees / 2);
      return { reading, weight, x, y };
    });
  });
  const sum = rows.reduce((s, { weight }) => s + weight, 0);
  const belief = (prior * sum) / rows.length;
  if (!(belief / (1 + belief) > doubtedAbove)) {
    const possible = rows.filter(({ weight }) => (prior * weight) / rows.length > notExcluded);
    const leastOf = (axis: 'x' | 'y'): number =>
      Math.min(1, ...possible.map((row) => Math.max(0, row[axis]) / all[axis]));
    return { warnings: [], least: { x: leastOf('x'), y: leastOf('y') } };
  }
  const named = rows.filter(({ weight }) => weight > namedAbove * sum).sort((a, b) => b.weight - a.weight);
  return { warnings: [toldOf(named.map(({ reading }) => reading))], least: none };
};

/** Of the rows that stand out; none: where many are as likely. */
const toldOf = (readings: readonly PointerReading[]): Warning => {
  const [first] = readings;
  if (first !== undefined && readings.length === 1)
    return warningFor(first, 'probably has its x and y exchanged');
  const lines = readings.map(({ mark, where: { line } }) =>
    line === undefined ? `of mark ${mark}` : `of mark ${mark} (line ${line})`,
  );
  const which = lines.length === 0 ? '' : `, and nothing tells which: ${lines.join(', ')}`;
  return {
    code: 'columns-exchanged',
    marks: [...new Set(readings.map(({ mark }) => mark))],
    message: `A reading probably has its x and y exchanged${which}. Correct the row, or read the mark again.`,
  };
};
