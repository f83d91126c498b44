/** Islands as they are drawn: of which of them nothing is cut, and of which of them a piece of material is. */
import Flatbush from 'flatbush';
import type { StoredRing } from '../../geometry/rings/stored-ring.js';
import { holds, middleOf, pointBeside } from '../offset/connected.js';
import type { Region, RegionRing } from '../offset/region.js';

/** Those that no path runs round. */
export const islandsWithoutPath = (
  islands: readonly RegionRing[],
  beams: readonly Region[],
): readonly RegionRing[] => {
  if (islands.length === 0) return [];
  const holes = beams.flatMap(({ rings }) => rings.filter(({ ring }) => ring.area < 0));
  if (holes.length === 0) return islands;
  const holesNear = boxIndex(holes.map(({ ring }) => ring));
  return islands.filter(({ ring, shapes: [shape] }) => {
    const isRound = (i: number): boolean => {
      const hole = holes[i]!;
      if (!hole.shapes.includes(shape!)) return false;
      return holds(ring, firstOf(hole.ring)) || holds(hole.ring, firstOf(ring));
    };
    return !holesNear(ring).some(isRound);
  });
};

/** Finds the shapes whose islands a piece of material is made of. */
export const islandFinder = (islands: readonly RegionRing[]): ((piece: StoredRing) => readonly string[]) => {
  let islandsNear: ReturnType<typeof boxIndex> | undefined;
  return (piece) => {
    if (islands.length === 0) return [];
    islandsNear ??= boxIndex(islands.map(({ ring }) => ring));
    const spans = piece.spans();
    const room = (0.1 * Math.abs(piece.area)) / piece.length();
    const beside = pointBeside(spans, Math.min(1e-3, room) * Math.sign(piece.area));
    const own = islandsNear(piece)
      .map((i) => islands[i]!)
      .filter(({ ring }) => holds(ring, beside) || holds(piece, middleOf(ring.spans())));
    return [...new Set(own.flatMap(({ shapes }) => shapes))];
  };
};

const firstOf = (ring: StoredRing) => {
  const { ax, ay } = ring.first();
  return { x: ax, y: ay };
};

/** The rings whose boxes meet that of another one, as indices. */
const boxIndex = (rings: readonly StoredRing[]): ((ring: StoredRing) => number[]) => {
  const index = new Flatbush(rings.length);
  for (const { box } of rings) index.add(box.minX, box.minY, box.maxX, box.maxY);
  index.finish();
  return ({ box }) => index.search(box.minX, box.minY, box.maxX, box.maxY).sort((a, b) => a - b);
};
