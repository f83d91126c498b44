/** A path that is the outline and its openings in one, taken apart. */
import type { Path } from '../../geometry/curve.js';
import { nestingOf, ringOfPath } from '../../geometry/rings/nesting.js';
import type { Role, Shape } from '../model/drawing.js';
import { changedShape } from '../model/shape-store.js';
import { ShapeRoles } from './shape-roles.js';

/** The shapes, with the parts of some in their places, and the roles of all. */
export const takenApart = (
  shapes: readonly Shape[],
  whole: ShapeRoles,
  inParts: readonly number[],
): ShapeRoles => {
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
    for (const part of partsOf(shape, isFree)) {
      result.push(part.shape);
      roles.push(part.role);
    }
  }
  const parts = new ShapeRoles(result);
  for (const [i, role] of roles.entries()) parts.set(i, role);
  return parts;
};

/**
 * A path that is the outline and its openings in one: its outer rings, then each hole, then what is
 * open.
 */
const partsOf = (
  shape: Shape,
  isFree: (name: string) => boolean,
): { readonly shape: Shape; readonly role: Role }[] => {
  const rings = shape.paths.filter(({ closed }) => closed);
  const nesting = nestingOf(rings.map((path) => ringOfPath(path)));
  const holes = new Map<number, Path[]>();
  for (const [i, path] of rings.entries()) if (nesting.level(i) === 1) holes.set(i, [path]);
  for (const [i, path] of rings.entries()) {
    if (nesting.level(i) < 2) continue;
    const hole = nesting.around(i).find((outer) => nesting.level(outer) === 1);
    if (hole !== undefined) holes.get(hole)!.push(path);
  }
  const edges = rings.filter((_, i) => nesting.level(i) === 0);
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
