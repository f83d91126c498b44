/** Loose lines of a drawing joined to outlines; lines drawn twice left out. A step between reading and roles. */
import { CurveStore } from '../../geometry/curve-store.js';
import type { Point } from '../../geometry/point.js';
import { isSamePath, StoredPath } from '../../geometry/stored-path.js';
import type { Drawing, Shape } from '../drawing.js';
import { isClosedAt, pathAt, pathCount } from '../shape-store.js';
import { assembled, IntoShapes } from './assemble.js';
import { joinWarnings, mostNamed } from './join-warnings.js';
import { joinedPath } from './joined-path.js';
import { joinLoose, largestGap } from './loose.js';
import { LooseLines } from './loose-lines.js';
import { nearestEnds } from './open-ends.js';
import type { Part, Piece } from './piece.js';
import { Placements } from './placements.js';
import { RingsSeen } from './rings.js';

/** What rounding adds to a gap that is drawn as wide as the join distance: coordinates of 10 and 10.01, placed on a page. */
const rounding = 1e-9;

/** Common practice, no source: well below a kerf, well above what programs round to. */
export const defaultJoin = 0.01;

export interface JoinOptions {
  /** Ends at most so far apart are joined, mm; 0: only ends in the same place. */
  readonly distance: number;
  /**
   * Lines are joined only with lines of the same kind, and left out only over them; shapes without a kind (marks) are left
   * as they are.
   */
  readonly kindOf: (shape: Shape) => string | number | undefined;
}

/** What joining did. */
export interface JoinReport {
  /** mm. */
  readonly distance: number;
  /** Closed paths made of open ones, and the open paths they were made of. */
  readonly outlines: number;
  readonly lines: number;
  /** Open paths joined to longer ones that still do not close. */
  readonly openChains: number;
  /** Between ends that were joined, mm; undefined where nothing was. */
  readonly largestGap?: number;
  /** Paths left out, in whole or in part, over others. */
  readonly duplicates: number;
}

export interface JoinedDrawing {
  readonly drawing: Drawing;
  readonly report: JoinReport;
}

export interface Findings {
  readonly report: JoinReport;
  /** Some of the lines left out, and the shapes they lie on. */
  readonly duplicateIds: readonly { readonly id: string; readonly on: string }[];
  readonly knots: readonly Point[];
  readonly complete: boolean;
}

/**
 * Chains of open paths whose ends meet within the join distance become closed outlines, or longer open paths. Lines that
 * lie on others of their kind are left out, as far as they do. What is left covers the same points of the plane as before,
 * within the join distance. A joined path belongs to the shape whose part comes first in the file, and shapes of which
 * nothing is left live on as further names (`labels`) of the one they went into.
 */
export const joinDrawing = (drawing: Drawing, options: JoinOptions): JoinedDrawing => {
  const { shapes } = drawing;
  /** Joined paths. */
  const curves = new CurveStore();
  const rings = new RingsSeen(
    (shape, place) => (place < 0 ? new StoredPath(curves, ~place) : pathAt(shapes[shape]!, place)),
    shapes.length,
  );
  /** The number of each kind, by its name, and the loose lines of each that has some. */
  const kinds = new Map<string | number, number>();
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
    const kind = options.kindOf(shape);
    if (kind === undefined) continue;
    let own = kinds.get(kind);
    if (own === undefined) {
      own = rings.newKind();
      kinds.set(kind, own);
    }
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
      const twin = rings.find(own, pathAt(shape, index), i, index);
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
      const twin = rings.find(kind, new StoredPath(curves, number), owner.shape, ~number);
      if (twin === undefined) {
        place(parts, owner);
        outlines += 1;
        lines += parts.length;
        gap = Math.max(gap ?? 0, largestGap(parts, true));
        return;
      }
      for (const { piece } of parts) placements.remove(piece.shape, piece.index);
      for (const shape of new Set(parts.map(({ piece }) => piece.shape))) leaveOut(shape, twin);
    };
    for (let k = 0; k < joined.plain.count; k += 1) close(joined.plain.partsOf(k));
    for (const { parts } of joined.outlines) close(parts);
    for (const { parts } of joined.open) {
      const [{ piece }] = parts as [Part];
      if (parts.length === 1 && isSamePath(piece.path, pathAt(shapes[piece.shape]!, piece.index))) continue;
      curves.keepPath(joinedPath(parts, false, reach));
      place(parts, ownerOf(parts));
      if (parts.length === 1) continue;
      openChains += 1;
      gap = Math.max(gap ?? 0, largestGap(parts, false));
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
  const joinedShapes = changed ? assembled(shapes, placements, intoShape, curves) : shapes;
  const withGaps = nearestEnds(joinedShapes, options.kindOf);
  const warnings = joinWarnings({ report, duplicateIds, knots, complete }, withGaps);
  return {
    drawing: { ...drawing, shapes: withGaps, warnings: [...drawing.warnings, ...warnings] },
    report,
  };
};

/** The piece that comes first in the file. */
const ownerOf = (parts: readonly Part[]): Piece =>
  parts.reduce((first, { piece }) => (piece.order < first.order ? piece : first), parts[0]!.piece);
