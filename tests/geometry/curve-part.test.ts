import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { positionAt, type Segment } from '../../src/geometry/curve.js';
import { partOf, placesNear } from '../../src/geometry/curve-part.js';
import { distance, type Point } from '../../src/geometry/point.js';

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const point: fc.Arbitrary<Point> = fc.record({ x: number(0, 100), y: number(0, 100) });
const curve: fc.Arbitrary<Segment> = fc.oneof(
  fc.record({ kind: fc.constant('line' as const), from: point, to: point }),
  fc.record({
    kind: fc.constant('cubic' as const),
    from: point,
    control1: point,
    control2: point,
    to: point,
  }),
  fc
    .tuple(point, number(5, 40), number(0.1, 1), number(0, 7), number(0, 7), number(-6.2, 6.2))
    .map(([centre, r, ratio, turn, start, sweep]): Segment => {
      const u = { x: r * Math.cos(turn), y: r * Math.sin(turn) };
      return { kind: 'elliptical-arc', centre, u, v: { x: -ratio * u.y, y: ratio * u.x }, start, sweep };
    }),
  fc.record({
    kind: fc.constant('arc' as const),
    centre: point,
    radius: number(1, 40),
    start: number(-7, 7),
    sweep: number(-6.2, 6.2),
  }),
);
const fraction = number(0, 1);

describe('a part of a curve', () => {
  it('runs where the whole runs', () => {
    fc.assert(
      fc.property(curve, fraction, fraction, fraction, (s, one, other, t) => {
        const [from, to] = [Math.min(one, other), Math.max(one, other)];
        fc.pre(to - from > 1e-3);
        const whole = positionAt(s, from + t * (to - from));
        expect(distance(positionAt(partOf(s, from, to), t), whole)).toBeLessThan(1e-9);
      }),
      { seed: 20261125, numRuns: 400 },
    );
  });
});

describe('the places of a curve near a point', () => {
  it('are where the point lies, if it lies on the curve, and none if it lies nowhere near', () => {
    fc.assert(
      fc.property(curve, fraction, (s, t) => {
        const p = positionAt(s, t);
        const places = placesNear(s, p, 0.002);
        expect(places.some((at) => distance(positionAt(s, at), p) < 1e-6)).toBe(true);
        expect(placesNear(s, { x: p.x + 500, y: p.y }, 0.002)).toEqual([]);
      }),
      { seed: 20261125, numRuns: 1000 },
    );
  });

  it('are both passes of a curve through itself', () => {
    const loop: Segment = {
      kind: 'cubic',
      from: { x: 0, y: 0 },
      control1: { x: 60, y: 40 },
      control2: { x: -20, y: 40 },
      to: { x: 40, y: 0 },
    };
    // By its symmetry it crosses itself above the middle; there, x(t) = 20 with t and 1 - t.
    const crossing = [0, 1].map((i) => 0.5 + (i - 0.5) * Math.sqrt(1 - (4 * 40) / 280));
    const p = positionAt(loop, crossing[0]!);
    expect(distance(p, positionAt(loop, crossing[1]!))).toBeLessThan(1e-9);
    const places = placesNear(loop, p, 0.002);
    expect(places).toHaveLength(2);
    places.forEach((t, i) => {
      expect(t).toBeCloseTo(crossing[i]!, 6);
    });
  });
});
