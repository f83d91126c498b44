/** Circles through touched points. */
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit } from '../../src/fit/fit.js';
import type { Point } from '../../src/geometry/point.js';
import { circle, edgeOf } from '../fit/touch-scenes.js';

/** The circle through points: a rim of unknown radius about the origin, shifted. */
const fitThrough = (points: readonly Point[], drawn: number): Fit => {
  const edge = edgeOf('rim', circle({ x: 0, y: 0 }, drawn), { hole: true, radius: 'unknown' });
  const touches = points.map((p, i) => ({ touch: `touch ${i + 1} on rim`, edge, readings: [p] }));
  const outcome = adjust([], { model: 'shift', readingSd: 1, markSd: 0 }, touches);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

describe('Gander, Golub & Strebel, Least-squares fitting of circles and ellipses, BIT 34 (1994)', () => {
  // Points seen; that the circle example uses these six is from memory; recomputed.
  const points: Point[] = [
    [1, 7],
    [2, 6],
    [5, 8],
    [7, 7],
    [9, 5],
    [3, 7],
  ].map(([x, y]) => ({ x: x!, y: y! }));

  it.each([3, 5])('gives the geometric circle, from a drawn radius of %s', (drawn) => {
    const fit = fitThrough(points, drawn);
    expect(fit.matrix[4]).toBeCloseTo(4.7397824, 7);
    expect(fit.matrix[5]).toBeCloseTo(2.9835327, 7);
    expect(fit.rims![0]!.radius).toBeCloseTo(4.714226, 7);
    expect(fit.sumOfSquares).toBeCloseTo(1.2275991, 7);
    expect(fit.unknowns).toBe(3);
    expect(fit.redundancy).toBe(3);
  });
});

describe('by hand', () => {
  it('(+-1.1, 0) and (0, +-0.9) lie about a circle of radius 1, with a sum of squares of 0.04', () => {
    const points = [
      { x: 1.1, y: 0 },
      { x: 0, y: 0.9 },
      { x: -1.1, y: 0 },
      { x: 0, y: -0.9 },
    ];
    const fit = fitThrough(points, 1);
    expect(fit.rims![0]!.radius).toBeCloseTo(1, 12);
    expect(fit.matrix[4]).toBeCloseTo(0, 9);
    expect(fit.matrix[5]).toBeCloseTo(0, 9);
    expect(fit.sumOfSquares).toBeCloseTo(0.04, 12);
  });

  it.each([3, 5, 8, 12])(
    'of %i even touches the centre has the variance 2/N and the radius 1/N (derived)',
    (n) => {
      const points = Array.from({ length: n }, (_, i) => {
        const t = 0.3 + (2 * Math.PI * i) / n;
        return { x: 40 + 5 * Math.cos(t), y: 70 + 5 * Math.sin(t) };
      });
      const fit = fitThrough(points, 5);
      expect(fit.covariance![0]![0]).toBeCloseTo(2 / n, 9);
      expect(fit.covariance![1]![1]).toBeCloseTo(2 / n, 9);
      expect(fit.covariance![0]![1]).toBeCloseTo(0, 9);
      expect(fit.rims![0]!.sd! ** 2).toBeCloseTo(1 / n, 9);
    },
  );
});
