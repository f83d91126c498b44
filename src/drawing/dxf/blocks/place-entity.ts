/** From what an entity says to curves in the design frame. */

import { apply, compose, determinant, keepsCircles, type Matrix, mirrorX } from '../../../geometry/affine.js';
import { endOf, type Path, type Segment, startOf, transformSegment } from '../../../geometry/curve.js';
import { distance, length, type Point } from '../../../geometry/point.js';
import { limits } from '../../../job/bounds.js';
import { closingDistance, hasNoLength, isPoint } from '../../model/no-length.js';
import { bezierPieces } from '../curves/bezier.js';
import { bulgedEdge } from '../curves/bulge.js';
import { curveOfBezier, rounded } from '../curves/curve-of-bezier.js';
import { splineThrough } from '../curves/fit-spline.js';
import type {
  CurveEntity,
  EllipseEntity,
  Facing,
  FitSplineEntity,
  LineEntity,
  PolylineEntity,
  RoundEntity,
  SpacePolylineEntity,
  SplineEntity,
  Vector,
} from '../entities.js';
import { isLevel } from './facing.js';

/**
 * A thousand kilometres: plans keep the coordinates of their country, and up to here double
 * precision holds a micrometre with room to spare. A coordinate beyond it is a slip of the file.
 */
export const farthestCoordinate = 1e9;

/** A coordinate out of reach, or a curve that cannot be drawn; the caller knows the entity. */
export class PlacingFault extends Error {
  constructor(
    readonly found: string,
    readonly expected: string,
    readonly next: string,
  ) {
    super(`${found}; expected ${expected}`);
    this.name = 'PlacingFault';
  }
}

export interface Placed {
  /** Empty when the entity is left out. */
  readonly paths: readonly Path[];
  /** Why it is left out. */
  readonly why?: string;
  /** What of it was taken otherwise than drawn. */
  readonly note?: { readonly what: string; readonly why: string };
}

export const tilted = 'it is tilted out of the plane of the drawing';
const noLength = 'it has no length';

/**
 * @param matrix from the coordinates the entity lies in (the model's or its block's) to the design
 * frame
 * @throws PlacingFault
 */
export const placeEntity = (entity: CurveEntity, matrix: Matrix): Placed => {
  switch (entity.kind) {
    case 'line':
      return placeLine(entity, matrix);
    case 'round':
      return placeRound(entity, matrix);
    case 'ellipse':
      return placeEllipse(entity, matrix);
    case 'polyline':
      return placePolyline(entity, matrix);
    case 'space-polyline':
      return placeSpacePolyline(entity, matrix);
    case 'spline':
      return placeSpline(entity, matrix);
    case 'fit-spline':
      return placeFitSpline(entity, matrix);
  }
};

/**
 * The matrix for coordinates of an entity's own; undefined where its plane is not the drawing's.
 */
export const facedMatrix = (matrix: Matrix, facing: Facing): Matrix | undefined => {
  if (facing === 'tilted') return undefined;
  return facing === 'up' ? matrix : compose(matrix, mirrorX);
};

const leftOut = (why: string): Placed => ({ paths: [], why });

const whole = (segments: readonly Segment[], closed: boolean): Placed =>
  isPoint(segments) ? leftOut(noLength) : { paths: [{ segments, closed }] };

const placePoint = (matrix: Matrix, p: Point): Point => {
  const placed = apply(matrix, p);
  checkReach(Math.max(Math.abs(placed.x), Math.abs(placed.y)));
  return placed;
};

/** Also refuses what is no number. */
const checkReach = (reach: number): void => {
  if (reach <= farthestCoordinate) return;
  throw new PlacingFault(
    Number.isFinite(reach)
      ? `a coordinate of ${reach.toPrecision(4)} mm`
      : 'coordinates too large to compute with',
    `coordinates within ${farthestCoordinate} mm`,
    'Correct the coordinates or the units of the drawing.',
  );
};

const placeLine = ({ from, to }: LineEntity, matrix: Matrix): Placed => {
  if (!isLevel([from, to])) return leftOut(tilted);
  const start = placePoint(matrix, from);
  const end = placePoint(matrix, to);
  if (samePoint(start, end)) return leftOut(noLength);
  return whole([{ kind: 'line', from: start, to: end }], false);
};

const placeRound = ({ facing, centre, radius, start, sweep }: RoundEntity, outer: Matrix): Placed => {
  const matrix = facedMatrix(outer, facing);
  if (matrix === undefined) return leftOut(tilted);
  const placed = transformSegment(matrix, { kind: 'arc', centre, radius, start, sweep });
  if (reachOf(placed) === 0) return leftOut(noLength);
  return whole([placed], Math.abs(sweep) === 2 * Math.PI);
};

