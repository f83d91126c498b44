/**
 * Loose lines of one kind to outlines: exact ends first, then near ones, then what lies on other
 * lines.
 */

import { endOf, type Path, type Segment, segmentBox, startOf } from '../../../geometry/curve.js';
import { type Box, distance, type Point } from '../../../geometry/point.js';
import { boxOfPath, segmentsNow } from '../../../geometry/stored-path.js';
import { encloses, isShort, leastTurns } from '../encloses.js';
import type { Lines, LooseLines } from '../plain/loose-lines.js';
import { nearOthers, nearTo } from '../plain/near-lines.js';
import { mergeNear, Places, type ShortLink } from '../plain/places.js';
import { endsOfLines, PlainOutlines, takeExact, takeNear } from '../plain/plain-outlines.js';
import type { Copies } from './faces.js';
import { type Outline, solve } from './network.js';
import { type Cover, findOverlaps, uncovered } from './overlap.js';
import { entryOf, exitOf, type Part, type Piece, pieceOf, type Run, samePlace } from './piece.js';
import { sameLine, sameRun } from './same-curve.js';

/** Lines between the same two places that are compared with each other. */
const mostTwins = 40;

/** A closed path that is there already, or any other line that loose ones may lie on. */
export interface Fixed {
  readonly path: Path;
  readonly shape: number;
}

/** A piece, or a part of it, that lies on another line. */
export interface Duplicate {
  readonly piece: Piece;
  /** The shape that has the line. */
  readonly on: number;
  /** False where only a part of the piece is left out. */
  readonly whole: boolean;
}

export interface Joined {
  /** Of lines that leave no choice, without end. */
  readonly plain: PlainOutlines;
  /** Further ones: parts end to end, each one a closed path. */
  readonly outlines: readonly Outline[];
  /**
   * Paths that stay open, of one piece or several; not said of lines that have nothing to do with
   * any other.
   */
  readonly open: readonly Pick<Run, 'parts'>[];
  readonly duplicates: readonly Duplicate[];
  /** Where it cannot be told which lines belong together. */
  readonly knots: readonly Point[];
  /** False where too many lines lie in one place for overlaps to be looked for. */
  readonly complete: boolean;
}

/**
 * @param lines of one layer and role
 * @param fixed closed paths of the same layer and role
 * @param reach the join distance, mm
 */
export const joinLoose = (lines: LooseLines, fixed: () => Iterable<Fixed>, reach: number): Joined => {
  const plain = new PlainOutlines(lines);
  const ends = endsOfLines(lines);
  takeExact(plain, ends);
  const others = Int32Array.from({ length: lines.count }, (_, i) => i).filter((i) => plain.isTaken[i] === 0);
  const left: Lines = { count: others.length, path: (i) => lines.path(others[i]!) };
  const tolerance = Math.max(reach, sameLine);
  const standing = linesNear(left, [fixed(), takenOf(lines, plain)], tolerance);
  const near = nearOthers(left, standing.segments, tolerance).map((i) => others[i]!);
  const exact = plain.count;
  if (reach > samePlace) takeNear(plain, ends, near, reach);
  const pieces: Piece[] = [];
  for (const i of near) if (plain.isTaken[i] === 0) pieces.push(lines.piece(i));
  const also = linesNear(asLines(pieces), [linesOf(plain, exact)], tolerance);
  return { plain, ...joinPieces(pieces, [standing, also], reach) };
};

/** Lines that are not joined any more, but that others may lie on. */
interface Standing {
  readonly segments: readonly Segment[];
  /** The shape of each. */
  readonly owners: readonly number[];
}

function* takenOf(lines: LooseLines, { isTaken }: PlainOutlines): Generator<Fixed> {
  for (let i = 0; i < lines.count; i += 1) {
    if (isTaken[i] === 1) yield { path: lines.path(i), shape: lines.shapeAt(i) };
  }
}

/** @param first outline that counts */
function* linesOf(plain: PlainOutlines, first: number): Generator<Fixed> {
  for (let k = first; k < plain.count; k += 1) {
    for (const { piece } of plain.partsOf(k)) yield { path: piece.path, shape: piece.shape };
  }
}

/** Of many lines those that come within `tolerance` of the loose ones. */
const linesNear = (loose: Lines, fixed: readonly Iterable<Fixed>[], tolerance: number): Standing => {
  const owners: number[] = [];
  const segments: Segment[] = [];
  if (loose.count === 0) return { segments, owners };
  let isNear: ((box: Box) => boolean) | undefined;
  for (const some of fixed) {
    for (const { path, shape } of some) {
      isNear ??= nearTo(loose, tolerance);
      if (!isNear(boxOfPath(path))) continue;
      for (const s of segmentsNow(path)) {
        if (!isNear(segmentBox(s))) continue;
        segments.push(s);
        owners.push(shape);
      }
    }
  }
  return { segments, owners };
};

