/** Dots for `calibrate beam`. */
import { largestCoordinate } from '../job/fields.js';
import { InputError } from '../job/messages.js';
import type { BurntDot } from './beam.js';
import { type DataSource, needed, neededText, readRows } from './rows.js';

export const beamFormat = {
  list: 'dots',
  required: ['dot', 'x', 'y', 'read-x', 'read-y'],
  optional: [],
  measured: ['read-x', 'read-y'],
} as const;

const coordinate = { unit: 'mm', atLeast: -largestCoordinate, atMost: largestCoordinate } as const;

/**
 * Rows of a dot's name, its commanded position and what the display showed over it; further rows of a dot are
 * further readings.
 * @throws InputError
 */
export const readBeamData = (source: DataSource): { dots: BurntDot[]; blank: number } => {
  const { rows, blank } = readRows(source, beamFormat);
  const dots = new Map<string, BurntDot & { readings: { x: number; y: number }[] }>();
  for (const row of rows) {
    const name = neededText(row, 'dot', 'the name of the dot');
    const commanded = { x: needed(row, 'x', coordinate), y: needed(row, 'y', coordinate) };
    const reading = { x: needed(row, 'read-x', coordinate), y: needed(row, 'read-y', coordinate) };
    const known = dots.get(name);
    if (!known) {
      dots.set(name, { name, commanded, readings: [reading], where: row.where });
      continue;
    }
    if (known.commanded.x !== commanded.x || known.commanded.y !== commanded.y) {
      throw new InputError({
        found: `dot ${name} at (${commanded.x}, ${commanded.y}) and at (${known.commanded.x}, ${known.commanded.y})`,
        expected: 'one commanded position for each dot',
        where: row.where,
        next: 'Give each dot a name of its own, or correct the position.',
      });
    }
    known.readings.push(reading);
  }
  return { dots: [...dots.values()], blank };
};
