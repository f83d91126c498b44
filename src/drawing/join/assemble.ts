/** Shapes of the paths they have after joining. */
import type { CurveStore } from '../../geometry/curve-store.js';
import { IntList } from '../../numeric/int-list.js';
import type { Shape } from '../model/drawing.js';
import { JoinedShapes } from '../model/joined-shapes.js';
import type { Placements } from './placements.js';

/**
 * Each shape with the paths placed in it, or as it is where nothing is said of it; the names of a
 * shape without any go to those it went into.
 * @param curves has the paths that shapes got
 */
export const assembled = (
  shapes: readonly Shape[],
  placements: Placements,
  intoShape: IntoShapes,
  curves: CurveStore,
): Shape[] => {
  const wentInto = takenIn(shapes.length, placements, intoShape);
  const joined = new JoinedShapes(shapes, curves);
  const result: Shape[] = [];
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    const further = wentInto(i);
    if (placements.isUnchanged(i)) {
      result.push(further.length === 0 ? shape : joined.add(shape, { paths: [], further, joined: false }));
    } else if (!placements.hasNothing(i)) {
      result.push(
        joined.add(shape, { paths: placements.pathsOf(i), further, joined: placements.isJoined(i) }),
      );
    }
  }
  return result;
};

/** For each shape those that went into it and of which nothing is left. */
const takenIn = (
  count: number,
  placements: Placements,
  intoShape: IntoShapes,
): ((shape: number) => Int32Array) => {
  const from = new IntList();
  const into = new IntList();
  const starts = new Int32Array(count + 2);
  for (let i = 0; i < count; i += 1) {
    if (!placements.hasNothing(i)) continue;
    for (const shape of survivors(i, intoShape, placements)) {
      from.push(i);
      into.push(shape);
      starts[shape + 2]! += 1;
    }
  }
  for (let i = 2; i < starts.length; i += 1) starts[i]! += starts[i - 1]!;
  // Each start moves to the end of its own while these are filled in, which is the start of the
  // next.
  const all = new Int32Array(from.length);
  for (let k = 0; k < from.length; k += 1) {
    const place = into.at(k) + 1;
    all[starts[place]!] = from.at(k);
    starts[place]! += 1;
  }
  return (shape) => all.subarray(starts[shape]!, starts[shape + 1]!);
};

/** The shapes that a shape went into and of which something is left. */
const survivors = (shape: number, intoShape: IntoShapes, placements: Placements): readonly number[] => {
  const first = intoShape.of(shape);
  if (first.length === 1 && !placements.hasNothing(first[0]!)) return first;
  const found = new Set<number>();
  const seen = new Set<number>([shape]);
  const waiting = [shape];
  for (let next = waiting.pop(); next !== undefined; next = waiting.pop()) {
    for (const into of intoShape.of(next)) {
      if (seen.has(into)) continue;
      seen.add(into);
      if (placements.hasNothing(into)) waiting.push(into);
      else found.add(into);
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
