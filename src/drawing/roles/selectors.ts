/**
 * What the entries under `roles` select: shapes and layers by name, shapes by the colour of their
 * stroke or fill.
 */
import { type RoleEntry, roleWords } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import { parseColour } from '../model/colour.js';
import { namedColours } from '../model/colour-names.js';
import type { Drawing, Shape } from '../model/drawing.js';
import { hasId, hasLabel } from '../model/shape-store.js';
import { type DrawnNames, knownNames } from './drawn-names.js';

export type Paint = 'stroke' | 'fill';

/** One entry, understood. */
export interface Selector {
  readonly entry: RoleEntry;
  /** True for `not ...`. */
  readonly excludes: boolean;
  readonly by: { readonly name: string } | { readonly paint: Paint; readonly colour: string };
}

/**
 * How near a selector is to a shape it selects: 0 by the shape's own name, 1 by its group's, 2 by
 * that of the group around it, and so on; `colour` by that of its stroke or fill. Undefined: it
 * does not select the shape.
 */
export type Reach = number | 'colour' | undefined;

/**
 * Understands an entry: `NAME`, `stroke:COLOUR`, `fill:COLOUR`, or `not` and one of these. An entry
 * that is the very name of a shape or layer of the drawing means that name, whatever it looks like.
 * @throws InputError for a colour that is none
 */
export const selectorOf = (entry: RoleEntry, role: string, drawing: Drawing, names: DrawnNames): Selector => {
  const { text } = entry;
  if (names.has(text)) return { entry, excludes: false, by: { name: text } };
  const without = /^not\s+(?=\S)/i.exec(text)?.[0] ?? '';
  const rest = text.slice(without.length);
  const excludes = without !== '';
  const [, word, written] = (names.has(rest) ? undefined : /^(stroke|fill)\s*:\s*(.*)$/i.exec(rest)) ?? [];
  if (word === undefined) return { entry, excludes, by: { name: names.spelled(rest) } };
  const paint = word.toLowerCase() as Paint;
  const colour = parseColour(written!);
  if (colour === undefined) throw noColour(entry, role, paint, written!, drawing);
  return { entry, excludes, by: { paint, colour } };
};

export const reachOf = (selector: Selector, shape: Shape): Reach =>
  'name' in selector.by
    ? distanceTo(shape, selector.by.name)
    : paintOf(shape, selector.by.paint) === selector.by.colour
      ? 'colour'
      : undefined;

/** `none` for a shape without a stroke. */
export const strokeOf = (shape: Shape): string => shape.stroke ?? 'none';

const paintOf = (shape: Shape, paint: Paint): string =>
  paint === 'stroke' ? strokeOf(shape) : (shape.fill ?? 'none');

/**
 * 0: the shape itself bears the name; 1: its group; 2: the group around that; undefined: nothing
 * does.
 */
const distanceTo = (shape: Shape, name: string): number | undefined => {
  if (hasId(shape, name) || hasLabel(shape, name)) return 0;
  if (!shape.layers.includes(name)) return undefined;
  let distance = 1;
  for (let group = shape.group; group !== undefined; group = group.parent) {
    if (group.names.includes(name)) return distance;
    distance += 1;
  }
  // A shape without groups has its layers only as a list of names.
  return shape.layers.indexOf(name) + 1;
};

/** Names a few, and counts the others. */
const some = (words: readonly string[]): string =>
  words.slice(0, 8).join(', ') + (words.length > 8 ? ` and ${words.length - 8} more` : '');

const whereOf = ({ text, where }: RoleEntry, drawing: Drawing) =>
  where ?? { file: drawing.path, element: text };

const noColour = (
  entry: RoleEntry,
  role: string,
  paint: Paint,
  colour: string,
  drawing: Drawing,
): InputError => {
  const nearest = nearestWord(colour, namedColours.keys());
  return new InputError({
    found: `roles: ${role}: ${entry.text}, of which "${colour}" is no colour`,
    expected: 'a colour such as #c83737, red, rgb(200, 55, 55), or none',
    where: whereOf(entry, drawing),
    next:
      nearest === undefined
        ? '`reseat list --json` shows the stroke and the fill of every shape.'
        : `Did you mean ${paint}:${nearest}?`,
  });
};

const cssGreen = '#008000';
const cadGreen = '#00ff00';

/** The error for an entry that selects nothing in the drawing. */
export const selectsNothing = ({ entry, by }: Selector, role: string, drawing: Drawing): InputError => {
  const where = whereOf(entry, drawing);
  if ('paint' in by) {
    const { paint, colour } = by;
    const paints = [...new Set(drawing.shapes.map((shape) => paintOf(shape, paint)))];
    return new InputError({
      found: `roles: ${role}: ${entry.text}, a ${paint} that no shape of the drawing has`,
      expected:
        paints.length === 0 ? 'a drawing with shapes' : `one of ${some(paints.map((s) => `${paint}:${s}`))}`,
      where,
      next:
        colour === cssGreen && paints.includes(cadGreen)
          ? `Write ${paint}:lime: the green of CAD programs is ${cadGreen}, which CSS calls lime.`
          : `Correct the colour; \`reseat list${paint === 'fill' ? ' --json' : ''}\` shows the ${paint} of every shape.`,
    });
  }
  const known = knownNames(drawing.shapes);
  const nearest = nearestWord(by.name, known);
  return new InputError({
    found: `roles: ${role}: ${entry.text}, which is neither a shape nor a layer of the drawing`,
    expected: known.length === 0 ? 'a drawing with named shapes or layers' : `one of ${some(known)}`,
    where,
    next:
      nearest === undefined
        ? 'Correct the name; `reseat list` shows every shape with its layer.'
        : `Did you mean ${nearest}?`,
  });
};

/** The error for a role whose shapes are all taken by nearer names, or excluded. */
export const nothingLeft = (role: string, entries: readonly RoleEntry[], drawing: Drawing): InputError =>
  new InputError({
    found: `roles: ${role}: ${roleWords(entries)}, whose shapes all have another role by a nearer name or are left out by "not"`,
    expected: `at least one shape left for ${role}`,
    where: whereOf(entries[0]!, drawing),
    next: 'Put the shapes of each role into a group of their own and name the groups under roles.',
  });
