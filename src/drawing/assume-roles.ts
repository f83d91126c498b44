/** What is assumed about shapes for which the drawing has no layer. */
import type { Path } from '../geometry/curve.js';
import { liesIn, type NestRing, nestingOf, ringOfPath } from '../geometry/nesting.js';
import type { Box } from '../geometry/point.js';
import { boxOfPath, signedAreaNow } from '../geometry/stored-path.js';
import type { Role, Shape } from './drawing.js';
import { type RefusedRoles, ShapeRoles } from './shape-roles.js';
import { changedShape, closedCount, glimpse, isAllOpen } from './shape-store.js';

/** Default layers that the drawing lacks. */
export interface MissingLayers {
  readonly outline: boolean;
  readonly openings: boolean;
}

/** A closed subpath, and where it is drawn. What is asked of few rings only is worked out when it is asked. */
class ClosedRing {
  private knownBox: Box | undefined;
  private knownArea: number | undefined;
  private knownRing: NestRing | undefined;

  /**
   * @param place of its shape among the shapes
   * @param index among the paths of the shape
   */
  constructor(
    readonly path: Path,
    readonly place: number,
    readonly index: number,
  ) {}

  isSame(other: ClosedRing): boolean {
    return this.place === other.place && this.index === other.index;
  }

  get box(): Box {
    this.knownBox ??= boxOfPath(this.path);
    return this.knownBox;
  }

  /** mm^2, whichever way it runs. */
  get area(): number {
    this.knownArea ??= Math.abs(signedAreaNow(this.path));
    return this.knownArea;
  }

  get ring(): NestRing {
    this.knownRing ??= ringOfPath(this.path);
    return this.knownRing;
  }
}

export interface Assumption {
  /** The shapes, one of them perhaps in parts, and the role of each. */
  readonly roles: ShapeRoles;
  /** The roles of the shapes as they were; of one in parts, that of its first. */
  readonly ofWhole: ShapeRoles;
}

/** How near two outlines lie to be one that was drawn twice, mm. */
const twiceWithin = 0.01;

/**
 * Fills in for default layers that the drawing lacks, among the shapes that have no role yet:
 * - no outline: the closed path that holds every other closed path (where openings are known: every opening) is the
 *   outline; a second path drawn on the very same line goes with it. Where there is no such path there is no outline.
 * - no openings: the closed paths inside the outline are openings; without an outline all closed paths are. A path that
 *   is the outline and its openings in one is taken apart: each hole, with the islands in it, is an opening of its own
 *   (`panel.1`, `panel.2` ...).
 * Open paths stay unused. Missing marks are not assumed: they can be typed in the job.
 * @param refused roles that a shape must not be given
 * @returns undefined where nothing was assumed
 */
export const assumeRoles = (
  shapes: readonly Shape[],
  known: ShapeRoles,
  missing: MissingLayers,
  refused: RefusedRoles,
): Assumption | undefined => {
  if (!missing.outline && !missing.openings) return undefined;
  if (!missing.openings && areAllOpen(known.each('unused'))) return undefined;
  const hasRole = (role: Role) => (place: number) => known.at(place) === role;
  const isFreeFor = (role: Role) => (place: number) =>
    known.at(place) === 'unused' && refused.mayBe(place, role);
  const outline = missing.outline
    ? enclosing(shapes, isFreeFor('outline'), missing.openings ? isFreeFor('opening') : hasRole('opening'))
    : [...ringsOf(shapes, hasRole('outline'))];
  if (!missing.openings && outline.length === 0) return undefined;

  const edges = new Set(outline.map(({ place }) => place));
  /** An outline that was found holds all rings that may be openings; of one that was there before it is not known. */
  const isInside = (place: number): boolean =>
    missing.outline ||
    outline.length === 0 ||
    ringsIn(shapes[place]!, place).every((ring) => outline.some((edge) => isWithin(ring, edge)));
  const ofWhole = new ShapeRoles(shapes);
  const inParts: number[] = [];
  for (let i = 0; i < shapes.length; i += 1) {
    const role = known.at(i);
    if (role === 'mark' || role === 'opening') {
      ofWhole.set(i, role);
      continue;
    }
    const isEdge = edges.has(i);
    const mayOpen = missing.openings && refused.mayBe(i, 'opening');
    if (isEdge || role === 'outline') ofWhole.set(i, 'outline');
    else if (mayOpen && closedCount(shapes[i]!) > 0 && isInside(i)) ofWhole.set(i, 'opening');
    if (isEdge && mayOpen && closedCount(shapes[i]!) > 1) inParts.push(i);
  }
  return { roles: inParts.length === 0 ? ofWhole : takenApart(shapes, ofWhole, inParts), ofWhole };
};

const areAllOpen = (shapes: Iterable<Shape>): boolean => {
  for (const shape of shapes) if (!isAllOpen(shape)) return false;
  return true;
};

