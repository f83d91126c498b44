/** Shapes of the paths they have after joining. */
import type { Path } from '../../geometry/curve.js';
import { isSamePath } from '../../geometry/curve-store.js';
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
 * Each shape with the paths placed in it, or as it is where nothing is said of it; the names of a shape without
 * any go to those it went into.
 */
export const assembled = (
  shapes: readonly Shape[],
  placed: readonly (readonly Placed[] | undefined)[],
  intoShape: IntoShapes,
): Shape[] => {
  const names = new Map<number, string[]>();
  for (let i = 0; i < shapes.length; i += 1) {
    if (placed[i]?.length !== 0) continue;
    const shape = shapes[i]!;
    for (const into of survivors(i, intoShape, placed)) {
      const further = names.get(into) ?? [];
      names.set(into, further);
      further.push(shape.id, ...(shape.labels ?? []));
    }
  }
  const result: Shape[] = [];
  shapes.forEach((shape, i) => {
    const own = placed[i];
    const further = names.get(i);
    if (own === undefined) {
      result.push(further === undefined ? shape : changedShape(shape, { labels: together(shape, further) }));
      return;
    }
    if (own.length === 0) return;
    const inOrder = own.toSorted((a, b) => a.index - b.index);
    const same =
      own.length === shape.paths.length && inOrder.every(({ path }, k) => isSamePath(path, shape.paths[k]!));
    if (same && further === undefined) {
      result.push(shape);
      return;
    }
    const labels = together(shape, further ?? []);
    result.push(
      changedShape(shape, {
        ...(labels.length > 0 ? { labels } : {}),
        ...(same ? {} : { paths: inOrder.map(({ path }) => path) }),
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
  intoShape: IntoShapes,
  placed: readonly (readonly Placed[] | undefined)[],
): readonly number[] => {
  const first = intoShape.of(shape);
  if (first.length === 1 && placed[first[0]!]?.length !== 0) return first;
  const found = new Set<number>();
  const seen = new Set<number>([shape]);
  const waiting = [shape];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const into of intoShape.of(next)) {
      if (seen.has(into)) continue;
      seen.add(into);
      if (placed[into]?.length !== 0) found.add(into);
      else waiting.push(into);
    }
  }
  return [...found].sort((a, b) => a - b);
};

/** By the index of each shape, the shapes that took over a path of it: most often one. */
export class IntoShapes {
  private readonly firsts = new Map<number, number>();
  private readonly others = new Map<number, Set<number>>();

  add(from: number, into: number): void {
    const first = this.firsts.get(from);
    if (first === undefined) this.firsts.set(from, into);
    else if (first !== into) {
      const known = this.others.get(from);
      if (known === undefined) this.others.set(from, new Set([into]));
      else known.add(into);
    }
  }

  of(shape: number): readonly number[] {
    const first = this.firsts.get(shape);
    if (first === undefined) return [];
    const others = this.others.get(shape);
    return others === undefined ? [first] : [first, ...others];
  }
}
