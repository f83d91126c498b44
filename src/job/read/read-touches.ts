/** The `touches` of a job file: readings on edges of which only the curve is known. */
import { bounds } from '../bounds.js';
import type { JobTouch } from '../job.js';
import { type Field, items, knownEntries, number, point, refused, required, text } from './fields.js';
import { readFrom } from './read-sides.js';

const touchKeys = ['on', 'at', 'radius', 'start', 'direction'] as const;

/** @throws InputError at the first fault, with line and column */
export const readTouches = (field: Field, note: (field: Field) => void): JobTouch[] => {
  const listed = items(
    field,
    'a list of {on: ..., at: [x, y]}',
    'Write - {on: NAME, at: [x, y]} for each touch, on a line of its own.',
  );
  if (listed.length === 0) {
    throw refused(field, 'at least one touch', 'Write {on: NAME, at: [x, y]} for each, or remove the key.');
  }
  return listed.map((item): JobTouch => {
    const keys = knownEntries(item, touchKeys);
    const next = 'Write {on: outline or the name of a shape, at: [x, y]} for each touch.';
    const on = required(item, keys.on, 'on', next);
    const at = required(item, keys.at, 'at', next);
    note(on);
    note(at);
    if (keys.radius) note(keys.radius);
    return {
      on: text(on, 'outline, or the name of a shape'),
      ...readFrom(at, keys.direction),
      ...(keys.radius ? { radius: readRadius(keys.radius) } : {}),
      ...(keys.start ? { start: point(keys.start, 'a design position [x, y] in mm') } : {}),
    };
  });
};

const readRadius = (field: Field): number | 'unknown' => {
  const node = field.tree.resolved(field.node);
  const isWord = 'value' in node && typeof node.value === 'string' && node.value.trim() === 'unknown';
  return isWord ? 'unknown' : number(field, bounds['touches.radius']);
};
