/**
 * Writing a calibration into a machine profile: the file's own text with its comments and order, the new values in
 * their places, the old ones under `history` with the dates they were measured and replaced.
 */
import {
  type Document,
  isMap,
  isScalar,
  isSeq,
  parseDocument,
  type Scalar,
  type ToStringOptions,
  visit,
  YAMLMap,
  YAMLSeq,
} from 'yaml';
import { type MachinePart, machineParts } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { readProfileText } from '../job/read/read-machine.js';
import { type ProfileValue, type Proposal, proposalLines } from './proposal.js';

/** The keys of a profile that each part of the calibration measures. */
export const partKeys: { readonly [part in MachinePart]: readonly string[] } = {
  pointer: ['reading-sd', 'reading-sd-dof', 'reversal', 'display-step', 'pointing-bias'],
  bed: ['bed-map', 'bed-map-sd'],
  kerf: ['kerf', 'kerf-sd', 'kerf-dof'],
  beam: ['beam-offset', 'beam-offset-sd', 'beam-offset-approach', 'beam-offset-dots', 'cut-sd', 'cut-sd-dof'],
};

export interface UpdatedProfile {
  readonly text: string;
  /** Values that were there before, as they went into the history; undefined where there was none. */
  readonly replaced?: {
    readonly measured?: string;
    readonly values: { readonly [key: string]: ProfileValue };
  };
}

/**
 * @param profile its path, for messages, and its text; text undefined: there is none yet
 * @param date ISO date of the measurement
 * @throws InputError for a profile that is not sound or was written by a newer version
 */
export const updateProfile = (
  profile: { readonly path: string; readonly text?: string },
  proposal: Proposal,
  date: string,
): UpdatedProfile => {
  if (profile.text === undefined) return { text: newProfile(proposal, date) };
  const before = readProfileText(profile.path, profile.text);
  const document = parseDocument(profile.text);
  const root = document.contents;
  // readProfileText has refused everything but one mapping.
  if (!isMap(root)) throw new RangeError('a profile that is no mapping');

  refuseAliases(document, profile.path);

  const keys = partKeys[proposal.part].filter((key) => key in proposal.set || proposal.remove.includes(key));
  const values = Object.fromEntries(
    keys.flatMap((key) => (root.has(key) ? [[key, plainValue(document, key)] as const] : [])),
  );
  const measured =
    before.measuredParts?.[proposal.part] ?? (before.measuredParts ? undefined : before.measured);
  for (const [key, value] of Object.entries(proposal.set)) setKey(document, key, value);
  for (const key of proposal.remove) root.delete(key);
  setMeasured(document, proposal.part, date);
  const replaced =
    Object.keys(values).length === 0
      ? undefined
      : { ...(measured === undefined ? {} : { measured }), values };
  if (replaced) addHistory(document, replaced, date);

  const text = withLineEnds(document.toString(styleOf(profile.text)), profile.text);
  // What is written must be read again as it was meant.
  readProfileText(profile.path, text);
  return { text, ...(replaced ? { replaced } : {}) };
};

/** The profile's text with more pieces in its list of those that are in the figures. */
export const withInspected = (text: string, pieces: readonly string[]): string => {
  const document = parseDocument(text);
  const root = document.contents;
  if (!isMap(root)) throw new RangeError('a profile that is no mapping');
  const listed = root.get('inspected', true);
  if (isSeq(listed)) for (const piece of pieces) listed.add(document.createNode(piece));
  else insertBeforeHistory(document, 'inspected', document.createNode([...pieces]));
  return withLineEnds(document.toString(styleOf(text)), text);
};

/** An alias would follow, or lose, the value that is replaced. */
const refuseAliases = (document: Document.Parsed, path: string): void => {
  visit(document, {
    Alias: (_, { source }) => {
      throw new InputError({
        found: `the alias *${source}`,
        expected: 'plain values in a profile that is to be written',
        where: { file: path },
        next: 'Write the value out in its place. The profile was left as it is.',
      });
    },
  });
};

