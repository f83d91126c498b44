/** Closed paths that are drawn twice. */
import type { Path } from '../../geometry/curve.js';
import { boxOfPath } from '../../geometry/packed-path.js';
import type { Box } from '../../geometry/point.js';
import { sameLine, sameRing } from './same-curve.js';

/** Rings with one key that are compared with each other. */
const mostCompared = 40;

/** Boxes are sorted by their sides in cells of this size, mm. */
const cell = 0.2;

/** A ring is the same wherever it starts and however it is divided: what it is known by is its box. */
interface Ring {
  readonly path: Path;
  readonly shape: number;
  readonly box: Box;
}

/** Closed paths met so far, to find one that is drawn again. */
export class RingsSeen {
  private readonly byKey = new Map<number, Ring[]>();

  /** The shape of an equal ring, if there is one; otherwise this ring is remembered. */
  find(path: Path, shape: number): number | undefined {
    const box = boxOfPath(path);
    const { minX, minY, maxX, maxY } = box;
    const own = keyOf(minX, minY, maxX, maxY);
    const twin = this.twinIn(own, path, box) ?? this.twinBeside(own, path, box);
    if (twin !== undefined) return twin;
    const known = this.byKey.get(own);
    if (known === undefined) this.byKey.set(own, [{ path, shape, box }]);
    else if (known.length < mostCompared) known.push({ path, shape, box });
    return undefined;
  }

  private twinIn(key: number, path: Path, box: Box): number | undefined {
    const known = this.byKey.get(key);
    return known?.find((other) => sameBox(other.box, box) && sameRing(other.path, path))?.shape;
  }

  /** In the cells next to that of the box, where one of its sides lies near a border. */
  private twinBeside(own: number, path: Path, box: Box): number | undefined {
    const { minX, minY, maxX, maxY } = box;
    if (!(atBorder(minX) || atBorder(minY) || atBorder(maxX) || atBorder(maxY))) return undefined;
    const [lefts, bottoms, rights, tops] = [minX, minY, maxX, maxY].map((side) => [
      side - sameLine,
      side + sameLine,
    ]);
    for (const left of lefts!) {
      for (const bottom of bottoms!) {
        for (const right of rights!) {
          for (const top of tops!) {
            const key = keyOf(left, bottom, right, top);
            const twin = key === own ? undefined : this.twinIn(key, path, box);
            if (twin !== undefined) return twin;
          }
        }
      }
    }
    return undefined;
  }
}

const keyOf = (minX: number, minY: number, maxX: number, maxY: number): number =>
  mixed(mixed(mixed(Math.floor(minX / cell) | 0, minY), maxX), maxY);

const atBorder = (side: number): boolean =>
  Math.floor((side - sameLine) / cell) !== Math.floor((side + sameLine) / cell);

/** Collisions cost a comparison and nothing else. */
const mixed = (key: number, side: number): number =>
  Math.imul(key ^ (key >>> 15), 73_856_093) ^ Math.imul(Math.floor(side / cell) | 0, 19_349_663);

const sameBox = (a: Box, b: Box): boolean =>
  Math.abs(a.minX - b.minX) <= sameLine &&
  Math.abs(a.minY - b.minY) <= sameLine &&
  Math.abs(a.maxX - b.maxX) <= sameLine &&
  Math.abs(a.maxY - b.maxY) <= sameLine;
