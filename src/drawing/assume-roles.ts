/** What is assumed about shapes for which the drawing has no layer. */
import { type Path, pathBox, positionAt, startOf } from '../geometry/curve.js';
import { signedArea } from '../geometry/measure.js';
import { isInside, nestingDepths, type Polygon } from '../geometry/nesting.js';
import type { Box, Point } from '../geometry/point.js';
import { polygonOfPath } from '../geometry/polygon-of-path.js';
import type { Role, Shape } from './drawing.js';
import { ShapeRoles } from './shape-roles.js';
import { changedShape, closedCount, glimpse, isAllOpen } from './shape-store.js';

/** Default layers that the drawing lacks. */
export interface MissingLayers {
  readonly outline: boolean;
  readonly openings: boolean;
}

/** A closed subpath. What is asked of few rings only is worked out when it is asked. */
class ClosedRing {
  private knownBox: Box | undefined;
  private knownArea: number | undefined;
  private knownPolygon: Polygon | undefined;

  constructor(readonly path: Path) {}

  get box(): Box {
    this.knownBox ??= pathBox(this.path);
    return this.knownBox;
  }

  /** mm^2, whichever way it runs. */
  get area(): number {
    this.knownArea ??= Math.abs(signedArea(this.path));
    return this.knownArea;
  }

  get polygon(): Polygon {
    this.knownPolygon ??= polygonOfPath(this.path, nestingTolerance);
    return this.knownPolygon;
  }

  /** Three points along it: where rings touch, two of them decide. */
  get witnesses(): Point[] {
    const { segments } = this.path;
    const count = segments.length;
    return [0, 1 / 3, 2 / 3].map((part) => {
      const at = part * count;
      const i = Math.floor(at);
      return count < 3 ? positionAt(segments[i]!, at - i) : startOf(segments[i]!);
    });
  }
}

/** The shapes, one of them perhaps in parts, and the role of each. */
export interface Assumption {
  readonly roles: ShapeRoles;
}

/** A ring, and its number among those of all shapes. */
interface Numbered {
  readonly ring: ClosedRing;
  readonly number: number;
}

/** How near to the curve nesting is decided, and how near two outlines lie to be one that was drawn twice, mm. */
const nestingTolerance = 0.01;

/**
 * Fills in for default layers that the drawing lacks, among the shapes that have no role yet:
 * - no outline: the closed path that holds every other closed path (where openings are known: every opening) is the
 *   outline; a second path drawn on the very same line goes with it. Where there is no such path there is no outline.
 * - no openings: the closed paths inside the outline are openings; without an outline all closed paths are. A path that
 *   is the outline and its openings in one is taken apart: each hole, with the islands in it, is an opening of its own
 *   (`panel.1`, `panel.2` ...).
 * Open paths stay unused. Missing marks are not assumed: they can be typed in the job.
 * @param leftOut roles that a shape must not be given
 * @returns undefined where nothing was assumed
 */
export const assumeRoles = (
  shapes: readonly Shape[],
  known: ShapeRoles,
  missing: MissingLayers,
  leftOut: ReadonlyMap<Shape, ReadonlySet<Role>>,
): Assumption | undefined => {
  if (!missing.outline && !missing.openings) return undefined;
  if (!missing.openings && known.having('unused').every(isAllOpen)) return undefined;
  const mayBe = (shape: Shape, role: Role): boolean => leftOut.get(shape)?.has(role) !== true;
  const ringsWith = (role: Role) => () => numberedRings(shapes, (_, i) => known.at(i) === role);
  const freeFor = (role: Role) => () =>
    numberedRings(shapes, (shape, i) => known.at(i) === 'unused' && mayBe(shape, role));
  const outline = missing.outline
    ? enclosing(freeFor('outline'), missing.openings ? freeFor('opening') : ringsWith('opening'))
    : [...ringsWith('outline')()];
  if (!missing.openings && outline.length === 0) return undefined;

  const isEdge = new Set(outline.map(({ number }) => number));
  const result: Shape[] = [];
  const roles: Role[] = [];
  const keep = (shape: Shape, role: Role): void => {
    result.push(shape);
    roles.push(role);
  };
  const isFree = freeNames(shapes);
  let number = 0;
  shapes.forEach((shape, i) => {
    const role = known.at(i);
    const first = number;
    const own = closedRings(shape);
    number += own.length;
    const edges = isEdge.size > 0 && own.some((_, k) => isEdge.has(first + k));
    if (role === 'mark' || role === 'opening') keep(shape, role);
    else if (edges && missing.openings && own.length > 1 && mayBe(shape, 'opening')) {
      for (const part of takeApart(shape, own, isFree)) keep(part.shape, part.role);
    } else if (edges || role === 'outline') keep(shape, 'outline');
    else if (!missing.openings || own.length === 0 || !mayBe(shape, 'opening')) keep(shape, 'unused');
    else {
      const inside =
        outline.length === 0 || own.every((ring) => outline.some((edge) => isWithin(ring, edge.ring)));
      keep(shape, inside ? 'opening' : 'unused');
    }
  });
  return { roles: new ShapeRoles(result, (_, i) => roles[i]!) };
};

