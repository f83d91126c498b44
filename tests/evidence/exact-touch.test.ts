import Coordinate from 'jsts/org/locationtech/jts/geom/Coordinate.js';
import GeometryFactory from 'jsts/org/locationtech/jts/geom/GeometryFactory.js';
import BufferOp from 'jsts/org/locationtech/jts/operation/buffer/BufferOp.js';
import BufferParameters from 'jsts/org/locationtech/jts/operation/buffer/BufferParameters.js';
import RelateOp from 'jsts/org/locationtech/jts/operation/relate/RelateOp.js';
import { expect, test } from 'vitest';
import { compose, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import { createRandom } from '../../src/numeric/random.js';
import { rectanglePoints, starPoints } from '../verdict/shapes.js';
import { exactApproach, placedRings, prepareTouch, type Rings, touches } from './exact-touch.js';

const factory = new GeometryFactory();

const polygonOf = (rings: Rings) => {
  const [shell, ...holes] = rings.map((ring) => {
    const points = [...ring, ring[0]!].map((p) => new Coordinate(p.x, p.y));
    return factory.createLinearRing(points);
  });
  return factory.createPolygon(shell, holes);
};

/** True when the library's buffer of the estimated opening does not hold the existing one (or the other way round). */
const touchesByBuffer = (existing: Rings, estimated: Rings, kind: 'opening' | 'inlay', clearance: number) => {
  const round = new BufferParameters(500, BufferParameters.CAP_ROUND, BufferParameters.JOIN_ROUND, 5);
  const distance = kind === 'opening' ? clearance : -clearance;
  const grown = BufferOp.bufferOp(polygonOf(estimated), distance, round);
  const here = polygonOf(existing);
  return kind === 'opening' ? !RelateOp.contains(grown, here) : !RelateOp.contains(here, grown);
};

const shapes: readonly Rings[] = [
  [rectanglePoints(0, 0, 40, 25)],
  [starPoints({ x: 30, y: 20 }, 20, 8, 5)],
  [rectanglePoints(0, 0, 40, 30), rectanglePoints(12, 10, 10, 12)],
  [starPoints({ x: 0, y: 0 }, 25, 15, 7), starPoints({ x: 0, y: 0 }, 8, 4, 4)],
];

test('the yardstick of the studies agrees with the buffer of another library on both sides of the touch', () => {
  const random = createRandom('yardstick');
  for (let i = 0; i < 160; i++) {
    const rings = shapes[i % shapes.length]!;
    const kind = i % 8 < 4 ? 'opening' : 'inlay';
    const away: Matrix = compose(
      translation(0.4 * random.normal(), 0.4 * random.normal()),
      rotation(0.004 * random.normal()),
    );
    const estimated = placedRings(rotation(0.3), rings);
    const existing = placedRings(compose(away, rotation(0.3)), rings);
    const touch = prepareTouch(existing, estimated, { kind, corners: 'round', mitreLimit: 4 });
    const approach = exactApproach(touch);
    expect(approach).toBeGreaterThan(0.001);
    expect(touchesByBuffer(existing, estimated, kind, approach * 0.999 - 1e-4)).toBe(true);
    expect(touchesByBuffer(existing, estimated, kind, approach * 1.001 + 1e-4)).toBe(false);
  }
});

test('behind a mitred corner a tip may move further before it shows, up to the mitre limit', () => {
  const square: Rings = [rectanglePoints(0, 0, 20, 20)];
  const moved = placedRings(translation(0.3, 0.3), square);
  const mitred = prepareTouch(moved, square, { kind: 'opening', corners: 'mitre', mitreLimit: 4 });
  const rounded = prepareTouch(moved, square, { kind: 'opening', corners: 'round', mitreLimit: 4 });
  const limited = prepareTouch(moved, square, { kind: 'opening', corners: 'mitre', mitreLimit: 1.4 });
  expect(exactApproach(mitred)).toBeCloseTo(0.3, 6);
  expect(exactApproach(rounded)).toBeCloseTo(0.3 * Math.SQRT2, 6);
  expect(exactApproach(limited)).toBeCloseTo(0.3 * Math.SQRT2, 6);
  expect(touches(mitred, 0.31)).toBe(false);
});

test('at a hollow corner the new edge comes nearer along each edge, not along the diagonal', () => {
  const ell: Rings = [
    [
      { x: 0, y: 0 },
      { x: 30, y: 0 },
      { x: 30, y: 12 },
      { x: 12, y: 12 },
      { x: 12, y: 30 },
      { x: 0, y: 30 },
    ],
  ];
  const moved = placedRings(translation(0.2, 0.25), ell);
  const touch = prepareTouch(moved, ell, { kind: 'opening', corners: 'mitre', mitreLimit: 4 });
  expect(exactApproach(touch)).toBeCloseTo(0.25, 6);
});
