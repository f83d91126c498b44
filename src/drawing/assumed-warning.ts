/** How assumed roles are said: what was assumed, in figures, and a line for the job that states it. */
import type { Warning } from '../job/messages.js';
import type { Assumption, MissingLayers } from './assume-roles.js';
import type { Shape } from './drawing.js';

/**
 * @param near names of the drawing that come near to what was looked for
 * @param stated the line for the job, as far as one could be found (see `rolesLine`)
 */
export const rolesAssumed = (
  { roles }: Assumption,
  missing: MissingLayers,
  near: readonly string[],
  stated: { readonly line: string | undefined; readonly openings: boolean },
): Warning => {
  const openings = roles.count('opening');
  const unused = roles.count('unused');
  const lacking = [
    ...(missing.openings ? ['"openings"'] : []),
    ...(missing.outline ? ['"outline"'] : []),
  ].join(' or ');
  const group = 'To state the openings, put them into a group of their own and name it under roles.';
  const sentences = [
    `The drawing has no layer or shape called ${lacking}.`,
    ...near.map((name) => `It has "${name}": name it under roles if that is meant.`),
    `Assumed: ${assumption(openings, roles.having('outline'), missing)}.`,
    ...(unused > 0 ? [`Unused: ${count(unused, 'shape')} (${someIds(roles.each('unused'), unused)}).`] : []),
    ...(stated.line === undefined ? [] : [howToState(stated.line)]),
    ...(missing.openings && openings > 0 && !stated.openings ? [group] : []),
  ];
  return { code: 'roles-assumed', message: sentences.join(' ') };
};

/** The sentence that holds the line for the job. */
export const howToState = (line: string): string => `To state it, write into the job: ${line}.`;

const assumption = (openings: number, outline: readonly Shape[], missing: MissingLayers): string => {
  const edge = outline.map((shape) => shape.id).join(' and ');
  if (!missing.openings) return `${edge}, which encloses every opening, is the outline`;
  const paths = count(openings, 'closed path');
  const are = openings === 1 ? 'is an opening' : 'are openings';
  if (!missing.outline) return `the ${paths} inside the outline ${are}`;
  if (outline.length > 0) {
    return `${edge}, which encloses every other closed path, is the outline, and the ${paths} inside it ${are}`;
  }
  if (openings === 0) return 'nothing, as there is no closed path beside the marks; there are no openings';
  return openings === 1
    ? 'the only closed path is an opening, and there is no outline'
    : `all ${paths} ${are}, and there is no outline, as no path encloses all others`;
};

const count = (number: number, noun: string): string => `${number} ${noun}${number === 1 ? '' : 's'}`;

const mostIds = 6;

const someIds = (shapes: Iterable<Shape>, number: number): string => {
  const ids: string[] = [];
  for (const shape of shapes) if (ids.push(shape.id) === mostIds) break;
  return ids.join(', ') + (number > mostIds ? ', ...' : '');
};
