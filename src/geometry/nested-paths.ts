/** Which closed paths lie inside which: very many of them, one at a time. */
import Flatbush from 'flatbush';
import { type Path, positionAt, type Segment, startOf } from './curve.js';
import { InsidePath } from './inside-path.js';
import type { Point } from './point.js';
import { boxOfPath, segmentsNow } from './stored-path.js';

/** So many points of a path are asked where they lie; where paths touch, two of them decide. */
const witnessCount = 3;

/** A point along a path, one of `witnessCount` at even steps of its segments. */
const witnessOf = (segments: readonly Segment[], k: number): Point => {
  const at = (k / witnessCount) * segments.length;
  const i = Math.floor(at);
  return segments.length < witnessCount ? positionAt(segments[i]!, at - i) : startOf(segments[i]!);
};

/**
 * For each closed path how many of the others hold it: 0 outermost, 1 a hole in it, 2 an island in the hole. For paths that
 * do not cross.
 *
 * @param tolerance to which curves are followed, mm
 * @param holds is told of each path that holds another one: the places of both
 */
export const nestingOfPaths = (
  paths: readonly Path[],
  tolerance: number,
  holds: (outer: number, inner: number) => void = () => {},
): Int32Array => {
  const depths = new Int32Array(paths.length);
  if (paths.length < 2) return depths;
  const points = new Float64Array(2 * witnessCount * paths.length);
  const index = new Flatbush(witnessCount * paths.length);
  for (let i = 0; i < paths.length; i += 1) {
    const segments = segmentsNow(paths[i]!);
    for (let k = 0; k < witnessCount; k += 1) {
      const { x, y } = witnessOf(segments, k);
      const place = witnessCount * i + k;
      points[2 * place] = x;
      points[2 * place + 1] = y;
      index.add(x, y);
    }
  }
  index.finish();
  const votes = new Uint8Array(paths.length);
  for (let outer = 0; outer < paths.length; outer += 1) {
    const { minX, minY, maxX, maxY } = boxOfPath(paths[outer]!);
    let inside: InsidePath | undefined;
    const asked: number[] = [];
    index.search(minX, minY, maxX, maxY, (place) => {
      const inner = Math.floor(place / witnessCount);
      if (inner === outer) return false;
      inside ??= new InsidePath(paths[outer]!, tolerance);
      if (!inside.has({ x: points[2 * place]!, y: points[2 * place + 1]! })) return false;
      votes[inner]! += 1;
      if (votes[inner] === 1) asked.push(inner);
      return false;
    });
    for (const inner of asked.sort((a, b) => a - b)) {
      if (2 * votes[inner]! > witnessCount) {
        depths[inner]! += 1;
        holds(outer, inner);
      }
      votes[inner] = 0;
    }
  }
  return depths;
};
