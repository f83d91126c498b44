/** Measurements for `calibrate kerf`. */

import { bounds } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import { quoted } from '../../job/quoted.js';
import type { KerfMeasurement } from '../parts/measurements.js';
import { type DataRow, type DataSource, needed, neededText, readRows } from './rows.js';

export const kerfFormat = {
  list: 'measurements',
  required: ['kind'],
  optional: ['count', 'drawn', 'measured', 'hole', 'piece', 'sd', 'cut'],
  measured: ['measured', 'hole', 'piece'],
} as const;

const kinds = ['strips', 'gap', 'pair'] as const;

const lengthRule = bounds['table measured, hole, piece'];

/**
 * Rows of a kind and its figures: strips and gap have count (1 where absent), drawn and measured; pair has hole and
 * piece. A figure that belongs to another kind is refused: what it says would be lost.
 * @param statedSd of rows that state none
 * @throws InputError
 */
export const readKerfData = (
  source: DataSource,
  statedSd?: number,
): { measurements: KerfMeasurement[]; blank: number } => {
  const { rows, blank } = readRows(source, kerfFormat);
  const measurements = rows.map((row): KerfMeasurement => {
    const kind = kindOf(row);
    const sd = row.number('sd', bounds['table sd']) ?? statedSd;
    const cut = row.text('cut');
    const common = {
      ...(sd === undefined ? {} : { sd }),
      ...(cut === undefined ? {} : { cut }),
      where: row.where,
    };
    if (kind === 'pair') {
      refuseOthers(row, kind, ['count', 'drawn', 'measured']);
      const hole = needed(row, 'hole', lengthRule);
      return { kind, hole, piece: needed(row, 'piece', lengthRule), ...common };
    }
    refuseOthers(row, kind, ['hole', 'piece']);
    const count = row.number('count', bounds['table count']) ?? 1;
    if (!Number.isInteger(count)) {
      throw new InputError({
        found: `count is ${count}`,
        expected: 'a whole number',
        where: row.whereOf('count'),
        next: 'Count them again.',
      });
    }
    const drawn = needed(row, 'drawn', kind === 'strips' ? lengthRule : bounds['table drawn']);
    return { kind, count, drawn, measured: needed(row, 'measured', lengthRule), ...common };
  });
  return { measurements, blank };
};

const kindOf = (row: DataRow): (typeof kinds)[number] => {
  const written = neededText(row, 'kind', 'strips, gap or pair');
  const found = kinds.find((kind) => kind === written.toLowerCase());
  if (found) return found;
  const nearest = nearestWord(written, kinds);
  throw new InputError({
    found: `kind is ${quoted(written)}`,
    expected: 'strips, gap or pair',
    where: row.whereOf('kind'),
    next: nearest ? `Did you mean ${nearest}?` : 'Write one of these words.',
  });
};

const refuseOthers = (row: DataRow, kind: string, columns: readonly string[]): void => {
  const filled = columns.find((column) => row.text(column) !== undefined);
  if (filled === undefined) return;
  throw new InputError({
    found: `${filled} in a row of ${kind}`,
    expected: kind === 'pair' ? 'hole and piece' : 'count, drawn and measured',
    where: row.whereOf(filled),
    next: 'Move it to its column, or correct the kind.',
  });
};
