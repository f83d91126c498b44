/**
 * The parallel curve by another engine: curves as fine polylines, jsts for union and buffer. It shares no code with
 * the cut. Its own error, and what it is made of, is stated by `statedError`.
 */

import InteriorPointArea from 'jsts/org/locationtech/jts/algorithm/InteriorPointArea.js';
import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import BufferParameters from 'jsts/org/locationtech/jts/operation/buffer/BufferParameters.js';
import IsSimpleOp from 'jsts/org/locationtech/jts/operation/IsSimpleOp.js';
import OverlayOp from 'jsts/org/locationtech/jts/operation/overlay/OverlayOp.js';
import SnapIfNeededOverlayOp from 'jsts/org/locationtech/jts/operation/overlay/snap/SnapIfNeededOverlayOp.js';
import Polygonizer from 'jsts/org/locationtech/jts/operation/polygonize/Polygonizer.js';
import RelateOp from 'jsts/org/locationtech/jts/operation/relate/RelateOp.js';
import UnaryUnionOp from 'jsts/org/locationtech/jts/operation/union/UnaryUnionOp.js';
import { beamOffset, type CutInput } from '../../src/cut/cut.js';
import type { Matrix } from '../../src/geometry/affine.js';
import { type Fineness, flattenRing, map, type XY } from './flatten.js';

/** What of jsts is used here; its own types leave most of it open. */
interface Geometry {
  getNumGeometries(): number;
  getGeometryN(i: number): Geometry;
  getCoordinates(): { x: number; y: number }[];
  getExteriorRing(): Geometry;
  getInteriorRingN(i: number): Geometry;
  getNumInteriorRing(): number;
  getArea(): number;
  getLength(): number;
  isEmpty(): boolean;
  getEnvelopeInternal(): { covers(other: unknown): boolean; intersects(other: unknown): boolean };
}
const factory = new (
  GeometryFactory as unknown as new () => {
    createLinearRing(c: unknown[]): Geometry;
    createLineString(c: unknown[]): Geometry;
    createPolygon(ring: Geometry, holes?: Geometry[]): Geometry;
    createGeometryCollection(g: Geometry[]): Geometry;
  }
)();
const newCoordinate = (x: number, y: number): unknown =>
  new (Coordinate as unknown as new (x: number, y: number) => unknown)(x, y);
const overlay = (a: Geometry, b: Geometry, operation: number): Geometry =>
  (
    SnapIfNeededOverlayOp as unknown as { overlayOp(a: Geometry, b: Geometry, o: number): Geometry }
  ).overlayOp(a, b, operation);
const { UNION, DIFFERENCE, INTERSECTION } = OverlayOp as unknown as {
  UNION: number;
  DIFFERENCE: number;
  INTERSECTION: number;
};
const covers = (a: Geometry, b: Geometry): boolean =>
  (RelateOp as unknown as { covers(a: Geometry, b: Geometry): boolean }).covers(a, b);
const interiorPoint = (g: Geometry): { x: number; y: number } =>
  (
    InteriorPointArea as unknown as { getInteriorPoint(g: Geometry): { x: number; y: number } }
  ).getInteriorPoint(g);
const unaryUnion = (g: Geometry): Geometry =>
  (UnaryUnionOp as unknown as { union(g: Geometry): Geometry }).union(g);

const coordinates = (ring: readonly XY[]): unknown[] => {
  const all = ring.map(([x, y]) => newCoordinate(x, y));
  const [x, y] = ring[0]!;
  return [...all, newCoordinate(x, y)];
};

const polygonsOf = (g: Geometry): Geometry[] => {
  const out: Geometry[] = [];
  for (let i = 0; i < g.getNumGeometries(); i++) {
    const part = g.getGeometryN(i);
    if (typeof part.getExteriorRing === 'function' && !part.isEmpty()) out.push(part);
  }
  return out;
};

