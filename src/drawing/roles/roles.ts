/** Which shapes are marks, openings and the outline. */
import type { Point } from '../../geometry/point.js';
import { defaultRoles, type Roles, roleWords } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import type { Drawing, Role, Shape } from '../model/drawing.js';
import {
  closedCount,
  furtherShapes,
  hasId,
  hasLabel,
  isAllClosed,
  isAllOpen,
  isLikeMadeUp,
  isPlain,
} from '../model/shape-store.js';
import { assumeMarks } from './assume-marks.js';
import { assumeRoles, type MissingLayers, type Reading } from './assume-roles.js';
import { notesOn, type RolesInDoubt, readingWords, rolesAssumed, rolesUncertain } from './assumed-warning.js';
import { isBackground } from './background.js';
import { type Claim, claimsBy, type RoleName, type Wanted } from './claims.js';
import { DrawnNames } from './drawn-names.js';
import { markNameOf } from './mark-names.js';
import { type RolesLine, rolesLine } from './roles-line.js';
import { nothingLeft, reachOf, type Selector, selectorOf, selectsNothing } from './selectors.js';
import { RefusedRoles, ShapeRoles } from './shape-roles.js';

export interface RoleAssignment {
  /**
   * The drawing's shapes, in the order of the file. Where roles had to be assumed and a path holds
   * the outline and openings in one, it stands here in its parts.
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
  /**
   * Where roles were assumed: `roles: {...}`, which states them in a job. Undefined where no short
   * line does.
   */
  readonly line?: string;
  /**
   * Where what was assumed is not certain: nothing may be cut from it (see `refuseDoubtfulRoles`).
   */
  readonly doubt?: RolesInDoubt;
  /** Design positions that the job types for marks: a circle drawn there is a mark. */
  readonly typedMarks: readonly Point[];
  /** It is known that no opening lies in another one. */
  readonly areApart: boolean;
  /** Sentences on what was taken for marks, and for the background. */
  readonly notes: readonly string[];
  /** Rectangles of the page's size, which have no role. */
  readonly backgrounds: readonly Shape[];
  readonly warnings: readonly Warning[];
}

const roleNames: readonly RoleName[] = ['marks', 'outline', 'openings'];
const roleOf: Readonly<Record<RoleName, Role>> = { marks: 'mark', outline: 'outline', openings: 'opening' };

/**
 * An entry names a shape (by its id or label), a layer (any group around it, by id or label), or
 * the colour of a stroke; `not` before it takes shapes out again, except one that the same role
 * names by its own name. A role that only leaves out takes what it would have taken without being
 * mentioned.
 *
 * Capitals count only where the drawing has the name as it is spelled: `openings` finds the layer
 * OPENINGS of a drawing that has no layer `openings`, unless several names differ from it in
 * capitals alone.
 *
 * Where several roles reach a shape, the nearest name counts: its own before everything else, an
 * inner group's before an outer one's. Two roles that reach a shape from the same distance, or one
 * by its colour and the other by a layer, are an error: nothing says which of them is meant.
 *
 * Every entry that was spelled out has to select something. The default names may be missing; what
 * is assumed then is said in a `roles-assumed` warning (see `assumeRoles`, `assumeMarks`), or in a
 * `roles-uncertain` one where it is not certain.
 *
 * @param typedMarks design positions that the job types for marks, mm
 * @throws InputError for an entry that selects nothing, a colour that is none, a shape that two
 * roles reach alike
 */
