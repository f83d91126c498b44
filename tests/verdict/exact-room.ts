/** The edges that tools really leave, made with the buffers of another library, and how far one may move in the other. */
import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js';
import type Geometry from 'jsts/org/locationtech/jts/geom/Geometry.js';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import AffineTransformation from 'jsts/org/locationtech/jts/geom/util/AffineTransformation.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import BufferParameters from 'jsts/org/locationtech/jts/operation/buffer/BufferParameters.js';
import RelateOp from 'jsts/org/locationtech/jts/operation/relate/RelateOp.js';
import { identity } from '../../src/geometry/affine.js';
import { type Path, positionAt } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { placedEdges, roomAt } from '../../src/verdict/edges/edge.js';
import { shapeOf } from './shapes.js';

const factory = new GeometryFactory();

export const areaOf = (points: readonly Point[]): Geometry =>
  factory.createPolygon(
    factory.createLinearRing([...points, points[0]!].map((p) => new Coordinate(p.x, p.y))),
  );

const grown = (area: Geometry, by: number, corners: 'round' | 'mitre', limit = 4): Geometry => {
  if (by === 0) return area;
  const join = corners === 'round' ? BufferParameters.JOIN_ROUND : BufferParameters.JOIN_MITRE;
  return BufferOp.bufferOp(area, by, new BufferParameters(150, BufferParameters.CAP_ROUND, join, limit));
};

export interface Tooling {
  readonly kind: 'opening' | 'inlay';
  readonly corners: 'round' | 'mitre';
  readonly clearance: number;
  /** Half the kerf of the cut, and of the piercing. */
  readonly beam: number;
  readonly piercing: number;
  readonly compensated: boolean;
}

/** What the piercing beam left, its path drawn with pointed corners: drawn outline or half a kerf inside it. */
export const existingOf = (drawn: Geometry, { piercing, compensated }: Tooling): Geometry =>
  grown(compensated ? grown(drawn, -piercing, 'mitre', 40) : drawn, piercing, 'round');

/** The opening the beam leaves, or the inlay. */
export const producedOf = (drawn: Geometry, c: Tooling): Geometry => {
  const existing = c.compensated ? 0 : c.piercing;
  const [path, beam] =
    c.kind === 'opening'
      ? [existing + c.clearance - c.beam, c.beam]
      : [existing - c.clearance + c.beam, -c.beam];
  return grown(grown(drawn, path, c.corners), beam, 'round');
};

/** How far the existing edge may move in a direction before it touches the new one, by bisection. */
export const exactRoom = (
  existing: Geometry,
  produced: Geometry,
  { kind }: Tooling,
  angle: number,
): number => {
  const fits = (by: number): boolean => {
    const moved = AffineTransformation.translationInstance(
      by * Math.cos(angle),
      by * Math.sin(angle),
    ).transform(existing);
    return kind === 'opening' ? RelateOp.contains(produced, moved) : RelateOp.contains(moved, produced);
  };
  if (!fits(0)) return 0;
  let low = 0;
  let high = 4;
  while (high - low > 1e-4) {
    const middle = (low + high) / 2;
    if (fits(middle)) low = middle;
    else high = middle;
  }
  return low;
};

export const foretoldRoom = (path: Path, c: Tooling, angle: number): number => {
  const [edge] = placedEdges([shapeOf('p', [path])], identity, {
    kind: c.kind,
    corners: c.corners,
    mitreLimit: 4,
    pierced: c.compensated ? 0 : c.piercing,
    tools: { beam: c.beam, piercing: c.piercing, clearance: c.clearance },
  });
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < edge!.x.length; i++) {
    const room = roomAt(edge!, i, c.clearance);
    if (room <= 0) return 0;
    const along = edge!.normalX[i]! * Math.cos(angle) + edge!.normalY[i]! * Math.sin(angle);
    if (along > 0) least = Math.min(least, room / along);
  }
  return least;
};

/** Points along a path, its curves in 200 steps. */
export const pointsAlong = ({ segments }: Path): Point[] =>
  segments.flatMap((s) => {
    const steps = s.kind === 'line' ? 1 : 200;
    return Array.from({ length: steps }, (_, i) => positionAt(s, i / steps));
  });
