/**
 * Loose lines of a drawing joined to outlines; lines drawn twice left out. A step between reading
 * and roles.
 */

import { CurveStore } from '../../geometry/curve-store.js';
import { distance as distanceOf, type Point } from '../../geometry/point.js';
import { isSamePath, StoredPath } from '../../geometry/stored-path.js';
import type { Drawing, Shape } from '../model/drawing.js';
import { isAllClosed, isClosedAt, pathAt, pathCount } from '../model/shape-store.js';
import { assembled, IntoShapes } from './assemble.js';
import { joinLoose, largestGap } from './doubtful/loose.js';
import type { Part, Piece } from './doubtful/piece.js';
import { RingsSeen } from './doubtful/rings.js';
import { closedWhereFilled } from './filled.js';
import type { Findings, JoinOptions, JoinReport } from './join-findings.js';
import { joinWarnings, mostNamed } from './join-warnings.js';
import { joinedPath } from './joined-path.js';
import { type KindOf, type NumberedKinds, numbered } from './numbered-kinds.js';
import { nearestEnds } from './open-ends.js';
import { Placements } from './placements.js';
import { LooseLines } from './plain/loose-lines.js';

/**
 * What rounding adds to a gap that is drawn as wide as the join distance: coordinates of 10 and
 * 10.01, placed on a page.
 */
const rounding = 1e-9;

/** Common practice, no source: well below a kerf, well above what programs round to. */
export const defaultJoin = 0.01;

export interface JoinedDrawing {
  readonly drawing: Drawing;
  readonly report: JoinReport;
  /**
   * Lines of several kinds were joined, or left out over each other: with other roles it may become
   * another drawing.
   */
  readonly isMixed: boolean;
}

/**
 * Chains of open paths whose ends meet within the join distance become closed outlines, or longer
 * open paths. Lines that lie on others of their kind are left out, as far as they do. What is left
 * covers the same points of the plane as before, within the join distance. A joined path belongs to
 * the shape whose part comes first in the file, and shapes of which nothing is left live on as
 * further names (`labels`) of the one they went into. What stays open and is seen filled is closed
 * by a straight line (see filled.ts).
 *
 * Lines of one kind are joined among themselves first, so that an engraved line that ends in the
 * corner of an outline leaves nothing in doubt. Only what no line of its own kind closes is then
 * closed by lines of other kinds.
 */
export const joinDrawing = (drawing: Drawing, options: JoinOptions): JoinedDrawing => {
  const { kindOf, widerKindOf, distance } = options;
  const kinds = numbered(drawing.shapes, kindOf, widerKindOf);
  const first = joinedOnce(drawing.shapes, { kinds, distance });
  const again = widerKindOf && kindsLeft(first, kinds, widerKindOf);
  const { shapes, found } =
    again === undefined
      ? first
      : both(
          first.found,
          joinedOnce(first.shapes, {
            kinds: numbered(first.shapes, again),
            distance,
            ringsDiffer: !first.areRingsShared,
            closes: options.widerCopiesOnly !== true,
            chains: false,
          }),
        );
  const filled = closedWhereFilled(shapes, options.widerCopiesOnly === true ? filledAlone : filledAtAll);
  const withGaps = nearestEnds(filled, options.widerKindOf ?? kindOf);
  const warnings = joinWarnings(found, withGaps);
  return {
    drawing: { ...drawing, shapes: withGaps, warnings: [...drawing.warnings, ...warnings] },
    report: found.report,
    isMixed: shapes !== first.shapes,
  };
};

/** What no stroke surrounds ends where its filling does: lines that are cut as drawn as well. */
const filledAlone: ReadonlySet<Shape['filled']> = new Set(['alone']);
const filledAtAll: ReadonlySet<Shape['filled']> = new Set(['alone', 'stroked']);

/**
 * The wider kind of each shape to which a look at the wider kinds may do something: where closed
 * paths of several kinds are the same, or lines are still open. Undefined where there is no such
 * shape: closed paths that differ are not looked at again.
 */
