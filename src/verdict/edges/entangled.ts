/** Whether edges cross or touch, themselves or one another: then their sides do not follow from nesting alone. */
import Flatbush from 'flatbush';
import type { Box } from '../../geometry/point.js';
import { type EdgeChain, fieldsOfChain } from './edge-samples.js';

/** Edges closer than this, mm, touch. */
const touching = 1e-6;

/** True when one of the closed chains meets itself or another one anywhere but at neighbouring points. */
export const areEntangled = (chains: readonly EdgeChain[]): boolean => {
  const [only] = chains;
  if (chains.length === 1 && only !== undefined && isStarShaped(only)) return false;
  return anyMeet(chains);
};

/**
 * True when the whole edge is seen from the middle of its box, and then it meets itself nowhere: a quick answer for most
 * openings. Every point has to lie further round than the one before, once round in all.
 */
const isStarShaped = (chain: EdgeChain): boolean => {
  const box = boxOfChain(chain);
  const cx = (box.minX + box.maxX) / 2;
  const cy = (box.minY + box.maxY) / 2;
  const n = chain.length;
  let x = chain[n - fieldsOfChain]! - cx;
  let y = chain[n - fieldsOfChain + 1]! - cy;
  let sense = 0;
  let turns = 0;
  for (let i = 0; i < n; i += fieldsOfChain) {
    const nextX = chain[i]! - cx;
    const nextY = chain[i + 1]! - cy;
    if (nextX !== x || nextY !== y) {
      const turn = x * nextY - y * nextX;
      // Nearly towards the middle: it may be a fold.
      if (Math.abs(turn) <= touching * (Math.abs(nextX) + Math.abs(nextY))) return false;
      if (sense === 0) sense = Math.sign(turn);
      else if (sense * turn < 0) return false;
      if (y < 0 !== nextY < 0) turns++;
    }
    x = nextX;
    y = nextY;
  }
  return turns === 2;
};

export const boxOfChain = (chain: EdgeChain): Box => {
  let minX = Number.POSITIVE_INFINITY;
  let minY = Number.POSITIVE_INFINITY;
  let maxX = Number.NEGATIVE_INFINITY;
  let maxY = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < chain.length; i += fieldsOfChain) {
    const x = chain[i]!;
    const y = chain[i + 1]!;
    if (x < minX) minX = x;
    if (x > maxX) maxX = x;
    if (y < minY) minY = y;
    if (y > maxY) maxY = y;
  }
  return { minX, minY, maxX, maxY };
};

/** Segments ax, ay, bx, by of one chain, in order round it, with a box for each and for each group of neighbours. */
interface Segments {
  readonly count: number;
  readonly ends: Float64Array;
  /**
   * minX, minY, maxX, maxY of the nodes of a binary tree: 1 is all, 2 k and 2 k + 1 are the halves of k, and segment i is
   * `leaves` + i. Neighbours on an edge lie close together, so halves by number are as good as any.
   */
  readonly boxes: Float64Array;
  readonly leaves: number;
}

const segmentsOf = (chain: EdgeChain): Segments => {
  const n = chain.length;
  const ends = new Float64Array(n);
  let used = 0;
  for (let i = 0; i < n; i += fieldsOfChain) {
    const j = (i + fieldsOfChain) % n;
    const ax = chain[i]!;
    const ay = chain[i + 1]!;
    const bx = chain[j]!;
    const by = chain[j + 1]!;
    if (Math.abs(bx - ax) + Math.abs(by - ay) <= touching) continue;
    ends[used] = ax;
    ends[used + 1] = ay;
    ends[used + 2] = bx;
    ends[used + 3] = by;
    used += 4;
  }
  const count = used / 4;
  let leaves = 1;
  while (leaves < count) leaves *= 2;
  const boxes = new Float64Array(8 * leaves);
  for (let k = leaves; k < 2 * leaves; k++) {
    const at = 4 * (k - leaves);
    const isThere = k - leaves < count;
    boxes[4 * k] = isThere ? Math.min(ends[at]!, ends[at + 2]!) : Number.POSITIVE_INFINITY;
    boxes[4 * k + 1] = isThere ? Math.min(ends[at + 1]!, ends[at + 3]!) : Number.POSITIVE_INFINITY;
    boxes[4 * k + 2] = isThere ? Math.max(ends[at]!, ends[at + 2]!) : Number.NEGATIVE_INFINITY;
    boxes[4 * k + 3] = isThere ? Math.max(ends[at + 1]!, ends[at + 3]!) : Number.NEGATIVE_INFINITY;
  }
  for (let k = leaves - 1; k > 0; k--) {
    boxes[4 * k] = Math.min(boxes[8 * k]!, boxes[8 * k + 4]!);
    boxes[4 * k + 1] = Math.min(boxes[8 * k + 1]!, boxes[8 * k + 5]!);
    boxes[4 * k + 2] = Math.max(boxes[8 * k + 2]!, boxes[8 * k + 6]!);
    boxes[4 * k + 3] = Math.max(boxes[8 * k + 3]!, boxes[8 * k + 7]!);
  }
  return { count, ends, boxes, leaves };
};

