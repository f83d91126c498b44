/**
 * Reading a YAML tree field by field: each function checks one kind of value and says where it
 * stands.
 */
import { isMap, isScalar, isSeq, type Node, type Pair, Scalar } from 'yaml';
import type { Point } from '../../geometry/point.js';
import { bounds, type NumberRule } from '../bounds.js';
import { InputError, type Where } from '../messages.js';
import { nearestWord } from '../nearest.js';
import { hasInvisible, quoted } from '../quoted.js';
import { parseYaml, type YamlTree } from './yaml-tree.js';

/** A value of a job file or profile, with the way to it. */
export interface Field {
  readonly tree: YamlTree;
  readonly node: Node;
  /** `cut.clearance`, `readings.A`; empty for the whole file. */
  readonly key: string;
}

export const rootField = (file: string, text: string): Field => {
  const tree = parseYaml(file, text);
  return { tree, node: tree.root, key: '' };
};

export const whereOf = (field: Field): Where => placeOf(field, field.node);

const placeOf = ({ tree, key }: Field, node: Node): Where => ({
  file: tree.file,
  ...tree.placeOf(node.range?.[0] ?? 0),
  ...(key === '' ? {} : { element: key }),
});

const refuse = (field: Field, found: string, expected: string, next: string): InputError =>
  new InputError({ found, expected, where: whereOf(field), next });

/**
 * The error for a field whose value is of the right kind but makes no sense; for checks made
 * elsewhere.
 */
export const refused = (field: Field, expected: string, next: string): InputError =>
  refuse(field, `${named(field)} is ${shown(field)}`, expected, next);

const named = (field: Field): string => field.key || 'the file';

/** What the operator wrote, short and on one line. */
const shown = (field: Field): string => {
  const node = field.tree.resolved(field.node);
  if (isMap(node)) return node.items.length === 0 ? 'an empty mapping' : 'a mapping';
  if (isSeq(node)) {
    const { length } = node.items;
    return length === 0
      ? 'an empty list'
      : length === 1
        ? 'a list of one value'
        : `a list of ${length} values`;
  }
  const scalar = node as Scalar;
  if (scalar.value === null && !scalar.source) return 'empty';
  if (typeof scalar.value === 'string') return quoted(scalar.value);
  return scalar.source ?? String(scalar.value);
};

