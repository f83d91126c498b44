/** Which shapes are marks, openings and the outline. */
import { defaultRoles, type RoleEntry, type Roles, roleWords } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { assumeRoles, type MissingLayers } from './assume-roles.js';
import { rolesAssumed } from './assumed-warning.js';
import type { Drawing, Role, Shape } from './drawing.js';
import { rolesLine } from './roles-line.js';
import {
  DrawnNames,
  nothingLeft,
  type Reach,
  reachOf,
  type Selector,
  selectorOf,
  selectsNothing,
} from './selectors.js';

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
  /** The selectors that were asked for. */
  readonly selectors: Roles;
  /** The names by which marks are selected: of layers and of shapes. */
  readonly markNames: ReadonlySet<string>;
  /** Where roles were assumed: `roles: {...}`, which states them in a job. Undefined where no short line does. */
  readonly line?: string;
  readonly warnings: readonly Warning[];
}

export type RoleName = 'marks' | 'outline' | 'openings';

const roleNames: readonly RoleName[] = ['marks', 'outline', 'openings'];
const roleOf: Readonly<Record<RoleName, Role>> = { marks: 'mark', outline: 'outline', openings: 'opening' };

/** What one role takes and what it leaves out. */
interface Wanted {
  readonly role: RoleName;
  /** As written; the default where the job says nothing. */
  readonly entries: readonly RoleEntry[];
  readonly takes: readonly Selector[];
  readonly leaves: readonly Selector[];
  /** False where what it takes is the default name, which the drawing may lack. */
  readonly stated: boolean;
}

/**
 * An entry names a shape (by its id or label), a layer (any group around it, by id or label), or the colour of a stroke;
 * `not` before it takes shapes out again, except one that the same role names by its own name. A role that only leaves out
 * takes what it would have taken without being mentioned.
 *
 * Capitals count only where the drawing has the name as it is spelled: `openings` finds the layer OPENINGS of a drawing
 * that has no layer `openings`, unless several names differ from it in capitals alone.
 *
 * Where several roles reach a shape, the nearest name counts: its own before everything else, an inner group's before
 * an outer one's. Two roles that reach a shape from the same distance, or one by its colour and the other by a layer, are an
 * error: nothing says which of them is meant.
 *
 * Every entry that was spelled out has to select something. The default names may be missing; what is assumed then is
 * said in a `roles-assumed` warning (see `assumeRoles`).
 *
 * @throws InputError for an entry that selects nothing, a colour that is none, a shape that two roles reach alike
 */
export const assignRoles = (drawing: Drawing, selectors: Roles): RoleAssignment => {
  const named = rolesByName(drawing, selectors);
  const { roles, missing, leftOut, near } = named;
  const assumption = assumeRoles(drawing.shapes, roles, missing, leftOut);
  const { shapes } = assumption ?? drawing;
  const final = assumption?.roles ?? roles;
  const having = (role: Role): Shape[] => shapes.filter((shape) => final.get(shape.id) === role);
  const openings = having('opening');
  const stated =
    assumption &&
    rolesLine(assumption, missing, selectors, (other) => means(drawing, other, assumption.roles));
  return {
    shapes,
    roles: final,
    marks: having('mark'),
    openings,
    outline: having('outline'),
    openOpenings: openings.filter((shape) => shape.paths.some((path) => !path.closed)),
    selectors,
    markNames: named.markNames,
    ...(stated?.line === undefined ? {} : { line: stated.line }),
    warnings: assumption === undefined ? [] : [rolesAssumed(assumption, missing, near, stated!)],
  };
};