/** Outer rings and holes, the last point left out. */
export const ringsOfArea = (g: Geometry): XY[][] => {
  const rings: XY[][] = [];
  const take = (ring: Geometry): void => {
    const all = ring.getCoordinates().map((c): XY => [c.x, c.y]);
    all.pop();
    rings.push(all);
  };
  for (const polygon of polygonsOf(g)) {
    take(polygon.getExteriorRing());
    for (let i = 0; i < polygon.getNumInteriorRing(); i++) take(polygon.getInteriorRingN(i));
  }
  return rings;
};

export const signedArea = (ring: readonly XY[]): number => {
  let twice = 0;
  const [ox, oy] = ring[0]!;
  for (let i = 0; i < ring.length; i++) {
    const [ax, ay] = ring[i]!;
    const [bx, by] = ring[(i + 1) % ring.length]!;
    twice += (ax - ox) * (by - oy) - (bx - ox) * (ay - oy);
  }
  return twice / 2;
};

export const windingOf = (ring: readonly XY[], x: number, y: number): number => {
  let winding = 0;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const [ax, ay] = ring[j]!;
    const [bx, by] = ring[i]!;
    if (ay <= y === by <= y) continue;
    const left = (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0;
    if (by > ay && left) winding++;
    else if (by < ay && !left) winding--;
  }
  return winding;
};

const isSimple = (ring: readonly XY[]): boolean =>
  new (IsSimpleOp as unknown as new (g: Geometry) => { isSimple(): boolean })(
    factory.createLinearRing(coordinates(ring)),
  ).isSimple();

/** The rings round everything that a closed polyline winds about. */
const simpleRings = (ring: readonly XY[]): XY[][] => {
  if (ring.length < 3) return [];
  if (isSimple(ring)) return Math.abs(signedArea(ring)) > 1e-9 ? [[...ring]] : [];
  const noded = unaryUnion(factory.createLineString(coordinates(ring)));
  const polygonizer = new (
    Polygonizer as unknown as new () => {
      add(g: Geometry): void;
      getPolygons(): { toArray(): Geometry[] };
    }
  )();
  polygonizer.add(noded);
  const faces = polygonizer
    .getPolygons()
    .toArray()
    .filter((face) => {
      const { x, y } = interiorPoint(face);
      return windingOf(ring, x, y) !== 0;
    });
  if (faces.length === 0) return [];
  return ringsOfArea(unaryUnion(factory.createGeometryCollection(faces)));
};

const sameRing = (a: readonly XY[], b: readonly XY[]): boolean => {
  if (Math.abs(Math.abs(signedArea(a)) - Math.abs(signedArea(b))) > 1e-4) return false;
  const near = (p: XY, ring: readonly XY[]): boolean =>
    ring.some((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) < 0.05);
  const isOn = (p: XY, ring: readonly XY[]): boolean =>
    near(p, ring) || ring.some((q, i) => distanceToSegment(p, q, ring[(i + 1) % ring.length]!) < 1e-4);
  const all = (p: readonly XY[], q: readonly XY[]): boolean =>
    p.every((point) => q.some((s, i) => distanceToSegment(point, s, q[(i + 1) % q.length]!) < 1e-4));
  return isOn(a[0]!, b) && all(a, b) && all(b, a);
};

export const distanceToSegment = (p: XY, a: XY, b: XY): number => {
  const dx = b[0] - a[0];
  const dy = b[1] - a[1];
  const size = dx * dx + dy * dy;
  const t = size === 0 ? 0 : Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / size));
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
};

const distanceToRing = (p: XY, ring: readonly XY[]): number => {
  let least = Number.POSITIVE_INFINITY;
  ring.forEach((q, i) => {
    least = Math.min(least, distanceToSegment(p, q, ring[(i + 1) % ring.length]!));
  });
  return least;
};

