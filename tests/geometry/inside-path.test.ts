import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Path, Segment } from '../../src/geometry/curve.js';
import { InsidePath } from '../../src/geometry/inside-path.js';
import { nestingOfPaths } from '../../src/geometry/nested-paths.js';
import { isInside, nestingDepths } from '../../src/geometry/nesting.js';
import { polygonOfPath } from '../../src/geometry/polygon-of-path.js';

const coordinate = fc.integer({ min: -500, max: 500 }).map((n) => n / 7);
const point = fc.record({ x: coordinate, y: coordinate });

/** Closed rings of lines and cubics, crossing themselves or not. */
const ring: fc.Arbitrary<Path> = fc
  .array(fc.record({ to: point, bent: fc.boolean(), control1: point, control2: point }), {
    minLength: 2,
    maxLength: 60,
  })
  .map((legs) => {
    const segments = legs.map(({ to, bent, control1, control2 }, i): Segment => {
      const from = legs[(i + legs.length - 1) % legs.length]!.to;
      return bent ? { kind: 'cubic', from, control1, control2, to } : { kind: 'line', from, to };
    });
    return { segments, closed: true };
  });

const circle = (x: number, y: number, radius: number): Path => ({
  segments: [{ kind: 'arc', centre: { x, y }, radius, start: 0.3, sweep: 2 * Math.PI }],
  closed: true,
});

const tolerance = 0.001;

describe('whether a point lies inside a closed path', () => {
  it('is what the polygon along the path says, of few segments and of many', () => {
    fc.assert(
      fc.property(ring, fc.array(point, { minLength: 20, maxLength: 20 }), (path, points) => {
        const inside = new InsidePath(path, tolerance);
        const polygon = polygonOfPath(path, tolerance);
        for (const p of points) expect(inside.has(p)).toBe(isInside(p, polygon));
      }),
      { seed: 20261125, numRuns: 150 },
    );
  });

  it('is right for circles and half rounds, whose ends meet but for rounding', () => {
    const slot: Path = {
      segments: [
        { kind: 'line', from: { x: -5, y: -2 }, to: { x: 5, y: -2 } },
        { kind: 'arc', centre: { x: 5, y: 0 }, radius: 2, start: -Math.PI / 2, sweep: Math.PI },
        { kind: 'line', from: { x: 5, y: 2 }, to: { x: -5, y: 2 } },
        { kind: 'arc', centre: { x: -5, y: 0 }, radius: 2, start: Math.PI / 2, sweep: Math.PI },
      ],
      closed: true,
    };
    fc.assert(
      fc.property(coordinate, coordinate, (x, y) => {
        const p = { x: x / 10, y: y / 10 };
        const apart = Math.hypot(p.x - 1, p.y - 2) - 4;
        if (Math.abs(apart) > 2 * tolerance) {
          expect(new InsidePath(circle(1, 2, 4), tolerance).has(p)).toBe(apart < 0);
        }
        const out = Math.hypot(Math.max(0, Math.abs(p.x) - 5), p.y) - 2;
        if (Math.abs(out) > 2 * tolerance) expect(new InsidePath(slot, tolerance).has(p)).toBe(out < 0);
      }),
      { seed: 20261125, numRuns: 500 },
    );
  });
});

describe('which closed paths lie inside which', () => {
  it('is told of holes, islands and what stands beside them, in any order', () => {
    const told: string[] = [];
    const paths = [circle(0, 0, 3), circle(0, 0, 10), circle(30, 0, 4), circle(0, 0, 7), circle(31, 1, 1)];
    const depths = nestingOfPaths(paths, tolerance, (outer, inner) => told.push(`${outer}>${inner}`));
    expect([...depths]).toEqual([2, 0, 0, 1, 1]);
    expect(told.sort()).toEqual(['1>0', '1>3', '2>4', '3>0']);
    expect([...nestingOfPaths([], tolerance)]).toEqual([]);
    expect([...nestingOfPaths([circle(0, 0, 1)], tolerance)]).toEqual([0]);
  });

  it('agrees with polygons for circles that do not cross', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(coordinate, coordinate, fc.integer({ min: 1, max: 300 })), {
          minLength: 1,
          maxLength: 40,
        }),
        (candidates) => {
          const paths: Path[] = [];
          const taken: (readonly [number, number, number])[] = [];
          for (const [x, y, size] of candidates) {
            const radius = size / 6;
            const clear = taken.every(([a, b, r]) => {
              const apart = Math.hypot(x - a, y - b);
              return apart > r + radius + 0.1 || apart < Math.abs(r - radius) - 0.1;
            });
            if (!clear) continue;
            taken.push([x, y, radius]);
            paths.push(circle(x, y, radius));
          }
          const expected = taken.map(
            ([x, y, r]) => taken.filter(([a, b, q]) => Math.hypot(x - a, y - b) < q - r - 0.05).length,
          );
          expect([...nestingOfPaths(paths, tolerance)]).toEqual(expected);
          expect(nestingDepths(paths.map((path) => polygonOfPath(path, tolerance)))).toEqual(expected);
        },
      ),
      { seed: 20261125, numRuns: 100 },
    );
  });
});
