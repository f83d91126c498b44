/**
 * From which side the dots of the beam were read and how they were burnt, and what of it the profile may state. With lost
 * motion r the display differs by r between the two sides (error budget: (s_dots read - s_dots burnt) r / 2 per axis).
 */

import type { Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import { mean } from '../spread.js';
import type { BurntDot, Sides } from './measurements.js';

/** As a profile states it: one word, or one for each axis. */
type Stated = string | readonly [string, string];

const stated = ({ x, y }: Sides): Stated => (x === y ? x : [x, y]);
const same = (a: Sides, b: Sides): boolean => a.x === b.x && a.y === b.y;

export interface ReadFrom {
  /** Reading minus commanded of each dot, mm. */
  readonly offsets: readonly Point[];
  /** Undefined where nobody says, or the sides vary without being balanced. */
  readonly value?: Stated;
  readonly warnings: readonly Warning[];
}

const plainOffsets = (dots: readonly BurntDot[], shift: (sides: Sides | undefined) => Point): Point[] =>
  dots.map(({ commanded, readings, directions = [] }) => ({
    x: mean(readings.map((r, i) => r.x - commanded.x + shift(directions[i]).x)),
    y: mean(readings.map((r, i) => r.y - commanded.y + shift(directions[i]).y)),
  }));

const nowhere: Point = { x: 0, y: 0 };

/**
 * @param reversal of the profile: with it readings from varying sides are brought to the middle between both
 * @throws InputError for a direction in some rows only
 */
export const readFrom = (dots: readonly BurntDot[], reversal: Machine['reversal']): ReadFrom => {
  const all = dots.flatMap(({ readings, directions = [] }) => readings.map((_, i) => directions[i]));
  const known = all.filter((sides) => sides !== undefined);
  if (known.length === 0) return { offsets: plainOffsets(dots, () => nowhere), warnings: [unsaid] };
  const partly = dots.find(({ readings, directions = [] }) =>
    readings.some((_, i) => directions[i] === undefined),
  );
  if (partly !== undefined) {
    throw new InputError({
      found: 'a reading without a direction among readings with one',
      expected: 'up or down for all of them, or for none',
      where: partly.where,
      next: 'Fill in from which side the pointer came, or leave the column empty.',
    });
  }
  const [first] = known;
  if (known.every((sides) => same(sides, first!)))
    return { offsets: plainOffsets(dots, () => nowhere), value: stated(first!), warnings: [] };
  if (reversal !== undefined) {
    const [rx, ry] = reversal;
    const offsets = plainOffsets(dots, (sides) => ({
      x: sides?.x === 'up' ? -rx / 2 : rx / 2,
      y: sides?.y === 'up' ? -ry / 2 : ry / 2,
    }));
    return { offsets, value: 'both', warnings: [] };
  }
  const balanced = dots.every(({ directions = [] }) =>
    (['x', 'y'] as const).every(
      (axis) => 2 * directions.filter((sides) => sides?.[axis] === 'up').length === directions.length,
    ),
  );
  const offsets = plainOffsets(dots, () => nowhere);
  return balanced ? { offsets, value: 'both', warnings: [] } : { offsets, warnings: [unbalanced] };
};

const unsaid: Warning = {
  code: 'dots-unstated',
  message:
    'Nothing says from which side the pointer came to the dots. Fill in the column direction: up where the figures of the display were growing on arrival, down where they were falling; otherwise lost motion counts as an error of every job.',
};

const unbalanced: Warning = {
  code: 'dots-unstated',
  message:
    'The dots were read from different sides, and the profile states no reversal to bring them together. Calibrate the pointer first, or read all dots from one side, or each as often from either.',
};

/** How the dots were burnt, where all are alike. */
export const dotsBurnt = (
  dots: readonly BurntDot[],
): { readonly value?: Stated; readonly warnings: readonly Warning[] } => {
  const ways = dots.map(({ burnt }) => burnt);
  if (ways.every((way) => way === 'figure')) return { value: 'figures', warnings: [] };
  const [first] = ways;
  const isPulse = (way: BurntDot['burnt']): way is Sides => way !== undefined && way !== 'figure';
  if (isPulse(first) && ways.every((way) => isPulse(way) && same(way, first)))
    return { value: stated(first), warnings: [] };
  return {
    warnings: [
      {
        code: 'dots-unstated',
        message: `${ways.every((way) => way === undefined) ? 'Nothing says how the dots were burnt' : 'The dots were not all burnt alike'}. The sheet of "reseat calibrate sheet" burns small circles, which are free of lost motion: write figure into the column burnt. For single pulses write up or down, the side that the beam came from.`,
      },
    ],
  };
};
