/** Paths of a store, and what is asked of any path without making more of it than is needed. */
import { endOf, type Path, pathBox, type Segment, startOf } from './curve.js';
import type { CurveStore } from './curve-store.js';
import { signedArea } from './measure.js';
import type { Box, Point } from './point.js';

/** Segments of a path of at most this many are kept once they were asked for; those of longer paths are made anew each time. */
const mostKept = 64;

/** A path of a store. Its segments are made when they are asked for: ask once, and keep them as long as they are needed. */
export class StoredPath implements Path {
  private known: readonly Segment[] | undefined;

  constructor(
    readonly store: CurveStore,
    readonly number: number,
  ) {}

  get closed(): boolean {
    return this.store.isClosed(this.number);
  }

  get segments(): readonly Segment[] {
    if (this.known !== undefined) return this.known;
    const segments = this.store.segmentsOf(this.number);
    if (segments.length <= mostKept) this.known = segments;
    return segments;
  }

  passingSegments(): readonly Segment[] {
    return this.known ?? this.store.segmentsOf(this.number);
  }
}

/** The segments of a path for who walks over many of them once: those in a store are not kept. */
export const passingSegments = (path: Path): readonly Segment[] =>
  path instanceof StoredPath ? path.passingSegments() : path.segments;

/** How many segments a path has, without making them. */
export const sizeOfPath = (path: Path): number =>
  path instanceof StoredPath ? path.store.sizeOf(path.number) : path.segments.length;

/** The exact box of a path, without making its segments where they are in a store. */
export const boxOfPath = (path: Path): Box =>
  path instanceof StoredPath ? path.store.boxOf(path.number) : pathBox(path);

/** The area that a closed path encloses, mm^2, for a passing look; see `signedArea`. */
export const signedAreaNow = (path: Path): number =>
  (path instanceof StoredPath ? path.store.signedAreaOfLines(path.number) : undefined) ??
  signedArea({ segments: segmentsNow(path), closed: true });

/** The segments of a path for a passing look: nothing of them is kept. */
export const segmentsNow = (path: Path): readonly Segment[] =>
  path instanceof StoredPath ? path.store.segmentsOf(path.number) : path.segments;

/** Whether two are one and the same path, not only alike. */
export const isSamePath = (a: Path, b: Path): boolean =>
  a === b ||
  (a instanceof StoredPath && b instanceof StoredPath && a.store === b.store && a.number === b.number);

/** Where a path starts and where it ends, without making its lines and cubics where they are in a store. */
export const endsOfPath = (path: Path): { readonly from: Point; readonly to: Point } => {
  if (path instanceof StoredPath) {
    const { store, number } = path;
    return { from: store.startOf(number), to: store.endOf(number) };
  }
  const { segments } = path;
  return { from: startOf(segments[0]!), to: endOf(segments[segments.length - 1]!) };
};
