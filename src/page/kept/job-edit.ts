/** A job file as text that is changed where something was typed, and stays as it was written everywhere else. */
import {
  type Document,
  isMap,
  isScalar,
  isSeq,
  type Pair,
  parseDocument,
  Scalar,
  type YAMLMap,
  YAMLSeq,
} from 'yaml';
import { jobKeys } from '../../internal.js';
import type { Figure } from './typed.js';

/** Where a value stands: `['cut', 'clearance']`. */
export type Key = readonly (string | number)[];
export type Value = number | string | boolean | Figure | readonly (number | string | Figure)[];

let last: { readonly text: string; readonly document: Document } | undefined;

/** To read only: the same one is given again while the text is the same. */
export const documentOf = (text: string): Document => {
  if (last?.text !== text) last = { text, document: parseDocument(text) };
  return last.document;
};

/** The value of a key as it is written; undefined where there is none, or more than one value. */
export const written = (text: string, key: Key): string | undefined => {
  const node = documentOf(text).getIn(key, true);
  return isScalar(node) && node.value !== null ? textOf(node) : undefined;
};

const textOf = (node: unknown): string => {
  if (!isScalar(node)) return '';
  const { value, source } = node;
  return typeof value === 'number' ? (source ?? numberText(node as Scalar<number>)) : String(value ?? '');
};

const numberText = ({ value, minFractionDigits = 0 }: Scalar<number>): string => {
  const text = String(value);
  const decimals = text.split('.')[1]?.length ?? 0;
  return decimals < minFractionDigits ? value.toFixed(minFractionDigits) : text;
};

/** The text with one value set, or, where it is undefined, without it and without what is then empty round it. */
export const withValue = (text: string, key: Key, value: Value | undefined): string =>
  changed(text, (document) => {
    if (value === undefined) remove(document, key);
    else set(document, key, value);
  });

/** The text with the YAML of a value at a key: `{openings: leaves}`. */
export const withYaml = (text: string, key: Key, yaml: string): string =>
  changed(text, (document) => {
    const node = parseDocument(yaml).contents;
    makeRoom(document, key);
    document.setIn(key, node);
  });

/** One line of the field book: a reading over a mark, a touch, or a reading at a witness point. */
export interface BookRow {
  readonly x: string;
  readonly y: string;
  /** Key of the pair of figures. */
  readonly at: Key;
}

export interface ReadingRow extends BookRow {
  readonly mark: string;
  /** Which of the readings over this mark. */
  readonly count: number;
}

export interface TouchRow extends BookRow {
  readonly on: string;
  readonly radius?: string;
  readonly start?: readonly [number, number];
}

export interface WitnessRow extends BookRow {
  readonly point: string | readonly [number, number];
}

/** undefined: the readings stand in a file of their own. */
export const readingRows = (text: string): ReadingRow[] | undefined => {
  const node = documentOf(text).get('readings', true);
  if (isScalar(node)) return undefined;
  if (!isMap(node)) return [];
  return node.items.flatMap((item) => {
    const mark = nameOf(item);
    return pairsOf(item.value, ['readings', keyOf(item)]).map((row, count) => ({ ...row, mark, count }));
  });
};

export const touchRows = (text: string): TouchRow[] => {
  const node = documentOf(text).get('touches', true);
  if (!isSeq(node)) return [];
  return node.items.flatMap((item, i) => {
    if (!isMap(item)) return [];
    const on = textOf(item.get('on', true));
    const radius = textOf(item.get('radius', true));
    const start = point(item.get('start', true));
    return pairsOf(item.get('at', true), ['touches', i, 'at']).map((row) => ({
      ...row,
      on,
      ...(radius === '' ? {} : { radius }),
      ...(start === undefined ? {} : { start }),
    }));
  });
};

export const witnessRows = (text: string): WitnessRow[] => {
  const node = documentOf(text).get('witness', true);
  if (!isSeq(node)) return [];
  return node.items.flatMap((item, i) => {
    if (!isMap(item)) return [];
    const at = item.get('point', true);
    const where = point(at) ?? textOf(at);
    return pairsOf(item.get('reading', true), ['witness', i, 'reading']).map((row) => ({
      ...row,
      point: where,
    }));
  });
};

/** Marks that are typed, by their names: a place in the drawing, or the name of a shape. */
export const typedMarks = (text: string): { name: string; at: readonly [string, string] | string }[] => {
  const node = documentOf(text).get('marks', true);
  if (!isMap(node)) return [];
  return node.items.map((item) => {
    const name = nameOf(item);
    const { value } = item;
    return isSeq(value)
      ? { name, at: [textOf(value.get(0, true)), textOf(value.get(1, true))] as const }
      : { name, at: textOf(value) };
  });
};

const point = (node: unknown): readonly [number, number] | undefined => {
  if (!isSeq(node)) return undefined;
  const [x, y] = node.toJSON() as unknown[];
  return typeof x === 'number' && typeof y === 'number' ? [x, y] : undefined;
};

