/**
 * The minimum over a whole edge is what counts. A band that holds point by point is too narrow and a Scheffe band
 * (H. Scheffe, *The Analysis of Variance*, 1959: radius sqrt(p F)) too wide. The case is our own; the true value is found
 * here by plain simulation with another generator of normal numbers, without anything of the verdict but its edges.
 */
import { expect, test } from 'vitest';
import { apply, compose, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { chiSquareQuantile, normalQuantile } from '../../src/numeric/distributions.js';
import { createRandom } from '../../src/numeric/random.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { approachCoefficients, errorField } from '../../src/verdict/risk/error-field.js';
import { assessRisk } from '../../src/verdict/risk/risk.js';
import { knownFit } from './jobs.js';
import { rectangle } from './shapes.js';

test('a band point by point is too narrow, a Scheffe band too wide, the needed clearance between them is right', () => {
  const fit = knownFit();
  const edges = placedEdges(
    [rectangle('sill', 60, 60, 480, 20), rectangle('light', 300, 300, 200, 60)],
    fit.matrix,
    {
      kind: 'opening',
      corners: 'mitre',
      mitreLimit: 4,
      pierced: 0,
    },
  );
  const field = errorField(fit, { cutSd: 0, kerfSd: 0 })!;
  const { neededClearance, openings } = assessRisk({ edges, field, clearance: 0.1, acceptedRisk: 0.05 });

  const largestSd = Math.max(...openings.map((o) => o.worst!.predictedError));
  const pointByPoint = normalQuantile(0.95) * largestSd;
  const scheffe = Math.sqrt(chiSquareQuantile(0.95, 3)) * largestSd;

  const constraints = edges.flatMap((edge) =>
    Array.from(edge.x, (x, i) =>
      approachCoefficients(field, { x, y: edge.y[i]! }, { x: edge.normalX[i]!, y: edge.normalY[i]! }),
    ),
  );
  // Rigid fit of four marks with one sd: shift and turn are independent.
  const [[shift], , [, , turn]] = field.covariance as [number[], number[], number[]];
  const random = createRandom('bands');
  const trials = 200_000;
  const largest = new Float64Array(trials);
  for (let k = 0; k < trials; k++) {
    const x = Math.sqrt(shift!) * random.normal();
    const y = Math.sqrt(shift!) * random.normal();
    const t = Math.sqrt(turn!) * random.normal();
    let most = 0;
    for (const g of constraints) most = Math.max(most, g[0]! * x + g[1]! * y + g[2]! * t);
    largest[k] = most;
  }
  largest.sort();
  const simulated = largest[Math.floor(0.95 * trials)]!;

  expect(neededClearance / simulated).toBeGreaterThan(0.99);
  expect(neededClearance / simulated).toBeLessThan(1.01);
  expect(pointByPoint).toBeLessThan(0.85 * simulated);
  expect(scheffe).toBeGreaterThan(1.15 * simulated);
});

test('the jacobian behind the coefficients is the change of the placed point', () => {
  for (const model of ['shift', 'rigid', 'similarity', 'affine'] as const) {
    const fit = knownFit(model, model === 'shift' ? { truth: [1, 0, 0, 1, 30, 40] } : {});
    const field = errorField(fit, { cutSd: 0, kerfSd: 0 })!;
    const p = apply(fit.matrix, { x: 123, y: 45 });
    const [x, y] = [
      approachCoefficients(field, p, { x: 1, y: 0 }),
      approachCoefficients(field, p, { x: 0, y: 1 }),
    ];
    field.levers.forEach(([xx, xy, yx, yy], k) => {
      const h = 1e-4;
      const bent = compose(
        [1 + h * xx, h * yx, h * xy, 1 + h * yy, 0, 0],
        [1, 0, 0, 1, -field.centre.x, -field.centre.y],
      );
      const moved = apply(bent, p);
      expect((moved.x - (p.x - field.centre.x)) / h).toBeCloseTo(x[2 + k]!, 4);
      expect((moved.y - (p.y - field.centre.y)) / h).toBeCloseTo(y[2 + k]!, 4);
    });
  }
});

/** Fitzpatrick, West & Maurer 1998, the two-dimensional forms derived and checked by 200,000 trials (recomputed). */
test.each([
  ['shift', 0.07071],
  ['rigid', 0.09274],
  ['similarity', 0.11045],
  ['affine', 0.12747],
] as const)('four marks of sd 0.1 mm, %s fit: the position at (500, 150) has rms %f mm', (model, rms) => {
  const marks = [
    { x: 0, y: 0 },
    { x: 400, y: 0 },
    { x: 400, y: 300 },
    { x: 0, y: 300 },
  ];
  const truth = model === 'shift' ? translation(50, 20) : compose(translation(50, 20), rotation(Math.PI / 6));
  const fit = knownFit(model, { marks, truth });
  const field = errorField(fit, { cutSd: 0, kerfSd: 0 })!;
  const variance = (normal: Point) => {
    const g = approachCoefficients(field, apply(fit.matrix, { x: 500, y: 150 }), normal);
    return g.reduce(
      (sum, a, i) => sum + a * g.reduce((row, b, k) => row + b * field.covariance[i]![k]!, 0),
      0,
    );
  };
  // One unit of the last digit printed: the affine value is .127475.
  const found = Math.sqrt(variance({ x: 1, y: 0 }) + variance({ x: 0, y: 1 }));
  expect(Math.abs(found - rms)).toBeLessThan(1e-5);
});
