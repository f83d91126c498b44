import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CutInput, type CutPath, cutOpenings } from '../../src/cut/cut.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import {
  apply,
  compose,
  identity,
  type Matrix,
  rotation,
  scaling,
  translation,
} from '../../src/geometry/affine.js';
import { nearestTo, sampled } from './deviation.js';
import { anyOpenings } from './random-openings.js';
import { backwards, cutInput } from './shapes.js';

const seeded = { seed: 20261125, numRuns: 30 };

/** What a cut did, whatever the order and the start of its paths: rounded far finer than anything that matters. */
const summary = (paths: readonly CutPath[]): string[] =>
  paths
    .map((p) => `${p.hole} ${[...p.openings].sort().join('+')} ${p.area.toFixed(3)} ${p.length.toFixed(2)}`)
    .sort();

const farthest = (paths: readonly CutPath[], others: readonly CutPath[], move: Matrix): number => {
  const there = nearestTo(others.flatMap((p) => p.segments));
  let most = 0;
  for (const [x, y] of paths.flatMap((p) => sampled(p.segments, 2))) {
    const q = apply(move, { x, y });
    most = Math.max(most, there.distance([q.x, q.y]));
  }
  return most;
};

/** Both lie within the tolerance of the same parallel curve. */
const together = (input: CutInput): number => 2 * input.cut.tolerance;

const random = fc.record({
  openings: anyOpenings,
  kind: fc.constantFrom('opening' as const, 'inlay' as const),
  corners: fc.constantFrom('round' as const, 'mitre' as const),
  clearance: fc.constantFrom(0.1, 0.37, 1.1),
});
const inputOf = ({ openings, ...cut }: { openings: readonly Shape[] } & Partial<CutInput['cut']>): CutInput =>
  cutInput(openings, cut);

describe('the cut on the material does not depend on', () => {
  it('where the panel lies: a rigid move of the bed moves the paths alike', () => {
    fc.assert(
      fc.property(random, fc.double({ min: -3, max: 3, noNaN: true }), (job, angle) => {
        const input = inputOf(job);
        const move = compose(translation(417.3, 268.9), rotation(angle));
        const here = cutOpenings(input);
        const there = cutOpenings({ ...input, toBed: move });
        expect(there.paths.length).toBe(here.paths.length);
        expect(farthest(here.paths, there.paths, move)).toBeLessThan(together(input));
        expect(there.merged).toEqual(here.merged);
        expect(there.vanished).toEqual(here.vanished);
      }),
      seeded,
    );
  });

  it('how thin a land is told, which decides what is looked at together', () => {
    fc.assert(
      fc.property(random, (job) => {
        const apart = inputOf({ ...job, smallestLand: 0 });
        const a = cutOpenings(apart);
        const b = cutOpenings(inputOf({ ...job, smallestLand: 1e4 }));
        expect(b.paths.length).toBe(a.paths.length);
        expect(farthest(a.paths, b.paths, identity)).toBeLessThan(together(apart));
        expect(b.merged.map((g) => [...g].sort()).sort()).toEqual(a.merged.map((g) => [...g].sort()).sort());
        expect(b.vanished).toEqual(a.vanished);
      }),
      seeded,
    );
  });

  it('the order of the openings', () => {
    fc.assert(
      fc.property(random, (job) => {
        const input = inputOf(job);
        const turned = { ...input, openings: [...input.openings].reverse() };
        const a = cutOpenings(input);
        const b = cutOpenings(turned);
        expect(summary(b.paths)).toEqual(summary(a.paths));
        expect(b.merged.map((g) => [...g].sort()).sort()).toEqual(a.merged.map((g) => [...g].sort()).sort());
        expect([...b.vanished].sort()).toEqual([...a.vanished].sort());
      }),
      seeded,
    );
  });

  it('which way round a path was drawn', () => {
    fc.assert(
      fc.property(random, (job) => {
        const input = inputOf(job);
        const reversed = {
          ...input,
          openings: input.openings.map((s) => ({
            ...s,
            paths: s.paths.map((p) => ({ ...p, segments: backwards(p.segments) })),
          })),
        };
        const a = cutOpenings(input);
        const b = cutOpenings(reversed);
        expect(b.paths.length).toBe(a.paths.length);
        expect(farthest(a.paths, b.paths, [1, 0, 0, 1, 0, 0])).toBeLessThan(together(input));
      }),
      seeded,
    );
  });

  it('which way the display counts, nor on a mirror', () => {
    fc.assert(
      fc.property(random, (job) => {
        const input = inputOf(job);
        const up = cutOpenings(input);
        const down = cutOpenings({ ...input, toMachine: scaling(1, -1) });
        expect(down.paths.length).toBe(up.paths.length);
        expect(farthest(up.paths, down.paths, scaling(1, -1))).toBeLessThan(together(input));
        const mirrored = cutOpenings({ ...input, toBed: scaling(-1, 1) });
        expect(mirrored.paths.length).toBe(up.paths.length);
        expect(farthest(up.paths, mirrored.paths, scaling(-1, 1))).toBeLessThan(together(input));
      }),
      seeded,
    );
  });
});
