/** The pieces that a cut of kind inlay yields, held against the openings that they are to fill. */
import type { Job } from '../../job/job.js';
import {
  type Connected,
  connectedIn,
  finderAmong,
  isCrumb,
  isIn,
  middleOf,
  pointBeside,
} from '../offset/connected.js';
import { unite } from '../offset/existing.js';
import { namedByEdges } from '../offset/followed-edges.js';
import { offsetRegion, share } from '../offset/offset-region.js';
import type { Region, RegionRing } from '../offset/region.js';
import { islandFinder } from './drawn-islands.js';
import type { Finding } from './finding.js';
import type { NamedRing } from './lands.js';
import { roundCorners } from './panel.js';

export interface Inlays {
  /** The paths that leave a piece within them. */
  readonly beams: readonly Region[];
  readonly findings: readonly Finding[];
}

export interface InlayInput {
  /** As drawn, each by itself. */
  readonly drawn: readonly NamedRing[];
  /** The openings as drawn, and their islands. */
  readonly existing: readonly Region[];
  readonly islands: readonly RegionRing[];
  readonly beams: readonly Region[];
  /** Of the paths outside the drawn edges, mm. */
  readonly distance: number;
  readonly cut: Pick<Job['cut'], 'kerf' | 'tolerance'>;
}

/**
 * What the beam leaves within its paths: half a kerf less all round. A path within which nothing is left is no path. An
 * opening whose piece falls into several is told of, and one of which no piece is left.
 */
export const inlaysWithin = (input: InlayInput): Inlays => {
  const { existing, islands, beams, distance, cut } = input;
  const islandsIn = islandFinder(islands);
  const pieces: Connected[] = [];
  const kept = connectedIn(beams).flatMap(({ outer, holes }): Region[] => {
    const region = { rings: [outer, ...holes] };
    const left = cut.kerf === 0 ? region : offsetRegion(region, -cut.kerf / 2, roundCorners, cut.tolerance);
    const own = connectedIn([left]).filter((piece) => !isCrumb(piece.outer.ring, cut.tolerance));
    pieces.push(...own);
    return own.length === 0 ? [] : [region];
  });
  const openings = connectedIn(existing);
  const piecesOf = piecesByOpening(openings, pieces, distance - cut.kerf / 2);
  const findings: Finding[] = [];
  const joined = joinedIn(openings, kept);
  findings.push(...joined.map(joinedFinding));
  const isJoined = new Set(joined.flat());
  const isLeft = new Set([...piecesOf].flatMap(([{ outer }, own]) => (own.length > 0 ? outer.shapes : [])));
  for (const [opening, own] of piecesOf) {
    const { outer, holes } = opening;
    const { shapes, ring } = outer;
    if (own.length === 0) {
      // Its piece is one with that of another opening, and is told as that.
      if (isJoined.has(opening)) continue;
      const what = shapes.some((shape) => isLeft.has(shape)) ? 'part' : 'opening';
      findings.push({ code: 'opening-vanished', openings: shapes, at: middleOf(ring.spans()), what });
      continue;
    }
    for (const { outer: other } of splitFrom(opening, own, input)) {
      const at = middleOf(other.ring.spans());
      findings.push({ code: 'piece-splits', openings: shapes, at, size: sizeOf(other) });
    }
    findings.push(...lostParts(opening, own, input));
    findings.push(...lostHoles(holes, own, islandsIn));
  }
  return { beams: kept, findings };
};

/**
 * All pieces of an opening but the largest of each part of it. Drawn openings that overlap by no more than a cut may be off,
 * as those that touch at a point, never had one piece.
 */
const splitFrom = (
  { outer }: Connected,
  own: readonly Connected[],
  { drawn, islands, cut }: InlayInput,
): Connected[] => {
  if (own.length < 2) return [];
  const isIsland = new Set(islands.map(({ ring }) => ring));
  const shapes = new Set(outer.shapes);
  const shrunk = drawn
    .filter(({ name, ring }) => shapes.has(name) && !isIsland.has(ring))
    .map(({ name, ring }) => ({ rings: [{ ring, shapes: [name] }] }))
    .map((region) => offsetRegion(region, -cut.tolerance / 2, roundCorners, cut.tolerance));
  const partAt = finderAmong(connectedIn(unite(shrunk, cut.tolerance * share.arcs)));
  const seen = new Set<Connected | undefined>();
  return [...own]
    .sort((a, b) => b.outer.ring.area - a.outer.ring.area)
    .filter((piece) => {
      const part = partAt(pointBeside(piece.outer.ring.spans(), 0));
      const isFirst = !seen.has(part);
      seen.add(part);
      return !isFirst;
    });
};

