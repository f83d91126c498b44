/** From drawn openings to beam paths: placed, offset one by one, merged, fitted back, in cutting order. */
import type { Shape } from '../drawing/drawing.js';
import { apply, identity, keepsCircles, type Matrix } from '../geometry/affine.js';
import { segmentToSpans } from '../geometry/arc-spline.js';
import { type Arc, type Line, transformSegment } from '../geometry/curve.js';
import type { Box, Point } from '../geometry/point.js';
import { origins, type Ring, spanToCurve, transformSpan, withPassingSpans } from '../geometry/span.js';
import { StoredRing } from '../geometry/stored-ring.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import { cutWarnings } from './cut-warnings.js';
import { existingRegions, unite } from './existing.js';
import { type Land, thinLands } from './lands.js';
import { Links } from './merge.js';
import { type CornerRule, offsetRings } from './offset.js';
import { inCuttingOrder } from './order.js';
import { offsetPolygons } from './polygon-offset.js';
import type { Region, RegionRing } from './region.js';
import { type DrawnRings, ringsAround, ringsOfShapes } from './regions.js';
import { fitBack } from './smooth.js';

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
  readonly between: readonly [string, string];
  readonly width: number;
  /** Display coordinates. */
  readonly at: Point;
}

export interface CutResult {
  /** Inner paths before the ones round them. */
  readonly paths: readonly CutPath[];
  readonly merged: readonly (readonly string[])[];
  readonly vanished: readonly string[];
  readonly thinLands: readonly ThinLand[];
  readonly warnings: readonly Warning[];
}

/**
 * How far the beam path lies outside the drawn edge, mm (negative: inside it).
 *
 * The existing edge is the drawn one grown by half the piercing kerf. An opening's new edge lies the clearance outside
 * it and the beam half a kerf back inside, in the waste; an infill's lies the clearance inside it and the beam half a
 * kerf outside. These steps add up exactly: growing by a and then by b is growing by a + b, and what a beam of width k
 * takes from its path is the path grown by k/2.
 */
export const beamOffset = (pierced: Job['pierced'], cut: Job['cut']): number => {
  const existing = pierced.compensated ? 0 : pierced.kerf / 2;
  return cut.kind === 'opening'
    ? existing + cut.clearance - cut.kerf / 2
    : existing - cut.clearance + cut.kerf / 2;
};

/**
 * Shares of the tolerance: curves to arcs before the offset, arcs fitted back after it; the rest is for rounding. What
 * comes of drawn arcs alone was exact up to there and may be fitted more freely.
 */
const share = { arcs: 0.3, fit: 0.67, fitExact: 0.97 };

export const cutOpenings = (input: CutInput): CutResult => {
  const { cut } = input;
  const { drawn, beams } = beamRegions(input);
  const outline = ringsOfShapes(input.outline, input.toBed, cut.tolerance);
  const lands = cut.kind === 'opening' ? landsBetween(beams, outline, drawn, cut) : [];
  const vanished = vanishedShapes(drawn, beams);
  const merged = mergedShapes(beams, lands);
  const thin = lands
    .filter((land) => land.width > 0)
    .map((land) => ({ ...land, at: apply(input.toMachine, land.at) }));
  return {
    paths: ringsInOrder(beams.flatMap((r) => r.rings)).map((r) => finish(r, input)),
    merged,
    vanished,
    thinLands: thin,
    warnings: cutWarnings({ openings: input.openings, drawn, merged, vanished, thinLands: thin, cut }),
  };
};

/**
 * Placed, offset and merged. Where two moved curves cross at a sharp angle their crossing runs off by more than the
 * curves themselves do; then all is done once more with arcs as much nearer to the curves.
 */
const beamRegions = (input: CutInput): Offset => {
  const { tolerance } = input.cut;
  const first = offsetAll(input, tolerance * share.arcs);
  const gain = largestGain(first.beams);
  // Where drawn openings overlap, the corners of their union are crossings too, and the offset starts from them; a
  // mitred tip over one repeats an error of its edges' directions some lengths away.
  const joined = largestGain(first.existing.filter((region) => isJoined(region, first.drawn.crossed)));
  const needed = Math.min(
    0.9 / gain,
    joined > 1 ? (input.cut.corners === 'mitre' ? 0.005 : 0.05) / joined : 1,
  );
  if (share.arcs <= needed) return first;
  return offsetAll(input, tolerance * Math.max(needed, 0.002));
};

/** A region with corners where drawn edges cross: made of several openings, or of one that crosses itself. */
const isJoined = (region: Region, crossed: ReadonlySet<string>): boolean =>
  region.rings.some((r) => r.shapes.length > 1 || crossed.has(r.shapes[0]!));

interface Offset {
  readonly drawn: DrawnRings;
  readonly existing: readonly Region[];
  readonly beams: readonly Region[];
}

