/** Bounded common errors count at the worst of all that they may be, also where openings lie one over another. */
import { describe, expect, test } from 'vitest';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { shiftBy } from '../../src/verdict/risk/displacement.js';
import { errorField } from '../../src/verdict/risk/error-field.js';
import { assessRisk, indexEdges } from '../../src/verdict/risk/risk.js';
import { fitOf, readingsOf } from './jobs.js';
import { circle, rectangle } from './shapes.js';

const settings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 } as const;
const fit = fitOf(readingsOf(), { readingSd: 0.06 });

/** A slot over a circle over a bar: what of their edges is left looks to one side more than to the other. */
const shapes = [
  rectangle('slot', 300, 250, 50, 16),
  circle('dot', { x: 345, y: 268 }, 10),
  rectangle('bar', 338, 262, 30, 30),
];
const edges = placedEdges(shapes, fit.matrix, settings);
const field = errorField(fit, { cutSd: 0.01, kerfSd: 0.16 })!;
const indexes = indexEdges(edges, field);
const common = { edges, field, indexes, clearance: 0.28, acceptedRisk: 0.05 };

describe('The worst of bounded errors', () => {
  for (const [what, x, y, any] of [
    ['a shift to any side', 0, 0, 0.04],
    ['a shift along each axis', 0.05, 0.03, 0],
    ['both', 0.05, 0.03, 0.02],
  ] as const)
    test(`is found among all that there are: ${what}`, () => {
      const generators = [...(x > 0 ? [shiftBy(x, 0), shiftBy(0, y)] : [])];
      const found = assessRisk({ ...common, bounded: { generators, anyDirection: any } });
      let needed = 0;
      for (const [sx, sy] of x > 0
        ? [
            [1, 1],
            [1, -1],
            [-1, 1],
            [-1, -1],
          ]
        : [[0, 0]])
        for (let k = 0; k < (any > 0 ? 24 : 1); k++) {
          const angle = (2 * Math.PI * k) / 24;
          const [ex, ey] = [sx! * x + any * Math.cos(angle), sy! * y + any * Math.sin(angle)];
          const there = assessRisk({ ...common, systematic: [0, 0, 0, 0, ex, ey] });
          needed = Math.max(needed, there.neededClearance);
        }
      expect(found.neededClearance / needed).toBeGreaterThan(0.993);
      expect(found.neededClearance / needed).toBeLessThan(1.003);
    });
});