export const assignRoles = (
  drawing: Drawing,
  selectors: Roles,
  typedMarks: readonly Point[] = [],
): RoleAssignment => {
  const question: Question = { drawing, names: new DrawnNames(drawing.shapes), typedMarks };
  const { named, marks, backgrounds, assumption } = understood(question, selectors);
  const { missing, near, markNames } = named;
  const notes = notesOn(marks, backgrounds);
  const all = new Set([...markNames, ...marks.names]);
  const areApart = assumption?.areApart === true && assumption.doubt === undefined;
  const assigned = { selectors, typedMarks, markNames: all, notes, backgrounds, areApart };
  if (assumption === undefined && notes.length === 0) {
    return new Assigned(named.roles, { ...assigned, warnings: [] });
  }
  const first = assumption ?? { roles: named.roles, ofWhole: named.roles };
  const stated = (reading: Reading): RolesLine =>
    rolesLine(reading, { ...missing, marks: marks.names }, selectors, (other) =>
      means(question, other, reading),
    );
  const doubt = assumption?.doubt;
  if (doubt !== undefined) {
    const inDoubt = {
      why: doubt.why,
      readings: [first, ...doubt.others].map((reading) => ({
        roles: reading.roles,
        says: readingWords(reading.roles),
        line: stated(reading).line,
      })),
    };
    const warnings = [rolesUncertain(inDoubt, notes)];
    return new Assigned(first.roles, {
      ...assigned,
      warnings,
      line: inDoubt.readings[0]!.line,
      doubt: inDoubt,
    });
  }
  const line = stated(first);
  const warning = rolesAssumed({ assumption, roles: first.roles, missing, near, marks, backgrounds }, line);
  return new Assigned(first.roles, { ...assigned, warnings: [warning], line: line.line });
};

interface Question {
  readonly drawing: Drawing;
  readonly names: DrawnNames;
  readonly typedMarks: readonly Point[];
}

/** Roles by name, and what is assumed of shapes that bear none. */
const understood = (question: Question, selectors: Roles) =>
  completed(question, rolesByName(question, selectors)!);

type Understood = ReturnType<typeof completed>;

/** Where other openings than these are named: undefined. */
const understoodAs = (
  question: Question,
  selectors: Roles,
  openings: ShapeRoles | undefined,
): Understood | undefined => {
  const named = rolesByName(question, selectors, openings);
  return named && completed(question, named);
};

const completed = ({ drawing, typedMarks }: Question, named: NamedRoles) => {
  const { shapes, page } = drawing;
  const { roles, refused, missing } = named;
  const marks = assumeMarks(roles, refused, { typedMarks, byName: missing.marks });
  const backgrounds: Shape[] = [];
  for (let i = 0; (missing.openings || missing.outline) && i < shapes.length; i += 1) {
    if (roles.at(i) !== 'unused' || !isBackground(shapes[i]!, page)) continue;
    if (!refused.mayBe(i, 'opening') && !refused.mayBe(i, 'outline')) continue;
    refused.refuse(i, 'opening');
    refused.refuse(i, 'outline');
    backgrounds.push(shapes[i]!);
  }
  return { named, marks, backgrounds, assumption: assumeRoles(roles, missing, refused, typedMarks) };
};

/**
 * The lists of shapes are made when they are asked for: a table of a million shapes needs none of
 * them.
 */
class Assigned implements RoleAssignment {
  readonly selectors: Roles;
  readonly markNames: ReadonlySet<string>;
  readonly line?: string;
  readonly doubt?: RolesInDoubt;
  readonly typedMarks: readonly Point[];
  readonly notes: readonly string[];
  readonly backgrounds: readonly Shape[];
  readonly areApart: boolean;
  readonly warnings: readonly Warning[];
  private readonly lists = new Map<Role, readonly Shape[]>();
  private open: readonly Shape[] | undefined;