/** Openings with their islands, as one area: nesting decides, overlapping openings are one. */
export const existingArea = (input: CutInput, fineness: Fineness): Geometry => {
  const rings: XY[][] = [];
  for (const shape of input.openings) {
    for (const path of shape.paths) {
      if (!path.closed) continue;
      for (const ring of simpleRings(flattenRing(path.segments, input.toBed, fineness))) {
        if (!rings.some((other) => sameRing(ring, other))) rings.push(ring);
      }
    }
  }
  const areas = rings.map((r) => factory.createPolygon(factory.createLinearRing(coordinates(r))));
  const sizes = rings.map((r) => Math.abs(signedArea(r)));
  const holders = areas.map((area, i) =>
    areas
      .map((_, j) => j)
      .filter(
        (j) =>
          j !== i &&
          sizes[j]! > sizes[i]! &&
          areas[j]!.getEnvelopeInternal().covers(area.getEnvelopeInternal()) &&
          covers(areas[j]!, area),
      )
      .sort((s, t) => sizes[s]! - sizes[t]!),
  );
  const regions: Geometry[] = [];
  areas.forEach((area, i) => {
    if (holders[i]!.length % 2 !== 0) return;
    let region = area;
    areas.forEach((island, k) => {
      if (holders[k]!.length % 2 === 0) return;
      if (holders[k]!.find((j) => holders[j]!.length % 2 === 0) !== i) return;
      region = overlay(region, island, DIFFERENCE);
    });
    regions.push(...polygonsOf(region));
  });
  return regions.length === 0
    ? factory.createGeometryCollection([])
    : unaryUnion(factory.createGeometryCollection(regions));
};

/** Fillets err by less than this, mm. */
const filletError = 5e-5;

/** Gaps narrower than twice this are closed, mm: edges that fall on one another do so within rounding only. */
const closing = 1e-6;

const closeGaps = (area: Geometry): Geometry => {
  const parameters = new (
    BufferParameters as unknown as new (
      quadrantSegments: number,
      capStyle: number,
      joinStyle: number,
      mitreLimit: number,
    ) => unknown
  )(1, 1, 2, 5);
  const buffer = (g: Geometry, d: number): Geometry =>
    new (BufferOp as unknown as new (g: Geometry, p: unknown) => { getResultGeometry(d: number): Geometry })(
      g,
      parameters,
    ).getResultGeometry(d);
  return buffer(buffer(area, closing), -closing);
};

const roundBuffer = (area: Geometry, distance: number, error = filletError): Geometry => {
  const segments = Math.ceil(Math.PI / 4 / Math.acos(1 - error / Math.max(Math.abs(distance), 0.01)));
  const parameters = new (
    BufferParameters as unknown as new (
      quadrantSegments: number,
    ) => { setSimplifyFactor(f: number): void }
  )(segments);
  parameters.setSimplifyFactor(1e-6);
  return new (
    BufferOp as unknown as new (
      g: Geometry,
      p: unknown,
    ) => { getResultGeometry(d: number): Geometry }
  )(area, parameters).getResultGeometry(distance);
};

/** A vertex where the boundary turns by more than a curve's polyline does, with the directions of its two edges. */
interface Corner {
  readonly at: XY;
  readonly arriving: XY;
  readonly leaving: XY;
  readonly turn: number;
}

/** Corners of a ring; the directions are those of the curves, not of their last chords. */
const cornersOf = (raw: readonly XY[], from: number): Corner[] => {
  // Points a rounding apart have no direction.
  const ring = raw.filter((p, i) => {
    const q = raw[(i + 1) % raw.length]!;
    return Math.hypot(p[0] - q[0], p[1] - q[1]) > 2e-6;
  });
  const n = ring.length;
  const point = (i: number): XY => ring[((i % n) + n) % n]!;
  const chord = (i: number): XY => {
    const [ax, ay] = point(i);
    const [bx, by] = point(i + 1);
    return [bx - ax, by - ay];
  };
  const turnAt = (i: number): number => {
    const [ax, ay] = chord(i - 1);
    const [bx, by] = chord(i);
    return Math.atan2(ax * by - ay * bx, ax * bx + ay * by);
  };
  const size = (i: number): number => Math.hypot(...chord(i));
  const turned = ([x, y]: XY, angle: number): XY => [
    x * Math.cos(angle) - y * Math.sin(angle),
    x * Math.sin(angle) + y * Math.cos(angle),
  ];
  const bendAt = (i: number): number => (2 * turnAt(i)) / (size(i - 1) + size(i));
  const corners: Corner[] = [];
  for (let i = 0; i < n; i++) {
    if (Math.abs(turnAt(i)) < from) continue;
    // The last chord may be a part of one; the two after it tell how the curve bends, and so its direction here.
    const isCurve = (k: number): boolean => Math.abs(turnAt(k)) < from;
    const leaving =
      isCurve(i + 1) && isCurve(i + 2) && size(i) < 1.5 * size(i + 1)
        ? turned(chord(i + 1), -(size(i) + size(i + 1) / 2) * bendAt(i + 2))
        : chord(i);
    const arriving =
      isCurve(i - 1) && isCurve(i - 2) && size(i - 1) < 1.5 * size(i - 2)
        ? turned(chord(i - 2), (size(i - 1) + size(i - 2) / 2) * bendAt(i - 2))
        : chord(i - 1);
    const turn = Math.atan2(
      arriving[0] * leaving[1] - arriving[1] * leaving[0],
      arriving[0] * leaving[0] + arriving[1] * leaving[1],
    );
    corners.push({ at: ring[i]!, arriving, leaving, turn });
  }
  return corners;
};

