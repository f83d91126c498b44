/** Closed paths that are drawn twice. */
import type { Path } from '../../geometry/curve.js';
import { cornersOf } from '../../geometry/packed-path.js';
import { sameRing } from './same-curve.js';

/** Rings with one key that are compared with each other. */
const mostCompared = 40;

/** Closed paths met so far, to find one that is drawn again. */
export class RingsSeen {
  private readonly byKey = new Map<number, { readonly path: Path; readonly shape: number }[]>();

  /** The shape of an equal ring, if there is one; otherwise this ring is remembered. */
  find(path: Path, shape: number): number | undefined {
    const key = ringKey(path);
    const known = this.byKey.get(key);
    const twin = known?.find((other) => sameRing(other.path, path));
    if (twin !== undefined) return twin.shape;
    if (known === undefined) this.byKey.set(key, [{ path, shape }]);
    else if (known.length < mostCompared) known.push({ path, shape });
    return undefined;
  }
}

/** The same for rings that are the same, wherever they start: from the middle of their corners, in hundredths. */
const ringKey = (path: Path): number => {
  const { count, middle } = cornersOf(path);
  const only = count === 1 ? path.segments[0]! : undefined;
  // A circle may start anywhere.
  const { x, y } = only?.kind === 'arc' ? only.centre : middle;
  // Away from the round numbers that drawings are full of: there, rounding would part what is the same.
  const column = Math.floor(x * 100 + 0.3819);
  const row = Math.floor(y * 100 + 0.3819);
  return Math.imul(column | 0, 73_856_093) ^ Math.imul(row | 0, 19_349_663) ^ count;
};