const nameOf = ({ key }: Pair): string => String(isScalar(key) ? (key.source ?? key.value) : key);
const keyOf = ({ key }: Pair): string => (isScalar(key) ? key.value : key) as string;

/** `[x, y]`, `{at: [x, y], direction: up}`, or a list of such. */
const pairsOf = (node: unknown, key: Key): BookRow[] => {
  if (isMap(node)) return pairsOf(node.get('at', true), [...key, 'at']);
  if (!isSeq(node)) return [];
  const isPair = node.items.length === 2 && node.items.every((one) => isScalar(one));
  if (isPair) return [{ x: textOf(node.items[0]), y: textOf(node.items[1]), at: key }];
  return node.items.flatMap((item, i) => pairsOf(item, [...key, i]));
};

/** The text with both figures of a line put in their place. */
export const withPair = (text: string, at: Key, x: Figure, y: Figure): string =>
  changed(text, (document) => {
    const node = document.getIn(at, true);
    if (isSeq(node) && node.items.length === 2 && node.items.every((one) => isScalar(one))) {
      setFigure(node.items[0] as Scalar, x);
      setFigure(node.items[1] as Scalar, y);
    } else set(document, at, [x, y]);
  });

/** The text with one more reading over a mark. */
export const withReading = (text: string, mark: string, x: Figure, y: Figure): string =>
  changed(text, (document) => {
    const key = keyNamed(document, mark);
    const old = document.getIn(['readings', key], true);
    const pair = pairNode(document, x, y);
    if (old === undefined || old === null) {
      makeRoom(document, ['readings', key]);
      document.setIn(['readings', key], pair);
      return;
    }
    const isList = isSeq(old) && !old.items.every((one) => isScalar(one));
    if (isList) old.add(pair);
    else {
      const list = new YAMLSeq(document.schema);
      list.flow = true;
      list.add(old);
      list.add(pair);
      document.setIn(['readings', key], list);
    }
  });

/** A mark called 7 may stand in the file as a number. */
const keyNamed = (document: Document, mark: string): string => {
  const node = document.get('readings', true);
  if (!isMap(node)) return mark;
  const found = node.items.find((item) => nameOf(item) === mark);
  return found === undefined ? mark : keyOf(found);
};

export const withTouch = (
  text: string,
  touch: { readonly on: string; readonly start?: readonly [number, number]; readonly radius?: string },
  x: Figure,
  y: Figure,
): string =>
  changed(text, (document) => {
    const node = document.createNode({ on: touch.on }) as YAMLMap;
    node.flow = true;
    node.set('at', pairNode(document, x, y));
    if (touch.radius !== undefined)
      node.set('radius', touch.radius === 'unknown' ? touch.radius : Number(touch.radius));
    if (touch.start !== undefined) node.set('start', pairNode(document, ...rounded(touch.start)));
    addTo(document, 'touches', node);
  });

export const withWitness = (
  text: string,
  point: string | readonly [number, number],
  x: Figure,
  y: Figure,
): string =>
  changed(text, (document) => {
    const node = document.createNode({}) as YAMLMap;
    node.flow = true;
    node.set('point', typeof point === 'string' ? point : pairNode(document, ...rounded(point)));
    node.set('reading', pairNode(document, x, y));
    addTo(document, 'witness', node);
  });

const rounded = ([x, y]: readonly [number, number]): [Figure, Figure] => [
  { value: Number(x.toFixed(2)), decimals: 2 },
  { value: Number(y.toFixed(2)), decimals: 2 },
];

const addTo = (document: Document, key: string, node: unknown): void => {
  const list = document.get(key, true);
  if (isSeq(list)) {
    list.add(node);
    return;
  }
  makeRoom(document, [key]);
  const made = new YAMLSeq(document.schema);
  made.add(node);
  document.set(key, made);
};

/** From which side the pointer came to the marks, along x and along y. */
export const sidesOf = (text: string): readonly [string, string] => {
  const node = documentOf(text).getIn(['fit', 'approach'], true);
  if (isSeq(node)) return [textOf(node.get(0, true)) || 'either', textOf(node.get(1, true)) || 'either'];
  const word = textOf(node) || 'either';
  return [word, word];
};

export const withSides = (text: string, [x, y]: readonly [string, string]): string => {
  const key = ['fit', 'approach'];
  const bare = withValue(text, key, undefined);
  if (x === y) return x === 'either' ? bare : withValue(bare, key, x);
  return withValue(bare, key, [x, y]);
};

/** The text with what is said of the radius of a rim, at each touch on it; '' takes it as drawn. */
export const withRadius = (text: string, on: string, radius: string): string =>
  changed(text, (document) => {
    const list = document.get('touches', true);
    if (!isSeq(list)) return;
    for (const item of list.items) {
      if (!isMap(item) || textOf(item.get('on', true)) !== on) continue;
      if (radius === '') item.delete('radius');
      else item.set('radius', radius === 'unknown' ? radius : Number(radius));
    }
  });