const asLines = (pieces: readonly Piece[]): Lines => ({
  count: pieces.length,
  path: (i) => pieces[i]!.path,
});

/** @param pieces in the order of the file */
const joinPieces = (
  pieces: readonly Piece[],
  standing: readonly Standing[],
  reach: number,
): Omit<Joined, 'plain'> => {
  if (pieces.length === 0) return { outlines: [], open: [], duplicates: [], knots: [], complete: true };
  const all = located(pieces);
  const { single, copies } = withoutTwins(all);
  const first = joinEnds({ runs: single, places: all.places }, copies, reach);
  const twins = (): Duplicate[] => unusedCopies(copies, first.outlines);
  const loose: Piece[] = [];
  for (const { parts } of first.open) for (const { piece } of parts) loose.push(piece);
  if (loose.length === 0) return { ...first, duplicates: twins(), complete: true };
  const taken: Fixed[] = first.outlines.flatMap(({ parts }) =>
    parts.map(({ piece }) => ({ path: piece.path, shape: piece.shape })),
  );
  const trimmed = withoutOverlaps(loose, [...standing, linesNear(asLines(loose), [taken], sameLine)]);
  const { complete } = trimmed;
  if (trimmed.duplicates.length === 0) return { ...first, duplicates: twins(), complete };
  const second = joinEnds(located(trimmed.pieces), copies, reach);
  const outlines = [...first.outlines, ...second.outlines];
  return {
    outlines,
    open: second.open,
    duplicates: [...unusedCopies(copies, outlines), ...trimmed.duplicates],
    knots: second.knots,
    complete,
  };
};

const unusedCopies = (copies: Copies, outlines: Joined['outlines']): Duplicate[] => {
  if (copies.size === 0) return [];
  const used = new Set(outlines.flatMap(({ parts }) => parts.map(({ piece }) => piece)));
  return [...copies].flatMap(([{ shape }, twins]) =>
    twins.filter((twin) => !used.has(twin)).map((piece) => ({ piece, on: shape, whole: true })),
  );
};

/**
 * Of pieces with the same course, in either direction, the first stays, and the others are its
 * copies.
 */
const withoutTwins = ({ runs }: Located): { single: Run[]; copies: Copies } => {
  const firsts = firstWithEnds(runs);
  /** Pieces between the same two places, by the first run there; most runs are the only one. */
  const beside = new Map<number, Piece[]>();
  const single: Run[] = [];
  const copies = new Map<Piece, Piece[]>();
  for (const [i, run] of runs.entries()) {
    const first = firsts[i]!;
    if (first === i) {
      single.push(run);
      continue;
    }
    const { piece } = run.parts[0]!;
    const known = beside.get(first) ?? [runs[first]!.parts[0]!.piece];
    beside.set(first, known);
    const twin = known.find(({ path }) => sameRun(path.segments, piece.path.segments));
    if (twin === undefined) {
      single.push(run);
      if (known.length < mostTwins) known.push(piece);
      continue;
    }
    const further = copies.get(twin);
    if (further === undefined) copies.set(twin, [piece]);
    else further.push(piece);
  }
  return { single, copies };
};

/** For each run the first one between the same two places. */
const firstWithEnds = (runs: readonly Run[]): Int32Array => {
  const bits = Math.max(6, 33 - Math.clz32(runs.length));
  const table = new Int32Array(2 ** bits);
  const firsts = new Int32Array(runs.length);
  const low = (i: number): number => Math.min(runs[i]!.from, runs[i]!.to);
  const high = (i: number): number => Math.max(runs[i]!.from, runs[i]!.to);
  for (let i = 0; i < runs.length; i += 1) {
    const [a, b] = [low(i), high(i)];
    let row = Math.imul(Math.imul(a, 0x9e3779b1) ^ b, 0x85ebca6b) >>> (32 - bits);
    let first = table[row]! - 1;
    while (first >= 0 && (low(first) !== a || high(first) !== b)) {
      row = (row + 1) & (table.length - 1);
      first = table[row]! - 1;
    }
    if (first < 0) table[row] = i + 1;
    firsts[i] = first < 0 ? i : first;
  }
  return firsts;
};

/** Each piece as a run of its own, between numbered places. */
interface Located {
  readonly runs: readonly Run[];
  readonly places: Places;
}

/** Of half a million lines each is a run: its one part is made when it is asked for. */
class PieceRun implements Run {
  constructor(
    private readonly piece: Piece,
    readonly from: number,
    readonly to: number,
  ) {}

  get parts(): readonly Part[] {
    return [{ piece: this.piece, backward: false }];
  }
}

const located = (pieces: readonly Piece[]): Located => {
  const places = new Places(pieces.length);
  const runs = pieces.map((piece): Run => new PieceRun(piece, places.at(piece.from), places.at(piece.to)));
  return { runs, places };
};

type Ends = Pick<Joined, 'outlines' | 'open' | 'knots'>;

