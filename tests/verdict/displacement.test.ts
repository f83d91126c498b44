/** Displacements and their spread, against the definition at single places. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { identity, type Matrix } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { normalCdf } from '../../src/numeric/distributions.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { indexEdge } from '../../src/verdict/edges/edge-index.js';
import { knownApproach, knownAt } from '../../src/verdict/edges/known-approach.js';
import { lossInCut } from '../../src/verdict/risk/cut-loss.js';
import { type Displacement, displacedBy, plus, shiftBy } from '../../src/verdict/risk/displacement.js';
import { losing } from '../../src/verdict/risk/edge-error.js';
import type { ErrorField, Lever } from '../../src/verdict/risk/error-field.js';
import { positionSpread, spreadAt } from '../../src/verdict/risk/position-spread.js';
import { asRounded, waysOfRounding } from '../../src/verdict/risk/rounded-alike.js';
import { circle, rectangle } from './shapes.js';

const number = fc.double({ min: -3, max: 3, noNaN: true });
const place = fc.record({
  x: fc.double({ min: -400, max: 400, noNaN: true }),
  y: fc.double({ min: -400, max: 400, noNaN: true }),
});
const numbers = (count: number) => fc.array(number, { minLength: count, maxLength: count });
const runs = { seed: 20261201, numRuns: 60 };

describe('a bent displacement', () => {
  const bend = { along: { x: 0.6, y: 0.8 }, origin: 100 };
  const bent = (m: readonly number[], x: number, y: number): Displacement => ({
    matrix: m as unknown as Matrix,
    bend: { ...bend, each: { x: x * 1e-5, y: y * 1e-5 } },
  });

  it('grows with the square of the way from its origin, along its direction', () => {
    const still = bent([0, 0, 0, 0, 0, 0], -4, 3);
    // 0.6 x 300 + 0.8 x 150 = 300, so 200 from the origin: 0.4 and 0.3 mm.
    const { x, y } = displacedBy(still, { x: 300, y: 150 });
    expect([x, y]).toEqual([expect.closeTo(-1.6, 12), expect.closeTo(1.2, 12)]);
    expect(displacedBy(still, { x: 60, y: 80 }).x).toBeCloseTo(0, 12);
    expect(displacedBy(shiftBy(2, -1), { x: 7, y: 8 })).toEqual({ x: 2, y: -1 });
  });

  it('of a sum is the sum at every place, whichever of them bend', () => {
    fc.assert(
      fc.property(
        numbers(8),
        numbers(8),
        number,
        place,
        fc.boolean(),
        fc.boolean(),
        (a, b, factor, p, first, second) => {
          const one = first ? bent(a, a[6]!, a[7]!) : { matrix: a.slice(0, 6) as unknown as Matrix };
          const other = second ? bent(b, b[6]!, b[7]!) : { matrix: b.slice(0, 6) as unknown as Matrix };
          const sum = displacedBy(plus(one, other, factor), p);
          const [u, v] = [displacedBy(one, p), displacedBy(other, p)];
          expect(sum.x).toBeCloseTo(u.x + factor * v.x, 8);
          expect(sum.y).toBeCloseTo(u.y + factor * v.y, 8);
        },
      ),
      runs,
    );
  });

  it('is known at every point of an edge as its part along the normal, with what is lost there; the floor is the largest', () => {
    const still: ErrorField = {
      centre: { x: 0, y: 0 },
      levers: [],
      covariance: [
        [1e-4, 0],
        [0, 1e-4],
      ],
      cutSd: 0,
      halfKerfSd: 0,
    };
    const settings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 } as const;
    const shapes = [rectangle('slot', 200, 100, 150, 40), circle('hole', { x: -50, y: 80 }, 30)];
    for (const edge of losing(placedEdges(shapes, identity, settings), 0.07)) {
      const index = indexEdge(edge, still);
      fc.assert(
        fc.property(numbers(8), (m) => {
          const moved = bent([...m.slice(0, 4).map((v) => v * 1e-3), m[4]!, m[5]!], m[6]!, m[7]!);
          const known = knownApproach(index, edge, moved);
          let largest = Number.NEGATIVE_INFINITY;
          index.runs.forEach(({ start, end }, run) => {
            let reach = 0;
            for (let at = start; at < end; at++) {
              const i = index.order[at]!;
              const d = displacedBy(moved, { x: edge.x[i]!, y: edge.y[i]! });
              const approach = index.normalX[at]! * d.x + index.normalY[at]! * d.y + 0.07;
              expect(knownAt(known, index, run, at)).toBeCloseTo(approach, 9);
              largest = Math.max(largest, approach);
              reach = Math.max(reach, known.rest[at]!);
            }
            expect(known.reach[run]).toBe(reach);
          });
          if (index.room === undefined) expect(known.floor).toBeCloseTo(largest, 9);
        }),
        { ...runs, numRuns: 20 },
      );
    }
  });
});

describe('the spread of positions', () => {
  it('is that of a shift and of levers that are known together, at any place', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 0, max: 4 }),
        numbers(36),
        numbers(16),
        place,
        (count, root, turns, p) => {
          const size = 2 + count;
          const levers = Array.from(
            { length: count },
            (_, k) => turns.slice(4 * k, 4 * k + 4) as unknown as Lever,
          );
          // Any covariance is a root times its transpose.
          const covariance = Array.from({ length: size }, (_, i) =>
            Array.from({ length: size }, (_, j) =>
              Array.from({ length: size }, (_, k) => root[6 * i + k]! * root[6 * j + k]!).reduce(
                (a, b) => a + b,
                0,
              ),
            ),
          );
          const field: ErrorField = { centre: { x: 0, y: 0 }, levers, covariance, cutSd: 0, halfKerfSd: 0 };
          const moves: Point[] = [
            { x: 1, y: 0 },
            { x: 0, y: 1 },
            ...levers.map(([xx, xy, yx, yy]) => ({ x: xx * p.x + xy * p.y, y: yx * p.x + yy * p.y })),
          ];
          const entry = (a: 'x' | 'y', b: 'x' | 'y'): number =>
            covariance.reduce(
              (sum, row, i) => sum + row.reduce((s, c, j) => s + moves[i]![a] * c * moves[j]![b], 0),
              0,
            );
          const spread = positionSpread(field);
          const scale = 1 + Math.abs(entry('x', 'x')) + Math.abs(entry('y', 'y'));
          expect(spreadAt(spread.xx, p.x, p.y) / scale).toBeCloseTo(entry('x', 'x') / scale, 9);
          expect(spreadAt(spread.xy, p.x, p.y) / scale).toBeCloseTo(entry('x', 'y') / scale, 9);
          expect(spreadAt(spread.yy, p.x, p.y) / scale).toBeCloseTo(entry('y', 'y') / scale, 9);
        },
      ),
      runs,
    );
  });
});

describe('lost motion in the cut', () => {
  it('takes what the axes lose along the normal, and never gives', () => {
    const half = Math.SQRT1_2;
    expect(lossInCut([0.2, 0.1], 1, 0, true)).toBeCloseTo(0.1, 12);
    expect(lossInCut([0.2, 0.1], 0, -1, true)).toBeCloseTo(0.05, 12);
    expect(lossInCut([0.2, 0.2], half, -half, true)).toBeCloseTo(0, 12);
    expect(lossInCut([0.2, 0.1], -half, half, true)).toBeCloseTo(0.05 * half, 12);
    // A straight edge runs one way only: both axes lag together, at most as much as one of them alone.
    expect(lossInCut([0.2, 0.1], half, half, false)).toBeCloseTo(0.1, 12);
    expect(lossInCut([0.2, 0.1], 0.28, 0.96, false)).toBeCloseTo((0.2 * 0.28 + 0.1 * 0.96) / 2, 12);
    expect(lossInCut([-0.1, -0.3], 0, 1, false)).toBeCloseTo(0.15, 12);
    expect(lossInCut([-0.3, 0.1], 1, 0, false)).toBeCloseTo(0.15, 12);
  });
});

describe('marks that a coarse display rounds alike', () => {
  const step = 0.1;
  /** N marks of a shift: each moves the fit by 1/N. */
  const fit = (sd: number, inStep: readonly boolean[], readings = 1): Fit => {
    const N = inStep.length;
    const own = (sd ** 2 / readings + step ** 2 / 12) / N;
    return {
      sd: { stated: sd },
      covariance: [
        [own, 0],
        [0, own],
      ],
      marks: inStep.map(() => ({ readings, influence: { x: [1 / N, 0], y: [0, 1 / N] } })),
    } as unknown as Fit;
  };
  const read = (inStep: readonly boolean[]): Observation[] =>
    inStep.map((x) => ({ inStep: { x, y: false } }) as unknown as Observation);
  const options = { displayStep: step } as FitOptions;

  it('fall to one side of a limit, or each to its own where a place may lie that near to one', () => {
    const all = [true, true, true];
    const ways = (sd: number, risk: number, inStep = all) =>
      waysOfRounding(fit(sd, inStep), read(inStep), options, risk);
    expect(ways(0.002, 0.05, [false, false, false])).toEqual([{ share: 1 }]);
    // Four sds to either side on each of two axes: 8 x 0.002 / 0.1.
    expect(ways(0.002, 0.05)).toEqual([
      { way: 'alike', share: 1 },
      { way: 'apart', share: expect.closeTo(0.16, 12) },
    ]);
    expect(ways(0.02, 0.05)[1]).toEqual({ way: 'apart', share: 1 });
    expect(ways(0.0002, 0.05)).toEqual([{ way: 'alike', share: 1 }]);
    expect(ways(0.0002, 0.03)).toHaveLength(2);
  });

  it('alike, have hardly any scatter left: what one in twenty still leaves them on one side with', () => {
    for (const count of [1, 3, 8]) {
      const inStep = Array.from({ length: count }, () => true);
      const sd = 0.02;
      const before = fit(sd, inStep);
      const after = asRounded({ ...before, sd: { stated: sd } } as Fit, read(inStep), options, 'alike');
      const kept = (after.covariance![0]![0]! - before.covariance![0]![0]!) * count + sd ** 2;
      const usual = 1.644854 / Math.sqrt(count);
      const beyond = Math.sqrt(kept / sd ** 2) * usual;
      // All of N lie beyond with a chance of 0.05, unless even at the limit itself fewer do.
      const chance = normalCdf(-beyond) ** count;
      if (0.5 ** count >= 0.05) expect(chance).toBeCloseTo(0.05, 4);
      else expect(beyond).toBeCloseTo(0, 6);
      expect(after.covariance![1]![1]).toBe(before.covariance![1]![1]);
    }
  });

  it('apart, scatter by half a step to either side, over their repeats', () => {
    const sd = 0.02;
    for (const readings of [1, 4]) {
      const before = fit(sd, [true, true, false], readings);
      const after = asRounded(before, read([true, true, false]), options, 'apart');
      const more = (step ** 2 / 4 - sd ** 2) / readings;
      // Two of three marks, each with a third of the weight.
      expect(after.covariance![0]![0]! - before.covariance![0]![0]!).toBeCloseTo((2 / 9) * more, 12);
      expect(after.covariance![1]![1]).toBe(before.covariance![1]![1]);
    }
    const noisy = fit(0.06, [true, true]);
    expect(asRounded(noisy, read([true, true]), options, 'apart').covariance).toEqual(noisy.covariance);
  });

  it('are as they were where no display rounds them alike, or nothing is known of the fit', () => {
    const before = fit(0.02, [true]);
    expect(asRounded(before, read([true]), options, undefined)).toBe(before);
    const unknown = { ...before, covariance: undefined } as unknown as Fit;
    expect(asRounded(unknown, read([true]), options, 'apart')).toBe(unknown);
    const rim = { ...before, rimCovariance: [[1]] } as unknown as Fit;
    expect(asRounded(before, read([false]), options, 'apart').covariance).toEqual(before.covariance);
    expect('rimCovariance' in asRounded(before, read([true]), options, 'apart')).toBe(false);
    expect(asRounded(rim, read([false]), options, 'apart').rimCovariance).toEqual([[1]]);
  });
});