const wordList = (words: readonly string[]): string =>
  words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} or ${words.at(-1)}`;

const isEmpty = (node: Node): boolean => isScalar(node) && node.value === null && !node.source;

/**
 * The entries of a mapping by key, in file order; keys are taken as they are written (01 stays 01).
 * @throws InputError for anything but a mapping, for a key given twice, for an empty or unprintable
 * key.
 */
export const entries = (field: Field, expected: string): Map<string, Field> => {
  const node = field.tree.resolved(field.node);
  if (!isMap(node)) {
    const next = isEmpty(node)
      ? `Fill in what belongs to ${named(field)}, or remove the key.`
      : 'Write one "key: value" on each line, indented alike.';
    throw refuse(field, `${named(field)} is ${shown(field)}`, expected, next);
  }
  const found = new Map<string, Field>();
  for (const [index, { key: keyNode, value }] of node.items.entries()) {
    const name = nameOfKey(field, field.tree.resolved(keyNode as Node), keyNode as Node);
    if (index > 0 && value === null) refuseDecimalComma(field, node.items[index - 1]!, name, keyNode as Node);
    const key = field.key === '' ? name : `${field.key}.${name}`;
    const entry: Field = {
      tree: field.tree,
      node: (value as Node | null) ?? nothingBehind(keyNode as Node),
      key,
    };
    if (found.has(name)) {
      throw new InputError({
        found: `${quoted(name)} twice`,
        expected: 'each key once',
        where: placeOf({ ...field, key }, keyNode as Node),
        next: `Remove one of them; the other stands on line ${whereOf(found.get(name)!).line}.`,
      });
    }
    found.set(name, entry);
  }
  return found;
};

/**
 * In braces `clearance: 0,5` is two entries: `clearance: 0`, and a key `5` with nothing behind it.
 */
const refuseDecimalComma = (field: Field, before: Pair, name: string, place: Node): void => {
  const [key, whole] = [before.key, before.value].map((node) => field.tree.resolved(node as Node));
  if (!isScalar(key) || !isScalar(whole) || !/^\d+$/.test(name)) return;
  const written = plainText(whole);
  if (!/^[+-]?\d+$/.test(written)) return;
  throw new InputError({
    found: `a decimal comma: "${plainText(key)}: ${written},${name}"`,
    expected: 'a decimal point: in braces a comma begins the next key',
    where: placeOf(
      { ...field, key: field.key === '' ? plainText(key) : `${field.key}.${plainText(key)}` },
      place,
    ),
    next: `Write ${plainText(key)}: ${written}.${name}.`,
  });
};

/** `{a, b}` and `? a` have keys without any value: an empty one in the key's place. */
const nothingBehind = (key: Node): Node => {
  const empty = new Scalar(null);
  if (key.range) empty.range = key.range;
  return empty;
};

const nameOfKey = (field: Field, node: Node, place: Node): string => {
  const fault = (found: string, next: string): InputError =>
    new InputError({ found, expected: 'a name', where: placeOf(field, place), next });
  if (!isScalar(node)) throw fault('a list or mapping as a key', 'Write a plain name before the colon.');
  const name = plainText(node).trim();
  if (name === '') throw fault('an empty key', 'Write a name before the colon.');
  if (hasInvisible(name))
    throw fault(`the key ${quoted(name)}, with invisible characters`, 'Use visible characters only.');
  return name;
};

/** Text as typed: 01, 1.0 and true are names, too. */
const plainText = (node: Scalar): string =>
  typeof node.value === 'string' ? node.value : (node.source ?? String(node.value));

/**
 * The entries of a mapping whose keys are known.
 * @param others `inside` maps some other keys to the key under which they belong
 */
export const knownEntries = <K extends string>(
  field: Field,
  known: readonly K[],
  others: {
    /** Keys that stand inside another one: its name. */
    readonly inside?: ReadonlyMap<string, string>;
    /** Former names of keys. */
    readonly renamed?: ReadonlyMap<string, K>;
  } = {},
): { readonly [key in K]?: Field } => {
  const all = entries(field, `a mapping with ${wordList(known)}`);
  for (const [name, entry] of all) {
    if ((known as readonly string[]).includes(name)) continue;
    const where = keyPlace(field, name);
    const nearest = nearestWord(name, [...known, ...(others.inside?.keys() ?? [])]);
    const parent = nearest === undefined ? undefined : others.inside?.get(nearest);
    const now = others.renamed?.get(name);
    const [, glued, value] = /^([^:]+):(\S+)$/.exec(name) ?? [];
    throw new InputError({
      found: `the unknown key ${quoted(name)}${field.key === '' ? '' : ` in ${field.key}`}`,
      expected: wordList(known),
      where: { ...where, element: entry.key },
      next:
        glued !== undefined && (known as readonly string[]).includes(glued)
          ? `Write ${glued}: ${value}, with a blank behind the colon.`
          : now !== undefined
            ? `Write "${now}": this is what the key is called.`
            : parent
              ? `Write it under "${parent}", as "${nearest}".`
              : nearest
                ? `Did you mean "${nearest}"?`
                : 'Remove it, or use one of these keys.',
    });
  }
  return Object.fromEntries(all) as { readonly [key in K]?: Field };
};

const keyPlace = (field: Field, name: string): Where => {
  const node = field.tree.resolved(field.node);
  const pair = isMap(node)
    ? node.items.find(({ key }) => {
        const keyNode = field.tree.resolved(key as Node);
        return isScalar(keyNode) && plainText(keyNode).trim() === name;
      })
    : undefined;
  return placeOf(field, (pair?.key as Node | undefined) ?? field.node);
};

/** The value of a key that must be there. */
export const required = (parent: Field, field: Field | undefined, name: string, next: string): Field => {
  if (field) return field;
  throw new InputError({
    found: `no key "${name}"${parent.key === '' ? '' : ` in ${parent.key}`}`,
    expected: parent.key === '' ? 'this key in every job' : 'this key here',
    where: { file: parent.tree.file, ...(parent.key === '' ? {} : whereOf(parent)) },
    next,
  });
};

/** The items of a list, each with its place. */
export const items = (
  field: Field,
  expected: string,
  next = 'Write the values in brackets: [ ... ].',
): Field[] => {
  const node = field.tree.resolved(field.node);
  if (!isSeq(node)) {
    throw refuse(field, `${named(field)} is ${shown(field)}`, expected, next);
  }
  return node.items.map((item, index) => ({
    tree: field.tree,
    node: item as Node,
    key: `${field.key}[${index + 1}]`,
  }));
};

export const isList = (field: Field): boolean => isSeq(field.tree.resolved(field.node));
/** Nothing stands behind the key, or `null`. */
export const isBlank = (field: Field): boolean => {
  const node = field.tree.resolved(field.node);
  return isScalar(node) && node.value === null;
};
/** A single value that is no number. */
export const isWord = (field: Field): boolean => {
  const node = field.tree.resolved(field.node);
  return isScalar(node) && typeof node.value === 'string';
};
export const isMapping = (field: Field): boolean => isMap(field.tree.resolved(field.node));

/** A line of text; plain numbers are taken as they are written. */
export const text = (field: Field, expected = 'text'): string => {
  const node = field.tree.resolved(field.node);
  if (!isScalar(node) || isEmpty(node) || plainText(node).trim() === '') {
    throw refuse(field, `${named(field)} is ${shown(field)}`, expected, 'Write it behind the colon.');
  }
  const value = plainText(node);
  if (hasInvisible(value)) {
    const next =
      'Use visible characters only. In double quotes a backslash begins an escape: write slashes in a path.';
    throw refuse(field, `${named(field)} is ${shown(field)}, with invisible characters`, expected, next);
  }
  return value;
};

/**
 * The path of a file. For YAML a blank and # begin a comment: where the file's ending stands in it,
 * that is told.
 *
 * @param endings of such files, such as `svg`
 */
export const path = (field: Field, expected: string, endings: readonly string[]): string => {
  const written = text(field, expected);
  const comment = field.tree.commentBehind(field.tree.resolved(field.node));
  const ending = new RegExp(`\\.(${endings.join('|')})$`, 'i');
  if (comment === undefined || ending.test(written) || !ending.test(comment)) return written;
  throw refuse(
    field,
    `${named(field)} is ${quoted(written)}, and ${quoted(comment)} behind it is a comment`,
    `${expected}, in quotes where a # stands behind a blank`,
    `Write ${named(field)}: "${written} ${comment}".`,
  );
};

