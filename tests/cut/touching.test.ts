/** Openings that touch, held against the second engine: whatever the gap within rounding and the turn. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CutInput, cutOpenings } from '../../src/cut/cut.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import { deviation } from './deviation.js';
import { finest } from './judge.js';
import { between } from './random-openings.js';
import { secondAnswer, statedError } from './second-engine.js';
import { circle, cutInput, polygon, rectangle, shape } from './shapes.js';

interface Drawn {
  readonly size: number;
  readonly gap: number;
}

const grid = (n: number): [number, number][] =>
  Array.from({ length: n * n }, (_, k) => [k % n, Math.floor(k / n)]);

const sets: readonly ((drawn: Drawn) => Shape[])[] = [
  // Discs in rows that touch four others each, and six.
  ({ size, gap }) =>
    grid(2).map(([i, j], k) => shape(`o${k}`, circle(i * (2 * size + gap), j * (2 * size + gap), size))),
  ({ size, gap }) =>
    grid(3).map(([i, j], k) =>
      shape(
        `o${k}`,
        circle((i + (j % 2) / 2) * (2 * size + gap), (j * (2 * size + gap) * Math.sqrt(3)) / 2, size),
      ),
    ),
  // Squares that touch at their corners.
  ({ size, gap }) =>
    grid(2).map(([i, j], k) => {
      const [x, y] = [i * (2 * size + gap), j * (2 * size + gap)];
      return shape(`o${k}`, polygon([x + size, y], [x, y + size], [x - size, y], [x, y - size]));
    }),
  // Two bars with discs between them.
  ({ size, gap }) => [
    shape('low', rectangle(0, 0, 6 * size, 4)),
    shape('a', circle(2 * size, 4 + size + gap, size)),
    shape('b', circle(4 * size + gap, 4 + size + gap, size)),
    shape('high', rectangle(0, 4 + 2 * size + 2 * gap, 6 * size, 4)),
  ],
];

const jobs: fc.Arbitrary<CutInput> = fc
  .record({
    set: fc.constantFrom(...sets),
    size: between(3, 10),
    gap: fc.constantFrom(0, 1e-9, -1e-9, 1e-8, -1e-8, 1e-7),
    kind: fc.constantFrom('opening' as const, 'inlay' as const),
    corners: fc.constantFrom('round' as const, 'mitre' as const),
    clearance: between(0.2, 1),
    turn: between(-3, 3),
    x: between(0, 600),
  })
  .map(({ set, kind, corners, clearance, turn, x, ...drawn }) =>
    cutInput(
      set(drawn),
      { kind, corners, clearance },
      { toBed: compose(translation(x, x / 2), rotation(turn)) },
    ),
  );

/**
 * The second engine joins outlines that touch at points, and then loses some of them when it shrinks them; inlays that touch
 * at points only are as many inlays, so each is asked by itself.
 */
const referenceOf = (input: CutInput) =>
  (input.cut.kind === 'inlay'
    ? input.openings.map((one) => ({ ...input, openings: [one] }))
    : [input]
  ).flatMap((part) => secondAnswer(part, finest).rings);

describe('openings that touch', () => {
  it('are cut within the tolerance of the exact parallel curve, and none is lost', {
    timeout: 120_000,
  }, () => {
    const faults: string[] = [];
    for (const [i, input] of fc.sample(jobs, { seed: 20261201, numRuns: 20 }).entries()) {
      const cut = cutOpenings(input);
      const paths = cut.paths.map((p) => p.segments);
      const { tolerance } = input.cut;
      const found = deviation(paths, referenceOf(input), tolerance);
      const off = Math.max(found.out.distance, found.back.distance);
      if (off > tolerance + statedError(input, finest) || found.wrongSide.length > 0) {
        faults.push(`job ${i}, ${input.cut.kind}: ${off.toFixed(4)} mm off, ${cut.paths.length} paths`);
      }
      const named = new Set([...cut.paths.flatMap((path) => path.openings), ...cut.vanished]);
      for (const { id } of input.openings) if (!named.has(id)) faults.push(`job ${i}: ${id} is lost`);
    }
    expect(faults).toEqual([]);
  });

  it('and came apart again have paths that name those whose edges they follow', () => {
    const pair = [shape('a', circle(0, 0, 10)), shape('b', circle(19.9, 0, 10))];
    const apart = cutOpenings(cutInput(pair, { kind: 'inlay', clearance: 1 }));
    expect(apart.paths.map(({ openings }) => openings)).toEqual([['a'], ['b']]);
    expect(apart.merged).toEqual([]);
    const six = [0, 1, 2, 3, 4, 5].map((k) =>
      shape(`o${k}`, circle(19.9 * (k % 3), 19.9 * Math.floor(k / 3), 10)),
    );
    const pockets = cutOpenings(cutInput(six, { clearance: 0.5 })).paths.filter(({ hole }) => hole);
    expect(pockets.map(({ openings }) => [...openings].sort())).toEqual([
      ['o0', 'o1', 'o3', 'o4'],
      ['o1', 'o2', 'o4', 'o5'],
    ]);
    // The upper row is one opening as drawn; what runs into it from below makes holes that follow only some of it.
    const below = six.map((one, k) => (k < 3 ? one : shape(one.id, circle(19.9 * (k - 3), 20.3, 10))));
    const grown = cutOpenings(cutInput(below, { clearance: 0.5 })).paths.filter(({ hole }) => hole);
    expect(grown.map(({ openings }) => [...openings].sort())).toEqual([
      ['o0', 'o1', 'o3', 'o4'],
      ['o1', 'o2', 'o4', 'o5'],
    ]);
  });

  it('at a point only are told where nothing is left of one of them, however they lie', () => {
    const drawn = [shape('big', circle(100, 100, 10)), shape('small', circle(111, 100, 1))];
    const told = Array.from({ length: 300 }, (_, k) => {
      const toBed = compose(translation(300.123 + k / 100, 300.77), rotation(k * 0.0314159));
      const cut = cutOpenings(cutInput(drawn, { kind: 'inlay', clearance: 1.2 }, { toBed }));
      return cut.findings.map(({ code, openings, what }) => [code, what, ...openings].join(' ')).join();
    });
    expect(new Set(told)).toEqual(new Set(['opening-vanished opening small']));
  });
});
