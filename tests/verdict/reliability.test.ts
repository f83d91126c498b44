import { expect, test } from 'vitest';
import type { Observation } from '../../src/fit/fit.js';
import { apply, compose, invert } from '../../src/geometry/affine.js';
import { reliabilityOf } from '../../src/verdict/advice/reliability.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { extrapolationOf, extrapolationWarnings } from '../../src/verdict/extrapolation.js';
import { fitOf, panelMarks, readingsOf, turned, twoOpenings } from './jobs.js';
import { rectangle } from './shapes.js';

const settings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 } as const;

test('the smallest detectable mistake, put into a reading, moves the worst opening by what was foretold', () => {
  const observations = readingsOf();
  const options = { readingSd: 0.01 };
  const fit = fitOf(observations, options);
  const edges = placedEdges(twoOpenings, fit.matrix, settings);
  const foretold = reliabilityOf(fit, edges);
  expect(foretold.map((r) => r.mark)).toEqual(['A', 'B', 'C', 'D']);
  observations.forEach((_, i) => {
    let largest = 0;
    for (const axis of ['x', 'y'] as const) {
      const size = fit.marks[i]!.smallestDetectable[axis]!;
      const wrong = observations.map((o, k): Observation => {
        const p = o.readings[0]!;
        return k === i ? { ...o, readings: [{ ...p, [axis]: p[axis] + size }] } : o;
      });
      const moved = compose(fitOf(wrong, options).matrix, invert(fit.matrix)!);
      for (const edge of edges) {
        for (let k = 0; k < edge.x.length; k++) {
          const p = { x: edge.x[k]!, y: edge.y[k]! };
          const q = apply(moved, p);
          largest = Math.max(
            largest,
            Math.abs(edge.normalX[k]! * (q.x - p.x) + edge.normalY[k]! * (q.y - p.y)),
          );
        }
      }
    }
    expect(foretold[i]!.approach! / largest).toBeCloseTo(1, 3);
  });
});

test('without redundancy nothing is foretold: a mistake of any size could hide', () => {
  const fit = fitOf(readingsOf().slice(0, 3), { model: 'affine', readingSd: 0.1 });
  const edges = placedEdges(twoOpenings, fit.matrix, settings);
  for (const r of reliabilityOf(fit, edges)) {
    expect(r.smallestDetectable).toBeUndefined();
    expect(r.approach).toBeUndefined();
  }
});

test('an opening far outside the marks is told with the factor by which the error grows there', () => {
  const marks = panelMarks.map((p) => ({ x: p.x / 5, y: p.y / 5 }));
  const fit = fitOf(readingsOf({ marks, truth: turned }), { readingSd: 0.1 });
  const openings = [rectangle('inside', 40, 30, 20, 20), rectangle('outside', 500, 300, 40, 40)];
  const edges = placedEdges(openings, fit.matrix, settings);
  const [inside, outside] = extrapolationOf(fit, edges);
  // Rigid: variance 2 / N + |r|^2 / S per unit sd^2 (Fitzpatrick, West & Maurer 1998, two-dimensional form).
  const centre = { x: 60, y: 40 };
  const squares = marks.reduce((sum, p) => sum + (p.x - centre.x) ** 2 + (p.y - centre.y) ** 2, 0);
  const size = (x: number, y: number) =>
    Math.sqrt(2 / 4 + ((x - centre.x) ** 2 + (y - centre.y) ** 2) / squares);
  const atMarks = Math.max(...marks.map((p) => size(p.x, p.y)));
  expect(inside!.factor).toBeLessThan(1);
  // The box of a turned opening holds a little more than the opening.
  expect(outside!.factor).toBeGreaterThanOrEqual(size(540, 340) / atMarks);
  expect(outside!.factor).toBeLessThan((1.03 * size(540, 340)) / atMarks);
  const [warning, ...others] = extrapolationWarnings([inside!, outside!]);
  expect(others).toEqual([]);
  expect(warning!.code).toBe('extrapolation');
  expect(warning!.message).toContain(
    `outside lies so far outside the marks that the error there is ${outside!.factor.toFixed(1)} times`,
  );
  expect(extrapolationWarnings([inside!])).toEqual([]);
});
