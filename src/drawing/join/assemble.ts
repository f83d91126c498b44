/** Shapes of the paths they have after joining. */
import type { Path } from '../../geometry/curve.js';
import type { Shape } from '../drawing.js';
import { changedShape } from '../shape-store.js';

/** A path as it stands now. */
export interface Placed {
  readonly path: Path;
  readonly shape: number;
  /** Position among the paths of the shape, as drawn. */
  readonly index: number;
  /** Made of paths of several shapes. */
  readonly joined?: boolean;
}

/**
 * Each shape with the paths placed in it, or as it is where nothing is said of it; the names of a shape without any go to those it went into.
 * @param intoShape by the index of each shape, the shapes that took over a path of it
 */
export const assembled = (
  shapes: readonly Shape[],
  placed: ReadonlyMap<number, Placed[]>,
  intoShape: ReadonlyMap<number, ReadonlySet<number>>,
): Shape[] => {
  const names = new Map<number, string[]>();
  for (const [i, own] of placed) {
    if (own.length > 0) continue;
    const shape = shapes[i]!;
    for (const into of survivors(i, intoShape, placed)) {
      const further = names.get(into) ?? [];
      names.set(into, further);
      further.push(shape.id, ...(shape.labels ?? []));
    }
  }
  const result: Shape[] = [];
  shapes.forEach((shape, i) => {
    const own = placed.get(i);
    const further = names.get(i);
    if (own === undefined) {
      result.push(further === undefined ? shape : changedShape(shape, { labels: together(shape, further) }));
      return;
    }
    if (own.length === 0) return;
    own.sort((a, b) => a.index - b.index);
    const same = own.length === shape.paths.length && own.every(({ path }, k) => path === shape.paths[k]);
    if (same && further === undefined) {
      result.push(shape);
      return;
    }
    const labels = together(shape, further ?? []);
    result.push(
      changedShape(shape, {
        ...(labels.length > 0 ? { labels } : {}),
        ...(same ? {} : { paths: own.map(({ path }) => path) }),
        ...(own.some(({ joined }) => joined) ? { element: 'joined' } : {}),
      }),
    );
  });
  return result;
};

const together = ({ labels = [] }: Shape, further: readonly string[]): string[] => [
  ...new Set([...labels, ...further]),
];

/** The shapes that a shape went into and of which something is left. */
const survivors = (
  shape: number,
  intoShape: ReadonlyMap<number, ReadonlySet<number>>,
  placed: ReadonlyMap<number, readonly Placed[]>,
): number[] => {
  const found = new Set<number>();
  const seen = new Set<number>([shape]);
  const waiting = [shape];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const into of intoShape.get(next) ?? []) {
      if (seen.has(into)) continue;
      seen.add(into);
      if (placed.get(into)?.length !== 0) found.add(into);
      else waiting.push(into);
    }
  }
  return [...found].sort((a, b) => a - b);
};