const offsetAll = (input: CutInput, arcTolerance: number): Offset => {
  const { cut } = input;
  const polygons = cut.tolerance * share.arcs;
  const { drawn, regions: existing } = existingRegions(input.openings, input.toBed, {
    arcs: arcTolerance,
    polygons,
  });
  const rule: CornerRule = { corners: cut.corners, mitreLimit: cut.mitreLimit };
  const distance = beamOffset(input.pierced, cut);
  const moved = existing.map((region) =>
    withPassingSpans(() => offsetRegion(region, distance, rule, cut.tolerance)),
  );
  const beams = unite(
    moved.filter((region) => region.rings.length > 0),
    polygons,
  );
  return { drawn, existing, beams };
};

/** How many times farther than its curves a crossing may lie off: 1 / cos(turn / 2), the largest of all. */
const largestGain = (regions: readonly Region[]): number => {
  let least = 1;
  for (const region of regions) {
    for (const { ring } of region.rings) least = Math.min(least, ring.cosineOfSharpestTurn());
  }
  return 1 / Math.sqrt(Math.max(1e-12, (1 + least) / 2));
};

const offsetRegion = (region: Region, distance: number, rule: CornerRule, tolerance: number): Region => {
  const rings = region.rings.map((r) => r.ring.spans());
  // A hair more or less (a nanometre to a tenth of a micrometre) takes edges apart that fall on one another.
  for (const hair of [0, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4, -1e-4]) {
    const linked = offsetRings(rings, distance + hair, rule);
    if (linked === undefined) continue;
    return {
      rings: linked.map(({ ring, tags }) => ({
        ring: new StoredRing(ring),
        shapes: [...new Set([...tags].sort((a, b) => a - b).flatMap((t) => region.rings[t]!.shapes))],
      })),
    };
  }
  const polygons = offsetPolygons(rings, distance, rule, tolerance * share.arcs);
  const shapes = [...new Set(region.rings.flatMap((r) => r.shapes))];
  return { rings: polygons.map((ring) => ({ ring: new StoredRing(ring), shapes })) };
};

const landsBetween = (
  regions: readonly Region[],
  outline: DrawnRings,
  drawn: DrawnRings,
  cut: Job['cut'],
): Land[] =>
  thinLands(
    regions,
    outline.rings.map((r) => ({ name: r.shape, ring: r.ring })),
    drawn.rings.map((r) => ({ name: r.shape, ring: r.ring })),
    cut.kerf,
    cut.smallestLand,
  );

const vanishedShapes = (drawn: DrawnRings, regions: readonly Region[]): string[] => {
  const left = new Set(regions.flatMap((region) => region.rings.flatMap((r) => r.shapes)));
  const closed = [...new Set(drawn.rings.map((r) => r.shape)), ...drawn.empty];
  return closed.filter((shape) => !left.has(shape));
};

/** Shapes that share a path, or whose land is burnt away by the kerfs on both sides of it. */
const mergedShapes = (regions: readonly Region[], lands: readonly Land[]): string[][] => {
  const pairs: (readonly string[])[] = [];
  for (const region of regions) {
    for (const r of region.rings) if (r.shapes.length > 1 && r.ring.area > 0) pairs.push(r.shapes);
  }
  for (const land of lands) if (land.width <= 0) pairs.push(land.between);
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

/** The ring as the machine is told it, with arcs fitted back. */
const finish = (r: RegionRing, input: CutInput): CutPath => {
  const { tolerance } = input.cut;
  const ring = withPassingSpans(() => {
    const told = ringThrough(input.toMachine, r.ring.spans(), tolerance);
    return new StoredRing(fitBack(told, tolerance * share.fit, tolerance * share.fitExact));
  });
  return {
    openings: r.shapes,
    get segments() {
      return ring.spans().map(spanToCurve);
    },
    hole: r.ring.area < 0,
    length: ring.length(),
    area: Math.abs(ring.area),
    box: ring.box,
  };
};

/** Under an uneven bed map a circle becomes an ellipse, which is cut into arcs again. */
const ringThrough = (m: Matrix, ring: Ring, tolerance: number): Ring => {
  if (m.every((value, i) => value === identity[i])) return ring;
  if (keepsCircles(m)) return ring.map((s) => transformSpan(m, s));
  return ring.flatMap((s) =>
    s.radius === 0
      ? [transformSpan(m, s)]
      : segmentToSpans(transformSegment(m, spanToCurve(s)), tolerance * 0.02).map((part) =>
          s.origin === origins.drawn ? part.withOrigin(origins.bent) : part,
        ),
  );
};

const ringsInOrder = (rings: readonly RegionRing[]): RegionRing[] => {
  const around = ringsAround(
    rings.map((r) => r.ring),
    false,
  );
  return inCuttingOrder(
    rings.map((r) => r.ring.box),
    around,
  ).map((i) => rings[i]!);
};
