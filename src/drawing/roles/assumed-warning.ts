/**
 * How assumed roles are said: what was assumed, in figures, and a line for the job that states it.
 */
import { InputError, type Warning, type Where } from '../../job/messages.js';
import type { Shape } from '../model/drawing.js';
import type { AssumedMarks } from './assume-marks.js';
import type { Assumption, MissingLayers } from './assume-roles.js';
import type { ShapeRoles } from './shape-roles.js';

/** Roles that are not certain, and the ways to understand the drawing, the likeliest first. */
export interface RolesInDoubt {
  /** A clause. */
  readonly why: string;
  readonly readings: readonly {
    readonly roles: ShapeRoles;
    /** A clause. */
    readonly says: string;
    /** What states it in a job; undefined where no short line does. */
    readonly line?: string | undefined;
  }[];
}

interface Assumed {
  readonly assumption: Assumption | undefined;
  readonly roles: ShapeRoles;
  readonly missing: MissingLayers;
  /** Names of the drawing that come near to what was looked for. */
  readonly near: readonly string[];
  readonly marks: AssumedMarks;
  /** Rectangles of the page's size. */
  readonly backgrounds: readonly Shape[];
}

/** @param stated the line for the job, as far as one could be found (see `rolesLine`) */
export const rolesAssumed = (
  { assumption, roles, missing, near, marks, backgrounds }: Assumed,
  stated: { readonly line: string | undefined; readonly openings: boolean },
): Warning => {
  const openings = roles.count('opening');
  const unused = roles.count('unused');
  const lacking = [
    ...(missing.openings ? ['"openings"'] : []),
    ...(missing.outline ? ['"outline"'] : []),
  ].join(' or ');
  const group = 'To state the openings, put them into a group of their own and name it under roles.';
  const several = assumption?.severalRound ?? [];
  const sentences = [
    ...(assumption === undefined ? [] : [`The drawing has no layer or shape called ${lacking}.`]),
    ...near.map((name) => `It has "${name}": name it under roles if that is meant.`),
    ...(assumption === undefined
      ? []
      : [`Assumed: ${assumed(openings, roles.having('outline'), missing, several)}.`]),
    ...notesOn(marks, backgrounds),
    ...(assumption !== undefined && unused > 0
      ? [`Unused: ${count(unused, 'shape')} (${someIds(roles.each('unused'), unused)}).`]
      : []),
    ...(stated.line === undefined ? [] : [howToState(stated.line)]),
    ...(missing.openings && openings > 0 && !stated.openings ? [group] : []),
  ];
  return { code: 'roles-assumed', message: sentences.join(' ') };
};

/** What was taken for marks, and what for the background. */
export const notesOn = (marks: AssumedMarks, backgrounds: readonly Shape[]): string[] => [
  ...marksWords(marks),
  ...backgrounds.slice(0, 1).map(backgroundWords),
];

const marksWords = ({ names, atTyped }: AssumedMarks): string[] => [
  ...(names.length === 0
    ? []
    : [
        `By ${names.length === 1 ? 'its name' : 'their names'} ${some(names)} ${names.length === 1 ? 'is' : 'are'} taken for marks.`,
      ]),
  ...(atTyped.length === 0
    ? []
    : [
        `At the typed positions of marks ${some(atTyped.map(({ id }) => id))} ${atTyped.length === 1 ? 'is' : 'are'} taken for marks; what is an opening has to be named under roles.`,
      ]),
];

const backgroundWords = ({ id }: Shape): string =>
  `${id} is as large as the page and is taken for the background; if it is the panel's edge, add outline: ${id} under roles.`;

/** The sentence that holds the line for the job. */
export const howToState = (line: string): string => `To state it, write into the job: ${line}.`;

/**
 * One warning that shows all readings, for a list; a job that needs the roles is refused
 * (`refuseDoubtfulRoles`).
 */
export const rolesUncertain = (doubt: RolesInDoubt, notes: readonly string[]): Warning => ({
  code: 'roles-uncertain',
  message: [uncertain(doubt), choices(doubt), ...notes].join(' '),
});

const uncertain = ({ why }: RolesInDoubt): string =>
  `No layer or shape is called "openings" or "outline", and it is not certain what is which: ${why}.`;

const choices = ({ readings }: RolesInDoubt): string => {
  const stated = readings.filter(({ line }) => line !== undefined);
  const rest = readings.length - stated.length;
  const group = 'put the openings and the outline into groups of their own and name these under roles.';
  if (stated.length === 0) return `Take compound paths apart and ${group}`;
  const each = stated.map(({ line, says }, i) => `${i === 0 ? 'Write' : 'Or write'} \`${line}\` if ${says}.`);
  const other = rest === 0 && readings.length > 1 ? 'If neither is meant' : 'Otherwise';
  return [...each, `${other}, ${group}`].join(' ');
};

/**
 * @param where the place in the job that names the drawing
 * @throws InputError where the roles are not certain: the wrong ones would turn the panel inside
 * out
 */
export const refuseDoubtfulRoles = (doubt: RolesInDoubt | undefined, where: Where): void => {
  if (doubt === undefined) return;
  throw new InputError({
    found: `a drawing that can be understood in several ways, as ${doubt.why}`,
    expected: "roles that say which path is the panel's edge and which are openings",
    where,
    next: `${choices(doubt)} \`reseat list\` shows them.`,
  });
};

/** `edge is the outline and the 3 closed paths in it are openings; unused: frame` */
export const readingWords = (roles: ShapeRoles): string => {
  const openings = roles.count('opening');
  const outline = roles.having('outline');
  const unused = [...roles.each('unused')];
  const are = openings === 1 ? 'is an opening' : 'are openings';
  const edges = some(outline.map(({ id }) => id));
  const words =
    outline.length === 0
      ? `there is no outline, and ${openings === 1 ? 'the only closed path' : `all ${openings} closed paths`} ${are}`
      : `${edges} ${outline.length === 1 ? 'is the outline' : 'are outlines'}, and ${openings === 0 ? 'there are no openings' : `${count(openings, 'closed path')} in ${outline.length === 1 ? 'it' : 'them'} or over the edge ${are}`}`;
  return words + (unused.length === 0 ? '' : `, with ${some(unused.map(({ id }) => id))} unused`);
};

const assumed = (
  openings: number,
  outline: readonly Shape[],
  missing: MissingLayers,
  several: readonly Shape[],
): string => {
  const edge = outline.map((shape) => shape.id).join(' and ');
  if (several.length > 0) {
    const ids = some(several.map(({ id }) => id));
    return `no outline, as ${ids} each enclose every opening; to name it, write roles: {outline: ${several.at(-1)!.id}}`;
  }
  if (!missing.openings) return `${edge}, which encloses every opening, is the outline`;
  const paths = count(openings, 'closed path');
  const are = openings === 1 ? 'is an opening' : 'are openings';
  if (!missing.outline) return `the ${paths} inside the outline ${are}`;
  if (outline.length > 0 && openings === 0) {
    return `${edge}, in which the marks lie, is the outline, and there are no openings`;
  }
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

const some = (words: readonly string[]): string =>
  words.slice(0, mostIds).join(', ') + (words.length > mostIds ? ` and ${words.length - mostIds} more` : '');

const someIds = (shapes: Iterable<Shape>, number: number): string => {
  const ids: string[] = [];
  for (const shape of shapes) if (ids.push(shape.id) === mostIds) break;
  return ids.join(', ') + (number > mostIds ? ', ...' : '');
};