const placeEllipse = (entity: EllipseEntity, matrix: Matrix): Placed => {
  const { facing, centre, major, ratio, start, sweep } = entity;
  if (facing === 'tilted' || !isLevel([{ x: 0, y: 0, z: 0 }, major])) return leftOut(tilted);
  if (ratio === 0) return leftOut('its minor axis is 0');
  const side = facing === 'up' ? ratio : -ratio;
  const v = { x: -side * major.y, y: side * major.x };
  const placed = transformSegment(matrix, { kind: 'elliptical-arc', centre, u: major, v, start, sweep });
  if (reachOf(placed) === 0) return leftOut(noLength);
  const segment = placed.kind === 'elliptical-arc' ? rounded(placed) : placed;
  return whole([segment], Math.abs(sweep) === 2 * Math.PI);
};

/** Radii of an arc, mm; checks that it lies within reach. */
const reachOf = (s: Segment): number => {
  if (s.kind !== 'arc' && s.kind !== 'elliptical-arc') return Number.NaN;
  const radii = s.kind === 'arc' ? s.radius : length(s.u) + length(s.v);
  checkReach(length(s.centre) + radii + 0 * (s.start + s.sweep));
  return radii;
};

const placePolyline = (entity: PolylineEntity, outer: Matrix): Placed => {
  const matrix = facedMatrix(outer, entity.facing);
  if (matrix === undefined) return leftOut(tilted);
  const { vertices, closed } = entity;
  const count = vertices.length / 3;
  const points = Array.from({ length: count }, (_, i) =>
    placePoint(matrix, { x: vertices[3 * i]!, y: vertices[3 * i + 1]! }),
  );
  const round = keepsCircles(matrix);
  const hand = determinant(matrix) < 0 ? -1 : 1;
  const edge = (i: number, j: number): Segment => {
    const bulge = vertices[3 * i + 2]!;
    if (bulge === 0) return { kind: 'line', from: points[i]!, to: points[j]! };
    if (round) return checkedEdge(bulgedEdge(points[i]!, points[j]!, hand * bulge), bulge);
    const from = { x: vertices[3 * i]!, y: vertices[3 * i + 1]! };
    const to = { x: vertices[3 * j]!, y: vertices[3 * j + 1]! };
    return checkedEdge(transformSegment(matrix, bulgedEdge(from, to, bulge)), bulge);
  };
  const placed = chain(points, closed, edge);
  if (!entity.wide || placed.paths.length === 0) return placed;
  const why = 'its middle line is taken, not its edges';
  return { ...placed, note: { what: `width of ${entity.properties.type}`, why } };
};

/**
 * An arc of at most half a turn lies about its chord, which was within reach, however far away its
 * centre is.
 */
const checkedEdge = (edge: Segment, bulge: number): Segment => {
  if (edge.kind === 'line') return edge;
  if (Math.abs(bulge) > 1) reachOf(edge);
  else {
    const p = startOf(edge);
    checkReach(Math.max(Math.abs(p.x), Math.abs(p.y)));
  }
  return edge;
};

const placeSpacePolyline = ({ vertices, closed }: SpacePolylineEntity, matrix: Matrix): Placed => {
  const corners: Vector[] = [];
  for (let i = 0; i < vertices.length; i += 3) {
    corners.push({ x: vertices[i]!, y: vertices[i + 1]!, z: vertices[i + 2]! });
  }
  if (!isLevel(corners)) return leftOut(tilted);
  const points = corners.map((p) => placePoint(matrix, p));
  return chain(points, closed, (i, j) => ({ kind: 'line', from: points[i]!, to: points[j]! }));
};

/**
 * Edges from vertex to vertex. Vertices in the same place have no edge between them, and are made
 * the same to the last bit; ends that meet within the closing distance are one point, and the path
 * is closed, as far as it leads anywhere.
 */
const chain = (points: Point[], closed: boolean, edge: (i: number, j: number) => Segment): Placed => {
  const segments: Segment[] = [];
  for (let i = 1; i < points.length; i += 1) {
    if (samePoint(points[i - 1]!, points[i]!)) continue;
    const drawn = edge(i - 1, i);
    if (hasNoLength(drawn)) points[i] = points[i - 1]!;
    else segments.push(drawn);
  }
  const first = points[0];
  const last = points.at(-1);
  if (segments.length === 0 || first === undefined || last === undefined) return leftOut(noLength);
  if (distance(first, last) > closingDistance) {
    if (closed) segments.push(edge(points.length - 1, 0));
    return whole(segments, closed);
  }
  const turnsBack = segments.length > 1 || segments[0]!.kind !== 'line';
  if (turnsBack) endAt(segments, first);
  return whole(segments, closed || turnsBack);
};

