/** Mistakes that a table of dots may hold: columns exchanged, one dot read for another. */

import { distance, type Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { mean, type Spread, scatterWithin } from '../spread.js';
import { turnedTable } from '../tables/table-axes.js';
import type { BurntDot } from './measurements.js';

/** Places are sent to whole or half millimetres; what is read falls on them by chance once in many figures. */
const roundStep = 0.5;
/** Least figures that must differ before columns are taken for exchanged. */
const fewestFigures = 4;
/** An exchange is told where it makes the dots agree so many times better. */
const better = 10;
/** mm: dots that agree to this need no exchange. */
const agreed = 1;

/**
 * @param offsets reading minus commanded of each dot, mm
 * @param machine the offset of the profile so far, and the axes the dots were sent for; undefined where nobody says
 */
export const beamMistakes = (
  dots: readonly BurntDot[],
  offsets: readonly Point[],
  spread: Spread | undefined,
  {
    offset: before,
    axes,
  }: { readonly offset: Point | undefined; readonly axes: Machine['axes'] | undefined },
): Warning[] => {
  if (sentIsRead(dots)) {
    return [
      {
        code: 'columns-exchanged',
        message:
          'What was sent and what was read are probably exchanged: the readings are all round numbers, the places sent to are not. x and y are what was sent to the machine; read-x and read-y what the display showed over the dot. The offset would have the wrong sign.',
      },
    ];
  }
  if (spread !== undefined && spread.sd > agreed) {
    const crossed = dots.map(({ commanded, readings }) => ({
      x: mean(readings.map((r) => r.y)) - commanded.x,
      y: mean(readings.map((r) => r.x)) - commanded.y,
    }));
    if (better * sdOf(crossed) < spread.sd) {
      return [
        {
          code: 'columns-exchanged',
          message:
            'x and y of the readings are probably exchanged: the other way round the dots agree. Exchange read-x and read-y.',
        },
      ];
    }
    const turned = turnedAxes(dots, offsets);
    if (turned !== undefined) return [turnedWarning(turned, axes)];
    const swapped = swappedDots(dots, spread.sd);
    if (swapped !== undefined) {
      const [a, b] = swapped;
      return [
        {
          code: 'columns-exchanged',
          marks: [a.name, b.name],
          message: `The readings of dots ${a.name} and ${b.name} are probably exchanged: the other way round all dots agree. Correct the rows, or read both again.`,
        },
      ];
    }
  }
  return turnedRound(offsets, spread, before);
};

/**
 * The axes along which figures fall where those sent grow: reading plus sent is the same at all dots, reading less
 * sent is not. Undefined where that is so of none, or where the other axis does not agree as it stands.
 */
const turnedAxes = (
  dots: readonly BurntDot[],
  offsets: readonly Point[],
): { readonly along: readonly ('x' | 'y')[]; readonly sum: Point } | undefined => {
  const scatterOf = (values: number[]): number => {
    const { sumOfSquares, degrees } = scatterWithin([values]);
    return Math.sqrt(sumOfSquares / Math.max(1, degrees));
  };
  const sums = (axis: 'x' | 'y'): number[] =>
    dots.map(({ commanded, readings }) => mean(readings.map((r) => r[axis])) + commanded[axis]);
  const along: ('x' | 'y')[] = [];
  for (const axis of ['x', 'y'] as const) {
    const asSent = scatterOf(offsets.map((o) => o[axis]));
    if (asSent <= agreed) continue;
    if (better * scatterOf(sums(axis)) >= asSent) return undefined;
    along.push(axis);
  }
  return along.length === 0 ? undefined : { along, sum: { x: mean(sums('x')), y: mean(sums('y')) } };
};

const turnedWarning = (
  { along, sum }: NonNullable<ReturnType<typeof turnedAxes>>,
  axes: Machine['axes'] | undefined,
): Warning => {
  const seen = `Read ${along.join(' and ')} fall where those sent grow: ${along
    .map((axis) => `read ${axis} is ${sum[axis].toFixed(1)} less sent ${axis}`)
    .join(', ')}, at every dot.`;
  if (along.includes('x')) {
    return {
      code: 'axes-turned',
      message: `${seen} The sheet was ${along.length === 2 ? 'turned by half a turn' : 'mirrored'} when it was cut, or the display counts x to the left, which no profile can state. Nothing of this is written: cut the sheet as it is drawn, and measure that.`,
    };
  }
  const other = axes === 'y-down' ? 'y-up' : 'y-down';
  const way = other === 'y-down' ? 'downwards' : 'upwards';
  const cure =
    other === 'y-down' ? 'write axes: y-down into the profile' : 'remove axes: y-down from the profile';
  return {
    code: 'axes-turned',
    message: `${seen} The display counts y ${way}, and the sheet was made for the other way. Measuring again does not mend it: ${cure}, then make the sheet again with --profile and cut it, or keep the sheet that is cut: ${turnedTable(other)}. Then call bed and beam again. Nothing of this is written.`,
  };
};

const sdOf = (offsets: readonly Point[]): number => {
  const x = scatterWithin([offsets.map((o) => o.x)]);
  const y = scatterWithin([offsets.map((o) => o.y)]);
  return Math.sqrt((x.sumOfSquares + y.sumOfSquares) / Math.max(1, x.degrees + y.degrees));
};

const sentIsRead = (dots: readonly BurntDot[]): boolean => {
  const isRound = (value: number): boolean =>
    Math.abs(value / roundStep - Math.round(value / roundStep)) < 1e-6;
  const sent = dots.flatMap(({ commanded: { x, y } }) => [x, y]);
  const read = dots.flatMap(({ readings }) => readings.flatMap((r) => [r.x, r.y]));
  const odd = sent.filter((value) => !isRound(value)).length;
  return read.every(isRound) && odd >= Math.min(fewestFigures, sent.length);
};

const swappedDots = (dots: readonly BurntDot[], sd: number): readonly [BurntDot, BurntDot] | undefined => {
  const middles = dots.map(({ readings }) => ({
    x: mean(readings.map((r) => r.x)),
    y: mean(readings.map((r) => r.y)),
  }));
  // A dot read for another lies as far off as the two are apart: only pairs of such dots are tried.
  const typical = offsetMiddle(dots, middles);
  const off = dots.flatMap(({ commanded }, i) =>
    distance(middles[i]!, { x: commanded.x + typical.x, y: commanded.y + typical.y }) > sd / 2 ? [i] : [],
  );
  for (const i of off) {
    for (const j of off.filter((k) => k > i)) {
      const offsets = dots.map(({ commanded }, k) => {
        const at = middles[k === i ? j : k === j ? i : k]!;
        return { x: at.x - commanded.x, y: at.y - commanded.y };
      });
      if (better * sdOf(offsets) < sd) return [dots[i]!, dots[j]!];
    }
  }
  return undefined;
};

const offsetMiddle = (dots: readonly BurntDot[], middles: readonly Point[]): Point => {
  const sorted = (values: number[]): number => values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
  return {
    x: sorted(dots.map(({ commanded }, i) => middles[i]!.x - commanded.x)),
    y: sorted(dots.map(({ commanded }, i) => middles[i]!.y - commanded.y)),
  };
};

/** The offset of the profile with the other sign: sent and read were exchanged this time or the last. */
const turnedRound = (
  offsets: readonly Point[],
  spread: Spread | undefined,
  before: Point | undefined,
): Warning[] => {
  if (before === undefined || spread === undefined) return [];
  const now = { x: mean(offsets.map((o) => o.x)), y: mean(offsets.map((o) => o.y)) };
  // Five sds of the mean of either: an offset that small may have either sign.
  const reach = 5 * Math.SQRT2 * Math.max(spread.sd / Math.sqrt(offsets.length), 1e-3);
  const isTurned =
    Math.hypot(now.x + before.x, now.y + before.y) < reach && Math.hypot(before.x, before.y) > reach;
  return isTurned
    ? [
        {
          code: 'columns-exchanged',
          message: `The offset is the one of the profile (${before.x}, ${before.y}) with the other sign: what was sent and what was read are probably exchanged, now or then. x and y are what was sent to the machine.`,
        },
      ]
    : [];
};
