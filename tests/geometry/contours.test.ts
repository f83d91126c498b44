import { describe, expect, it } from 'vitest';
import { ringsAbove, type SampledField } from '../../src/geometry/contours.js';
import type { Point } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';

/** Twice the area a polygon encloses, positive for a counter-clockwise one. */
const doubleArea = (polygon: readonly Point[]): number =>
  polygon.reduce((sum, b, i) => {
    const a = polygon[(i + polygon.length - 1) % polygon.length]!;
    return sum + a.x * b.y - a.y * b.x;
  }, 0);

const sampled = (columns: number, rows: number, f: (x: number, y: number) => number): SampledField => ({
  columns,
  rows,
  values: Float64Array.from({ length: columns * rows }, (_, k) => f(k % columns, Math.floor(k / columns))),
});

describe('Contours', () => {
  it('of a cone are circles of the right size', () => {
    const field = sampled(101, 81, (x, y) => 40 - Math.hypot(x - 50, y - 40));
    for (const level of [5, 10, 25, 37]) {
      const rings = ringsAbove(field, level);
      expect(rings).toHaveLength(1);
      for (const { x, y } of rings[0]!) expect(Math.hypot(x - 50, y - 40)).toBeCloseTo(40 - level, 1);
      // A polygon of some twenty corners lies 2 % within its circle.
      const share = doubleArea(rings[0]!) / 2 / (Math.PI * (40 - level) ** 2);
      expect(share).toBeGreaterThan(0.97);
      expect(share).toBeLessThan(1);
    }
  });

  it('of a bowl leave a hole, which the even-odd rule keeps open', () => {
    const field = sampled(61, 61, (x, y) => Math.hypot(x - 30, y - 30));
    const areas = ringsAbove(field, 12).map((ring) => doubleArea(ring) / 2);
    expect(areas).toHaveLength(2);
    expect(areas.reduce((a, b) => a + b)).toBeCloseTo(60 * 60 - Math.PI * 144, -1);
  });

  it('close for every field, saddles and borders included, and part above from below', () => {
    const random = createRandom('contours');
    for (let trial = 0; trial < 40; trial++) {
      const field = sampled(9, 7, () => random.normal());
      const level = random.normal();
      const rings = ringsAbove(field, level);
      const isAbove = (x: number, y: number): boolean =>
        rings.filter((ring) => isWithin(x, y, ring)).length % 2 === 1;
      for (let j = 1; j < 6; j++)
        for (let i = 1; i < 8; i++) expect(isAbove(i, j)).toBe(field.values[j * 9 + i]! > level);
    }
  });

  it('of what lies nowhere above are none', () => {
    expect(
      ringsAbove(
        sampled(5, 5, () => 1),
        2,
      ),
    ).toEqual([]);
  });
});

const isWithin = (x: number, y: number, ring: readonly { x: number; y: number }[]): boolean => {
  let inside = false;
  ring.forEach((b, k) => {
    const a = ring[(k + ring.length - 1) % ring.length]!;
    if (a.y > y !== b.y > y && x < a.x + ((y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
  });
  return inside;
};