/**
 * One of a few words.
 *
 * @param others what people write in place of some of them, in small letters
 * @param hint what to do where nothing says which of them is meant
 */
export const word = <W extends string>(
  field: Field,
  allowed: readonly W[],
  others: Readonly<Record<string, W>> = {},
  hint = 'Write one of these words.',
): W => {
  const node = field.tree.resolved(field.node);
  const value = isScalar(node) ? plainText(node) : '';
  const found = allowed.find((one) => one === value);
  if (found !== undefined) return found;
  const nearest = others[value.trim().toLowerCase()] ?? nearestWord(value, allowed);
  const next = nearest ? `Did you mean "${nearest}"?` : hint;
  throw refuse(field, `${named(field)} is ${shown(field)}`, wordList(allowed), next);
};

export const flag = (field: Field): boolean => word(field, ['true', 'false']) === 'true';

/**
 * The rule in words. Bounds that lie where nothing on a bed does are told only to someone who broke
 * one: those of a hundred mm or more, and the least length above 0.
 */
export const ruleText = (rule: NumberRule, value: unknown): string => {
  const { unit, above, atLeast, atMost } = rule;
  const finite = typeof value !== 'number' || Number.isFinite(value);
  const isGuard = (bound: number): boolean => unit === 'mm' && Math.abs(bound) >= 100;
  const number = typeof value === 'number' && finite ? value : undefined;
  const guards = [atLeast, atMost].filter((bound) => bound !== undefined && isGuard(bound));
  const isFar = number !== undefined && guards.some((bound) => Math.abs(number) > Math.abs(bound!));
  const isShown = (bound: number | undefined): boolean => bound !== undefined && (isFar || !isGuard(bound));
  const isTiny = above !== undefined && number !== undefined && number > above && number < atLeast!;
  const least =
    above !== undefined && !isTiny ? `above ${above}` : isShown(atLeast) ? `${atLeast} or more` : '';
  const bounds = [least, isShown(atMost) ? `${atMost} or less` : ''].filter((bound) => bound !== '');
  const kind = `a ${finite ? '' : 'finite '}number${unit ? ` in ${unit}` : ''}`;
  return bounds.length === 0 ? kind : `${kind}, ${bounds.join(' and ')}`;
};

export const isWithin = (value: number, { above, atLeast, atMost }: NumberRule): boolean =>
  (above === undefined || value > above) &&
  (atLeast === undefined || value >= atLeast) &&
  (atMost === undefined || value <= atMost);

