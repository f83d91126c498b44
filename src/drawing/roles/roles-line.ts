/** The line for the job that states roles which were assumed. */
import type { RoleEntry, Roles } from '../../job/job.js';
import type { Role, Shape } from '../model/drawing.js';
import { isMadeUpByProgram } from '../model/seen-name.js';
import { isAllOpen, labelsNow } from '../model/shape-store.js';
import type { MissingLayers, Reading } from './assume-roles.js';
import { layerNamesOf } from './drawn-names.js';
import { strokeOf } from './selectors.js';
import type { ShapeRoles } from './shape-roles.js';

export interface RolesLine {
  /** `roles: {openings: leaves, outline: edge}`; undefined where no short one says the same. */
  readonly line: string | undefined;
  /** Whether it names the openings. */
  readonly openings: boolean;
}

/** A longer list is no line any more. */
const mostEntries = 8;
const mostMarks = 24;

/** What the job does not say. */
export interface Unsaid extends MissingLayers {
  /** Names by which marks were taken. */
  readonly marks: readonly string[];
}

/**
 * Looks for entries that select what was assumed and nothing else: a name all openings have in
 * common, the colour of their strokes, or a few names; with `not` before what these reach too much.
 * @param given the roles as they were asked for
 * @param means whether other roles would be understood as what was assumed
 */
export const rolesLine = (
  reading: Reading,
  missing: Unsaid,
  given: Roles,
  means: (roles: Roles) => boolean,
): RolesLine => {
  const byIds = lineNaming(({ id }) => id, reading, missing, given, means);
  // Names that people gave go before those of a program, where they say the same.
  if (!bearsOnlyIds(reading, byIds)) {
    const byNames = lineNaming(nameSeen, reading, missing, given, means);
    if (byNames.parts === byIds.parts) return byNames;
  }
  return byIds;
};

type NameOf = (shape: Shape) => string;

/** A label, where the id is one that a program makes up. */
const nameSeen: NameOf = (shape) =>
  isMadeUpByProgram(shape.id)
    ? ([...labelsNow(shape)].find((label) => !isMadeUpByProgram(label)) ?? shape.id)
    : shape.id;

/** The names of a line are the ids of shapes, and no shape that it could name bears a label. */
const bearsOnlyIds = ({ roles }: Reading, { line }: RolesLine): boolean => {
  if (line === undefined) return true;
  for (const role of ['outline', 'opening', 'unused'] as const) {
    let seen = 0;
    for (const shape of roles.each(role)) {
      if (nameSeen(shape) !== shape.id) return false;
      seen += 1;
      if (seen > mostEntries) break;
    }
  }
  return true;
};

const lineNaming = (
  nameOf: NameOf,
  { roles }: Reading,
  missing: Unsaid,
  given: Roles,
  means: (roles: Roles) => boolean,
): RolesLine & { readonly parts: number } => {
  const marks = missing.marks.length === 0 || missing.marks.length > mostMarks ? undefined : missing.marks;
  const outline = missing.outline ? roles.having('outline') : [];
  const named = outline.length > 0 && outline.length <= mostEntries ? outline.map(nameOf) : undefined;
  const statedWith = (edges: readonly string[] | undefined): readonly string[] | undefined => {
    if (!missing.openings) return undefined;
    for (const entries of candidates(roles, missing, edges, nameOf)) {
      if (means(withEntries(given, { openings: entries, outline: edges, marks }))) return entries;
    }
    return undefined;
  };
  let openings = statedWith(named);
  let edges = named;
  // The id of the outline may be the name of a group as well, which then says more than is meant.
  if (
    openings === undefined &&
    named !== undefined &&
    !means(withEntries(given, { outline: named, marks }))
  ) {
    edges = undefined;
    openings = statedWith(undefined);
  }
  if (openings === undefined && edges === undefined && !(marks && means(withEntries(given, { marks })))) {
    return { line: undefined, openings: false, parts: 0 };
  }
  // A job has one line for its roles: what it states already stays in it.
  const stated = (role: 'marks' | 'openings' | 'outline') =>
    given.stated[role] ? given[role].map(({ text }) => text) : undefined;
  const keys = (['marks', 'openings', 'outline'] as const).flatMap((role) => {
    const entries = { marks, openings, outline: edges }[role] ?? stated(role);
    return entries === undefined ? [] : [`${role}: ${listed(entries)}`];
  });
  return {
    line: keys.length === 0 ? undefined : `roles: {${keys.join(', ')}}`,
    openings: openings !== undefined,
    parts: keys.length,
  };
};

const asEntries = (texts: readonly string[]): RoleEntry[] => texts.map((text) => ({ text }));

