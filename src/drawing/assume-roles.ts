/** What is assumed about shapes for which the drawing has no layer. */
import { type Path, pathBox, positionAt, startOf } from '../geometry/curve.js';
import { signedArea } from '../geometry/measure.js';
import { isInside, nestingDepths, type Polygon } from '../geometry/nesting.js';
import type { Box, Point } from '../geometry/point.js';
import { polygonOfPath } from '../geometry/polygon-of-path.js';
import type { Role, Shape } from './drawing.js';

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
  readonly shapes: readonly Shape[];
  readonly roles: ReadonlyMap<string, Role>;
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
 * @param leftOut roles that a shape must not be given, by its id
 * @returns undefined where nothing was assumed
 */
export const assumeRoles = (
  shapes: readonly Shape[],
  known: ReadonlyMap<string, Role>,
  missing: MissingLayers,
  leftOut: ReadonlyMap<string, ReadonlySet<Role>>,
): Assumption | undefined => {
  if (!missing.outline && !missing.openings) return undefined;
  const shapesWith = (role: Role): Shape[] => shapes.filter((shape) => known.get(shape.id) === role);
  if (!missing.openings && shapesWith('unused').every(isOpen)) return undefined;
  const mayBe = (shape: Shape, role: Role): boolean => leftOut.get(shape.id)?.has(role) !== true;
  const rings = new Map(shapes.map((shape) => [shape, closedRings(shape)]));
  const ringsOf = (these: readonly Shape[]): ClosedRing[] => these.flatMap((shape) => rings.get(shape)!);
  const freeFor = (role: Role): ClosedRing[] =>
    ringsOf(shapesWith('unused').filter((shape) => mayBe(shape, role)));
  const outline = missing.outline
    ? enclosing(freeFor('outline'), missing.openings ? freeFor('opening') : ringsOf(shapesWith('opening')))
    : ringsOf(shapesWith('outline'));
  if (!missing.openings && outline.length === 0) return undefined;

  const roles = new Map(known);
  const result: Shape[] = [];
  const keep = (shape: Shape, role: Role): void => {
    result.push(shape);
    roles.set(shape.id, role);
  };
  const isFree = freeNames(shapes);
  for (const shape of shapes) {
    const role = known.get(shape.id)!;
    const own = rings.get(shape)!;
    const edges = own.filter((ring) => outline.includes(ring));
    if (role === 'mark' || role === 'opening') keep(shape, role);
    else if (edges.length > 0 && missing.openings && own.length > 1 && mayBe(shape, 'opening')) {
      for (const part of takeApart(shape, own, isFree)) keep(part.shape, part.role);
    } else if (edges.length > 0 || role === 'outline') keep(shape, 'outline');
    else if (!missing.openings || own.length === 0 || !mayBe(shape, 'opening')) keep(shape, 'unused');
    else {
      const inside =
        outline.length === 0 || own.every((ring) => outline.some((edge) => isWithin(ring, edge)));
      keep(shape, inside ? 'opening' : 'unused');
    }
  }
  return { shapes: result, roles };
};

const isOpen = (shape: Shape): boolean => shape.paths.every(({ closed }) => !closed);

const closedRings = (shape: Shape): ClosedRing[] =>
  shape.paths.filter((path) => path.closed).map((path) => new ClosedRing(path));

/** The largest of `candidates`, with any that lies right on it, if it holds all of `others` (itself aside). */
const enclosing = (candidates: readonly ClosedRing[], others: readonly ClosedRing[]): ClosedRing[] => {
  let largest: ClosedRing | undefined;
  let area = 0;
  for (const ring of candidates) {
    const size = ring.area;
    if (size <= area) continue;
    largest = ring;
    area = size;
  }
  if (largest === undefined) return [];
  const outer = largest;
  const same = candidates.filter((ring) => ring === outer || coincide(ring, outer));
  const inner = others.filter((ring) => !same.includes(ring));
  return inner.length > 0 && inner.every((ring) => isWithin(ring, outer)) ? same : [];
};

const coincide = (a: ClosedRing, b: ClosedRing): boolean => {
  const reach = b.box.maxX - b.box.minX + b.box.maxY - b.box.minY;
  if (Math.abs(a.area - b.area) > 2 * reach * nestingTolerance) return false;
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
    return { ...shape, id, named: false, paths };
  };
  return [
    { shape: { ...shape, paths: at(0).map((ring) => ring.path) }, role: 'outline' },
    ...holes.map(({ paths }, i) => ({ shape: part(`${i + 1}`, paths), role: 'opening' as const })),
    ...(open.length > 0 ? [{ shape: part('open', open), role: 'unused' as const }] : []),
  ];
};

const freeNames = (shapes: readonly Shape[]): ((name: string) => boolean) => {
  const taken = new Set(shapes.map((shape) => shape.id));
  return (name) => !taken.has(name);
};
