/**
 * Which way the display counts y, as a table of measurements states it. The positions that stand in a table of
 * `bed` and `beam` were sent to the machine, so they hold for the axes that the sheet was made for and for no others:
 * read with the other axes, the skew of the bed gets the other sign.
 */
import type { Machine } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { quoted } from '../../job/quoted.js';
import type { DataRow } from './rows.js';

type Axes = Machine['axes'];

/** The axes of a profile, and its path. */
export interface ProfileAxes {
  readonly axes: Axes;
  readonly path: string;
}

/**
 * The axes that rows state in their column `axes`; undefined where none does.
 * @throws InputError for another word, for rows that differ, and where the profile states other axes
 */
export const tableAxes = (rows: readonly DataRow[], profile: ProfileAxes | undefined): Axes | undefined => {
  let stated: Axes | undefined;
  for (const row of rows) {
    const written = row.text('axes')?.toLowerCase();
    if (written === undefined) continue;
    if (written !== 'y-up' && written !== 'y-down') {
      throw new InputError({
        found: `axes is ${quoted(written)}`,
        expected: 'y-up or y-down',
        where: row.whereOf('axes'),
        next: 'Write which way the display counted y when the sheet was made.',
      });
    }
    stated ??= written;
    if (written !== stated) {
      throw new InputError({
        found: `axes ${written} after rows with ${stated}`,
        expected: 'the same axes in all rows: those the sheet was made for',
        where: row.whereOf('axes'),
        next: 'Keep the rows of different sheets in tables of their own.',
      });
    }
    if (profile !== undefined && written !== profile.axes) throw otherAxes(row, written, profile);
  }
  return stated;
};

const otherAxes = (row: DataRow, written: Axes, { axes, path }: ProfileAxes): InputError => {
  const again = `make the sheet again with --profile ${path} and cut it, or keep the sheet that is cut: ${turnedTable(axes)}`;
  return new InputError({
    found: `a table for axes: ${written}`,
    expected: `axes: ${axes}, as in ${path}${axes === 'y-up' ? ' (or because it states none)' : ''}`,
    where: row.whereOf('axes'),
    next:
      written === 'y-down'
        ? `If the display counts y downwards, write axes: y-down into ${path}. If it counts upwards, ${again}.`
        : `The sheet was made for a display that counts y upwards. If the display counts downwards, ${again}. If it counts upwards, remove axes: y-down from ${path}.`,
  });
};

/** What to do to a table of a sheet that was made for the other axes, placed at the bed's origin as it is. */
export const turnedTable = (axes: Axes): string =>
  `in the tables of bed and beam put the height of the sheet's page less y for each y that was sent, and ${axes} in the column axes`;
