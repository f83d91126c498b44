/** Readings for `calibrate pointer`. */

import { bounds } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import { quoted } from '../../job/quoted.js';
import {
  entries,
  type Field,
  isMapping,
  knownEntries,
  points,
  refused,
  rootField,
  whereOf,
} from '../../job/read/fields.js';
import type { Direction, PointerReading } from '../parts/measurements.js';
import { type DataRow, type DataSource, isYaml, needed, neededText, readRows } from './rows.js';

export const pointerFormat = {
  list: 'readings',
  required: ['mark', 'x', 'y'],
  optional: ['direction', 'who'],
  measured: ['x', 'y'],
} as const;

const coordinate = bounds['table x, y'];

const directions: readonly Direction[] = ['up', 'down'];

/**
 * Rows of mark, x, y and perhaps direction (up or down) and who (a name); in YAML also as a job writes them, and by direction:
 *
 *     readings:
 *       A: [[112.42, 96.10], [112.40, 96.12]]
 *       B: {up: [[671.93, 104.82], [671.90, 104.86]], down: [[671.99, 104.80], [671.97, 104.79]]}
 *
 * @throws InputError
 */
export const readPointerData = (source: DataSource): { readings: PointerReading[]; blank: number } => {
  const mapping = isYaml(source.path) ? mappingOfMarks(source) : undefined;
  if (mapping) return { readings: mapping, blank: 0 };
  const { rows, blank } = readRows(source, pointerFormat);
  const readings = rows.map((row): PointerReading => {
    const direction = directionOf(row);
    const who = row.text('who');
    return {
      mark: neededText(row, 'mark', 'the name of the mark'),
      at: { x: needed(row, 'x', coordinate), y: needed(row, 'y', coordinate) },
      ...(direction === undefined ? {} : { direction }),
      ...(who === undefined ? {} : { who }),
      where: row.where,
    };
  });
  return { readings, blank };
};

const directionOf = (row: DataRow): Direction | undefined => {
  const written = row.text('direction');
  if (written === undefined) return undefined;
  const found = directions.find((one) => one === written.toLowerCase());
  if (found) return found;
  const nearest = nearestWord(written, directions);
  throw new InputError({
    found: `direction is ${quoted(written)}`,
    expected: 'up or down',
    where: row.whereOf('direction'),
    next: nearest
      ? `Did you mean ${nearest}?`
      : 'Write up where the figures of the display were growing on arrival, down where they were falling.',
  });
};

/** Undefined where `readings` is a list. */
const mappingOfMarks = (source: DataSource): PointerReading[] | undefined => {
  const root = rootField(source.path, source.text);
  const { readings } = knownEntries(root, ['readings']);
  if (!readings || !isMapping(readings)) return undefined;
  const found: PointerReading[] = [];
  const add = (mark: string, field: Field, direction?: Direction): void => {
    for (const at of points(field)) {
      found.push({ mark, at, ...(direction === undefined ? {} : { direction }), where: whereOf(field) });
    }
  };
  for (const [mark, entry] of entries(readings, 'a mapping of marks')) {
    if (!isMapping(entry)) {
      add(mark, entry);
      continue;
    }
    const { up, down } = knownEntries(entry, directions);
    if (up) add(mark, up, 'up');
    if (down) add(mark, down, 'down');
  }
  if (found.length === 0) {
    throw refused(
      readings,
      'at least one mark',
      'Write "mark: [[x, y], [x, y]]" for each mark that was read.',
    );
  }
  return found;
};
