/** `reseat list DRAWING... [--units mm]` */
import {
  faultText,
  InputError,
  type LengthUnit,
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
  readonly json: boolean;
}

export const list = async (drawings: readonly string[], options: ListOptions, io: Io): Promise<number> => {
  const units = options.units === undefined ? undefined : knownUnit(options.units);
  const results: string[] = [];
  let result: number = status.done;
  for (const path of drawings) {
    try {
      const listed = listDrawing(readRequired(io, path, 'a drawing'), path, units);
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
