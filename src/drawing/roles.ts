/** Which shapes are marks, openings and the outline. */
import type { Roles } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { assumeRoles } from './assume-roles.js';
import type { Drawing, Role, Shape } from './drawing.js';

export interface RoleAssignment {
  /**
   * The drawing's shapes, in the order of the file. Where roles had to be assumed and a path holds the outline and
   * openings in one, it stands here in its parts.
   */
  readonly shapes: readonly Shape[];
  /** By the id of each shape in `shapes`. */
  readonly roles: ReadonlyMap<string, Role>;
  readonly marks: readonly Shape[];
  readonly openings: readonly Shape[];
  readonly outline: readonly Shape[];
  /** The openings that are open in some part: nothing can be cut along those parts. */
  readonly openOpenings: readonly Shape[];
  /** The selectors that were asked for, with the capitals of the drawing. */
  readonly selectors: Roles;
  readonly warnings: readonly Warning[];
}

type RoleName = 'marks' | 'outline' | 'openings';

/** In this order they win where a shape is selected for several in the same way. */
const roleNames: readonly RoleName[] = ['marks', 'outline', 'openings'];
const roleOf: Readonly<Record<RoleName, Role>> = { marks: 'mark', outline: 'outline', openings: 'opening' };

/**
 * A selector names a shape (by its id or label) or a layer (any group around it, by id or label). Where several selectors
 * reach a shape, the nearest name counts: its own before its group's, an inner group's before an outer one's; at the
 * same distance marks win over the outline, and the outline over openings.
 *
 * Capitals count only where the drawing has the name as it is spelled: `openings` finds the layer OPENINGS of a drawing
 * that has no layer `openings`, unless several names differ from it in capitals alone.
 *
 * A selector that was spelled out has to select something. The default names may be missing; what is assumed then is
 * said in a `roles-assumed` warning (see `assumeRoles`).
 *
 * @throws InputError for a stated selector that selects nothing
 */
export const assignRoles = (drawing: Drawing, asked: Roles): RoleAssignment => {
  const selectors = spelledAsDrawn(drawing.shapes, asked);
  const roles = new Map<string, Role>();
  const selected: Record<RoleName, number> = { marks: 0, outline: 0, openings: 0 };
  const reached: Record<RoleName, number> = { marks: 0, outline: 0, openings: 0 };
  for (const shape of drawing.shapes) {
    const best = selectedRole(shape, selectors, (name) => {
      reached[name] += 1;
    });
    if (best !== undefined) selected[best] += 1;
    roles.set(shape.id, best === undefined ? 'unused' : roleOf[best]);
  }
  for (const name of roleNames) {
    if (!selectors.stated[name] || selected[name] > 0) continue;
    throw reached[name] > 0 ? allTaken(drawing, selectors, name) : selectsNothing(drawing, selectors, name);
  }
  const missing = { outline: selected.outline === 0, openings: selected.openings === 0 };
  const known = knownNames(drawing.shapes);
  const near = roleNames
    .filter((name) => selected[name] === 0)
    .flatMap((name) => nearestWord(selectors[name], known) ?? []);
  const assumed = assumeRoles(drawing.shapes, roles, missing, { selectors, near });
  const { shapes } = assumed;
  const having = (role: Role): Shape[] => shapes.filter((shape) => assumed.roles.get(shape.id) === role);
  const openings = having('opening');
  return {
    shapes,
    roles: assumed.roles,
    marks: having('mark'),
    openings,
    outline: having('outline'),
    openOpenings: openings.filter((shape) => shape.paths.some((path) => !path.closed)),
    selectors,
    warnings: assumed.warnings,
  };
};

/**
 * The role a shape is selected for, by the nearest name; undefined where no selector reaches it.
 * @param reaches called for each selector that reaches it
 */
export const selectedRole = (
  shape: Shape,
  selectors: Roles,
  reaches?: (name: RoleName) => void,
): RoleName | undefined => {
  let best: RoleName | undefined;
  let bestDistance = Number.POSITIVE_INFINITY;
  for (const name of roleNames) {
    const distance = distanceTo(shape, selectors[name]);
    if (distance === undefined) continue;
    reaches?.(name);
    if (distance >= bestDistance) continue;
    best = name;
    bestDistance = distance;
  }
  return best;
};

/** 0: the shape itself bears the name; 1: its group; 2: the group around that; undefined: nothing does. */
const distanceTo = (shape: Shape, name: string): number | undefined => {
  if (shape.id === name || shape.labels?.includes(name)) return 0;
  if (!shape.layers.includes(name)) return undefined;
  let distance = 1;
  for (let group = shape.group; group !== undefined; group = group.parent) {
    if (group.names.includes(name)) return distance;
    distance += 1;
  }
  // A shape without groups has its layers only as a list of names.
  return shape.layers.indexOf(name) + 1;
};

/** Every name that a selector could use, layers first. */
export const knownNames = (shapes: readonly Shape[]): string[] => {
  const names = new Set<string>();
  for (const shape of shapes) for (const layer of shape.layers) names.add(layer);
  for (const shape of shapes) {
    if (shape.named) names.add(shape.id);
    for (const label of shape.labels ?? []) names.add(label);
  }
  return [...names];
};

/** The selectors with the capitals that the drawing writes its names with. */
export const spelledAsDrawn = (shapes: readonly Shape[], asked: Roles): Roles => {
  const known = new Set(knownNames(shapes));
  const spelled = (name: string): string => {
    if (known.has(name) || shapes.some(({ id }) => id === name)) return name;
    const plain = name.toLowerCase();
    const same = [...known].filter((one) => one.length === name.length && one.toLowerCase() === plain);
    return same.length === 1 ? same[0]! : name;
  };
  return {
    ...asked,
    marks: spelled(asked.marks),
    openings: spelled(asked.openings),
    outline: spelled(asked.outline),
  };
};

const selectsNothing = (drawing: Drawing, selectors: Roles, role: RoleName): InputError => {
  const name = selectors[role];
  const known = knownNames(drawing.shapes);
  const nearest = nearestWord(name, known);
  const some = known.slice(0, 8).join(', ');
  const more = known.length > 8 ? ` and ${known.length - 8} more` : '';
  return new InputError({
    found: `roles: ${role}: ${name}, which is neither a shape nor a layer of the drawing`,
    expected: known.length === 0 ? 'a drawing with named shapes or layers' : `one of ${some}${more}`,
    where: { file: drawing.path, element: name },
    next:
      nearest === undefined
        ? 'Correct the name; `reseat list` shows every shape with its layer.'
        : `Did you mean ${nearest}?`,
  });
};

const allTaken = (drawing: Drawing, selectors: Roles, role: RoleName): InputError =>
  new InputError({
    found: `roles: ${role}: ${selectors[role]}, whose shapes all have another role by a nearer name`,
    expected: `at least one shape left for ${role}`,
    where: { file: drawing.path, element: selectors[role] },
    next: 'Put the shapes of each role into a group of their own and name the groups under roles.',
  });
