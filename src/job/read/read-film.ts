/** The key `film` of a job: a roll narrower than the panel. */
import { bounds } from '../bounds.js';
import type { Film } from '../job.js';
import { type Field, knownEntries, number, refused, required, word } from './fields.js';

export const filmKeys = ['width', 'overlap', 'direction'] as const;

/**
 * More than this of a strip under its neighbour is a slip of the pen; also seams.ts counts on it.
 */
const largestOverlap = 1 / 4;

/** @throws InputError */
export const readFilm = (field: Field, note: (field: Field) => void): Film => {
  const keys = knownEntries(field, filmKeys);
  const next = 'Write film: {width: 300, overlap: 5}, both in mm.';
  const widthField = required(field, keys.width, 'width', next);
  const overlapField = required(field, keys.overlap, 'overlap', next);
  note(widthField);
  const width = number(widthField, bounds['film.width']);
  const overlap = number(overlapField, bounds['film.overlap']);
  if (overlap > largestOverlap * width) {
    throw refused(
      overlapField,
      `at most a quarter of the width, ${width * largestOverlap}`,
      'Correct it; 0 lays strips edge to edge.',
    );
  }
  return { width, overlap, ...(keys.direction ? { direction: word(keys.direction, ['x', 'y']) } : {}) };
};
