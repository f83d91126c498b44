/** Which shapes are marks, openings and the outline. */
import { defaultRoles, type RoleEntry, type Roles, roleWords } from '../job/job.js';
import { InputError, type Warning } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { type Assumption, assumeRoles, type MissingLayers } from './assume-roles.js';
import { rolesAssumed } from './assumed-warning.js';
import type { Drawing, Group, Role, Shape } from './drawing.js';
import { DrawnNames } from './drawn-names.js';
import { rolesLine } from './roles-line.js';
import {
  nothingLeft,
  type Reach,
  reachOf,
  type Selector,
  selectorOf,
  selectsNothing,
  strokeOf,
} from './selectors.js';
import { RefusedRoles, ShapeRoles } from './shape-roles.js';
import { hasId, hasLabel, isAllClosed, isLikeMadeUp, isPlain, labelsNow } from './shape-store.js';

export interface RoleAssignment {
  /**
   * The drawing's shapes, in the order of the file. Where roles had to be assumed and a path holds the outline and
   * openings in one, it stands here in its parts.
   */
  readonly shapes: readonly Shape[];
  /** By the id of each shape in `shapes`. */
  readonly roles: ShapeRoles;
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
  const names = new DrawnNames(drawing.shapes);
  const named = rolesByName(drawing, selectors, names);
  const { missing, near, markNames } = named;
  const assumption = assumeRoles(drawing.shapes, named.roles, missing, named.refused);
  const stated =
    assumption &&
    rolesLine(assumption, missing, selectors, (other) => means(drawing, other, assumption, names));
  const line = stated?.line;
  const warnings = assumption === undefined ? [] : [rolesAssumed(assumption, missing, near, stated!)];
  return new Assigned(assumption?.roles ?? named.roles, { selectors, markNames, warnings, line });
};

/** The lists of shapes are made when they are asked for: a table of a million shapes needs none of them. */
class Assigned implements RoleAssignment {
  readonly selectors: Roles;
  readonly markNames: ReadonlySet<string>;
  readonly line?: string;
  readonly warnings: readonly Warning[];
  private readonly lists = new Map<Role, readonly Shape[]>();
  private open: readonly Shape[] | undefined;

  constructor(
    readonly roles: ShapeRoles,
    said: Pick<RoleAssignment, 'selectors' | 'markNames' | 'warnings'> & {
      readonly line: string | undefined;
    },
  ) {
    this.selectors = said.selectors;
    this.markNames = said.markNames;
    this.warnings = said.warnings;
    if (said.line !== undefined) this.line = said.line;
  }

  get shapes(): readonly Shape[] {
    return this.roles.shapes;
  }

  get marks(): readonly Shape[] {
    return this.list('mark');
  }

  get openings(): readonly Shape[] {
    return this.list('opening');
  }

  get outline(): readonly Shape[] {
    return this.list('outline');
  }

  private list(role: Role): readonly Shape[] {
    const list = this.lists.get(role) ?? this.roles.having(role);
    this.lists.set(role, list);
    return list;
  }

  get openOpenings(): readonly Shape[] {
    this.open ??= this.openings.filter((shape) => !isAllClosed(shape));
    return this.open;
  }
}

