/** Of a job with very many points few rows stand for all: the value at which a figure turns the verdict stays the same. */
import { describe, expect, it } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import type { Edge } from '../../src/verdict/edges/edge.js';
import { nothingMoved } from '../../src/verdict/risk/displacement.js';
import type { ErrorField } from '../../src/verdict/risk/error-field.js';
import { nothingBounded } from '../../src/verdict/risk/vertices.js';
import { fewPoints } from '../../src/verdict/turning/rows.js';
import { type Growing, Turning } from '../../src/verdict/turning/turning.js';

const clearance = 0.5;

/** Round openings all over a panel of 600 x 400 mm, each of as many points. */
const openings = (count: number, points: number, seed: string): Edge[] => {
  const { uniform } = createRandom(seed);
  return Array.from({ length: count }, (_, k): Edge => {
    const [cx, cy, radius] = [600 * uniform(), 400 * uniform(), 1 + 4 * uniform()];
    const column = (of: (angle: number) => number): Float64Array =>
      Float64Array.from({ length: points }, (_, i) => of((2 * Math.PI * i) / points));
    return {
      id: `o${k}`,
      x: column((t) => cx + radius * Math.cos(t)),
      y: column((t) => cy + radius * Math.sin(t)),
      normalX: column(Math.cos),
      normalY: column(Math.sin),
    };
  });
};

/** Shift and turn about the middle of the panel. */
const field = (shiftSd: number, turnSd: number, degrees?: number): ErrorField => ({
  centre: { x: 300, y: 200 },
  levers: [[0, -1, 1, 0]],
  covariance: [
    [shiftSd ** 2, 0, 0],
    [0, shiftSd ** 2, 0],
    [0, 0, turnSd ** 2],
  ],
  cutSd: 0.02,
  halfKerfSd: 0.01,
  ...(degrees === undefined ? {} : { degrees }),
});

const bounded = (matrix: readonly [number, number, number, number, number, number]): Growing => ({
  kind: 'bounded',
  perUnit: { generators: [{ matrix }], anyDirection: 0 },
});

const figures: Readonly<Record<string, Growing>> = {
  'a shift to any side': { kind: 'bounded', perUnit: { generators: [], anyDirection: 1 } },
  'a shift along x': bounded([0, 0, 0, 0, 1, 0]),
  'a change of size': bounded([1e-2, 0, 0, 1e-2, -3, -2]),
  'a bow': {
    kind: 'bounded',
    perUnit: {
      generators: [
        {
          matrix: [0, 0, 0, 0, 0, 0.5],
          bend: { along: { x: 1, y: 0 }, origin: 300, each: { x: 0, y: -1 / 300 ** 2 } },
        },
      ],
      anyDirection: 0,
    },
  },
  'the sd of the cut': { kind: 'sd', at: (x) => ({ field: { ...field(0.05, 1e-4), cutSd: x } }) },
};

describe('the value at which a figure turns the verdict of a very large job', () => {
  for (const [errors, own] of [
    ['shift and turn', field(0.05, 1e-4)],
    ['a shift alone', field(0.05, 1e-9)],
    ['an estimated sd', field(0.04, 1e-4, 6)],
  ] as const) {
    it(`is that of all its points within half a percent, for ${errors}`, () => {
      const edges = openings(700, 150, errors);
      expect(edges.length * 150).toBeGreaterThan(fewPoints);
      const input = {
        field: own,
        clearance,
        acceptedRisk: 0.05,
        known: nothingMoved,
        bounded: nothingBounded,
      };
      const few = new Turning({ ...input, edges });
      const all = new Turning({ ...input, edges, keepsAll: true });
      for (const [name, growing] of Object.entries(figures)) {
        const wanted = all.of(growing, 0, 10);
        const found = few.of(growing, 0, 10);
        expect(wanted, name).toBeGreaterThan(0);
        expect(Math.abs(found! / wanted! - 1), name).toBeLessThan(0.005);
      }
    });
  }
});
