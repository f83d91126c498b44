/** The cut: openings in neighbourhoods that are cut one by one, what became of them together, and the paths in cutting order. */
import type { Shape } from '../drawing/model/drawing.js';
import { apply, type Matrix } from '../geometry/affine.js';
import type { Arc, Line } from '../geometry/curve.js';
import { type Box, growBox, type Point } from '../geometry/point.js';
import { spanToCurve } from '../geometry/spans/span.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { Links } from './clusters.js';
import {
  type BeamRing,
  cutNeighbourhood,
  type DrawnShapes,
  type NeighbourhoodCut,
  type Way,
} from './cut-neighbourhood.js';
import { cutWarnings } from './cut-warnings.js';
import type { Finding } from './findings/finding.js';
import { findingsOfParts, vanishedIn } from './findings/findings.js';
import type { Land } from './findings/lands.js';
import { panelOf } from './findings/panel.js';
import { neighbourhoods, type Reach } from './neighbourhoods.js';
import { inCuttingOrder } from './order.js';

export interface CutInput {
  readonly openings: readonly Shape[];
  readonly outline: readonly Shape[];
  /** Design, face included -> true bed mm. */
  readonly toBed: Matrix;
  /** True bed mm -> what the machine is told: bed map undone, beam offset taken off, display axes. */
  readonly toMachine: Matrix;
  readonly pierced: Job['pierced'];
  readonly cut: Job['cut'];
}

export interface CutPath {
  /** Ids of the shapes whose edge this path follows. */
  readonly openings: readonly string[];
  /**
   * A closed ring in display coordinates, mm; made anew at each call, for they are many;
   * see `open`.
   */
  readonly segments: readonly (Line | Arc)[];
  /** True for a drawn line that does not close and is cut as it is; the area is then 0. */
  readonly open?: boolean;
  /** The layer it was drawn in, where it is cut as drawn. */
  readonly layer?: string;
  /** True where the path runs round material left standing inside an opening. */
  readonly hole: boolean;
  /** mm, and mm^2 enclosed. */
  readonly length: number;
  readonly area: number;
  readonly box: Box;
}

export interface ThinLand {
  /** The same one twice for a land within one shape. */
  readonly between: readonly [string, string];
  /** mm; zero or less where nothing is left of it. */
  readonly width: number;
  /** Display coordinates. */
  readonly at: Point;
}

export interface CutResult {
  /** Inner paths before the ones round them. */
  readonly paths: readonly CutPath[];
  readonly merged: readonly (readonly string[])[];
  /** Shapes of which, or of a part or an island of which, nothing is cut. */
  readonly vanished: readonly string[];
  /** What the cut does to the piece, in the order of `findingCodes`; display coordinates. */
  readonly findings: readonly Finding[];
  readonly thinLands: readonly ThinLand[];
  readonly warnings: readonly Warning[];
}

/**
 * How far the beam path lies outside the drawn edge, mm (negative: inside it).
 *
 * The existing edge is the drawn one grown by half the piercing kerf. An opening's new edge lies the clearance outside
 * it and the beam half a kerf back inside, in the waste; an inlay's lies the clearance inside it and the beam half a
 * kerf outside. These steps add up exactly: growing by a and then by b is growing by a + b, and what a beam of width k
 * takes from its path is the path grown by k/2.
 */
export const beamOffset = (pierced: Job['pierced'], cut: Job['cut']): number => {
  const existing = pierced.compensated ? 0 : pierced.kerf / 2;
  return cut.kind === 'opening'
    ? existing + cut.clearance - cut.kerf / 2
    : existing - cut.clearance + cut.kerf / 2;
};

export const cutOpenings = (input: CutInput): CutResult => {
  const { openings, toBed, toMachine, pierced, cut } = input;
  const panel = panelOf(input.outline, toBed, pierced, cut.tolerance);
  const way: Way = { toBed, toMachine, distance: beamOffset(pierced, cut), pierced, cut, panel };
  const parts = cutApart(openings, way);
  const drawn = drawnInOrder(parts, openings);
  const rings = parts.flatMap((part) => part.rings);
  const lands = parts.flatMap((part) => part.lands).sort((a, b) => a.width - b.width);
  const merged = mergedShapes(rings, lands);
  const findings = findingsOfParts({
    parts,
    lost: vanishedShapes(drawn, rings),
    openings,
    way,
    hasPaths: rings.length > 0,
  });
  const vanished = vanishedIn(findings, openings);
  const thin = lands.map(({ between, width, at }) => ({ between, width, at: apply(toMachine, at) }));
  return {
    paths: ringsInOrder(parts).map(asPath),
    merged,
    vanished,
    findings,
    thinLands: thin,
    warnings: cutWarnings({ openings, drawn, merged, findings, thinLands: thin, cut }),
  };
};

