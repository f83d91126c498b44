/** Dots for `calibrate beam`. */

import type { Point } from '../../geometry/point.js';
import { bounds } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { quoted } from '../../job/quoted.js';
import type { BurntDot, Sides } from '../parts/measurements.js';
import { type DataRow, type DataSource, needed, neededText, readRows } from './rows.js';
import { type ProfileAxes, tableAxes } from './table-axes.js';

export const beamFormat = {
  list: 'dots',
  required: ['dot', 'x', 'y', 'read-x', 'read-y'],
  optional: ['direction', 'burnt', 'axes'],
  measured: ['read-x', 'read-y'],
} as const;

const coordinate = bounds['table x, y'];

/**
 * Rows of a dot's name, its commanded position and what the display showed over it; further rows of a dot are
 * further readings. `direction`: from which side the pointer came, `up`, `down` or one for each axis, `up/down`.
 * `burnt`: `figure` for a small closed figure, or for a single pulse the side the beam came from, as `direction` has it.
 * `axes`: which way the display counts y, as the sheet was made for it.
 * @param profile its axes; undefined where none is written into
 * @throws InputError
 */
export const readBeamData = (
  source: DataSource,
  profile?: ProfileAxes,
): { dots: BurntDot[]; blank: number; axes: ProfileAxes['axes'] | undefined } => {
  const { rows, blank } = readRows(source, beamFormat);
  const axes = tableAxes(rows, profile) ?? profile?.axes;
  const dots = new Map<string, BurntDot & { readings: Point[]; directions: (Sides | undefined)[] }>();
  for (const row of rows) {
    const name = neededText(row, 'dot', 'the name of the dot');
    const commanded = { x: needed(row, 'x', coordinate), y: needed(row, 'y', coordinate) };
    const reading = { x: needed(row, 'read-x', coordinate), y: needed(row, 'read-y', coordinate) };
    const known = dots.get(name);
    const direction = sidesOf(row, 'direction');
    const burnt = row.text('burnt')?.toLowerCase() === 'figure' ? 'figure' : sidesOf(row, 'burnt');
    if (!known) {
      dots.set(name, {
        name,
        commanded,
        readings: [reading],
        directions: [direction],
        ...(burnt === undefined ? {} : { burnt }),
        where: row.where,
      });
      continue;
    }
    if (known.commanded.x !== commanded.x || known.commanded.y !== commanded.y) {
      throw new InputError({
        found: `dot ${name} at (${commanded.x}, ${commanded.y}) and at (${known.commanded.x}, ${known.commanded.y})`,
        expected: 'one commanded position for each dot',
        where: row.where,
        next: known.readings.some((r) => r.x === reading.x && r.y === reading.y)
          ? 'The readings are the same, so what was sent and what was read are probably exchanged: read-x and read-y are what the display showed over the dot.'
          : 'Give each dot a name of its own, or correct the position.',
      });
    }
    known.readings.push(reading);
    known.directions.push(direction);
  }
  return { dots: [...dots.values()], blank, axes };
};

const sidesOf = (row: DataRow, column: 'direction' | 'burnt'): Sides | undefined => {
  const written = row.text(column);
  if (written === undefined) return undefined;
  const [x, y = x, ...more] = written
    .toLowerCase()
    .split('/')
    .map((word) => word.trim());
  const isSide = (word: string | undefined): word is 'up' | 'down' => word === 'up' || word === 'down';
  if (isSide(x) && isSide(y) && more.length === 0) return { x, y };
  throw new InputError({
    found: `${column} is ${quoted(written)}`,
    expected: `${column === 'burnt' ? 'figure, ' : ''}up, down, or one for each axis such as up/down`,
    where: row.whereOf(column),
    next:
      column === 'burnt'
        ? 'Write figure for a small circle that was travelled; for a single pulse up where the beam arrived with growing figures, down where they were falling.'
        : 'Write up where the figures of the display were growing on arrival, down where they were falling.',
  });
};
