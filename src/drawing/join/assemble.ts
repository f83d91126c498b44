/** Shapes of the paths they have after joining. */
import type { Path } from '../../geometry/curve.js';
import type { Shape } from '../drawing.js';

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
 * Each shape with the paths placed in it; the names of a shape without any go to those it went into.
 * @param intoShape by the index of each shape, the shapes that took over a path of it
 */
export const assembled = (
  shapes: readonly Shape[],
  placed: readonly Placed[],
  intoShape: ReadonlyMap<number, ReadonlySet<number>>,
): Shape[] => {
  const paths: Placed[][] = shapes.map(() => []);
  for (const one of placed) paths[one.shape]!.push(one);
  const names: string[][] = [];
  shapes.forEach((shape, i) => {
    if (paths[i]!.length > 0) return;
    for (const into of survivors(i, intoShape, paths)) {
      names[into] ??= [];
      names[into].push(shape.id, ...(shape.labels ?? []));
    }
  });
  const result: Shape[] = [];
  shapes.forEach((shape, i) => {
    const own = paths[i]!;
    if (own.length === 0) return;
    own.sort((a, b) => a.index - b.index);
    const same = own.length === shape.paths.length && own.every(({ path }, k) => path === shape.paths[k]);
    const further = names[i];
    if (same && further === undefined) {
      result.push(shape);
      return;
    }
    const labels = [...new Set([...(shape.labels ?? []), ...(further ?? [])])];
    result.push({
      ...shape,
      ...(labels.length > 0 ? { labels } : {}),
      ...(same ? {} : { paths: own.map(({ path }) => path) }),
      ...(own.some(({ joined }) => joined) ? { element: 'joined' } : {}),
    });
  });
  return result;
};

/** The shapes that a shape went into and of which something is left. */
const survivors = (
  shape: number,
  intoShape: ReadonlyMap<number, ReadonlySet<number>>,
  paths: readonly (readonly Placed[])[],
): number[] => {
  const found = new Set<number>();
  const seen = new Set<number>([shape]);
  const waiting = [shape];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const into of intoShape.get(next) ?? []) {
      if (seen.has(into)) continue;
      seen.add(into);
      if (paths[into]!.length > 0) found.add(into);
      else waiting.push(into);
    }
  }
  return [...found].sort((a, b) => a - b);
};
