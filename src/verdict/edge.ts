/** The existing edges of the placed openings as the points and outward normals whose margin has to hold. */
import type { Shape } from '../drawing/drawing.js';
import type { Matrix } from '../geometry/affine.js';
import { type Path, positionAt, transformPath } from '../geometry/curve.js';
import { doubleArea, nestingDepths, type Polygon } from '../geometry/nesting.js';
import {
  type Box,
  boxDiagonal,
  boxOfPoints,
  emptyBox,
  length,
  type Point,
  subtract,
} from '../geometry/point.js';
import type { Corners, CutKind } from '../job/job.js';
import { type EdgeSample, samplePath, turnBetween } from './edge-samples.js';

export interface EdgeSettings {
  readonly kind: CutKind;
  readonly corners: Corners;
  /** Ratio of mitre length to distance above which a mitred corner is rounded all the same. */
  readonly mitreLimit: number;
  /** How far the existing edge lies outside the drawn one, mm: half the piercing kerf where it was not compensated. */
  readonly pierced: number;
}

/** Constraints of one opening: at (x[i], y[i]) the new edge is set back along the unit normal. True bed mm. */
export interface Edge {
  readonly id: string;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
}

/** Box of the points start..end-1; of all by default. */
export const edgeBox = ({ x, y }: Edge, start = 0, end = x.length): Box => {
  let { minX, minY, maxX, maxY } = emptyBox;
  for (let i = start; i < end; i++) {
    minX = Math.min(minX, x[i]!);
    maxX = Math.max(maxX, x[i]!);
    minY = Math.min(minY, y[i]!);
    maxY = Math.max(maxY, y[i]!);
  }
  return { minX, minY, maxX, maxY };
};

/**
 * Largest turn of the normal from one constraint to the next, radians: between two of them n . d is missed by at most
 * 1 - cos(turn / 2) of its size, 2.5e-4. Where a curve bends unevenly the points lie closer, `largestArm` of the
 * opening's size; a turn of the part about the opening itself moves its ends by half that size, so this is another
 * 2.5e-4. Both are well below what the draws leave open.
 */
export const largestTurn = 2 * Math.acos(1 - 2.5e-4);
const largestArm = 1.25e-4;

/**
 * Edges of the openings placed by `matrix` (design after face -> true bed mm), one per opening in the order given.
 * Open paths have no inside and are left out. The side is told by nesting over all openings together: an island
 * within an opening is set back the other way.
 *
 * Corners: where the new edge's corner is an arc the normal runs through the whole angle between the two edges;
 * where it is mitred, or lies on the hollow side, where two parallels meet, the two edge normals suffice. This is
 * the exact condition for a corner that moves by d: the corner of the existing edge crosses the new edge when n . d
 * reaches the clearance for one of these n. A path that crosses itself has no one side; both are taken.
 *
 * For every shape, features smaller than the clearance included, the constraints are never too few: if the
 * edge moves by d (no turn), the largest distance by which it leaves the set-back region grows along d only
 * with n . d for normals n of the edge. They can be more than needed where the set-back swallows a feature.
 */
export const placedEdges = (openings: readonly Shape[], matrix: Matrix, settings: EdgeSettings): Edge[] => {
  const rings: { opening: number; samples: EdgeSample[]; polygon: Polygon }[] = [];
  openings.forEach((shape, opening) => {
    for (const path of shape.paths) {
      if (!path.closed) continue;
      const placed = transformPath(matrix, path);
      const samples = samplePath(placed, { turn: largestTurn, arm: largestArm * roughSize(placed) });
      if (samples.length > 1) rings.push({ opening, samples, polygon: samples.map((s) => s.at) });
    }
  });
  const depths = nestingDepths(rings.map((ring) => ring.polygon));
  const collected = openings.map((): number[] => []);
  rings.forEach(({ opening, samples, polygon }, i) => {
    const isIsland = depths[i]! % 2 === 1;
    const outwards = isIsland === (settings.kind === 'infill');
    const turns = new Float64Array(samples.length);
    let whole = 0;
    for (let k = 0; k < samples.length; k++) {
      turns[k] = turnBetween(samples[k]!.direction, samples[(k + 1) % samples.length]!.direction);
      whole += turns[k]!;
    }
    const windings = whole / (2 * Math.PI);
    const isSimple = Math.abs(Math.abs(windings) - 1) < 0.25;
    // +1: the set-back side lies to the right of travel, as it does for a counter-clockwise ring grown outwards.
    const side = doubleArea(polygon) > 0 === outwards ? 1 : -1;
    const into = collected[opening]!;
    // The normal of an opening points from the waste into the material, islands included; of an infill back.
    const grow = settings.kind === 'infill' ? -settings.pierced : settings.pierced;
    addConstraints(samples, turns, side, grow, settings, into);
    if (!isSimple) addConstraints(samples, turns, -side, grow, settings, into);
  });
  return openings.map((shape, i) => asEdge(shape.id, collected[i]!));
};

/** Diagonal of the box of the segments' ends and middles, mm. */
const roughSize = ({ segments }: Path): number => {
  const points: Point[] = [];
  for (const s of segments) {
    if (s.kind === 'line') points.push(s.from);
    else points.push(positionAt(s, 0), positionAt(s, 0.5));
  }
  return boxDiagonal(boxOfPoints(points));
};

/** Appends x, y, normal x, normal y of every constraint of a ring. */
const addConstraints = (
  samples: readonly EdgeSample[],
  turns: Float64Array,
  side: number,
  grow: number,
  settings: EdgeSettings,
  into: number[],
): void => {
  const add = (at: Point, nx: number, ny: number) => into.push(at.x + grow * nx, at.y + grow * ny, nx, ny);
  for (let i = 0; i < samples.length; i++) {
    const { at, direction } = samples[i]!;
    const nx = side * direction.y;
    const ny = -side * direction.x;
    const next = samples[(i + 1) % samples.length]!;
    const turn = turns[i]!;
    // A smooth joint: the same constraint comes again with the next sample.
    if (Math.abs(turn) < 1e-9 && length(subtract(next.at, at)) < 1e-9) continue;
    add(at, nx, ny);
    // Half a turn has no sign of its own: taken as pointed.
    const isPointed = side * turn > 0 || Math.abs(turn) > Math.PI - 1e-9;
    if (Math.abs(turn) <= largestTurn || !isPointed || !isRounded(turn, settings)) continue;
    const steps = Math.ceil(Math.abs(turn) / largestTurn);
    for (let k = 1; k < steps; k++) {
      const angle = (turn * k) / steps;
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      add(next.at, c * nx - s * ny, s * nx + c * ny);
    }
  }
};

/** Mitre length over distance is 1 / sin(half the inner angle) (W3C SVG, stroke-miterlimit). */
const isRounded = (turn: number, { corners, mitreLimit }: EdgeSettings): boolean =>
  corners === 'round' || 1 > mitreLimit * Math.sin((Math.PI - Math.abs(turn)) / 2);

const asEdge = (id: string, quadruples: readonly number[]): Edge => {
  const count = quadruples.length / 4;
  const edge = {
    id,
    x: new Float64Array(count),
    y: new Float64Array(count),
    normalX: new Float64Array(count),
    normalY: new Float64Array(count),
  };
  for (let i = 0; i < count; i++) {
    edge.x[i] = quadruples[4 * i]!;
    edge.y[i] = quadruples[4 * i + 1]!;
    edge.normalX[i] = quadruples[4 * i + 2]!;
    edge.normalY[i] = quadruples[4 * i + 3]!;
  }
  return edge;
};