/** For a passing look: of a million shapes nothing of their rings is kept. */
const closedRings = (shape: Shape): ClosedRing[] => {
  const rings: ClosedRing[] = [];
  for (const path of glimpse(shape)) if (path.closed) rings.push(new ClosedRing(path));
  return rings;
};

function* numberedRings(
  shapes: readonly Shape[],
  isWanted: (shape: Shape, place: number) => boolean,
): Generator<Numbered> {
  let number = 0;
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    if (isWanted(shape, i)) {
      for (const ring of closedRings(shape)) {
        yield { ring, number };
        number += 1;
      }
    } else number += closedCount(shape);
  }
}

/** The largest of `candidates`, with any that lies right on it, if it holds all of `others` (itself aside). */
const enclosing = (
  candidates: () => Iterable<Numbered>,
  others: () => Iterable<Numbered>,
): readonly Numbered[] => {
  let largest: Numbered | undefined;
  let area = 0;
  const areas: number[] = [];
  for (const one of candidates()) {
    const size = one.ring.area;
    areas.push(size);
    if (size <= area) continue;
    largest = one;
    area = size;
  }
  if (largest === undefined) return [];
  const outer = largest;
  // One that does not lie within it decides; most often the first that is looked at.
  let inner = false;
  const held: Numbered[] = [outer];
  let place = 0;
  for (const one of candidates()) {
    const size = areas[place]!;
    place += 1;
    if (one.number !== outer.number && coincide(one.ring, size, outer.ring)) held.push(one);
  }
  const same = new Set(held.map(({ number }) => number));
  for (const { ring, number } of others()) {
    if (same.has(number)) continue;
    if (!isWithin(ring, outer.ring)) return [];
    inner = true;
  }
  return inner ? held.sort((a, b) => a.number - b.number) : [];
};

const coincide = (a: ClosedRing, area: number, b: ClosedRing): boolean => {
  const reach = b.box.maxX - b.box.minX + b.box.maxY - b.box.minY;
  if (Math.abs(area - b.area) > 2 * reach * nestingTolerance) return false;
  return (
    Math.abs(a.box.minX - b.box.minX) <= nestingTolerance &&
    Math.abs(a.box.minY - b.box.minY) <= nestingTolerance &&
    Math.abs(a.box.maxX - b.box.maxX) <= nestingTolerance &&
    Math.abs(a.box.maxY - b.box.maxY) <= nestingTolerance
  );
};

const isWithin = (inner: ClosedRing, outer: ClosedRing): boolean => {
  const { box } = inner;
  const boxes =
    box.minX >= outer.box.minX - nestingTolerance &&
    box.minY >= outer.box.minY - nestingTolerance &&
    box.maxX <= outer.box.maxX + nestingTolerance &&
    box.maxY <= outer.box.maxY + nestingTolerance;
  if (!boxes) return false;
  return inner.witnesses.filter((p) => isInside(p, outer.polygon)).length >= 2;
};

/** A path that is the outline and its openings in one: its outer rings, then each hole, then what is open. */
const takeApart = (
  shape: Shape,
  rings: readonly ClosedRing[],
  isFree: (name: string) => boolean,
): { readonly shape: Shape; readonly role: Role }[] => {
  const depths = nestingDepths(rings.map((ring) => ring.polygon));
  const at = (depth: number): ClosedRing[] => rings.filter((_, i) => depths[i] === depth);
  const holes = at(1).map((hole) => ({ hole, paths: [hole.path] }));
  rings.forEach((ring, i) => {
    if (depths[i]! < 2) return;
    holes.find(({ hole }) => isWithin(ring, hole))?.paths.push(ring.path);
  });
  const open = shape.paths.filter((path) => !path.closed);
  const part = (name: string, paths: readonly Path[]): Shape => {
    let id = `${shape.id}.${name}`;
    while (!isFree(id)) id += '-';
    return changedShape(shape, { id, named: false, paths });
  };
  return [
    { shape: changedShape(shape, { paths: at(0).map((ring) => ring.path) }), role: 'outline' },
    ...holes.map(({ paths }, i) => ({ shape: part(`${i + 1}`, paths), role: 'opening' as const })),
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
