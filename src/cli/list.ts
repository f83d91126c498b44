/** `reseat list DRAWING... [--units mm] [--join mm]` */
import {
  faultText,
  InputError,
  type LengthUnit,
  largestJoin,
  listDrawing,
  listJson,
  listText,
  millimetresIn,
  nearestWord,
} from '../index.js';
import { readRequired } from './disk.js';
import { type Io, jsonLine, status } from './io.js';

export interface ListOptions {
  readonly units: string | undefined;
  /** As typed. */
  readonly join: string | undefined;
  readonly json: boolean;
}

export const list = async (drawings: readonly string[], options: ListOptions, io: Io): Promise<number> => {
  const units = options.units === undefined ? undefined : knownUnit(options.units);
  const join = options.join === undefined ? undefined : joinDistance(options.join);
  const results: string[] = [];
  let result: number = status.done;
  for (const path of drawings) {
    try {
      const listed = listDrawing(readRequired(io, path, 'a drawing'), path, {
        ...(units === undefined ? {} : { units }),
        ...(join === undefined ? {} : { join }),
      });
      results.push(options.json ? jsonLine(listJson(listed)) : listText(listed));
    } catch (error) {
      if (!(error instanceof InputError)) throw error;
      io.stderr.write(`${faultText(error, path)}\n`);
      result = status.wrongInput;
    }
  }
  io.stdout.write(results.join(options.json ? '' : '\n'));
  return result;
};

const joinDistance = (typed: string): number => {
  const distance = /^\d*\.?\d+$/.test(typed) ? Number(typed) : Number.NaN;
  if (distance <= largestJoin) return distance;
  throw new InputError({
    found: `--join ${typed}`,
    expected: `a distance in mm, from 0 to ${largestJoin}`,
    next: 'Write for example --join 0.05.',
  });
};

const knownUnit = (word: string): LengthUnit => {
  const known = Object.keys(millimetresIn) as LengthUnit[];
  const unit = known.find((one) => one === word.toLowerCase());
  if (unit !== undefined) return unit;
  const nearest = nearestWord(word, known);
  throw new InputError({
    found: `--units ${word}`,
    expected: `one of ${known.join(', ')}`,
    next: nearest === undefined ? 'Choose one of them.' : `Did you mean ${nearest}?`,
  });
};
