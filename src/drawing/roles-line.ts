/** The line for the job that states roles which were assumed. */
import type { RoleEntry, Roles } from '../job/job.js';
import type { Assumption, MissingLayers } from './assume-roles.js';
import type { Role, Shape } from './drawing.js';
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

/**
 * Looks for entries that select what was assumed and nothing else: a name all openings have in common, the colour of their
 * strokes, or a few names; with `not` before what these reach too much.
 * @param given the roles as they were asked for
 * @param means whether other roles would be understood as what was assumed
 */
export const rolesLine = (
  { roles }: Assumption,
  missing: MissingLayers,
  given: Roles,
  means: (roles: Roles) => boolean,
): RolesLine => {
  const outline = missing.outline ? roles.having('outline') : [];
  const named = outline.length > 0 && outline.length <= mostEntries ? outline.map(({ id }) => id) : undefined;
  const statedWith = (edges: readonly string[] | undefined): readonly string[] | undefined => {
    if (!missing.openings) return undefined;
    for (const entries of candidates(roles, missing)) {
      if (means(withEntries(given, entries, edges))) return entries;
    }
    return undefined;
  };
  let openings = statedWith(named);
  let edges = named;
  // The id of the outline may be the name of a group as well, which then says more than is meant.
  if (openings === undefined && named !== undefined && !means(withEntries(given, undefined, named))) {
    edges = undefined;
    openings = statedWith(undefined);
  }
  const keys = [
    ...(openings === undefined ? [] : [`openings: ${listed(openings)}`]),
    ...(edges === undefined ? [] : [`outline: ${listed(edges)}`]),
  ];
  return {
    line: keys.length === 0 ? undefined : `roles: {${keys.join(', ')}}`,
    openings: openings !== undefined,
  };
};

const asEntries = (texts: readonly string[]): RoleEntry[] => texts.map((text) => ({ text }));

const withEntries = (
  given: Roles,
  openings: readonly string[] | undefined,
  outline: readonly string[] | undefined,
): Roles => ({
  ...given,
  ...(openings === undefined ? {} : { openings: asEntries(openings) }),
  ...(outline === undefined ? {} : { outline: asEntries(outline) }),
  stated: {
    ...given.stated,
    openings: given.stated.openings || openings !== undefined,
    outline: given.stated.outline || outline !== undefined,
  },
});

/** Lists of entries worth a try, the shortest first. Each is made when the one before it did not do. */
function* candidates(roles: ShapeRoles, missing: MissingLayers): Generator<readonly string[]> {
  const isOther = (role: Role): boolean => role !== 'opening' && !(missing.outline && role === 'outline');
  const others = function* (isMeant: (shape: Shape) => boolean): Generator<Shape> {
    for (let i = 0; i < roles.size; i += 1) {
      const shape = roles.shapes[i]!;
      if (isOther(roles.at(i)) && isMeant(shape)) yield shape;
    }
  };
  const [first] = roles.each('opening');
  if (first === undefined) return;
  if (roles.count('opening') === 1) yield [first.id];
  for (const layer of first.layers) {
    const isIn = (shape: Shape): boolean => shape.layers.includes(layer);
    if (!all(roles.each('opening'), isIn)) continue;
    yield [layer];
    yield [layer, ...exceptions(others(isIn), roles)];
  }
  const some = fewNames(
    roles,
    others(() => true),
  );
  if (some !== undefined) yield some;
  const strokes = new Set<string>();
  for (const shape of roles.each('opening')) {
    strokes.add(strokeOf(shape));
    if (strokes.size > 2) return;
  }
  const byStroke = [...strokes].map((stroke) => `stroke:${stroke}`);
  yield byStroke;
  yield [
    ...byStroke,
    ...exceptions(
      others((shape) => strokes.has(strokeOf(shape))),
      roles,
    ),
  ];
}

const all = (shapes: Iterable<Shape>, holds: (shape: Shape) => boolean): boolean => {
  for (const shape of shapes) if (!holds(shape)) return false;
  return true;
};

/** `not` and a name for each of these shapes, a layer's where it holds no opening; too many make a list that is not used. */
const exceptions = (reached: Iterable<Shape>, roles: ShapeRoles): string[] => {
  const holdOpenings = layerNamesOf(roles.each('opening'));
  const names = new Set<string>();
  for (const shape of reached) {
    names.add(shape.layers.findLast((layer) => !holdOpenings.has(layer)) ?? shape.id);
    if (names.size > mostEntries) break;
  }
  return [...names].map((name) => `not ${name}`);
};

/** Names of layers without other shapes, and of single openings, that make up all of them. */
const fewNames = (roles: ShapeRoles, others: Iterable<Shape>): string[] | undefined => {
  const holdOthers = layerNamesOf(others);
  const names = new Set<string>();
  for (const shape of roles.each('opening')) {
    names.add(shape.layers.findLast((layer) => !holdOthers.has(layer)) ?? shape.id);
    if (names.size > mostEntries) return undefined;
  }
  return [...names];
};

const listed = (words: readonly string[]): string =>
  words.length === 1 ? yamlWord(words[0]!) : `[${words.map(yamlWord).join(', ')}]`;

/** A word as YAML takes it for a plain string, quoted where it would be read as something else. */
const yamlWord = (word: string): string =>
  /^(not )?[A-Za-z_][\w.-]*$/.test(word) && !/^(true|false|null|y|n|yes|no|on|off)$/i.test(word)
    ? word
    : JSON.stringify(word);