const tipOf = ({ at, arriving, leaving, turn }: Corner, distance: number): XY[] => {
  const right = ([x, y]: XY): XY => {
    const size = Math.hypot(x, y);
    return [y / size, -x / size];
  };
  const a = right(arriving);
  const b = right(leaving);
  const reach = distance / (2 * Math.cos(turn / 2) ** 2);
  return [
    at,
    [at[0] + a[0] * distance, at[1] + a[1] * distance],
    [at[0] + (a[0] + b[0]) * reach, at[1] + (a[1] + b[1]) * reach],
    [at[0] + b[0] * distance, at[1] + b[1] * distance],
  ];
};

export interface SecondAnswer {
  /** Rings in the machine's coordinates. */
  readonly rings: readonly (readonly XY[])[];
  /** True when a corner lies so near the mitre limit that either answer is right. */
  readonly ambiguous: boolean;
}

const cornerFrom = 0.03;

/** The beam paths of a job; `more` is added to the offset; `close`: edges within rounding of one another are joined. */
export const secondAnswer = (
  input: CutInput,
  fineness: Fineness,
  { more = 0, close = false }: { more?: number; close?: boolean } = {},
): SecondAnswer => {
  const drawn = existingArea(input, fineness);
  const area = close && !drawn.isEmpty() ? closeGaps(drawn) : drawn;
  const distance = beamOffset(input.pierced, input.cut) + more;
  let moved = area.isEmpty() || distance === 0 ? area : roundBuffer(area, distance);
  let ambiguous = false;
  if (input.cut.corners === 'mitre' && distance !== 0) {
    const tips: Geometry[] = [];
    for (const [ring, hole] of orientedRings(area)) {
      const straight = hole === signedArea(ring) > 0 ? [...ring].reverse() : ring;
      for (const corner of cornersOf(straight, cornerFrom)) {
        if (corner.turn * distance <= 0) continue;
        const ratio = 1 / Math.cos(corner.turn / 2);
        if (Math.abs(ratio / input.cut.mitreLimit - 1) < 0.02) ambiguous = true;
        if (ratio > input.cut.mitreLimit) continue;
        const tip = tipOf(corner, distance);
        const ccw = signedArea(tip) < 0 ? tip.reverse() : tip;
        tips.push(factory.createPolygon(factory.createLinearRing(coordinates(ccw))));
      }
    }
    if (tips.length > 0) {
      const all = unaryUnion(factory.createGeometryCollection(tips));
      if (distance > 0) moved = overlay(moved, all, UNION);
      else if (!moved.isEmpty()) moved = overlay(moved, all, DIFFERENCE);
    }
  }
  // A ring narrower than twice the offset is sometimes turned inside out by the buffer instead of dropped.
  const edges = ringsOfArea(area);
  const isReal = (ring: readonly XY[]): boolean => {
    const away = Math.min(...edges.map((edge) => distanceToRing(ring[0]!, edge)));
    return away > Math.abs(distance) - 1e-3;
  };
  const { kind, kerf, tolerance } = input.cut;
  const withPiece = kind === 'inlay' && kerf > 0 ? leavingPieces(moved, kerf / 2, tolerance) : moved;
  return {
    rings: ringsOfArea(withPiece)
      .filter(isReal)
      .map((ring) => ring.map((p) => map(input.toMachine as Matrix, p))),
    ambiguous,
  };
};

