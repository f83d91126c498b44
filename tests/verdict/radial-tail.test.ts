import { expect, test } from 'vitest';
import { chiSquareCdf } from '../../src/numeric/distributions.js';
import { radialTail } from '../../src/verdict/risk/radial-tail.js';

test('the tabulated length of a normal vector is within 1e-9 of its distribution function, in one to seven dimensions', () => {
  for (let dimensions = 1; dimensions <= 7; dimensions++) {
    const { beyond, density } = radialTail(dimensions);
    for (let r = 0.0007; r < 9; r += 0.0137) {
      expect(Math.abs(beyond(r) - (1 - chiSquareCdf(r * r, dimensions)))).toBeLessThan(1e-9);
      const h = 1e-5;
      const slope =
        (chiSquareCdf((r + h) ** 2, dimensions) - chiSquareCdf(Math.max(0, r - h) ** 2, dimensions)) /
        (r + h - Math.max(0, r - h));
      expect(Math.abs(density(r) - slope)).toBeLessThan(1e-4);
    }
    expect(beyond(0)).toBe(1);
    expect(beyond(100)).toBe(0);
  }
});

test('95 % radius of a round two-dimensional normal: 2.44775 (check values 2.5, recomputed)', () => {
  expect(radialTail(2).exceededWith(0.05)).toBeCloseTo(2.44775, 5);
});