  constructor(
    readonly roles: ShapeRoles,
    assigned: Pick<
      RoleAssignment,
      'selectors' | 'markNames' | 'warnings' | 'typedMarks' | 'notes' | 'backgrounds' | 'areApart'
    > & {
      readonly line?: string | undefined;
      readonly doubt?: RolesInDoubt;
    },
  ) {
    this.selectors = assigned.selectors;
    this.typedMarks = assigned.typedMarks;
    this.markNames = assigned.markNames;
    this.notes = assigned.notes;
    this.backgrounds = assigned.backgrounds;
    this.areApart = assigned.areApart;
    if (assigned.doubt !== undefined) this.doubt = assigned.doubt;
    this.warnings = assigned.warnings;
    if (assigned.line !== undefined) this.line = assigned.line;
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

/**
 * Whether these selectors are understood as what was assumed, which names parts of shapes as well,
 * and without a doubt.
 */
const means = (question: Question, selectors: Roles, expected: Reading): boolean => {
  try {
    // Openings that are stated have to be all of them; those that are not are assumed again.
    const openings = selectors.stated.openings ? expected.ofWhole : undefined;
    const found = understoodAs(question, selectors, openings);
    if (found === undefined) return false;
    const { named, assumption } = found;
    if (assumption?.doubt !== undefined) return false;
    if (!(assumption?.roles ?? named.roles).equals(expected.roles)) return false;
    return question.drawing.joinedUnder === undefined || meansJoined(question, selectors, expected);
  } catch (error) {
    if (error instanceof InputError) return false;
    throw error;
  }
};

/**
 * Whether the same is understood once the lines are joined under these selectors: lines of another
 * role may be left over.
 */
const meansJoined = ({ drawing, typedMarks }: Question, selectors: Roles, { roles }: Reading): boolean => {
  const again = drawing.joinedUnder!(selectors);
  const { named, assumption } = understood(
    { drawing: again, names: new DrawnNames(again.shapes), typedMarks },
    selectors,
  );
  const found = assumption?.roles ?? named.roles;
  return (
    assumption?.doubt === undefined &&
    (['mark', 'opening', 'outline'] as const).every((role) => {
      const shapes = [...found.each(role)];
      const isSame = (shape: Shape, i: number): boolean =>
        shape.id === shapes[i]?.id && closedCount(shape) === closedCount(shapes[i]!);
      return shapes.length === roles.count(role) && [...roles.each(role)].every(isSame);
    })
  );
};

interface NamedRoles {
  readonly roles: ShapeRoles;
  readonly missing: MissingLayers & { readonly marks: boolean };
  /** Roles that a shape must not be given. */
  readonly refused: RefusedRoles;
  /** Names of the drawing that come near to default names which it lacks. */
  readonly near: readonly string[];
  readonly markNames: ReadonlySet<string>;
}

/** @param openings where other openings are named, nothing is returned, as soon as that is seen */
const rolesByName = (
  { drawing, names }: Question,
  selectors: Roles,
  openings?: ShapeRoles,
): NamedRoles | undefined => {
  const { shapes } = drawing;
  const wanted = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  const used = new Set<Selector>();
  const selected = new Set<RoleName>();
  const refusals = new RefusedRoles(shapes.length);
  const clashes: Clash[] = [];
  const claimsOn = claimsBy(wanted, used);
  const roles = new ShapeRoles(shapes);
  let differs = false;
  for (let i = 0; i < shapes.length; i += 1) {
    const { claims, refused } = claimsOn(shapes[i]!);
    for (const role of refused) refusals.refuse(i, roleOf[role]);
    if (claims.length > 1) clashes.push({ shape: shapes[i]!, claims });
    const best = claims[0];
    if (best !== undefined) {
      selected.add(best.role);
      roles.set(i, roleOf[best.role]);
    }
    differs ||= openings !== undefined && (best?.role === 'openings') !== (openings.at(i) === 'opening');
    if (differs && selected.has('openings')) return undefined;
  }
  for (const one of wanted) {
    for (const selector of [...(one.stated ? one.takes : []), ...one.leaves]) {
      if (used.has(selector) || reachesLines(selector, shapes)) continue;
      throw selectsNothing(selector, one.role, drawing);
    }
  }
  if (clashes.length > 0) throw reachedTwice(clashes, wanted, drawing);
  for (const { role, stated, entries } of wanted) {
    if (stated && !selected.has(role)) throw nothingLeft(role, entries, drawing);
  }
  return {
    roles,
    missing: {
      outline: !selected.has('outline'),
      openings: !selected.has('openings'),
      marks: !selected.has('marks') && !selectors.stated.marks,
    },
    refused: refusals,
    near: wanted
      .filter(({ role, stated }) => role !== 'marks' && !stated && !selected.has(role))
      .flatMap(({ role }) => nearestWord(role, names.given()) ?? []),
    markNames: new Set(wanted[0]!.takes.flatMap(({ by }) => ('name' in by ? [by.name] : []))),
  };
};

type RolesOf = (shape: Shape) => readonly RoleName[];

/**
 * Which roles the job selects a shape for, before loose lines are joined; several where nothing
 * decides between them.
 */
export interface RolesBefore {
  /**
   * A name that was made up, as `list` tells it, means the outline that its line becomes part of:
   * it keeps no line from the others.
   */
  readonly byName: RolesOf;
  /**
   * The names that the file gives single lines count no more than made-up ones. The same function
   * where there are none.
   */
  readonly byLayer: RolesOf;
}

export const rolesBefore = (drawing: Drawing, selectors: Roles): RolesBefore => {
  const names = new DrawnNames(drawing.shapes);
  const all = roleNames.map((role) => wantedBy(role, selectors, drawing, names));
  const isOfOutline = ({ by }: Selector, byLayer: boolean): boolean => {
    if (!('name' in by)) return false;
    const { name } = by;
    const isMadeUp = isLikeMadeUp(name);
    if (!isMadeUp && !(byLayer && names.has(name))) return false;
    return drawing.shapes.some((shape) =>
      isPlain(shape)
        ? isMadeUp && hasId(shape, name)
        : byLayer && (hasId(shape, name) || hasLabel(shape, name)) && isAllOpen(shape),
    );
  };
  /** Lines that are marks stay as they are. */
  const without = (wanted: readonly Wanted[], byLayer: boolean): readonly Wanted[] => {
    const isKept = (selector: Selector): boolean => !isOfOutline(selector, byLayer);
    return wanted.map((one) =>
      one.role === 'marks' || [...one.takes, ...one.leaves].every(isKept)
        ? one
        : { ...one, takes: one.takes.filter(isKept), leaves: one.leaves.filter(isKept) },
    );
  };
  const named = without(all, false);
  const layered = without(named, true);
  const byName = rolesWanted(named);
  const isSame = layered.every((one, i) => one === named[i]);
  return { byName, byLayer: isSame ? byName : rolesWanted(layered) };
};

/**
 * Whether an entry takes lines that went into shapes of other layers or colours, which bear those
 * names now.
 */
const reachesLines = (selector: Selector, shapes: readonly Shape[]): boolean =>
  shapes.some((shape) => {
    for (const line of furtherShapes(shape)) if (reachOf(selector, line) !== undefined) return true;
    return false;
  });

const rolesWanted = (wanted: readonly Wanted[]): RolesOf => {
  const claimsOn = claimsBy(wanted);
  const asMark = markNameOf();
  let known: Shape | undefined;
  let last: readonly Claim[] | undefined;
  let ofLast: readonly RoleName[] = [];
  let roles: readonly RoleName[] = [];
  return (shape) => {
    if (shape === known) return roles;
    known = shape;
    const { claims } = claimsOn(shape);
    if (claims !== last) {
      last = claims;
      ofLast = claims.map(({ role }) => role);
    }
    roles = claims.length === 0 && asMark(shape) !== undefined ? ofMarks : ofLast;
    return roles;
  };
};

const ofMarks: readonly RoleName[] = ['marks'];

const wantedBy = (role: RoleName, roles: Roles, drawing: Drawing, names: DrawnNames): Wanted => {
  const entries = roles[role];
  const all = entries.map((entry) => selectorOf(entry, role, drawing, names));
  const takes = all.filter(({ excludes }) => !excludes);
  const leaves = all.filter(({ excludes }) => excludes);
  if (takes.length > 0) return { role, entries, takes, leaves, stated: roles.stated[role] };
  const byDefault = defaultRoles[role].map((entry) => selectorOf(entry, role, drawing, names));
  return { role, entries, takes: byDefault, leaves, stated: false };
};

interface Clash {
  readonly shape: Shape;
  readonly claims: readonly Claim[];
}

const reachedTwice = (clashes: readonly Clash[], wanted: readonly Wanted[], drawing: Drawing): InputError => {
  const [{ shape, claims }] = clashes as [Clash];
  const [one, other] = claims as readonly [Claim, Claim];
  const more = clashes.length > 1 ? ` and ${clashes.length - 1} more` : '';
  const stated = claims.find(({ selector }) => selector.entry.where !== undefined) ?? one;
  const against = stated === one ? other : one;
  const cureOf = (): string => {
    const againstText = against.selector.entry.text;
    if (stated.selector.entry.text !== againstText) {
      const entries = [...entriesOf(stated), { text: `not ${againstText}` }];
      return `Leave it out of one of them, as in "${stated.role}: ${roleWords(entries)}".`;
    }
    // Both say the same: what is left of one of them must still take something.
    for (const claim of [one, other]) {
      const left = entriesOf(claim).filter(({ text }) => text !== againstText);
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
