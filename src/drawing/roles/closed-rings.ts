/** The closed subpaths of shapes, in columns: a drawing may have a million of them. */
import Flatbush from 'flatbush';
import { meetingBoxes } from '../../geometry/boxes/meeting-boxes.js';
import type { Path } from '../../geometry/curve.js';
import { type Box, boxesMeet } from '../../geometry/point.js';
import {
  type Nesting,
  type NestRing,
  nestingOf,
  type RingList,
  ringOfPath,
} from '../../geometry/rings/nesting.js';
import { relationOf } from '../../geometry/rings/ring-relation.js';
import { boxOfPath, signedAreaNow, sizeOfPath } from '../../geometry/stored-path.js';
import type { Shape } from '../model/drawing.js';
import { closedCount, pathAt, transientPaths } from '../model/shape-store.js';

export class ClosedRings implements RingList {
  readonly count: number;
  readonly boxes: Float64Array;
  private readonly places: Int32Array;
  private readonly indexes: Int32Array;
  private known: Nesting | undefined;

  /** @param isWanted by the place of a shape among the shapes */
  constructor(
    private readonly shapes: readonly Shape[],
    isWanted: (place: number) => boolean,
  ) {
    let most = 0;
    for (let i = 0; i < shapes.length; i += 1) if (isWanted(i)) most += closedCount(shapes[i]!);
    this.boxes = new Float64Array(4 * most);
    this.places = new Int32Array(most);
    this.indexes = new Int32Array(most);
    let used = 0;
    for (let i = 0; i < shapes.length; i += 1) {
      if (!isWanted(i)) continue;
      const paths = transientPaths(shapes[i]!);
      for (let index = 0; index < paths.length; index += 1) {
        const path = paths[index]!;
        if (!path.closed || sizeOfPath(path) === 0) continue;
        const { minX, minY, maxX, maxY } = boxOfPath(path);
        this.places[used] = i;
        this.indexes[used] = index;
        this.boxes[4 * used] = minX;
        this.boxes[4 * used + 1] = minY;
        this.boxes[4 * used + 2] = maxX;
        this.boxes[4 * used + 3] = maxY;
        used += 1;
      }
    }
    this.count = used;
  }

  /** Of its shape among the shapes. */
  placeOf(ring: number): number {
    return this.places[ring]!;
  }

  pathOf(ring: number): Path {
    return pathAt(this.shapes[this.places[ring]!]!, this.indexes[ring]!);
  }

  ringAt = (ring: number): NestRing => ringOfPath(this.pathOf(ring), undefined, this.boxOf(ring));

  boxOf(ring: number): Box {
    const { boxes } = this;
    const at = 4 * ring;
    return { minX: boxes[at]!, minY: boxes[at + 1]!, maxX: boxes[at + 2]!, maxY: boxes[at + 3]! };
  }

  /** mm^2, whichever way it runs. */
  areaOf(ring: number): number {
    return Math.abs(signedAreaNow(this.pathOf(ring)));
  }

  get nesting(): Nesting {
    this.known ??= nestingOf(this);
    return this.known;
  }

  /** Of their boxes; there has to be a ring. */
  index(): Flatbush {
    const { boxes, count } = this;
    const index = new Flatbush(count);
    for (let i = 0; i < count; i += 1) {
      index.add(boxes[4 * i]!, boxes[4 * i + 1]!, boxes[4 * i + 2]!, boxes[4 * i + 3]!);
    }
    index.finish();
    return index;
  }

  /**
   * Pairs of rings that cross, `most` at most. Only rings that lie in the same rings are compared:
   * where a ring crosses one that lies elsewhere, it crosses one round that as well.
   */
  crossings(most: number): (readonly [number, number])[] {
    const { count, boxes, nesting } = this;
    const found: (readonly [number, number])[] = [];
    if (count < 2) return found;
    const rounds = Int32Array.from({ length: count }, (_, i) => nesting.around(i)[0] ?? -1);
    const pairs = meetingBoxes(boxes, count, (i, k) => rounds[i] === rounds[k]);
    for (const [i, k] of pairs ?? []) {
      if (relationOf(this.ringAt(i), this.ringAt(k)).kind === 'crossing' && found.push([i, k]) >= most) break;
    }
    if (pairs !== undefined) return found;
    const index = this.index();
    for (let i = 0; i < count && found.length < most; i += 1) {
      let ring: NestRing | undefined;
      index.search(boxes[4 * i]!, boxes[4 * i + 1]!, boxes[4 * i + 2]!, boxes[4 * i + 3]!, (k) => {
        if (k <= i || rounds[k] !== rounds[i] || found.length >= most) return false;
        ring ??= this.ringAt(i);
        if (relationOf(ring, this.ringAt(k)).kind === 'crossing') found.push([i, k]);
        return false;
      });
    }
    return found;
  }

  /** Whether two rings are one that was drawn twice, within this, mm. */
  coincide(one: number, other: number, within: number): boolean {
    const { boxes } = this;
    for (let side = 0; side < 4; side += 1) {
      if (Math.abs(boxes[4 * one + side]! - boxes[4 * other + side]!) > within) return false;
    }
    const [a, b] = [this.boxOf(one), this.boxOf(other)];
    if (!boxesMeet(a, b)) return false;
    const round = a.maxX - a.minX + a.maxY - a.minY;
    return Math.abs(this.areaOf(one) - this.areaOf(other)) <= 2 * round * within;
  }
}
