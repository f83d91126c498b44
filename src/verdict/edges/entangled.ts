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
  return anyMeet(segmentsOf(chains));
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

/** Segments ax, ay, bx, by of all chains, with the next segment of the same chain. */
interface Segments {
  readonly ends: number[];
  readonly next: number[];
}

const segmentsOf = (chains: readonly EdgeChain[]): Segments => {
  const ends: number[] = [];
  const next: number[] = [];
  for (const chain of chains) {
    const first = next.length;
    const n = chain.length;
    for (let i = 0; i < n; i += fieldsOfChain) {
      const j = (i + fieldsOfChain) % n;
      const ax = chain[i]!;
      const ay = chain[i + 1]!;
      const bx = chain[j]!;
      const by = chain[j + 1]!;
      if (Math.abs(bx - ax) + Math.abs(by - ay) <= touching) continue;
      ends.push(ax, ay, bx, by);
      next.push(next.length + 1);
    }
    if (next.length > first) next[next.length - 1] = first;
  }
  return { ends, next };
};

const anyMeet = ({ ends, next }: Segments): boolean => {
  const count = next.length;
  if (count === 0) return false;
  const index = new Flatbush(count);
  for (let i = 0; i < count; i++) {
    const k = 4 * i;
    index.add(
      Math.min(ends[k]!, ends[k + 2]!) - touching,
      Math.min(ends[k + 1]!, ends[k + 3]!) - touching,
      Math.max(ends[k]!, ends[k + 2]!) + touching,
      Math.max(ends[k + 1]!, ends[k + 3]!) + touching,
    );
  }
  index.finish();
  let found = false;
  for (let i = 0; i < count && !found; i++) {
    const k = 4 * i;
    const neighbour = next[i]!;
    index.search(
      Math.min(ends[k]!, ends[k + 2]!),
      Math.min(ends[k + 1]!, ends[k + 3]!),
      Math.max(ends[k]!, ends[k + 2]!),
      Math.max(ends[k + 1]!, ends[k + 3]!),
      (j) => {
        // Each pair once; neighbours share a point by nature.
        if (!found && j > i && j !== neighbour && next[j] !== i) found = segmentsMeet(ends, k, 4 * j);
        return false;
      },
    );
  }
  return found;
};

const segmentsMeet = (e: readonly number[], p: number, q: number): boolean => {
  const side = (s: number, x: number, y: number): number =>
    (e[s + 2]! - e[s]!) * (y - e[s + 1]!) - (e[s + 3]! - e[s + 1]!) * (x - e[s]!);
  const a = side(p, e[q]!, e[q + 1]!);
  const b = side(p, e[q + 2]!, e[q + 3]!);
  const c = side(q, e[p]!, e[p + 1]!);
  const d = side(q, e[p + 2]!, e[p + 3]!);
  if (a > 0 !== b > 0 && c > 0 !== d > 0) return true;
  return (
    squaredDistance(e, p, e[q]!, e[q + 1]!) <= touching ** 2 ||
    squaredDistance(e, p, e[q + 2]!, e[q + 3]!) <= touching ** 2 ||
    squaredDistance(e, q, e[p]!, e[p + 1]!) <= touching ** 2 ||
    squaredDistance(e, q, e[p + 2]!, e[p + 3]!) <= touching ** 2
  );
};

const squaredDistance = (e: readonly number[], s: number, x: number, y: number): number => {
  const ux = e[s + 2]! - e[s]!;
  const uy = e[s + 3]! - e[s + 1]!;
  const vx = x - e[s]!;
  const vy = y - e[s + 1]!;
  const t = Math.min(1, Math.max(0, (ux * vx + uy * vy) / (ux * ux + uy * uy)));
  return (vx - t * ux) ** 2 + (vy - t * uy) ** 2;
};