const withEntries = (
  given: Roles,
  {
    openings,
    outline,
    marks,
  }: {
    readonly openings?: readonly string[] | undefined;
    readonly outline?: readonly string[] | undefined;
    readonly marks?: readonly string[] | undefined;
  },
): Roles => ({
  ...given,
  ...(marks === undefined ? {} : { marks: asEntries(marks) }),
  ...(openings === undefined ? {} : { openings: asEntries(openings) }),
  ...(outline === undefined ? {} : { outline: asEntries(outline) }),
  stated: {
    marks: given.stated.marks || marks !== undefined,
    openings: given.stated.openings || openings !== undefined,
    outline: given.stated.outline || outline !== undefined,
  },
});

/**
 * Lists of entries worth a try, the shortest first. Each is made when the one before it did not do.
 */
function* candidates(
  roles: ShapeRoles,
  missing: MissingLayers,
  edges: readonly string[] | undefined,
  nameOf: NameOf,
): Generator<readonly string[]> {
  const isOther = (role: Role): boolean => role !== 'opening' && !(missing.outline && role === 'outline');
  const others = function* (isMeant: (shape: Shape) => boolean): Generator<Shape> {
    for (let i = 0; i < roles.size; i += 1) {
      const shape = roles.shapes[i]!;
      if (isOther(roles.at(i)) && isMeant(shape)) yield shape;
    }
  };
  const [first] = roles.each('opening');
  if (first === undefined) return;
  if (roles.count('opening') === 1) yield [nameOf(first)];
  for (const layer of givenFirst(first.layers)) {
    const isIn = (shape: Shape): boolean => shape.layers.includes(layer);
    if (!all(roles.each('opening'), isIn)) continue;
    yield [layer];
    yield [layer, ...exceptions(others(isIn), roles, nameOf)];
  }
  const some = fewNames(
    roles,
    others(() => true),
    nameOf,
  );
  if (some !== undefined) yield some;
  // With the outline known: all in it but these.
  if (edges !== undefined) {
    const left: string[] = [];
    for (const shape of roles.each('unused')) {
      if (!isAllOpen(shape) && left.push(`not ${nameOf(shape)}`) > mostEntries) break;
    }
    if (left.length > 0 && left.length <= mostEntries) yield left;
  }
  const strokes = new Set<string>();
  for (const shape of roles.each('opening')) {
    strokes.add(strokeOf(shape));
    if (strokes.size > 2) break;
  }
  if (strokes.size <= 2) {
    const byStroke = [...strokes].map((stroke) => `stroke:${stroke}`);
    yield byStroke;
    yield [
      ...byStroke,
      ...exceptions(
        others((shape) => strokes.has(strokeOf(shape))),
        roles,
        nameOf,
      ),
    ];
  }
  if (roles.count('opening') <= mostEntries) yield [...roles.each('opening')].map(nameOf);
}

/** Layers by names that somebody gave, then by others; each as far in as it lies. */
const givenFirst = (layers: readonly string[]): readonly string[] => [
  ...layers.filter((name) => !isMadeUpByProgram(name)),
  ...layers.filter(isMadeUpByProgram),
];

const all = (shapes: Iterable<Shape>, holds: (shape: Shape) => boolean): boolean => {
  for (const shape of shapes) if (!holds(shape)) return false;
  return true;
};

/**
 * `not` and a name for each of these shapes, a layer's where it holds no opening; too many make a
 * list that is not used.
 */
const exceptions = (reached: Iterable<Shape>, roles: ShapeRoles, nameOf: NameOf): string[] => {
  const holdOpenings = layerNamesOf(roles.each('opening'));
  const names = new Set<string>();
  for (const shape of reached) {
    names.add(outermostOf(shape, holdOpenings) ?? nameOf(shape));
    if (names.size > mostEntries) break;
  }
  return [...names].map((name) => `not ${name}`);
};

/**
 * The outermost layer around a shape that is none of these, by a name that somebody gave where it
 * has one.
 */
const outermostOf = ({ layers }: Shape, not: ReadonlySet<string>): string | undefined => {
  const free = layers.filter((layer) => !not.has(layer));
  return free.findLast((name) => !isMadeUpByProgram(name)) ?? free.at(-1);
};

/** Names of layers without other shapes, and of single openings, that make up all of them. */
const fewNames = (roles: ShapeRoles, others: Iterable<Shape>, nameOf: NameOf): string[] | undefined => {
  const holdOthers = layerNamesOf(others);
  const names = new Set<string>();
  for (const shape of roles.each('opening')) {
    names.add(outermostOf(shape, holdOthers) ?? nameOf(shape));
    if (names.size > mostEntries) return undefined;
  }
  return [...names];
};

const listed = (words: readonly string[]): string =>
  words.length === 1 ? yamlWord(words[0]!) : `[${words.map(yamlWord).join(', ')}]`;

/** A word as YAML takes it for a plain string, quoted where it would be read as something else. */
export const yamlWord = (word: string): string =>
  /^(not )?[A-Za-z_][\w.-]*$/.test(word) && !/^(true|false|null|y|n|yes|no|on|off)$/i.test(word)
    ? word
    : JSON.stringify(word);
