/** Corners as both tools leave them, held against the buffers of another library. */
import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js';
import type Geometry from 'jsts/org/locationtech/jts/geom/Geometry.js';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import AffineTransformation from 'jsts/org/locationtech/jts/geom/util/AffineTransformation.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import BufferParameters from 'jsts/org/locationtech/jts/operation/buffer/BufferParameters.js';
import RelateOp from 'jsts/org/locationtech/jts/operation/relate/RelateOp.js';
import { describe, expect, test } from 'vitest';
import { identity } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { placedEdges, roomAt } from '../../src/verdict/edge.js';
import { checkOf } from './jobs.js';
import { polygon, rectangle, rectanglePoints, starPoints } from './shapes.js';

const factory = new GeometryFactory();

const areaOf = (points: readonly Point[]): Geometry =>
  factory.createPolygon(
    factory.createLinearRing([...points, points[0]!].map((p) => new Coordinate(p.x, p.y))),
  );

const grown = (area: Geometry, by: number, corners: 'round' | 'mitre', limit = 4): Geometry => {
  if (by === 0) return area;
  const join = corners === 'round' ? BufferParameters.JOIN_ROUND : BufferParameters.JOIN_MITRE;
  return BufferOp.bufferOp(area, by, new BufferParameters(150, BufferParameters.CAP_ROUND, join, limit));
};

interface Case {
  readonly kind: 'opening' | 'infill';
  readonly corners: 'round' | 'mitre';
  readonly clearance: number;
  /** Half the kerf of the cut, and of the piercing. */
  readonly beam: number;
  readonly piercing: number;
  readonly compensated: boolean;
}

/** What the piercing beam left, its path drawn with pointed corners: drawn outline or half a kerf inside it. */
const existingOf = (drawn: Geometry, { piercing, compensated }: Case): Geometry =>
  grown(compensated ? grown(drawn, -piercing, 'mitre', 40) : drawn, piercing, 'round');

/** The opening the beam leaves, or the infill. */
const producedOf = (drawn: Geometry, c: Case): Geometry => {
  const existing = c.compensated ? 0 : c.piercing;
  const [path, beam] =
    c.kind === 'opening'
      ? [existing + c.clearance - c.beam, c.beam]
      : [existing - c.clearance + c.beam, -c.beam];
  return grown(grown(drawn, path, c.corners), beam, 'round');
};

/** How far the existing edge may move in a direction before it touches the new one, by bisection. */
const exactRoom = (existing: Geometry, produced: Geometry, { kind }: Case, angle: number): number => {
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

const foretoldRoom = (points: readonly Point[], c: Case, angle: number): number => {
  const [edge] = placedEdges([polygon('p', points)], identity, {
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

const shapes: Readonly<Record<string, Point[]>> = {
  square: rectanglePoints(0, 0, 30, 20),
  star: starPoints({ x: 0, y: 0 }, 30, 15, 5),
  'blunt hexagon': starPoints({ x: 0, y: 0 }, 20, 20, 3),
};

describe('the room at every corner is that of the edges as they are really made', () => {
  const cases: Case[] = [];
  for (const kind of ['opening', 'infill'] as const)
    for (const corners of ['mitre', 'round'] as const)
      for (const [beam, piercing, compensated] of [
        [0, 0, true],
        [0.06, 0, true],
        [0.3, 0, true],
        [0.6, 0, true],
        [0.06, 0.09, true],
        [0.06, 0.3, true],
        [0.3, 0.3, true],
        [0.06, 0.09, false],
        [0.3, 0.1, false],
      ] as const)
        cases.push({ kind, corners, clearance: 0.5, beam, piercing, compensated });

  for (const [name, points] of Object.entries(shapes)) {
    test.each(cases)(
      `${name}: $kind, $corners, beam $beam, pierced with $piercing (compensated: $compensated)`,
      (c) => {
        const drawn = areaOf(points);
        const existing = existingOf(drawn, c);
        const produced = producedOf(drawn, c);
        for (let k = 0; k < 7; k++) {
          const angle = 0.13 + (2 * Math.PI * k) / 7;
          const exact = exactRoom(existing, produced, c, angle);
          expect(Math.abs(foretoldRoom(points, c, angle) / exact - 1)).toBeLessThan(1.5e-3);
        }
      },
    );
  }
});

test('behind a right-angled mitre a beam of 0.12 mm leaves 0.018 mm less than a pointed one would', () => {
  const square = rectanglePoints(0, 0, 30, 20);
  const c = { kind: 'opening', corners: 'mitre', clearance: 0.5, piercing: 0, compensated: true } as const;
  const pointed = foretoldRoom(square, { ...c, beam: 0 }, Math.PI / 4);
  const rounded = foretoldRoom(square, { ...c, beam: 0.06 }, Math.PI / 4);
  expect(pointed).toBeCloseTo(0.5 * Math.SQRT2, 9);
  expect((pointed - rounded) / Math.SQRT2).toBeCloseTo(0.06 * (1 - Math.SQRT1_2), 3);
});

test('a bit that cannot reach into the corners: the job does not fit, and is told why', () => {
  const openings = [rectangle('window', 260, 180, 60, 30)];
  const router = checkOf({ openings, cut: { clearance: 0.4, kerf: 3 } });
  expect(router.verdict).toBe('does-not-fit');
  expect(router.risk).toBe(1);
  expect(router.explanation).toContain('too thick for the corners');
  // 1.5 (1 - cos 45 degrees) = 0.44 mm is what the corner alone takes.
  expect(router.neededClearance).toBeGreaterThan(0.44);
  const wider = checkOf({ openings, cut: { clearance: router.neededClearance! + 0.001, kerf: 3 } });
  expect(wider.verdict).toBe('fits');
  expect(wider.risk).toBeCloseTo(0.05, 2);
  // Corners that the same bit left round stay clear of it.
  const sameBit = checkOf({
    openings,
    cut: { clearance: 0.4, kerf: 3 },
    rest: { pierced: { kerf: 3, compensated: true } },
  });
  expect(sameBit.verdict).toBe('fits');
});
