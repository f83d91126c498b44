/** What is left of the material after the cut, held against what there was of it before. */
import type { Point } from '../../geometry/point.js';
import type { Span } from '../../geometry/spans/span.js';
import { SpanIndex } from '../../geometry/spans/span-index.js';
import { type Connected, finderAmong, middleOf, pointBeside } from '../offset/connected.js';
import type { Region } from '../offset/region.js';
import { islandFinder } from './drawn-islands.js';
import type { Finding } from './finding.js';
import type { Panel } from './panel.js';
import { type Opened, type Piece, piecesOf } from './pieces.js';
import type { Removal } from './removal.js';

/**
 * Compares the pieces before and after. A piece of which several come loses all but the largest; one of which nothing is
 * left is gone. The edge of the panel is broken where it was whole before.
 *
 * @param removals of all openings near one another; those that are left out change nothing in how the material hangs together
 */
export const remainsOf = (
  panel: Panel | undefined,
  removals: readonly Removal[],
  tolerance: number,
): Finding[] => {
  if (removals.length === 0) return [];
  const removedBefore = removals.flatMap(({ before }) => before);
  const removedAfter = removals.flatMap(({ after }) => after);
  const before = piecesOf(panel, removedBefore, tolerance);
  const after = piecesOf(panel, removedAfter, tolerance);
  const shapesAt = shapeFinder(removedBefore);
  return [
    ...comparedPieces(before.pieces, after.pieces, removals, panel !== undefined),
    ...newlyOpened(before.opened, after.opened, tolerance).map(
      ({ at }): Finding => ({ code: 'breaks-edge', openings: shapesAt(at), at }),
    ),
    ...before.opened.map(({ at }): Finding => ({ code: 'outside-outline', openings: shapesAt(at), at })),
    ...before.outside.map(
      ({ rings }): Finding => ({
        code: 'outside-outline',
        openings: rings[0]!.shapes,
        at: middleOf(rings[0]!.ring.spans()),
        whole: true,
      }),
    ),
  ];
};

const comparedPieces = (
  before: readonly Piece[],
  after: readonly Piece[],
  removals: readonly Removal[],
  hasPanel: boolean,
): Finding[] => {
  const asRegion = (piece: Piece): Connected => ({ outer: { ring: piece.outer, shapes: [] }, holes: [] });
  const regions = before.map(asRegion);
  const pieceOf = new Map(regions.map((region, i) => [region, before[i]!]));
  const regionAt = finderAmong(regions);
  const left = new Map<Piece | undefined, Piece[]>(before.map((piece) => [piece, []]));
  for (const piece of after) {
    const { outer } = piece;
    const region = regionAt(pointBeside(outer.spans(), Math.min(1e-3, (0.1 * outer.area) / outer.length())));
    const of = region && pieceOf.get(region);
    if (of === undefined && hasPanel) continue;
    const list = left.get(of);
    if (list === undefined) left.set(of, [piece]);
    else list.push(piece);
  }
  const hasSome = after.some((piece) => piece.ofPanel);
  const islandsIn = islandFinder(removals.flatMap(({ islands }) => islands));
  return [...left].flatMap(([piece, parts]): Finding[] => {
    if (piece !== undefined && parts.length === 0) {
      if (!piece.ofPanel || hasSome) return [lostMaterial(piece, islandsIn)];
      return [nothingLeft(piece, removals)];
    }
    // Without a panel the material round all openings is one more piece, which stays.
    const loose = piece === undefined ? parts : parts.sort((a, b) => b.outer.area - a.outer.area).slice(1);
    return loose.map(({ outer, shapes }) => ({
      code: 'falls-loose',
      openings: shapes,
      at: middleOf(outer.spans()),
      size: [outer.box.maxX - outer.box.minX, outer.box.maxY - outer.box.minY],
    }));
  });
};

/** Also a piece that was cut off the panel before: it is no more than an island of what cuts it off. */
const lostMaterial = ({ outer, shapes }: Piece, islandsIn: ReturnType<typeof islandFinder>): Finding => ({
  code: 'opening-vanished',
  openings: shapes,
  at: middleOf(outer.spans()),
  what: 'island',
  vanished: islandsIn(outer),
});

const nothingLeft = ({ outer }: Piece, removals: readonly Removal[]): Finding => {
  const all = removals.flatMap(({ after }) => after.flatMap(({ rings }) => rings.flatMap((r) => r.shapes)));
  return { code: 'nothing-left', openings: [...new Set(all)], at: middleOf(outer.spans()) };
};

/** Stretches of the edge that are removed, and of which nothing was removed before. */
const newlyOpened = (before: readonly Opened[], after: readonly Opened[], tolerance: number): Opened[] => {
  const spans: Span[] = [];
  const runs: number[] = [];
  after.forEach((run, i) => {
    for (const span of run.spans) {
      spans.push(span);
      runs.push(i);
    }
  });
  if (spans.length === 0) return [];
  const index = new SpanIndex(spans);
  const known = new Set(
    before
      .filter(({ at }) => index.distance(at.x, at.y) < tolerance)
      .map(({ at }) => runs[index.nearest(at.x, at.y)]!),
  );
  return after.filter((_, i) => !known.has(i));
};

/** The shapes of the removed edge nearest to a point. */
const shapeFinder = (removed: readonly Region[]): ((p: Point) => readonly string[]) => {
  const spans: Span[] = [];
  const shapes: (readonly string[])[] = [];
  for (const { ring, shapes: own } of removed.flatMap((region) => region.rings)) {
    for (const span of ring.spans()) {
      spans.push(span);
      shapes.push(own);
    }
  }
  if (spans.length === 0) return () => [];
  const index = new SpanIndex(spans);
  return (p) => shapes[index.nearest(p.x, p.y)]!;
};