/** A finite number within its bounds. */
export const number = (field: Field, rule: NumberRule = {}): number => {
  const node = field.tree.resolved(field.node);
  const value = isScalar(node) ? (quotedNumber(node) ?? node.value) : undefined;
  if (typeof value !== 'number' || !Number.isFinite(value)) {
    throw refuse(
      field,
      `${named(field)} is ${shown(field)}`,
      ruleText(rule, value),
      numberHint(node, rule, field.key),
    );
  }
  if (!isWithin(value, rule)) {
    throw refuse(
      field,
      `${named(field)} is ${shown(field)}`,
      ruleText(rule, value),
      rule.next ?? 'Correct the number.',
    );
  }
  return value;
};

/**
 * A number in quotes, with a point or a decimal comma. Three digits behind a comma may as well be
 * thousands: such a number is read only where nothing or a zero stands before it.
 */
const quotedNumber = (node: Scalar): number | undefined => {
  if (node.type !== 'QUOTE_DOUBLE' && node.type !== 'QUOTE_SINGLE') return undefined;
  const written = String(node.value).trim();
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)$/.test(written) || /^[+-]?0*[1-9]\d*,\d{3}$/.test(written))
    return undefined;
  return Number(written.replace(',', '.'));
};

const numberHint = (node: Node, rule: NumberRule, key = ''): string => {
  const value = isScalar(node) ? node.value : undefined;
  // As the lines to begin from have it.
  if ((value === 'x' || value === 'y') && /^(readings|touches|marks|witness)\b/.test(key))
    return /^marks/.test(key)
      ? `Write the ${value} at which this mark is drawn, in mm.`
      : `Write the ${value} that the display shows there, in mm; take a line without a reading out.`;
  if (typeof value === 'number') return 'Write an ordinary decimal number.';
  if (typeof value !== 'string') return 'Write one number behind the colon, or remove the key.';
  const trimmed = value.trim();
  if (/^[+-]?\d+,\d{3}$/.test(trimmed) && isScalar(node) && node.type?.startsWith('QUOTE'))
    return `Write ${trimmed.replace(',', '.')} if that is a decimal comma, ${trimmed.replace(',', '')} if it sets off thousands.`;
  if (/^[+-]?\d*,\d+$/.test(trimmed)) {
    return `Write the decimal point as a point: ${trimmed.replace(',', '.')}.`;
  }
  const unit = /^([+-]?(?:\d+\.?\d*|\.\d+))\s*([a-zA-Z"'%]+)$/.exec(trimmed);
  if (unit && unit[2] === rule.unit) return `Write the bare number: ${unit[1]}.`;
  if (unit && rule.unit) return `Convert it to ${rule.unit} and write the bare number.`;
  return 'Write digits with a decimal point.';
};

/** [x, y] in mm. */
export const point = (field: Field, what = 'two numbers [x, y] in mm'): Point => {
  const [x, y] = pair(field, what, bounds.readings);
  return { x, y };
};

/** Two numbers that were written without brackets, with them; undefined for anything else. */
const twoNumbersIn = (field: Field): string | undefined => {
  const node = field.tree.resolved(field.node);
  const written = isScalar(node) && typeof node.value === 'string' ? node.value.trim() : '';
  const [, x, y] = /^\(?([+-]?\d+(?:\.\d+)?)\s*[,;/ ]\s*([+-]?\d+(?:\.\d+)?)\)?$/.exec(written) ?? [];
  return x === undefined || y === undefined ? undefined : `[${x}, ${y}]`;
};

/** Two numbers under one rule. */
export const pair = (field: Field, what: string, rule: NumberRule): [number, number] => {
  const parts = isList(field) ? items(field, what) : [];
  if (parts.length !== 2) {
    const next =
      parts.length > 2
        ? 'Write two numbers with decimal points: a comma separates the numbers.'
        : `Write two numbers in brackets, as in ${twoNumbersIn(field) ?? '[112.42, 96.1]'}.`;
    throw refuse(field, `${named(field)} is ${shown(field)}`, what, next);
  }
  return [number(parts[0]!, rule), number(parts[1]!, rule)];
};

/** One [x, y], or a list of them. */
export const points = (field: Field, what = '[x, y] in mm, or a list of such readings'): Point[] => {
  const parts = isList(field) ? items(field, what) : [];
  if (!parts.some(isList)) return [point(field, what)];
  return parts.map((part) => point(part));
};