const kindsLeft = (
  { shapes, areRingsShared }: JoinedOnce,
  { several }: NumberedKinds,
  widerKindOf: KindOf,
): KindOf | undefined => {
  if (several.size === 0) return undefined;
  const left = new Set<string | number>(areRingsShared ? several : []);
  for (let i = 0; i < shapes.length && left.size < several.size; i += 1) {
    if (isAllClosed(shapes[i]!)) continue;
    const wider = widerKindOf(shapes[i]!);
    if (wider !== undefined && several.has(wider)) left.add(wider);
  }
  if (left.size === 0) return undefined;
  return (shape) => {
    const wider = widerKindOf(shape);
    return wider !== undefined && left.has(wider) ? wider : undefined;
  };
};

interface JoinedOnce {
  readonly shapes: readonly Shape[];
  readonly found: Findings;
  /** Parts of its outlines that were open paths made of several lines before. */
  readonly chainsClosed: number;
  /** Whether closed paths of several kinds, but one wider kind, are the same. */
  readonly areRingsShared: boolean;
}

const both = (
  first: Findings,
  { shapes, found, chainsClosed }: JoinedOnce,
): Pick<JoinedOnce, 'shapes' | 'found'> => {
  const [one, other] = [first.report, found.report];
  const largestGap =
    one.largestGap === undefined && other.largestGap === undefined
      ? {}
      : { largestGap: Math.max(one.largestGap ?? 0, other.largestGap ?? 0) };
  return {
    shapes,
    found: {
      report: {
        distance: one.distance,
        outlines: one.outlines + other.outlines,
        lines: one.lines + other.lines,
        openChains: one.openChains - chainsClosed,
        ...largestGap,
        duplicates: one.duplicates + other.duplicates,
      },
      duplicateIds: [...first.duplicateIds, ...found.duplicateIds].slice(0, mostNamed),
      knots: found.knots.length > 0 ? [...first.knots, ...apartFrom(first.knots, found.knots)] : first.knots,
      complete: first.complete && found.complete,
    },
  };
};

const apartFrom = (known: readonly Point[], further: readonly Point[]): Point[] =>
  further.filter((p) => !known.some((q) => distanceOf(p, q) < defaultJoin));

interface PassOptions {
  readonly distance: number;
  readonly kinds: NumberedKinds;
  /** Closed paths are known to differ from one another: they are not compared. */
  readonly ringsDiffer?: boolean;
  /** False: nothing is closed. */
  readonly closes?: boolean;
  /** False: open lines are not made into longer ones. */
  readonly chains?: boolean;
}