/** Narrower than this, mm, shapes that touch are told apart: where they touch at a point, rounding may make them one. */
const narrow = 0.1;

/** Shapes that an opening hangs together with by hardly more than a point, and of which no piece is left. */
const lostParts = (
  { outer, holes }: Connected,
  own: readonly Connected[],
  { drawn, distance, cut }: InlayInput,
): Finding[] => {
  const less = Math.min(narrow / 2, (cut.kerf / 2 - distance) / 2);
  if (outer.shapes.length < 2 || less < cut.tolerance / 2) return [];
  const region: Region = { rings: [outer, ...holes] };
  const shrunk = offsetRegion(region, -less, roundCorners, cut.tolerance);
  const apart = connectedIn([shrunk]);
  if (apart.length < 2) return [];
  const partAt = finderAmong(apart);
  const filled = new Set(own.map((piece) => partAt(pointBeside(piece.outer.ring.spans(), 0))));
  if (apart.every((part) => filled.has(part))) return [];
  const shapes = new Set(outer.shapes);
  const rings = drawn.filter(({ name }) => shapes.has(name)).map(({ name, ring }) => ({ shape: name, ring }));
  const named = connectedIn(namedByEdges([shrunk], [region], rings));
  const left = new Set(named.flatMap((part, i) => (filled.has(apart[i]!) ? part.outer.shapes : [])));
  return named
    .filter((part, i) => !filled.has(apart[i]!) && !isCrumb(part.outer.ring, cut.tolerance))
    .map((part) => ({
      code: 'opening-vanished',
      openings: part.outer.shapes,
      at: middleOf(part.outer.ring.spans()),
      what: part.outer.shapes.some((shape) => left.has(shape)) ? 'part' : 'opening',
    }));
};

/** @param grown how far the pieces lie outside the drawn edges, mm; negative, but for openings pierced larger than the clearance */
const piecesByOpening = (
  openings: readonly Connected[],
  pieces: readonly Connected[],
  grown: number,
): Map<Connected, Connected[]> => {
  const found = new Map(openings.map((opening) => [opening, [] as Connected[]]));
  if (grown > -1e-4) {
    const pieceAt = finderAmong(pieces);
    for (const opening of openings) {
      const piece = pieceAt(pointBeside(opening.outer.ring.spans()));
      if (piece !== undefined) found.get(opening)!.push(piece);
    }
    return found;
  }
  const openingAt = finderAmong(openings);
  for (const piece of pieces) {
    const opening = openingAt(pointBeside(piece.outer.ring.spans(), 0));
    if (opening !== undefined) found.get(opening)!.push(piece);
  }
  return found;
};

/** Openings too near each other for the beam: one path runs round both, and their pieces are not cut apart. */
const joinedIn = (openings: readonly Connected[], beams: readonly Region[]): Connected[][] => {
  const pathAt = finderAmong(connectedIn(beams));
  const within = new Map<Connected, Connected[]>();
  for (const opening of openings) {
    const path = pathAt(pointBeside(opening.outer.ring.spans()));
    if (path === undefined) continue;
    const others = within.get(path);
    if (others === undefined) within.set(path, [opening]);
    else others.push(opening);
  }
  return [...within.values()].filter((group) => group.length > 1);
};

const joinedFinding = (group: readonly Connected[]): Finding => ({
  code: 'openings-merged',
  openings: [...new Set(group.flatMap(({ outer }) => outer.shapes))],
  at: middleOf(group[0]!.outer.ring.spans()),
});

export const sizeOf = ({ ring: { box } }: RegionRing): readonly [number, number] => [
  box.maxX - box.minX,
  box.maxY - box.minY,
];

/** Material of the panel for which the piece gets no hole, because the beam is too wide for it. */
const lostHoles = (
  holes: readonly RegionRing[],
  pieces: readonly Connected[],
  islandsIn: ReturnType<typeof islandFinder>,
): Finding[] =>
  holes.flatMap(({ ring, shapes }): Finding[] => {
    const at = middleOf(ring.spans());
    if (!pieces.some((piece) => isIn(piece, at))) return [];
    return [{ code: 'opening-vanished', openings: shapes, at, what: 'hole', vanished: islandsIn(ring) }];
  });
