/**
 * From which side the pointer came, as job and profile write it: one word, or one for each axis.
 */
import type { Point } from '../../geometry/point.js';
import { bounds } from '../bounds.js';
import type { Arrival, Side, Sides } from '../error-kinds.js';
import {
  entries,
  type Field,
  isList,
  isMapping,
  items,
  knownEntries,
  number,
  point,
  points,
  refused,
  required,
  word,
} from './fields.js';

const sideWords = { up: 1, down: -1 } as const;

/** Each axis by itself where a list stands. */
const perAxis = <V>(field: Field, one: (part: Field) => V): readonly [V, V] => {
  if (!isList(field)) {
    const both = one(field);
    return [both, both];
  }
  const parts = items(field, 'one word for each axis [x, y]');
  if (parts.length !== 2)
    throw refused(field, 'one word for both axes, or one for each [x, y]', 'Write [up, down], or one word.');
  return [one(parts[0]!), one(parts[1]!)];
};

/** `up`, `down`, or the word that means free of lost motion. */
export const readSides = (field: Field, free: 'both' | 'figures'): Sides =>
  perAxis(field, (part): Side => {
    const written = word(part, ['up', 'down', free] as const);
    return written === 'up' || written === 'down' ? sideWords[written] : 0;
  });

export const readDirection = (field: Field): Sides =>
  perAxis(field, (part): Side => sideWords[word(part, ['up', 'down'] as const)]);

export const readArrival = (field: Field): readonly [Arrival, Arrival] =>
  perAxis(field, (part): Arrival => {
    const written = word(part, ['up', 'down', 'same', 'either'] as const);
    return written === 'up' || written === 'down' ? sideWords[written] : written;
  });

/**
 * A cell of a column `direction`: `up`, `down`, or both axes as `up/down`; undefined for other
 * text.
 */
export const directionOf = (cell: string): Sides | undefined => {
  const words = cell.toLowerCase().split(/\s*\/\s*/);
  const sides = words.map((one): Side | undefined =>
    one === 'up' || one === 'down' ? sideWords[one] : undefined,
  );
  if (sides.length > 2 || sides.includes(undefined)) return undefined;
  return [sides[0], sides[1] ?? sides[0]];
};

/** Readings of one mark, and of each the direction where it is said. */
export interface DirectedReadings {
  readonly at: readonly Point[];
  readonly directions?: readonly (Sides | undefined)[];
}

/** `[x, y]`, `{at: [x, y], direction: up}`, or a list of these. */
export const readDirected = (field: Field): DirectedReadings => {
  const parts = isList(field) ? items(field, '') : [];
  const isDirected = (part: Field): boolean => isMapping(part) && entries(part, '').has('at');
  if (!isDirected(field) && !parts.some(isDirected)) return { at: points(field) };
  const isMany = parts.some((part) => isList(part) || isMapping(part));
  const readings = (isMany ? parts : [field]).map((part): { at: Point; direction?: Sides } => {
    if (!isMapping(part)) return { at: point(part) };
    const keys = knownEntries(part, ['at', 'direction']);
    const at = required(part, keys.at, 'at', 'Write {at: [x, y], direction: up}.');
    return { at: point(at), ...(keys.direction ? { direction: readDirection(keys.direction) } : {}) };
  });
  const at = readings.map((reading) => reading.at);
  if (readings.every(({ direction }) => direction === undefined)) return { at };
  return { at, directions: readings.map(({ direction }) => direction) };
};

/**
 * Readings of a touch or a witness point; `direction` beside them holds for each that does not say
 * its own.
 */
export const readFrom = (field: Field, direction: Field | undefined): DirectedReadings => {
  const own = readDirected(field);
  if (direction === undefined) return own;
  const side = readDirection(direction);
  return { at: own.at, directions: own.at.map((_, i) => own.directions?.[i] ?? side) };
};

/** mm; 0: finer than matters. */
export const readDisplayStep = (field: Field): number => number(field, bounds['fit.display-step']);
