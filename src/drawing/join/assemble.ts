/** Shapes of the paths they have after joining. */
import type { Path } from '../../geometry/curve.js';
import { isSamePath } from '../../geometry/curve-store.js';
import type { Shape } from '../drawing.js';
import { JoinedShape, pathCount } from '../shape-store.js';

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
  /** Of each shape those that went into it and of which nothing is left. */
  const names = new Map<number, number[]>();
  for (let i = 0; i < shapes.length; i += 1) {
    if (placed[i]?.length !== 0) continue;
    for (const into of survivors(i, intoShape, placed)) {
      const further = names.get(into);
      if (further === undefined) names.set(into, [i]);
      else further.push(i);
    }
  }
  const result: Shape[] = [];
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    const own = placed[i];
    const further = names.get(i);
    if (own === undefined) {
      result.push(further === undefined ? shape : new JoinedShape(shape, {}, shapes, further));
      continue;
    }
    if (own.length === 0) continue;
    const inOrder = own.length === 1 ? own : own.toSorted((a, b) => a.index - b.index);
    const same =
      own.length === pathCount(shape) && inOrder.every(({ path }, k) => isSamePath(path, shape.paths[k]!));
    if (same && further === undefined) {
      result.push(shape);
      continue;
    }
    const paths = same ? undefined : inOrder.map(({ path }) => path);
    const joined = own.some(({ joined }) => joined);
    result.push(
      new JoinedShape(shape, { paths, element: joined ? 'joined' : undefined }, shapes, further ?? []),
    );
  }
  return result;
};

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
  /** Counted from 1; 0 for none. */
  private readonly firsts: Int32Array;
  private readonly others = new Map<number, Set<number>>();

  constructor(shapes: number) {
    this.firsts = new Int32Array(shapes);
  }

  add(from: number, into: number): void {
    const first = this.firsts[from]! - 1;
    if (first < 0) this.firsts[from] = into + 1;
    else if (first !== into) {
      const known = this.others.get(from);
      if (known === undefined) this.others.set(from, new Set([into]));
      else known.add(into);
    }
  }

  of(shape: number): readonly number[] {
    const first = this.firsts[shape]! - 1;
    if (first < 0) return [];
    const others = this.others.get(shape);
    return others === undefined ? [first] : [first, ...others];
  }
}
