/** Loose lines of a drawing joined to outlines; lines drawn twice left out. A step between reading and roles. */
import type { Path } from '../../geometry/curve.js';
import { CurveStore, isSamePath, StoredPath } from '../../geometry/curve-store.js';
import type { Point } from '../../geometry/point.js';
import type { Drawing, Shape } from '../drawing.js';
import { glimpse, isAllClosed, pathCount } from '../shape-store.js';
import { assembled, IntoShapes, type Placed } from './assemble.js';
import { joinWarnings } from './join-warnings.js';
import { joinedPath } from './joined-path.js';
import { joinLoose, largestGap } from './loose.js';
import { nearestEnds } from './open-ends.js';
import { type Part, type Piece, pieceOf } from './piece.js';
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
  const rings = new RingsSeen((shape, place) => glimpse(shapes[shape]!)[place]!);
  /** The number of each kind, by its name, and the loose lines of each that has some. */
  const kinds = new Map<string, number>();
  const loose = new Map<number, Piece[]>();
  /** Of the shapes that may change: most have closed paths only, and keep them. */
  const placed: (Placed[] | undefined)[] = new Array(shapes.length);
  const intoShape = new IntoShapes(shapes.length);
  const duplicateIds: { id: string; on: string }[] = [];
  let order = 0;
  const goes = (from: number, into: number): void => {
    if (from !== into) intoShape.add(from, into);
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
    const closed = isAllClosed(shape);
    const paths = glimpse(shape);
    let lost = 0;
    const twinOf = paths.map((path, index) => {
      if (!path.closed) return undefined;
      const twin = rings.find(own, path, i, index);
      if (twin === undefined) return undefined;
      lost += 1;
      goes(i, twin);
      duplicateIds.push({ id: shape.id, on: shapes[twin]!.id });
      return twin;
    });
    if (closed && lost === 0) continue;
    let kept = nothing;
    for (const [index, path] of paths.entries()) {
      if (!path.closed) {
        const piece = pieceOf(path, { shape: i, index, order });
        const known = loose.get(own);
        if (known === undefined) loose.set(own, [piece]);
        else known.push(piece);
        order += 1;
      } else if (twinOf[index] === undefined) {
        if (kept === nothing) kept = [];
        kept.push({ path, shape: i, index });
      }
    }
    placed[i] = kept;
  }

  const curves = new CurveStore();
  const stored = (path: Path): Path => {
    curves.keepPath(path);
    return new StoredPath(curves, curves.count - 1);
  };
  const reach = options.distance === 0 ? 0 : options.distance + rounding;
  const knots: Point[] = [];
  let complete = true;
  let outlines = 0;
  let lines = 0;
  let openChains = 0;
  let gap: number | undefined;
  for (const [kind, pieces] of [...loose].sort(([a], [b]) => a - b)) {
    const joined = joinLoose(pieces, () => rings.all(kind), reach);
    knots.push(...joined.knots);
    complete &&= joined.complete;
    const place = (parts: readonly Part[], path: Path): void => {
      const owner = ownerOf(parts);
      for (const { piece } of parts) goes(piece.shape, owner.shape);
      const joined = parts.some(({ piece }) => piece.shape !== owner.shape);
      const one = { path, shape: owner.shape, index: owner.index, joined };
      const known = placed[owner.shape];
      if (known === undefined || known === nothing) placed[owner.shape] = [one];
      else known.push(one);
    };
    for (const { parts } of joined.outlines) {
      const path = stored(joinedPath(parts, true, reach));
      const twin = rings.find(kind, path, ownerOf(parts).shape);
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
    for (const { parts } of joined.open) {
      const path = joinedPath(parts, false, reach);
      if (parts.length === 1 && isWhole(shapes[parts[0]!.piece.shape]!, path)) {
        placed[parts[0]!.piece.shape] = undefined;
        continue;
      }
      place(parts, parts.length === 1 ? path : stored(path));
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

/** Whether a path is all there is of a shape. */
const isWhole = (shape: Shape, path: Path): boolean =>
  pathCount(shape) === 1 && isSamePath(path, glimpse(shape)[0]!);

/** Stands for all shapes of which nothing is left; never added to. */
const nothing: Placed[] = [];

/** The piece that comes first in the file. */
const ownerOf = (parts: readonly Part[]): Piece =>
  parts.reduce((first, { piece }) => (piece.order < first.order ? piece : first), parts[0]!.piece);
