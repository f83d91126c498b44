/**
 * The `gaps` of a job file: what was measured between the existing and the new edge of the finished
 * piece.
 */
import { bounds } from '../bounds.js';
import type { MeasuredGap } from '../job.js';
import { type Field, isBlank, items, knownEntries, number, point, required, text } from './fields.js';

const gapKeys = ['opening', 'place', 'mm'] as const;

/** Rows whose `mm` is left blank, as `reseat inspect` prints them, are passed over. */
export const readGaps = (field: Field, note: (field: Field) => void): MeasuredGap[] =>
  items(
    field,
    'a list of {opening: ..., place: [x, y], mm: ...}',
    'Write - {opening: NAME, place: [x, y], mm: 0.48} for each gap, on a line of its own.',
  ).flatMap((item): MeasuredGap[] => {
    const keys = knownEntries(item, gapKeys);
    const next = 'Write {opening: NAME, place: [x, y], mm: 0.48}; "reseat inspect" lists places to measure.';
    const opening = required(item, keys.opening, 'opening', next);
    const place = required(item, keys.place, 'place', next);
    note(opening);
    note(place);
    const at = point(place, 'a place [x, y] of the drawing in mm');
    const name = text(opening, 'the name of an opening');
    if (keys.mm === undefined || isBlank(keys.mm)) return [];
    note(keys.mm);
    return [{ opening: name, place: at, gap: number(keys.mm, bounds['gaps.mm']), key: keys.mm.key }];
  });