/** The parts of an area within which something is left that is wider than the tolerance when the beam has run round them. */
const leavingPieces = (area: Geometry, beam: number, tolerance: number): Geometry => {
  const isMore = (piece: Geometry): boolean => piece.getArea() > tolerance * piece.getLength();
  const kept = polygonsOf(area).filter((part) => polygonsOf(roundBuffer(part, -beam)).some(isMore));
  return factory.createGeometryCollection(kept);
};

/** Each ring of an area, and whether it is a hole. */
const orientedRings = (g: Geometry): [XY[], boolean][] =>
  polygonsOf(g).flatMap((polygon): [XY[], boolean][] => {
    const take = (ring: Geometry): XY[] => {
      const all = ring.getCoordinates().map((c): XY => [c.x, c.y]);
      all.pop();
      return all;
    };
    return [
      [take(polygon.getExteriorRing()), false],
      ...Array.from({ length: polygon.getNumInteriorRing() }, (_, i): [XY[], boolean] => [
        take(polygon.getInteriorRingN(i)),
        true,
      ]),
    ];
  });

/** How far this engine's answer may lie from the exact parallel curve, mm. */
export const statedError = (input: CutInput, { chord }: Fineness): number => {
  const distance = Math.abs(beamOffset(input.pierced, input.cut));
  // Chords, fillets, and corners blunter than `cornerFrom` that are rounded where they should be mitred.
  const blunt = input.cut.corners === 'mitre' ? (distance * cornerFrom ** 2) / 8 : 0;
  return chord + filletError + blunt;
};

/**
 * Of the material of a set-back: pieces that come loose, pieces of which nothing is left, and stretches of the panel's edge
 * that are opened and were whole before. Pieces thinner than the tolerance all along are none.
 */
export const piecesLeft = (
  input: CutInput,
  more: number,
): { readonly loose: number; readonly gone: number; readonly broken: number } => {
  const { cut, pierced } = input;
  const chords = { chord: 1e-3, turn: 0.3 };
  const coarse = 1e-3;
  const grown = pierced.compensated ? 0 : pierced.kerf / 2;
  const outer = existingArea({ ...input, openings: input.outline }, chords);
  const drawn = existingArea(input, chords);
  const moved = (area: Geometry, by: number): Geometry =>
    by === 0 || area.isEmpty() ? area : roundBuffer(area, by, coarse);
  const panel = moved(outer, -grown);
  const before = moved(drawn, grown);
  const after = moved(moved(drawn, beamOffset(pierced, cut) + more), cut.kerf / 2);
  const left = (removed: Geometry): Geometry[] =>
    polygonsOf(overlay(panel, removed, DIFFERENCE)).filter(
      (p) => p.getArea() > cut.tolerance * p.getLength(),
    );
  const pieces = left(before).map((piece) => roundBuffer(piece, 1e-4, 1e-4));
  const rest = left(after);
  const counts = pieces.map((piece) => rest.filter((part) => covers(piece, part)).length);
  const opened = (removed: Geometry): Geometry[] => stretchesWithin(panel, removed);
  const known = opened(before);
  return {
    loose: counts.reduce((sum, n) => sum + Math.max(0, n - 1), 0),
    gone: counts.filter((n) => n === 0).length,
    broken: opened(after).filter((run) => !known.some((one) => covers(roundBuffer(run, 1e-4, 1e-4), one)))
      .length,
  };
};

/** The stretches of an area's edge that lie in another one, as thin areas. */
const stretchesWithin = (area: Geometry, other: Geometry): Geometry[] => {
  const rim = overlay(roundBuffer(area, 1e-5, 1e-5), roundBuffer(area, -1e-5, 1e-5), DIFFERENCE);
  return polygonsOf(overlay(rim, other, INTERSECTION)).filter((p) => p.getArea() > 1e-8);
};