/**
 * Moves the end of the last segment, if it is a line or cubic, by less than the closing distance.
 */
const endAt = (segments: Segment[], p: Point): void => {
  const s = segments.at(-1)!;
  if (s.kind !== 'line' && s.kind !== 'cubic') return;
  if (s.kind === 'line' && samePoint(s.from, p)) segments.pop();
  else segments[segments.length - 1] = { ...s, to: p };
};

const placeSpline = (entity: SplineEntity, matrix: Matrix): Placed => {
  const { degree, knots, controls, weights, closed } = entity;
  if (!isLevel(controls)) return leftOut(tilted);
  // Placing keeps a rational curve what it is: only its control points move.
  const weighted = controls.map((p, i) => {
    const { x, y } = placePoint(matrix, p);
    const w = weights?.[i] ?? 1;
    return { x: x * w, y: y * w, w };
  });
  const paths: { segments: Segment[]; closed: boolean }[] = [];
  let end: Point | undefined;
  let pieces = 0;
  for (const piece of bezierPieces(degree, knots, weighted)) {
    const drawn = curveOfBezier(piece);
    pieces += drawn?.length ?? Number.POSITIVE_INFINITY;
    if (drawn === undefined || pieces > mostPieces) throw tooWild();
    for (const segment of drawn) {
      if (hasNoLength(segment)) continue;
      const from = startOf(segment);
      const run = paths.at(-1);
      if (run !== undefined && end !== undefined && distance(end, from) <= closingDistance) {
        run.segments.push('from' in segment ? { ...segment, from: end } : segment);
      } else paths.push({ segments: [segment], closed: false });
      end = endOf(segment);
    }
  }
  return finishedSpline(paths, entity.properties.type, closed);
};

/** Pieces of one spline; sound ones take a few hundred. */
const mostPieces = limits.splinePieces.most;

const tooWild = (): PlacingFault =>
  new PlacingFault(
    'a spline whose weights or control points are out of all proportion',
    'a curve that cubics can follow',
    'Turn the spline into polylines or arcs in the program that drew it.',
  );

const finishedSpline = (
  paths: { segments: Segment[]; closed: boolean }[],
  type: string,
  closed: boolean,
): Placed => {
  if (paths.every((run) => isPoint(run.segments))) return leftOut(noLength);
  for (const run of paths) {
    const first = startOf(run.segments[0]!);
    const gap = distance(first, endOf(run.segments.at(-1)!));
    run.closed = gap <= closingDistance && (run.segments.length > 1 || run.segments[0]!.kind !== 'line');
    if (run.closed) endAt(run.segments, first);
  }
  if (!closed || paths.every((run) => run.closed)) return { paths };
  const why = 'it is marked as closed, but its ends do not meet; it is taken as it runs';
  return { paths, note: { what: `closing of ${type}`, why } };
};

const placeFitSpline = (entity: FitSplineEntity, matrix: Matrix): Placed => {
  const { startTangent, endTangent } = entity;
  const { type } = entity.properties;
  if (!isLevel(entity.points)) return leftOut(tilted);
  const points = entity.points.filter((p, i) => i === 0 || !samePoint(p, entity.points[i - 1]!));
  if (entity.closed && points.length > 2 && samePoint(points[0]!, points.at(-1)!)) points.pop();
  if (points.length < 2) return leftOut(noLength);
  const closed = entity.closed && points.length > 2;
  const cubics = splineThrough(points, closed, startTangent, endTangent);
  for (const p of points) placePoint(matrix, p);
  const segments = cubics.map((s) => transformSegment(matrix, s));
  for (const s of segments) {
    if (s.kind !== 'cubic') continue;
    for (const { x, y } of [s.control1, s.control2, s.to]) checkReach(Math.max(Math.abs(x), Math.abs(y)));
  }
  const placed = finishedSpline([{ segments, closed }], type, closed);
  const why =
    'it states only points to pass through: they are joined by the cubic spline with their chord lengths as ' +
    'parameter, without curvature at ends that state no direction';
  return { ...placed, note: { what: `exact form of ${type}`, why } };
};

const samePoint = (a: Point, b: Point): boolean => a.x === b.x && a.y === b.y;