/** Whether these selectors are understood as those roles, which name parts of shapes as well. */
const means = (drawing: Drawing, selectors: Roles, expected: ReadonlyMap<string, Role>): boolean => {
  try {
    const { roles, missing, leftOut } = rolesByName(drawing, selectors);
    const isOpening = (role: Role | undefined): boolean => role === 'opening';
    for (const [id, role] of roles) if (isOpening(role) !== isOpening(expected.get(id))) return false;
    const found = assumeRoles(drawing.shapes, roles, missing, leftOut)?.roles ?? roles;
    return found.size === expected.size && [...found].every(([id, role]) => expected.get(id) === role);
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
};

interface NamedRoles {
  readonly roles: ReadonlyMap<string, Role>;
  readonly missing: MissingLayers;
  /** Roles that a shape must not be given, by its id. */
  readonly leftOut: ReadonlyMap<string, ReadonlySet<Role>>;
  /** Names of the drawing that come near to default names which it lacks. */
  readonly near: readonly string[];
  readonly markNames: ReadonlySet<string>;
}

const rolesByName = (drawing: Drawing, selectors: Roles): NamedRoles => {
  const names = new DrawnNames(drawing.shapes);
  const wanted = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  const used = new Set<Selector>();
  const roles = new Map<string, Role>();
  const selected = new Set<RoleName>();
  const leftOut = new Map<string, ReadonlySet<Role>>();
  const clashes: Clash[] = [];
  for (const shape of drawing.shapes) {
    const { claims, refused } = claimsOn(shape, wanted, used);
    if (refused.length > 0) leftOut.set(shape.id, new Set(refused.map((role) => roleOf[role])));
    if (claims.length > 1) clashes.push({ shape, claims });
    const best = claims[0];
    if (best !== undefined) selected.add(best.role);
    roles.set(shape.id, best === undefined ? 'unused' : roleOf[best.role]);
  }
  for (const one of wanted) {
    for (const selector of [...(one.stated ? one.takes : []), ...one.leaves]) {
      if (!used.has(selector)) throw selectsNothing(selector, one.role, drawing);
    }
  }
  if (clashes.length > 0) throw reachedTwice(clashes, wanted, drawing);
  for (const { role, stated, entries } of wanted) {
    if (stated && !selected.has(role)) throw nothingLeft(role, entries, drawing);
  }
  return {
    roles,
    missing: { outline: !selected.has('outline'), openings: !selected.has('openings') },
    leftOut,
    near: wanted
      .filter(({ role, stated }) => !stated && !selected.has(role))
      .flatMap(({ role }) => nearestWord(role, names.known) ?? []),
    markNames: new Set(wanted[0]!.takes.flatMap(({ by }) => ('name' in by ? [by.name] : []))),
  };
};

/** Says which roles the job selects a shape for (several where nothing decides), before loose lines are joined. */
export const rolesBy = (drawing: Drawing, selectors: Roles): ((shape: Shape) => readonly RoleName[]) => {
  const names = new DrawnNames(drawing.shapes);
  const wanted = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  return (shape) => claimsOn(shape, wanted).claims.map(({ role }) => role);
};

const wantedBy = (role: RoleName, roles: Roles, drawing: Drawing, names: DrawnNames): Wanted => {
  const entries = roles[role];
  const all = entries.map((entry) => selectorOf(entry, role, drawing, names));
  const takes = all.filter(({ excludes }) => !excludes);
  const leaves = all.filter(({ excludes }) => excludes);
  if (takes.length > 0) return { role, entries, takes, leaves, stated: roles.stated[role] };
  const byDefault = defaultRoles[role].map((entry) => selectorOf(entry, role, drawing, names));
  return { role, entries, takes: byDefault, leaves, stated: false };
};

interface Found {
  readonly selector: Selector;
  readonly reach: Exclude<Reach, undefined>;
}

interface Claim extends Found {
  readonly role: RoleName;
}

interface Clash {
  readonly shape: Shape;
  readonly claims: readonly Claim[];
}

/**
 * The roles that a shape is selected for, one unless nothing decides between them, and those it is kept out of.
 * @param used gets every selector that reaches the shape
 */
const claimsOn = (
  shape: Shape,
  wanted: readonly Wanted[],
  used = new Set<Selector>(),
): { readonly claims: readonly Claim[]; readonly refused: readonly RoleName[] } => {
  const claims: Claim[] = [];
  const refused: RoleName[] = [];
  for (const { role, takes, leaves } of wanted) {
    const taken = nearest(takes, shape, used);
    const left = nearest(leaves, shape, used);
    if (left !== undefined && !(taken?.reach === 0 && left.reach !== 0)) refused.push(role);
    else if (taken !== undefined) claims.push({ role, ...taken });
  }
  return { claims: strongest(claims), refused };
};

/** The selector nearest to a shape; its own name, then its colour, then the layers around it. */
const nearest = (selectors: readonly Selector[], shape: Shape, used: Set<Selector>): Found | undefined => {
  let best: Found | undefined;
  for (const selector of selectors) {
    const reach = reachOf(selector, shape);
    if (reach === undefined) continue;
    used.add(selector);
    if (best === undefined || rank(reach) < rank(best.reach)) best = { selector, reach };
  }
  return best;
};

const rank = (reach: Exclude<Reach, undefined>): number => (reach === 'stroke' ? 0.5 : reach);

/** The claim that counts; several where nothing decides between them. A colour and a layer are equally near to a shape. */
const strongest = (claims: readonly Claim[]): readonly Claim[] => {
  if (claims.length < 2) return claims;
  const least = Math.min(...claims.map(({ reach }) => rank(reach)));
  return least === rank('stroke') ? claims : claims.filter(({ reach }) => rank(reach) === least);
};

const reachedTwice = (clashes: readonly Clash[], wanted: readonly Wanted[], drawing: Drawing): InputError => {
  const [{ shape, claims }] = clashes as [Clash];
  const [one, other] = claims as readonly [Claim, Claim];
  const more = clashes.length > 1 ? ` and ${clashes.length - 1} more` : '';
  const stated = claims.find(({ selector }) => selector.entry.where !== undefined) ?? one;
  const against = stated === one ? other : one;
  const { entries } = wanted.find(({ role }) => role === stated.role)!;
  const cure = roleWords([...entries, { text: `not ${against.selector.entry.text}` }]);
  return new InputError({
    found: `${shape.id}${more}, which both ${one.role} (${one.selector.entry.text}) and ${other.role} (${other.selector.entry.text}) select`,
    expected: 'one role for each shape',
    where: stated.selector.entry.where ?? {
      file: drawing.path,
      ...(shape.line === undefined ? {} : { line: shape.line }),
      element: shape.id,
    },
    next: `Leave it out of one of them, as in "${stated.role}: ${cure}".`,
  });
};
