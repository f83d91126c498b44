import { expect, test } from 'vitest';
import { normalCdf } from '../../src/numeric/distributions.js';
import { decide } from '../../src/verdict/decide.js';
import { assessRisk } from '../../src/verdict/risk/risk.js';

/**
 * One constraint in one direction, the case JCGM 106:2012 treats: an edge point with normal n whose approach is normal
 * with a given sd.
 */
const oneSided = (sd: number, clearance: number, acceptedRisk: number) =>
  assessRisk({
    edges: [
      {
        id: 'edge',
        x: Float64Array.of(0),
        y: Float64Array.of(0),
        normalX: Float64Array.of(1),
        normalY: Float64Array.of(0),
      },
    ],
    field: {
      centre: { x: 0, y: 0 },
      levers: [],
      covariance: [
        [sd * sd, 0],
        [0, sd * sd],
      ],
      cutSd: 0,
      halfKerfSd: 0,
    },
    clearance,
    acceptedRisk,
  });

test('probability of conformity of -5.47, u .05, limit -5.40: Phi(1.4) = .9192 (JCGM 106:2012, inputs from memory, recomputed)', () => {
  const { risk } = oneSided(0.05, -5.4 - -5.47, 0.05);
  expect(1 - risk).toBeCloseTo(0.9192, 3);
});

test('a guard band of 2 u keeps false acceptance under 2.275 %, of 1.645 u under 5 % (JCGM 106:2012, memory, recomputed)', () => {
  expect(oneSided(0.05, 2 * 0.05, 0.05).risk).toBeCloseTo(0.02275, 4);
  expect(1 - normalCdf(2)).toBeCloseTo(0.02275, 5);
  expect(oneSided(0.05, 0.1, 0.05).neededClearance).toBeCloseTo(1.645 * 0.05, 3);
});

test('fits up to the accepted risk, does not fit from one minus it, too close in between', () => {
  expect(decide(0, 0.05, false)).toBe('fits');
  expect(decide(0.05, 0.05, false)).toBe('fits');
  expect(decide(0.0501, 0.05, false)).toBe('too-close');
  expect(decide(0.949, 0.05, false)).toBe('too-close');
  expect(decide(0.95, 0.05, false)).toBe('does-not-fit');
});

test('a best estimate that touches does not fit, whatever the risk, and without a risk nothing fits', () => {
  expect(decide(0.01, 0.05, true)).toBe('does-not-fit');
  expect(decide(undefined, 0.05, true)).toBe('does-not-fit');
  expect(decide(undefined, 0.05, false)).toBe('too-close');
});
