/** What is tried where the exact engine finds no boundary that agrees with its edges: a hair more, polygons, a refusal. */
import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import { degenerate } from './degenerate-drawings.js';
import { type CutSettings, circle, cutInput, rectangle, shape } from './shapes.js';

/** `allowed` answers whether the check of boundary number n, from 0, may find what it finds; else it fails. */
const withFailures = async (
  allowed: (n: number) => boolean,
  engine: Partial<typeof import('../../src/cut/offset/polygon-offset.js')> = {},
) => {
  vi.resetModules();
  let checks = 0;
  const used = new Set<string>();
  vi.doMock('../../src/cut/offset/boundary.js', async (original) => {
    const real = await original<typeof import('../../src/cut/offset/boundary.js')>();
    const agreesWithSides: typeof real.agreesWithSides = (...args) => {
      const isAllowed = allowed(checks);
      checks += 1;
      return isAllowed && real.agreesWithSides(...args);
    };
    return { ...real, agreesWithSides };
  });
  vi.doMock('../../src/cut/offset/polygon-offset.js', async (original) => {
    const real = await original<typeof import('../../src/cut/offset/polygon-offset.js')>();
    const noted = <Args extends unknown[], Out>(name: string, run: (...args: Args) => Out) => {
      return (...args: Args): Out => {
        used.add(name);
        return run(...args);
      };
    };
    const all = { ...real, ...engine };
    return {
      offsetPolygons: noted('offset', all.offsetPolygons),
      unitePolygons: noted('unite', all.unitePolygons),
      subtractPolygons: noted('subtract', all.subtractPolygons),
    };
  });
  const { cutOpenings } = await import('../../src/cut/cut.js');
  const { judge } = await import('./judge.js');
  return { cutOpenings, judge, used, checks: () => checks };
};

afterEach(() => {
  vi.doUnmock('../../src/cut/offset/boundary.js');
  vi.doUnmock('../../src/cut/offset/polygon-offset.js');
  vi.resetModules();
});

const overlapping = [shape('a', rectangle(0, 0, 20, 20)), shape('b', rectangle(10, 10, 20, 20))];
/** An island that crosses another one, in an opening. */
const islands = [
  shape('frame', rectangle(0, 0, 60, 40), rectangle(10, 10, 20, 20), circle(30, 20, 6)),
  shape('disc', circle(100, 0, 8)),
];
const toBed = compose(translation(300, 200), rotation(0.7));
const placed = (openings: readonly Shape[], settings: CutSettings = { clearance: 0.5 }) =>
  cutInput(openings, settings, { toBed });

describe('where the exact engine finds no boundary', () => {
  it.each([['openings that overlap', overlapping, 700 + 4 * 0.5 * 30 + 6 * 0.25 - 2 * 0.25]] as const)(
    '%s are united a hair larger',
    async (_, openings, area) => {
      const { cutOpenings, used, checks } = await withFailures((n) => n > 0);
      const { paths } = cutOpenings(placed(openings, { clearance: 0.5, corners: 'mitre' }));
      expect(checks()).toBeGreaterThan(1);
      expect([...used]).toEqual([]);
      expect(paths.map((path) => [...path.openings])).toEqual([['a', 'b']]);
      // The union, moved out by 0.5 with mitred corners: six corners outside, two inside; a hair is 1e-5 mm.
      expect(paths[0]!.area).toBeCloseTo(area, 2);
    },
  );

  it('islands that overlap are taken out by the second engine, with their names', async () => {
    const { cutOpenings, used } = await withFailures(() => false);
    const right = (await withFailures(() => true)).cutOpenings(placed(islands));
    const { paths, vanished } = cutOpenings(placed(islands));
    expect(used).toContain('unite');
    expect(used).toContain('subtract');
    expect(vanished).toEqual([]);
    expect(paths.map(({ openings, hole }) => [openings, hole])).toEqual(
      right.paths.map(({ openings, hole }) => [openings, hole]),
    );
    for (const [i, path] of paths.entries()) {
      expect(Math.abs(path.area - right.paths[i]!.area)).toBeLessThan(0.005 * path.length);
    }
  });

  it.each(degenerate)(
    'the second engine is right, or the cut is refused: %s',
    async (_, openings, settings) => {
      const { judge } = await withFailures(() => false);
      let result: ReturnType<typeof judge>;
      try {
        result = judge(cutInput(openings, settings));
      } catch (error) {
        // Facets in the place of curves do not tell where a mitre points.
        expect(settings.corners).toBe('mitre');
        expect(String(error)).toMatch(/no certain boundary for [\w, ]+ near/);
        return;
      }
      // Where a curve crosses itself at a sharp angle its facets cross a little farther along.
      expect(
        Math.max(result.deviation.out.distance, result.fault ? result.deviation.back.distance : 0),
      ).toBeLessThan(0.01);
    },
  );

  it.each([
    ['unite', overlapping, { unitePolygons: () => [] }],
    ['subtract', islands, { subtractPolygons: () => [] }],
  ] as const)('a boundary that no engine finds is refused by name: %s', async (_, openings, engine) => {
    const { cutOpenings } = await withFailures(() => false, engine);
    expect(() => cutOpenings(placed(openings))).toThrow(/no certain boundary for (a, b|frame) near/);
  });
});
