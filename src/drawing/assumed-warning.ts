/** How assumed roles are said: what was assumed, in figures, and a line for the job that states it. */
import type { Warning } from '../job/messages.js';
import type { MissingLayers, RoleNames } from './assume-roles.js';
import type { Role, Shape } from './drawing.js';

export const rolesAssumed = (
  shapes: readonly Shape[],
  roles: ReadonlyMap<string, Role>,
  missing: MissingLayers,
  { selectors, near }: RoleNames,
): Warning => {
  const having = (role: Role): Shape[] => shapes.filter((shape) => roles.get(shape.id) === role);
  const openings = having('opening');
  const outline = having('outline');
  const unused = having('unused');
  const lacking = [
    ...(missing.openings ? [`"${selectors.openings}"`] : []),
    ...(missing.outline ? [`"${selectors.outline}"`] : []),
  ].join(' or ');
  const sentences = [
    `The drawing has no layer or shape called ${lacking}.`,
    ...near.map((name) => `It has "${name}": name it under roles if that is meant.`),
    `Assumed: ${assumption(openings, outline, missing)}.`,
    ...(unused.length > 0 ? [`Unused: ${count(unused.length, 'shape')} (${someIds(unused)}).`] : []),
    ...(missing.openings && openings.length === 0 ? [] : [howToState(shapes, openings, outline, missing)]),
  ];
  return { code: 'roles-assumed', message: sentences.join(' ') };
};

const assumption = (
  openings: readonly Shape[],
  outline: readonly Shape[],
  missing: MissingLayers,
): string => {
  const edge = outline.map((shape) => shape.id).join(' and ');
  if (!missing.openings) return `${edge}, which encloses every opening, is the outline`;
  const paths = count(openings.length, 'closed path');
  const are = openings.length === 1 ? 'is an opening' : 'are openings';
  if (!missing.outline) return `the ${paths} inside the outline ${are}`;
  if (outline.length > 0) {
    return `${edge}, which encloses every other closed path, is the outline, and the ${paths} inside it ${are}`;
  }
  if (openings.length === 0)
    return 'nothing, as there is no closed path beside the marks; there are no openings';
  return openings.length === 1
    ? 'the only closed path is an opening, and there is no outline'
    : `all ${paths} ${are}, and there is no outline, as no path encloses all others`;
};

const howToState = (
  shapes: readonly Shape[],
  openings: readonly Shape[],
  outline: readonly Shape[],
  missing: MissingLayers,
): string => {
  const keys: string[] = [];
  const layer = missing.openings ? nameOfExactly(openings, outline, shapes) : undefined;
  if (layer !== undefined) keys.push(`openings: ${yamlWord(layer)}`);
  const edge = outline.length === 1 ? outline[0]!.id : undefined;
  if (missing.outline && edge !== undefined) keys.push(`outline: ${yamlWord(edge)}`);
  const line = keys.length > 0 ? `To state it, write into the job: roles: {${keys.join(', ')}}.` : '';
  if (!missing.openings || layer !== undefined) return line;
  return `${line} To state the openings, put them into a group of their own and name it under roles.`.trim();
};

/** A name that selects these openings and nothing else (the outline, named by its id, aside). */
const nameOfExactly = (
  openings: readonly Shape[],
  outline: readonly Shape[],
  shapes: readonly Shape[],
): string | undefined => {
  const first = openings[0]!;
  if (openings.length === 1 && first.named) return first.id;
  return first.layers.find((layer) => {
    if (!openings.every((shape) => shape.layers.includes(layer))) return false;
    const reached = shapes.filter((shape) => shape.layers.includes(layer) && !outline.includes(shape));
    return reached.length === openings.length;
  });
};

const count = (number: number, noun: string): string => `${number} ${noun}${number === 1 ? '' : 's'}`;

const someIds = (shapes: readonly Shape[]): string => {
  const ids = shapes.slice(0, 6).map((shape) => shape.id);
  return ids.join(', ') + (shapes.length > 6 ? ', ...' : '');
};

/** A word as YAML takes it for a plain string, quoted where it would be read as something else. */
const yamlWord = (word: string): string =>
  /^[A-Za-z_][\w.-]*$/.test(word) && !/^(true|false|null)$/i.test(word) ? word : JSON.stringify(word);