/** Whether these selectors are understood as what was assumed, which names parts of shapes as well. */
const means = (drawing: Drawing, selectors: Roles, expected: Assumption, names: DrawnNames): boolean => {
  try {
    const { roles, missing, refused } = rolesByName(drawing, selectors, names);
    // Openings that are stated have to be all of them; those that are not are assumed again.
    if (selectors.stated.openings && !roles.agrees(expected.ofWhole, 'opening')) return false;
    const found = assumeRoles(drawing.shapes, roles, missing, refused)?.roles ?? roles;
    return found.equals(expected.roles);
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
};

interface NamedRoles {
  readonly roles: ShapeRoles;
  readonly missing: MissingLayers;
  /** Roles that a shape must not be given. */
  readonly refused: RefusedRoles;
  /** Names of the drawing that come near to default names which it lacks. */
  readonly near: readonly string[];
  readonly markNames: ReadonlySet<string>;
}

const rolesByName = (drawing: Drawing, selectors: Roles, names: DrawnNames): NamedRoles => {
  const { shapes } = drawing;
  const wanted = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  const used = new Set<Selector>();
  const selected = new Set<RoleName>();
  const refusals = new RefusedRoles(shapes.length);
  const clashes: Clash[] = [];
  const claimsOn = claimsBy(wanted, used);
  const roles = new ShapeRoles(shapes);
  for (let i = 0; i < shapes.length; i += 1) {
    const { claims, refused } = claimsOn(shapes[i]!);
    for (const role of refused) refusals.refuse(i, roleOf[role]);
    if (claims.length > 1) clashes.push({ shape: shapes[i]!, claims });
    const best = claims[0];
    if (best === undefined) continue;
    selected.add(best.role);
    roles.set(i, roleOf[best.role]);
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
    refused: refusals,
    near: wanted
      .filter(({ role, stated }) => !stated && !selected.has(role))
      .flatMap(({ role }) => nearestWord(role, names.given()) ?? []),
    markNames: new Set(wanted[0]!.takes.flatMap(({ by }) => ('name' in by ? [by.name] : []))),
  };
};

/** Says which roles the job selects a shape for (several where nothing decides), before loose lines are joined. */
export const rolesBy = (drawing: Drawing, selectors: Roles): ((shape: Shape) => readonly RoleName[]) => {
  const names = new DrawnNames(drawing.shapes);
  const wanted = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  const claimsOn = claimsBy(wanted);
  let last: readonly Claim[] | undefined;
  let roles: readonly RoleName[] = [];
  return (shape) => {
    const { claims } = claimsOn(shape);
    if (claims !== last) {
      last = claims;
      roles = claims.map(({ role }) => role);
    }
    return roles;
  };
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

/** What the roles want of one shape. */
interface Claims {
  /** The roles that a shape is selected for, one unless nothing decides between them. */
  readonly claims: readonly Claim[];
  /** Those it is kept out of. */
  readonly refused: readonly RoleName[];
}

/** So many names are compared one by one. */
const fewNames = 8;

/**
 * Says for each shape what the roles want of it. Shapes that bear no name that is asked for differ in nothing but their
 * layers and strokes: one after another of the same kind is looked at once.
 *
 * @param used gets every selector that reaches a shape
 */
const claimsBy = (wanted: readonly Wanted[], used = new Set<Selector>()): ((shape: Shape) => Claims) => {
  const selectors = wanted.flatMap(({ takes, leaves }) => [...takes, ...leaves]);
  const names = new Set(selectors.flatMap(({ by }) => ('name' in by ? [by.name] : [])));
  const few = names.size <= fewNames ? [...names] : undefined;
  const asksForMadeUp = [...names].some(isLikeMadeUp);
  const isCalled = (shape: Shape): boolean => {
    if (!asksForMadeUp && isPlain(shape)) return false;
    if (few === undefined) {
      for (const label of labelsNow(shape)) if (names.has(label)) return true;
      return names.has(shape.id);
    }
    for (const name of few) if (hasId(shape, name) || hasLabel(shape, name)) return true;
    return false;
  };
  let group: Group | undefined;
  let layers: readonly string[] | undefined;
  let stroke = '';
  let last: Claims = { claims: [], refused: [] };
  return (shape) => {
    if (isCalled(shape)) return claimsOn(shape, wanted, used);
    const own = strokeOf(shape);
    if (shape.layers === layers && shape.group === group && own === stroke) return last;
    ({ layers, group } = shape);
    stroke = own;
    last = claimsOn(shape, wanted, used);
    return last;
  };
};

const claimsOn = (shape: Shape, wanted: readonly Wanted[], used: Set<Selector>): Claims => {
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
  const cureOf = (): string => {
    const said = against.selector.entry.text;
    if (stated.selector.entry.text !== said) {
      const entries = [...entriesOf(stated), { text: `not ${said}` }];
      return `Leave it out of one of them, as in "${stated.role}: ${roleWords(entries)}".`;
    }
    // Both say the same: what is left of one of them must still take something.
    for (const claim of [one, other]) {
      const left = entriesOf(claim).filter(({ text }) => text !== said);
      if (left.some(({ text }) => !/^not\s/i.test(text))) {
        return `Name it in one of them only, as in "${claim.role}: ${roleWords(left)}".`;
      }
    }
    return 'Name it in one of them only.';
  };
  const entriesOf = (claim: Claim) => wanted.find(({ role }) => role === claim.role)!.entries;
  return new InputError({
    found: `${shape.id}${more}, which both ${one.role} (${one.selector.entry.text}) and ${other.role} (${other.selector.entry.text}) select`,
    expected: 'one role for each shape',
    where: stated.selector.entry.where ?? {
      file: drawing.path,
      ...(shape.line === undefined ? {} : { line: shape.line }),
      element: shape.id,
    },
    next: cureOf(),
  });
};