const joinedOnce = (shapes: readonly Shape[], options: PassOptions): JoinedOnce => {
  /** Joined paths. */
  const curves = new CurveStore();
  const rings = new RingsSeen(
    (shape, place) => (place < 0 ? new StoredPath(curves, ~place) : pathAt(shapes[shape]!, place)),
    shapes.length,
  );
  const { kinds } = options;
  /** The loose lines of each kind that has some. */
  const loose = new Map<number, LooseLines>();
  const placements = new Placements(shapes);
  const intoShape = new IntoShapes(shapes.length);
  const duplicateIds: { id: string; on: string }[] = [];
  let duplicates = 0;
  const goes = (from: number, into: number): void => {
    if (from !== into) intoShape.add(from, into);
  };
  const leaveOut = (from: number, on: number): void => {
    goes(from, on);
    duplicates += 1;
    if (duplicates <= mostNamed) duplicateIds.push({ id: shapes[from]!.id, on: shapes[on]!.id });
  };
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    const own = kinds.kindAt(i);
    if (own < 0) continue;
    const ringKind = { kind: own, group: kinds.groupAt(i) };
    const paths = pathCount(shape);
    for (let index = 0; index < paths; index += 1) {
      if (!isClosedAt(shape, index)) {
        let lines = loose.get(own);
        if (lines === undefined) {
          lines = new LooseLines(shapes);
          loose.set(own, lines);
        }
        lines.add(i, index);
        continue;
      }
      if (options.ringsDiffer === true) {
        rings.keep(ringKind, i, index);
        continue;
      }
      const twin = rings.find(ringKind, pathAt(shape, index), i, index);
      if (twin === undefined) continue;
      placements.remove(i, index);
      leaveOut(i, twin);
    }
  }

  const reach = options.distance === 0 ? 0 : options.distance + rounding;
  const knots: Point[] = [];
  let complete = true;
  let outlines = 0;
  let lines = 0;
  let openChains = 0;
  let chainsClosed = 0;
  let gap: number | undefined;
  for (const [kind, own] of [...loose].sort(([a], [b]) => a - b)) {
    const joined = joinLoose(own, () => rings.all(kind), reach);
    for (const knot of joined.knots) knots.push(knot);
    complete &&= joined.complete;
    /** The path that was kept last takes the place of these parts. */
    const place = (parts: readonly Part[], owner: Piece): void => {
      for (const { piece } of parts) {
        placements.remove(piece.shape, piece.index);
        goes(piece.shape, owner.shape);
      }
      const joined = parts.some(({ piece }) => piece.shape !== owner.shape);
      placements.add(owner.shape, owner.index, curves.count - 1, joined);
    };
    const close = (parts: readonly Part[]): void => {
      const owner = ownerOf(parts);
      curves.keepPath(joinedPath(parts, true, reach));
      const number = curves.count - 1;
      const ringKind = { kind, group: kinds.groupAt(owner.shape) };
      const twin = rings.find(ringKind, new StoredPath(curves, number), owner.shape, ~number);
      if (twin === undefined) {
        place(parts, owner);
        outlines += 1;
        lines += parts.length;
        for (const { piece } of parts) if (shapes[piece.shape]!.element === 'joined') chainsClosed += 1;
        gap = Math.max(gap ?? 0, largestGap(parts, true));
        return;
      }
      for (const { piece } of parts) placements.remove(piece.shape, piece.index);
      for (const shape of new Set(parts.map(({ piece }) => piece.shape))) leaveOut(shape, twin);
    };
    const stayOpen = (parts: readonly Part[]): void => {
      const [{ piece }] = parts as [Part];
      if (parts.length === 1 && isSamePath(piece.path, pathAt(shapes[piece.shape]!, piece.index))) return;
      curves.keepPath(joinedPath(parts, false, reach));
      place(parts, ownerOf(parts));
      if (parts.length === 1) return;
      openChains += 1;
      gap = Math.max(gap ?? 0, largestGap(parts, false));
    };
    const stayAlone = (parts: readonly Part[]): void => {
      for (const part of parts) stayOpen([part]);
    };
    const takeClosed = options.closes === false ? stayAlone : close;
    for (let k = 0; k < joined.plain.count; k += 1) takeClosed(joined.plain.partsOf(k));
    for (const { parts } of joined.outlines) takeClosed(parts);
    for (const { parts } of joined.open) {
      const isFilled = parts.every(({ piece }) => shapes[piece.shape]!.filled === 'alone');
      // Each is filled by itself.
      if (options.chains === false || isFilled) stayAlone(parts);
      else stayOpen(parts);
    }
    for (const { piece, on } of joined.duplicates) {
      placements.remove(piece.shape, piece.index);
      leaveOut(piece.shape, on);
    }
  }
  const report: JoinReport = {
    distance: options.distance,
    outlines,
    lines,
    openChains,
    ...(gap === undefined ? {} : { largestGap: gap }),
    duplicates,
  };
  const changed = outlines + openChains + duplicates > 0;
  return {
    shapes: changed ? assembled(shapes, placements, intoShape, curves) : shapes,
    found: { report, duplicateIds, knots, complete },
    chainsClosed,
    areRingsShared: rings.areShared,
  };
};

/** The piece that comes first in the file. */
const ownerOf = (parts: readonly Part[]): Piece =>
  parts.reduce((first, { piece }) => (piece.order < first.order ? piece : first), parts[0]!.piece);