/** For a passing look: of a million shapes nothing of their rings is kept. */
const ringsIn = (shape: Shape, place: number): ClosedRing[] => {
  const rings: ClosedRing[] = [];
  for (const [index, path] of glimpse(shape).entries()) {
    if (path.closed) rings.push(new ClosedRing(path, place, index));
  }
  return rings;
};

function* ringsOf(shapes: readonly Shape[], isWanted: (place: number) => boolean): Generator<ClosedRing> {
  for (let i = 0; i < shapes.length; i += 1) if (isWanted(i)) yield* ringsIn(shapes[i]!, i);
}

/**
 * The largest of the rings that may be it, with any that lies right on it, if it holds all others that count.
 * @param mayBe whether the rings of a shape may be the one that is looked for
 * @param counts whether it has to hold those of a shape
 */
const enclosing = (
  shapes: readonly Shape[],
  mayBe: (place: number) => boolean,
  counts: (place: number) => boolean,
): readonly ClosedRing[] => {
  let outer: ClosedRing | undefined;
  for (const ring of ringsOf(shapes, mayBe)) {
    if (ring.area > (outer?.area ?? 0)) outer = ring;
  }
  if (outer === undefined) return [];
  // One that does not lie within it decides; most often the first that is looked at.
  let holdsOne = false;
  for (const ring of ringsOf(shapes, counts)) {
    if (ring.isSame(outer) || (coincide(ring, outer) && mayBe(ring.place))) continue;
    if (!isWithin(ring, outer)) return [];
    holdsOne = true;
  }
  if (!holdsOne) return [];
  const held: ClosedRing[] = [];
  for (const ring of ringsOf(shapes, mayBe)) {
    if (ring.isSame(outer)) held.push(outer);
    else if (coincide(ring, outer)) held.push(ring);
  }
  return held;
};

const coincide = (a: ClosedRing, b: ClosedRing): boolean => {
  const [one, other] = [a.box, b.box];
  const boxes =
    Math.abs(one.minX - other.minX) <= twiceWithin &&
    Math.abs(one.minY - other.minY) <= twiceWithin &&
    Math.abs(one.maxX - other.maxX) <= twiceWithin &&
    Math.abs(one.maxY - other.maxY) <= twiceWithin;
  if (!boxes) return false;
  const reach = other.maxX - other.minX + other.maxY - other.minY;
  return Math.abs(a.area - b.area) <= 2 * reach * twiceWithin;
};

const isWithin = (inner: ClosedRing, outer: ClosedRing): boolean => liesIn(inner.ring, outer.ring);

/** The shapes, with the parts of some in their places, and the roles of all. */
const takenApart = (shapes: readonly Shape[], whole: ShapeRoles, inParts: readonly number[]): ShapeRoles => {
  const result: Shape[] = [];
  const roles: Role[] = [];
  const isFree = freeNames(shapes);
  let next = 0;
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    if (i !== inParts[next]) {
      result.push(shape);
      roles.push(whole.at(i));
      continue;
    }
    next += 1;
    for (const part of partsOf(shape, ringsIn(shape, i), isFree)) {
      result.push(part.shape);
      roles.push(part.role);
    }
  }
  const parts = new ShapeRoles(result);
  for (const [i, role] of roles.entries()) parts.set(i, role);
  return parts;
};

/** A path that is the outline and its openings in one: its outer rings, then each hole, then what is open. */
const partsOf = (
  shape: Shape,
  rings: readonly ClosedRing[],
  isFree: (name: string) => boolean,
): { readonly shape: Shape; readonly role: Role }[] => {
  const nesting = nestingOf(rings.map(({ ring }) => ring));
  const holes = new Map<number, Path[]>();
  for (const [i, { path }] of rings.entries()) if (nesting.level(i) === 1) holes.set(i, [path]);
  for (const [i, { path }] of rings.entries()) {
    if (nesting.level(i) < 2) continue;
    const hole = nesting.around(i).find((outer) => nesting.level(outer) === 1);
    if (hole !== undefined) holes.get(hole)!.push(path);
  }
  const edges = rings.filter((_, i) => nesting.level(i) === 0).map(({ path }) => path);
  const open = shape.paths.filter((path) => !path.closed);
  const part = (name: string, paths: readonly Path[]): Shape => {
    let id = `${shape.id}.${name}`;
    while (!isFree(id)) id += '-';
    return changedShape(shape, { id, named: false, paths });
  };
  return [
    { shape: changedShape(shape, { paths: edges }), role: 'outline' },
    ...[...holes.values()].map((paths, i) => ({ shape: part(`${i + 1}`, paths), role: 'opening' as const })),
    ...(open.length > 0 ? [{ shape: part('open', open), role: 'unused' as const }] : []),
  ];
};

const freeNames = (shapes: readonly Shape[]): ((name: string) => boolean) => {
  let taken: ReadonlySet<string> | undefined;
  return (name) => {
    taken ??= new Set(shapes.map((shape) => shape.id));
    return !taken.has(name);
  };
};
