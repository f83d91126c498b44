/** Lengths for `calibrate bed`. */
import { bounds } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import type { MeasuredLength } from '../parts/network.js';
import { type DataSource, needed, readRows } from './rows.js';
import { type ProfileAxes, tableAxes } from './table-axes.js';

export const bedFormat = {
  list: 'lengths',
  required: ['from-x', 'from-y', 'to-x', 'to-y', 'length'],
  optional: ['from', 'to', 'sd', 'axes'],
  measured: ['length'],
} as const;

const coordinate = bounds['table x, y'];

/**
 * Rows of two display positions and the true length between them, perhaps with the points' names and the length's sd.
 * y is turned up here, as everywhere on the way in: by the axes that the table states, else by those of the profile.
 * @param profile its axes; undefined where none is written into
 * @param sd of rows that state none
 * @throws InputError
 */
export const readBedData = (
  source: DataSource,
  { profile, sd: statedSd }: { readonly profile?: ProfileAxes; readonly sd?: number } = {},
): { lengths: MeasuredLength[]; blank: number } => {
  const { rows, blank } = readRows(source, bedFormat);
  const axes = tableAxes(rows, profile) ?? profile?.axes;
  const turn = axes === 'y-down' ? -1 : 1;
  const lengths = rows.map((row): MeasuredLength => {
    const at = (end: 'from' | 'to') => ({
      x: needed(row, `${end}-x`, coordinate),
      // Plus zero: no minus before it.
      y: turn * needed(row, `${end}-y`, coordinate) + 0,
    });
    const from = at('from');
    const to = at('to');
    if (from.x === to.x && from.y === to.y) {
      throw new InputError({
        found: `a length from (${from.x}, ${turn * from.y}) to the same point`,
        expected: 'two different points',
        where: row.where,
        next: 'Correct the display positions of this row.',
      });
    }
    const names = [row.text('from'), row.text('to')] as const;
    const sd = row.number('sd', bounds['table sd']) ?? statedSd;
    return {
      from,
      to,
      ...(names[0] !== undefined && names[1] !== undefined ? { names: [names[0], names[1]] as const } : {}),
      length: needed(row, 'length', bounds['table length']),
      ...(sd === undefined ? {} : { sd }),
      where: row.where,
    };
  });
  return { lengths, blank };
};