/** Each neighbourhood by itself. */
const cutApart = (openings: readonly Shape[], way: Way): readonly NeighbourhoodCut[] => {
  const { distance, cut, toBed } = way;
  const reach: Reach = {
    offset: Math.max(0, distance),
    mitreLimit: cut.corners === 'mitre' ? cut.mitreLimit : 1,
    beyond: (cut.smallestLand + cut.kerf) / 2 + 2 * cut.tolerance,
  };
  const parts: NeighbourhoodCut[] = [];
  for (const { shapes, room } of neighbourhoods(openings, toBed, reach)) {
    const part = cutNeighbourhood(shapes, way);
    if (room !== undefined && part.rings.some(({ box }) => !holdsBox(room, growBox(box, reach.beyond)))) {
      return neighbourhoods(openings, toBed, reach, true).map((group) => cutNeighbourhood(group.shapes, way));
    }
    parts.push(part);
  }
  return parts;
};

const holdsBox = (outer: Box, inner: Box): boolean =>
  outer.minX <= inner.minX &&
  outer.minY <= inner.minY &&
  outer.maxX >= inner.maxX &&
  outer.maxY >= inner.maxY;

/** What the shapes of all parts are drawn as, in the order of the drawing. */
const drawnInOrder = (parts: readonly NeighbourhoodCut[], openings: readonly Shape[]): DrawnShapes => {
  const place = new Map(openings.map(({ id }, i) => [id, i]));
  const inOrder = (some: readonly string[][]): string[] =>
    some.flat().sort((a, b) => place.get(a)! - place.get(b)!);
  return {
    closed: inOrder(parts.map(({ drawn }) => drawn.closed)),
    open: inOrder(parts.map(({ drawn }) => drawn.open)),
    empty: inOrder(parts.map(({ drawn }) => drawn.empty)),
    duplicates: parts
      .flatMap(({ drawn }) => drawn.duplicates)
      .sort((a, b) => place.get(a.shape)! - place.get(b.shape)!),
  };
};

const vanishedShapes = (drawn: DrawnShapes, rings: readonly BeamRing[]): string[] => {
  const left = new Set(rings.flatMap((r) => r.shapes));
  const drawnClosed = [...new Set(drawn.closed), ...drawn.empty];
  return drawnClosed.filter((shape) => !left.has(shape));
};

/** Shapes that share a path, or whose land is burnt away by the kerfs on both sides of it. */
const mergedShapes = (rings: readonly BeamRing[], lands: readonly Land[]): string[][] => {
  const pairs: (readonly string[])[] = [];
  for (const { shapes, area } of rings) if (shapes.length > 1 && area > 0) pairs.push(shapes);
  for (const land of lands) if (land.width <= 0 && !land.toOutline) pairs.push(land.between);
  const names = [...new Set(pairs.flat())];
  const numberOf = new Map(names.map((name, i) => [name, i]));
  const links = new Links(names.length);
  for (const group of pairs) {
    for (const name of group) links.join(numberOf.get(group[0]!)!, numberOf.get(name)!);
  }
  return links
    .groups()
    .map((group) => group.map((i) => names[i]!))
    .filter((group) => group.length > 1);
};

const ringsInOrder = (parts: readonly NeighbourhoodCut[]): BeamRing[] => {
  const rings: BeamRing[] = [];
  const around: number[][] = [];
  for (const part of parts) {
    const first = rings.length;
    for (const ring of part.rings) {
      rings.push(ring);
      around.push(ring.around.map((i) => first + i));
    }
  }
  return inCuttingOrder(
    rings.map((r) => r.box),
    around,
  ).map((i) => rings[i]!);
};

const asPath = ({ shapes, area, commanded, length }: BeamRing): CutPath => ({
  openings: shapes,
  get segments() {
    return commanded.spans().map(spanToCurve);
  },
  hole: area < 0,
  length,
  area: Math.abs(commanded.area),
  box: commanded.box,
});