const joinEnds = ({ runs, places }: Located, copies: Copies, reach: number): Ends => {
  const exact = solve(runs, copies, (parts) => encloses(parts, samePlace));
  const at = (place: number): Point => places.point(place);
  const result = (outlines: Joined['outlines'], { rest, knots }: ReturnType<typeof solve>): Ends => ({
    outlines,
    open: rest,
    knots: knots.map(at),
  });
  if (exact.rest.length === 0 || reach <= samePlace) return result(exact.outlines, exact);
  const candidates = endsOf(exact.rest, places.count);
  const short: ShortLink[] = [];
  for (const run of exact.rest) {
    const { from, to } = run;
    if (distance(at(from), at(to)) <= reach && isShort(run.parts, leastTurns * reach))
      short.push({ from, to });
  }
  const jointOf = mergeNear(at, candidates, short, reach);
  // The same network once more would come out the same.
  if (jointOf === undefined && exact.outlines.length + exact.knots.length === 0) return result([], exact);
  const joint = jointOf ?? ((place: number) => place);
  const near = solve(
    exact.rest.map(({ parts, from, to }) => ({ parts, from: joint(from), to: joint(to) })),
    copies,
    (parts) => encloses(parts, reach),
  );
  return result([...exact.outlines, ...near.outlines], near);
};

/** The places where runs begin or end, each once, in the order in which they come. */
const endsOf = (runs: readonly Run[], places: number): Int32Array => {
  const seen = new Uint8Array(places);
  const ends = new Int32Array(Math.min(places, 2 * runs.length));
  let count = 0;
  const add = (place: number): void => {
    if (seen[place] === 1) return;
    seen[place] = 1;
    ends[count] = place;
    count += 1;
  };
  for (const { from, to } of runs) {
    add(from);
    add(to);
  }
  return ends.subarray(0, count);
};

const withoutOverlaps = (
  pieces: readonly Piece[],
  standing: readonly Standing[],
): { pieces: readonly Piece[]; duplicates: Duplicate[]; complete: boolean } => {
  const segments = standing.flatMap((some) => some.segments);
  const owners = standing.flatMap((some) => some.owners);
  const suspects = Array.from(nearOthers(asLines(pieces), segments, sameLine), (i) => pieces[i]!);
  if (suspects.length === 0) return { pieces, duplicates: [], complete: true };
  const before = segments.length;
  const sizes: number[] = [];
  const inOrder = suspects.toSorted((a, b) => a.order - b.order);
  for (const piece of inOrder) {
    const own = segmentsNow(piece.path);
    sizes.push(own.length);
    for (const s of own) {
      segments.push(s);
      owners.push(piece.shape);
    }
  }
  const { covers, complete } = findOverlaps(segments, segments.length - before, sameLine);
  if (covers.size === 0) return { pieces, duplicates: [], complete };
  const places = new Map(inOrder.map((piece, k) => [piece, k]));
  const froms: number[] = [];
  let index = before;
  for (const size of sizes) {
    froms.push(index);
    index += size;
  }
  const left: Piece[] = [];
  const duplicates: Duplicate[] = [];
  for (const piece of pieces.toSorted((a, b) => a.order - b.order)) {
    const k = places.get(piece);
    let on: Cover | undefined;
    if (k !== undefined) {
      for (let i = froms[k]!; i < froms[k]! + sizes[k]!; i += 1) on ??= covers.get(i)?.[0];
    }
    if (k === undefined || on === undefined) {
      left.push(piece);
      continue;
    }
    const parts = partsLeft(piece, (i) => covers.get(froms[k]! + i) ?? []);
    left.push(...parts);
    duplicates.push({ piece, on: owners[on.by]!, whole: parts.length === 0 });
  }
  return { pieces: left, duplicates, complete };
};

const partsLeft = (piece: Piece, coversOf: (i: number) => Parameters<typeof uncovered>[1]): Piece[] => {
  const runs: Segment[][] = [];
  let open = false;
  piece.path.segments.forEach((s, i) => {
    const covers = coversOf(i);
    const rest = covers.length === 0 ? [s] : uncovered(s, covers, sameLine);
    rest.forEach((part, k) => {
      const follows = open && k === 0 && runs.length > 0 && meetsLast(runs.at(-1)!, part);
      if (follows) runs.at(-1)!.push(part);
      else runs.push([part]);
      open = true;
    });
    if (rest.length === 0) open = false;
  });
  return runs.map((segments) => pieceOf({ segments, closed: false }, piece));
};

const meetsLast = (run: readonly Segment[], next: Segment): boolean =>
  distance(endOf(run.at(-1)!), startOf(next)) <= samePlace;

/** The largest distance between ends that follow each other. */
export const largestGap = (parts: readonly Part[], closed: boolean): number => {
  let largest = 0;
  for (let i = closed ? 0 : 1; i < parts.length; i += 1) {
    const before = parts[(i + parts.length - 1) % parts.length]!;
    largest = Math.max(largest, distance(exitOf(before), entryOf(parts[i]!)));
  }
  return largest;
};
