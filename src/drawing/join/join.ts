/** Loose lines of a drawing joined to outlines; lines drawn twice left out. A step between reading and roles. */
import type { Path } from '../../geometry/curve.js';
import type { Point } from '../../geometry/point.js';
import type { Drawing, Shape } from '../drawing.js';
import { glimpse, isAllClosed } from '../shape-store.js';
import { assembled, type Placed } from './assemble.js';
import { joinWarnings } from './join-warnings.js';
import { joinedPath } from './joined-path.js';
import { joinLoose, largestGap } from './loose.js';
import { nearestEnds } from './open-ends.js';
import { type Part, type Piece, pieceOf } from './piece.js';
import { RingsSeen } from './rings.js';

/** Common practice, no source: well below a kerf, well above what programs round to. */
export const defaultJoin = 0.01;

export interface JoinOptions {
  /** Ends at most so far apart are joined, mm; 0: only ends in the same place. */
  readonly distance: number;
  /**
   * Lines are joined only with lines of the same kind, and left out only over them; shapes without a kind (marks) are left
   * as they are.
   */
  readonly kindOf: (shape: Shape) => string | undefined;
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
  const kinds = new Map<string, { readonly pieces: Piece[]; readonly rings: RingsSeen }>();
  const pathOf = (shape: number, place: number): Path => glimpse(shapes[shape]!)[place]!;
  /** Of the shapes that may change: most have closed paths only, and keep them. */
  const placed = new Map<number, Placed[]>();
  const intoShape = new Map<number, Set<number>>();
  const duplicateIds: { id: string; on: string }[] = [];
  let order = 0;
  const goes = (from: number, into: number): void => {
    if (from === into) return;
    const known = intoShape.get(from);
    if (known === undefined) intoShape.set(from, new Set([into]));
    else known.add(into);
  };
  for (let i = 0; i < shapes.length; i += 1) {
    const shape = shapes[i]!;
    const kind = options.kindOf(shape);
    if (kind === undefined) continue;
    let own = kinds.get(kind);
    if (own === undefined) {
      own = { pieces: [], rings: new RingsSeen(pathOf) };
      kinds.set(kind, own);
    }
    const closed = isAllClosed(shape);
    const paths = closed ? glimpse(shape) : shape.paths;
    let lost = 0;
    const twinOf = paths.map((path, index) => {
      if (!path.closed) return undefined;
      const twin = own.rings.find(path, i, index);
      if (twin === undefined) return undefined;
      lost += 1;
      goes(i, twin);
      duplicateIds.push({ id: shape.id, on: shapes[twin]!.id });
      return twin;
    });
    if (closed && lost === 0) continue;
    const kept: Placed[] = [];
    for (const [index, path] of shape.paths.entries()) {
      if (!path.closed) {
        own.pieces.push(pieceOf(path, { shape: i, index, order }));
        order += 1;
      } else if (twinOf[index] === undefined) kept.push({ path, shape: i, index });
    }
    placed.set(i, kept);
  }

  const knots: Point[] = [];
  let complete = true;
  let outlines = 0;
  let lines = 0;
  let openChains = 0;
  let gap: number | undefined;
  for (const { pieces, rings } of kinds.values()) {
    if (pieces.length === 0) continue;
    const joined = joinLoose(pieces, () => rings.all(), options.distance);
    knots.push(...joined.knots);
    complete &&= joined.complete;
    const place = (parts: readonly Part[], path: Path): void => {
      const owner = ownerOf(parts);
      for (const { piece } of parts) goes(piece.shape, owner.shape);
      const joined = parts.some(({ piece }) => piece.shape !== owner.shape);
      placed.get(owner.shape)!.push({ path, shape: owner.shape, index: owner.index, joined });
    };
    for (const parts of joined.outlines) {
      const path = joinedPath(parts, true, options.distance);
      const twin = rings.find(path, ownerOf(parts).shape);
      if (twin !== undefined) {
        for (const shape of new Set(parts.map(({ piece }) => piece.shape))) {
          goes(shape, twin);
          duplicateIds.push({ id: shapes[shape]!.id, on: shapes[twin]!.id });
        }
        continue;
      }
      place(parts, path);
      outlines += 1;
      lines += parts.length;
      gap = Math.max(gap ?? 0, largestGap(parts, true));
    }
    for (const parts of joined.open) {
      place(parts, joinedPath(parts, false, options.distance));
      if (parts.length === 1) continue;
      openChains += 1;
      gap = Math.max(gap ?? 0, largestGap(parts, false));
    }
    for (const { piece, on } of joined.duplicates) {
      goes(piece.shape, on);
      duplicateIds.push({ id: shapes[piece.shape]!.id, on: shapes[on]!.id });
    }
  }
  const report: JoinReport = {
    distance: options.distance,
    outlines,
    lines,
    openChains,
    ...(gap === undefined ? {} : { largestGap: gap }),
    duplicates: duplicateIds.length,
  };
  const changed = outlines + openChains + duplicateIds.length > 0;
  const joinedShapes = changed ? assembled(shapes, placed, intoShape) : shapes;
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
