/** `nc` of a machine profile: the words of an NC file that only the machine's owner knows. */
import { bounds, limits } from '../bounds.js';
import type { NcWords } from '../job.js';
import { type Field, flag, isList, items, knownEntries, number, refused, text } from './fields.js';

const ncKeys = ['feed', 'before-cut', 'after-cut', 'first-lines', 'last-lines', 'decimals', 'arcs'] as const;
const renamed: ReadonlyMap<string, (typeof ncKeys)[number]> = new Map([
  ['tool-on', 'before-cut'],
  ['tool-off', 'after-cut'],
  ['header', 'first-lines'],
  ['footer', 'last-lines'],
]);

/** Nothing of the machine itself: no feed, no power, no word for its tool. */
const plainWords: NcWords = { firstLines: [], lastLines: [], decimals: 4, arcs: true };

/** Characters in a line. */
export const longestNcLine = limits.ncLineCharacters.most;

/** Words of a line, its comments left out: a letter and a number. */
const wordsOf = (line: string): string[] =>
  line
    .replace(/\([^)]*\)|;.*$/g, '')
    .toUpperCase()
    .match(/[A-Z]\s*[+-]?[\d.]+/g)
    ?.map((one) => one.replace(/\s+/g, '').replace(/^([A-Z])\+?0+(?=\d)/, '$1')) ?? [];

/**
 * Words (ISO 6983-1) that would undo what the file relies on: mm, absolute coordinates, the xy
 * plane, the place.
 */
const forbidden = /^(G(2|3|18|19|20|91|92)|[XYIJ].*)$/;

/**
 * @param start what the profile says that a job overrides, key by key
 * @throws InputError
 */
export const readNc = (field: Field, start: NcWords = plainWords): NcWords => {
  const keys = knownEntries(field, ncKeys, { renamed });
  const decimals = keys.decimals ? number(keys.decimals, bounds['machine.nc.decimals']) : start.decimals;
  if (keys.decimals && !Number.isInteger(decimals)) {
    throw refused(keys.decimals, 'a whole number', bounds['machine.nc.decimals'].next);
  }
  return {
    ...start,
    ...(keys.feed ? { feed: number(keys.feed, bounds['machine.nc.feed']) } : {}),
    ...(keys['before-cut'] ? { beforeCut: toolLines(keys['before-cut']) } : {}),
    ...(keys['after-cut'] ? { afterCut: toolLines(keys['after-cut']) } : {}),
    ...(keys['first-lines'] ? { firstLines: lines(keys['first-lines']) } : {}),
    ...(keys['last-lines'] ? { lastLines: lines(keys['last-lines']) } : {}),
    decimals,
    arcs: keys.arcs ? flag(keys.arcs) : start.arcs,
  };
};

/** One line, or a list of them. */
const lines = (field: Field): string[] =>
  (isList(field) ? items(field, 'a list of lines') : [field]).map((one) => {
    const line = text(one, 'a line for the control, or a list of lines').trim();
    if (line.length > longestNcLine || /[^ -~]/.test(line)) {
      throw refused(
        one,
        `at most ${longestNcLine} plain characters (ASCII)`,
        'Write one line for the control as it stands in its manual.',
      );
    }
    return line;
  });

const toolLines = (field: Field): string[] => {
  const all = lines(field);
  if (all.length === 0) throw refused(field, 'at least one line', 'Write the words your control takes.');
  const wrong = all.flatMap(wordsOf).find((one) => forbidden.test(one));
  if (wrong !== undefined) {
    throw refused(
      field,
      `words that switch the tool, without ${wrong}: it would move the head or change how coordinates are read`,
      'Leave the word out; reseat writes the moves itself.',
    );
  }
  return all;
};
