/**
 * The cut of many curved openings, and beside it what a general polygon library makes of them: the same rings as chords
 * within half the tolerance, buffered one by one by jsts and united, its chords left as they are.
 */
import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import BufferParameters from 'jsts/org/locationtech/jts/operation/buffer/BufferParameters.js';
import UnaryUnionOp from 'jsts/org/locationtech/jts/operation/union/UnaryUnionOp.js';
import { bench, describe } from 'vitest';
import { beamOffset, type CutInput, cutOpenings } from '../../src/cut/cut.js';
import { identity } from '../../src/geometry/affine.js';
import { flattenRing } from '../cut/flatten.js';
import { wavyOpenings } from './wavy-openings.js';

const inputOf = (count: number): CutInput => ({
  openings: wavyOpenings(count),
  outline: [],
  toBed: identity,
  toMachine: identity,
  pierced: { kerf: 0, compensated: true },
  cut: {
    kind: 'opening',
    clearance: 0.5,
    kerf: 0.12,
    corners: 'mitre',
    mitreLimit: 4,
    tolerance: 0.005,
    smallestLand: 0,
    apply: 'full',
  },
});

/** What of jsts is used here; its own types leave most of it open. */
interface Geometry {
  getNumPoints(): number;
}
const factory = new (
  GeometryFactory as unknown as new () => {
    createLinearRing(c: unknown[]): Geometry;
    createPolygon(ring: Geometry): Geometry;
    createGeometryCollection(g: Geometry[]): Geometry;
  }
)();
const buffer = BufferOp as unknown as {
  bufferOp(g: Geometry, distance: number, parameters: unknown): Geometry;
};
const Parameters = BufferParameters as unknown as {
  new (quadrantSegments: number, endCap: number, join: number, mitreLimit: number): unknown;
  CAP_ROUND: number;
  JOIN_MITRE: number;
};
const union = UnaryUnionOp as unknown as { union(g: Geometry): Geometry };
const point = Coordinate as unknown as new (x: number, y: number) => unknown;

const byPolygons = (input: CutInput): number => {
  const { tolerance, mitreLimit } = input.cut;
  const distance = beamOffset(input.pierced, input.cut);
  const parameters = new Parameters(16, Parameters.CAP_ROUND, Parameters.JOIN_MITRE, mitreLimit);
  const moved = input.openings.flatMap((shape) =>
    shape.paths.map((path) => {
      const ring = flattenRing(path.segments, input.toBed, { chord: tolerance / 2, turn: 1 });
      const corners = [...ring, ring[0]!].map(([x, y]) => new point(x, y));
      return buffer.bufferOp(factory.createPolygon(factory.createLinearRing(corners)), distance, parameters);
    }),
  );
  return union.union(factory.createGeometryCollection(moved)).getNumPoints();
};

for (const count of [200, 2000]) {
  describe(`the cut of ${count} openings of eight cubics each`, () => {
    const input = inputOf(count);
    const few = { time: 0, iterations: 5, warmupTime: 0, warmupIterations: 1 };
    bench(
      'lines and arcs, this program',
      () => {
        cutOpenings(input).paths.reduce((sum, path) => sum + path.segments.length, 0);
      },
      few,
    );
    bench(
      'chords, jsts',
      () => {
        byPolygons(input);
      },
      few,
    );
  });
}