/** Lines are not folded; brackets are written with or without blanks inside, as most of the file has them. */
const styleOf = (text: string): ToStringOptions => ({
  lineWidth: 0,
  flowCollectionPadding: (text.match(/[[{] +\S/g)?.length ?? 0) > (text.match(/[[{][^\s\]}]/g)?.length ?? 0),
});

const newProfile = (proposal: Proposal, date: string): string =>
  [
    '# A machine profile: what is known of this machine. Lengths in millimetres.',
    '',
    `measured: {${proposal.part}: ${date}}`,
    ...proposalLines(proposal),
    '',
  ].join('\n');

const plainValue = (document: Document.Parsed, key: string): ProfileValue => {
  const value = document.get(key, true) as { toJS(doc: Document.Parsed): unknown };
  return value.toJS(document) as ProfileValue;
};

/** Puts a value into its place; numbers that are there already keep their comments. */
const setKey = (document: Document.Parsed, key: string, value: ProfileValue): void => {
  const root = document.contents as YAMLMap;
  const old = root.get(key, true);
  if (old !== undefined && fill(document, old, value)) return;
  const node = document.createNode(value) as Scalar | YAMLMap | YAMLSeq;
  if (!isScalar(node)) flow(node);
  const comment = (old as { comment?: string | null } | undefined)?.comment;
  if (comment) node.comment = comment;
  if (old !== undefined) {
    root.set(key, node);
    return;
  }
  insertBeforeHistory(document, key, node);
};

/** Writes new numbers into nodes of the same shape; false where the shape is another. */
const fill = (document: Document.Parsed, node: unknown, value: ProfileValue): boolean => {
  if (typeof value === 'string') {
    if (!isScalar(node)) return false;
    node.value = value;
    return true;
  }
  if (typeof value === 'number') {
    if (!isScalar(node)) return false;
    node.value = value;
    // As short as the number is, not with the digits the old one had.
    node.minFractionDigits = 0;
    delete node.format;
    return true;
  }
  if (Array.isArray(value)) {
    if (!isSeq(node) || node.items.length !== value.length) return false;
    return value.every((one, i) => fill(document, node.items[i], one));
  }
  if (!isMap(node)) return false;
  return Object.entries(value).every(([key, one]) => {
    const inside = node.get(key, true);
    if (inside !== undefined) return fill(document, inside, one);
    const created = document.createNode(one);
    if (!isScalar(created)) flow(created as YAMLSeq);
    node.set(key, created);
    return true;
  });
};

const flow = (node: YAMLMap | YAMLSeq): void => {
  node.flow = true;
  for (const item of node.items) {
    const inside = isMap(node) ? (item as { value: unknown }).value : item;
    if (isMap(inside) || isSeq(inside)) flow(inside as YAMLMap | YAMLSeq);
  }
};

/** New keys stand before the history, which grows at the end. */
const insertBeforeHistory = (document: Document.Parsed, key: string, node: unknown): void => {
  const root = document.contents as YAMLMap;
  const pair = document.createPair(key, node);
  const history = root.items.findIndex((item) => String(item.key) === 'history');
  if (history < 0) root.items.push(pair);
  else root.items.splice(history, 0, pair);
};

/**
 * The date of this part alone: a date for the whole is spread over the parts that have values, for those were
 * measured then and not now.
 */
const setMeasured = (document: Document.Parsed, part: MachinePart, date: string): void => {
  const root = document.contents as YAMLMap;
  const old = root.get('measured', true);
  if (isMap(old)) {
    old.set(part, date);
    return;
  }
  const dates = new YAMLMap(document.schema);
  dates.flow = true;
  const whole = isScalar(old) ? String(old.value) : undefined;
  for (const one of machineParts) {
    const known = whole !== undefined && partKeys[one].some((key) => root.has(key));
    if (one === part) dates.set(one, date);
    else if (known) dates.set(one, whole);
  }
  if (old === undefined) {
    insertMeasured(document, dates);
    return;
  }
  if (isScalar(old) && old.comment) dates.comment = old.comment;
  root.set('measured', dates);
};

/** Behind the name, or on top; what stands above the first key is about the whole file and stays there. */
const insertMeasured = (document: Document.Parsed, dates: YAMLMap): void => {
  const root = document.contents as YAMLMap;
  const pair = document.createPair('measured', dates);
  const name = root.items.findIndex((item) => String(item.key) === 'name');
  root.items.splice(name + 1, 0, pair);
  const first = root.items[1]?.key as Scalar | undefined;
  if (name >= 0 || !first?.commentBefore) return;
  (pair.key as Scalar).commentBefore = first.commentBefore;
  first.commentBefore = null;
};

const addHistory = (
  document: Document.Parsed,
  { measured, values }: NonNullable<UpdatedProfile['replaced']>,
  date: string,
): void => {
  const entry = document.createNode({
    ...(measured === undefined ? {} : { measured }),
    replaced: date,
    ...values,
  }) as YAMLMap;
  for (const { value } of entry.items) if (isMap(value) || isSeq(value)) flow(value as YAMLMap);
  const root = document.contents as YAMLMap;
  const history = root.get('history', true);
  if (isSeq(history)) {
    history.add(entry);
    return;
  }
  const list = new YAMLSeq(document.schema);
  list.add(entry);
  const pair = document.createPair('history', list);
  (pair.key as Scalar).spaceBefore = true;
  root.items.push(pair);
};

/** As the file had them. */
const withLineEnds = (text: string, before: string): string =>
  before.includes('\r\n') ? text.replace(/\r?\n/g, '\r\n') : text;