const anyMeet = (chains: readonly EdgeChain[]): boolean => {
  const all = chains.map(segmentsOf).filter(({ count }) => count > 0);
  if (all.some((one) => meetsItself(one, 1))) return true;
  if (all.length < 2) return false;
  const index = new Flatbush(all.length);
  for (const { boxes } of all) index.add(boxes[4]!, boxes[5]!, boxes[6]!, boxes[7]!);
  index.finish();
  return all.some(({ boxes }, i) => {
    const near = index.search(
      boxes[4]! - touching,
      boxes[5]! - touching,
      boxes[6]! + touching,
      boxes[7]! + touching,
      (j) => j > i,
    );
    return near.some((j) => treesMeet(all[i]!, 1, all[j]!, 1, false));
  });
};

/** Whether the segments below a node of a chain's tree meet one another. */
const meetsItself = (one: Segments, node: number): boolean =>
  node < one.leaves &&
  one.boxes[4 * node]! <= one.boxes[4 * node + 2]! &&
  (meetsItself(one, 2 * node) ||
    meetsItself(one, 2 * node + 1) ||
    treesMeet(one, 2 * node, one, 2 * node + 1, true));

/** Whether a segment below one node meets one below another one. @param isSame the nodes are of one chain */
const treesMeet = (one: Segments, a: number, other: Segments, b: number, isSame: boolean): boolean => {
  const p = one.boxes;
  const q = other.boxes;
  if (
    p[4 * a]! - touching > q[4 * b + 2]! ||
    q[4 * b]! - touching > p[4 * a + 2]! ||
    p[4 * a + 1]! - touching > q[4 * b + 3]! ||
    q[4 * b + 1]! - touching > p[4 * a + 3]!
  )
    return false;
  const isLeafA = a >= one.leaves;
  const isLeafB = b >= other.leaves;
  if (isLeafA && isLeafB) {
    const i = a - one.leaves;
    const j = b - other.leaves;
    // Neighbours share a point by nature.
    const areNeighbours = isSame && (j === (i + 1) % one.count || i === (j + 1) % one.count);
    return !areNeighbours && segmentsMeet(one.ends, 4 * i, other.ends, 4 * j);
  }
  // The larger half first: both trees are gone down alike.
  return isLeafB || (!isLeafA && sizeOf(p, a) > sizeOf(q, b))
    ? treesMeet(one, 2 * a, other, b, isSame) || treesMeet(one, 2 * a + 1, other, b, isSame)
    : treesMeet(one, a, other, 2 * b, isSame) || treesMeet(one, a, other, 2 * b + 1, isSame);
};

const sizeOf = (boxes: Float64Array, node: number): number =>
  boxes[4 * node + 2]! - boxes[4 * node]! + boxes[4 * node + 3]! - boxes[4 * node + 1]!;

const segmentsMeet = (e: Float64Array, p: number, f: Float64Array, q: number): boolean => {
  const a = sideOf(e, p, f[q]!, f[q + 1]!);
  const b = sideOf(e, p, f[q + 2]!, f[q + 3]!);
  const c = sideOf(f, q, e[p]!, e[p + 1]!);
  const d = sideOf(f, q, e[p + 2]!, e[p + 3]!);
  if (a > 0 !== b > 0 && c > 0 !== d > 0) return true;
  return (
    squaredDistance(e, p, f[q]!, f[q + 1]!) <= touching ** 2 ||
    squaredDistance(e, p, f[q + 2]!, f[q + 3]!) <= touching ** 2 ||
    squaredDistance(f, q, e[p]!, e[p + 1]!) <= touching ** 2 ||
    squaredDistance(f, q, e[p + 2]!, e[p + 3]!) <= touching ** 2
  );
};

const sideOf = (e: Float64Array, s: number, x: number, y: number): number =>
  (e[s + 2]! - e[s]!) * (y - e[s + 1]!) - (e[s + 3]! - e[s + 1]!) * (x - e[s]!);

const squaredDistance = (e: Float64Array, s: number, x: number, y: number): number => {
  const ux = e[s + 2]! - e[s]!;
  const uy = e[s + 3]! - e[s + 1]!;
  const vx = x - e[s]!;
  const vy = y - e[s + 1]!;
  const t = Math.min(1, Math.max(0, (ux * vx + uy * vy) / (ux * ux + uy * uy)));
  return (vx - t * ux) ** 2 + (vy - t * uy) ** 2;
};