/** The text without a line; without its mark, touch or witness point, where it was the only one of it. */
export const withoutPair = (text: string, at: Key): string =>
  changed(text, (document) => {
    const [what] = at;
    let key = at;
    if (what === 'touches' || what === 'witness') {
      const list = document.getIn(at.slice(0, 3), true);
      const isOneOfSeveral = at.length > 3 && isSeq(list) && list.items.length > 1;
      if (!isOneOfSeveral) key = at.slice(0, 2);
    } else if (at.at(-1) === 'at') key = at.slice(0, -1);
    remove(document, key);
    const parent = document.getIn(key.slice(0, -1), true);
    if (isSeq(parent) && parent.items.length === 1 && what === 'readings')
      document.setIn(key.slice(0, -1), parent.items[0]);
  });

const pairNode = (document: Document, x: Figure, y: Figure): YAMLSeq => {
  const node = new YAMLSeq(document.schema);
  node.flow = true;
  for (const one of [x, y]) node.add(figureNode(one));
  return node;
};

const figureNode = (figure: Figure): Scalar => {
  const node = new Scalar<unknown>(figure.value);
  setFigure(node, figure);
  return node;
};

const setFigure = (node: Scalar, { value, decimals }: Figure): void => {
  node.value = value;
  delete node.format;
  delete node.source;
  node.minFractionDigits = decimals;
};

const isFigure = (value: Value): value is Figure =>
  typeof value === 'object' && !Array.isArray(value) && 'decimals' in value;

const set = (document: Document, key: Key, value: Value): void => {
  const old = document.getIn(key, true);
  if (isScalar(old) && isFigure(value)) {
    setFigure(old, value);
    return;
  }
  if (isScalar(old) && typeof value !== 'object') {
    if (old.value !== value) {
      old.value = value;
      delete old.source;
    }
    return;
  }
  makeRoom(document, key);
  if (Array.isArray(value)) {
    const node = new YAMLSeq(document.schema);
    node.flow = true;
    for (const one of value as readonly Value[])
      node.add(isFigure(one) ? figureNode(one) : document.createNode(one));
    document.setIn(key, node);
  } else document.setIn(key, isFigure(value) ? figureNode(value) : value);
};

/** A new key of the file goes where a person would write it; a mapping that another file stood for is begun. */
const makeRoom = (document: Document, key: Key): void => {
  if (!isMap(document.contents)) document.contents = document.createNode({}) as never;
  const root = document.contents as unknown as YAMLMap;
  root.flow = false;
  const [top] = key;
  if (key.length > 1 && !isMap(root.get(top, true)) && !isSeq(root.get(top, true))) root.delete(top);
  if (root.has(top)) return;
  const place = (one: unknown): number => (jobKeys as readonly string[]).indexOf(String(one));
  const before = root.items.findIndex((item) => place(keyOf(item)) > place(top));
  const made = document.createPair(top, key.length > 1 ? {} : null) as Pair;
  root.items.splice(before < 0 ? root.items.length : before, 0, made as never);
};

const remove = (document: Document, key: Key): void => {
  if (!document.hasIn(key)) return;
  document.deleteIn(key);
  const parent = key.slice(0, -1);
  if (parent.length === 0) return;
  const left = document.getIn(parent, true);
  if ((isMap(left) || isSeq(left)) && left.items.length === 0) remove(document, parent);
};

const changed = (text: string, change: (document: Document) => void): string => {
  const document = parseDocument(text);
  change(document);
  return document.toString({ lineWidth: 0, flowCollectionPadding: /\{ /.test(text) });
};

/** The profile that the job names. */
export const machinePath = (text: string): string | undefined =>
  written(text, ['machine']) ?? written(text, ['machine', 'profile']);

/** The text with a key of the machine set beside the profile it names; without any such key the profile stands alone again. */
export const withMachine = (text: string, key: string, value: Value | undefined): string => {
  const path = written(text, ['machine']);
  if (path === undefined) {
    const after = withValue(text, ['machine', key], value);
    const node = documentOf(after).get('machine', true);
    const alone = isMap(node) && node.items.length === 1 ? written(after, ['machine', 'profile']) : undefined;
    return alone === undefined
      ? after
      : withValue(withValue(after, ['machine'], undefined), ['machine'], alone);
  }
  if (value === undefined) return text;
  const begun = withValue(withValue(text, ['machine'], undefined), ['machine', 'profile'], path);
  return withValue(begun, ['machine', key], value);
};

/** The text with another profile, and what the job itself says of the machine kept beside it. */
export const withProfile = (text: string, path: string): string =>
  isMap(documentOf(text).get('machine', true))
    ? withValue(text, ['machine', 'profile'], path)
    : withValue(text, ['machine'], path);
