import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Path, Segment } from '../../src/geometry/curve.js';
import { liesIn, type NestRing, nestingOf, ringOfPath } from '../../src/geometry/rings/nesting.js';
import { polygonOfPath } from '../../src/geometry/rings/polygon-of-path.js';
import { Removed } from '../../src/geometry/rings/removed.js';
import { type RelationKind, relationOf } from '../../src/geometry/rings/ring-relation.js';

const polygon = (...corners: (readonly [number, number])[]): Path => ({
  closed: true,
  segments: corners.map(([x, y], i): Segment => {
    const [toX, toY] = corners[(i + 1) % corners.length]!;
    return { kind: 'line', from: { x, y }, to: { x: toX, y: toY } };
  }),
});
const rectangle = (x: number, y: number, width: number, height: number): Path =>
  polygon([x, y], [x + width, y], [x + width, y + height], [x, y + height]);
const circle = (x: number, y: number, radius: number, sweep = 2 * Math.PI): Path => ({
  segments: [{ kind: 'arc', centre: { x, y }, radius, start: 0.3, sweep }],
  closed: true,
});
const ellipse = (x: number, y: number, a: number, b: number): Path => ({
  segments: [
    {
      kind: 'elliptical-arc',
      centre: { x, y },
      u: { x: a, y: 0 },
      v: { x: 0, y: b },
      start: 0,
      sweep: 2 * Math.PI,
    },
  ],
  closed: true,
});
const reversed = (path: Path): Path => ({
  closed: true,
  segments: path.segments
    .map((s): Segment => (s.kind === 'line' ? { ...s, from: s.to, to: s.from } : s))
    .reverse(),
});

const ring = (path: Path): NestRing => ringOfPath(path);
const levels = (...paths: Path[]): number[] => {
  const nesting = nestingOf(paths.map(ring));
  return paths.map((_, i) => nesting.level(i));
};
const kind = (one: Path, other: Path): RelationKind => relationOf(ring(one), ring(other)).kind;

describe('how two rings lie to each other', () => {
  it('is told from all of them: a ring that leaves another one by a corner crosses it', () => {
    // Three of its four corners, and most of its length, lie within.
    expect(kind(polygon([10, 10], [40, 10], [40, 40], [-1, 40]), rectangle(0, 0, 100, 100))).toBe('crossing');
    // All corners lie within, and an edge runs through a notch.
    const notched = polygon([0, 0], [100, 0], [100, 100], [52, 100], [50, 20], [48, 100], [0, 100]);
    expect(kind(rectangle(40, 30, 20, 10), notched)).toBe('crossing');
    expect(kind(notched, rectangle(40, 30, 20, 10))).toBe('crossing');
    expect(kind(rectangle(40, 5, 20, 10), notched)).toBe('inside');
    expect(kind(ellipse(0, 0, 30, 10), circle(0, 0, 20))).toBe('crossing');
  });

  it('tells touching from crossing, from inside and from outside, at points and along edges', () => {
    const square = rectangle(0, 0, 100, 100);
    const told = (other: Path) => relationOf(ring(other), ring(square));
    expect(told(rectangle(10, 10, 5, 5))).toEqual({ kind: 'inside', touching: false });
    expect(told(rectangle(0, 10, 5, 5))).toEqual({ kind: 'inside', touching: true });
    expect(told(rectangle(0, 0, 100, 50))).toEqual({ kind: 'inside', touching: true });
    expect(told(circle(50, 50, 50))).toEqual({ kind: 'inside', touching: true });
    expect(told(polygon([0, 50], [50, 0], [100, 50], [50, 100]))).toEqual({ kind: 'inside', touching: true });
    expect(told(rectangle(100, 10, 5, 5))).toEqual({ kind: 'apart', touching: true });
    expect(told(rectangle(100, 100, 5, 5))).toEqual({ kind: 'apart', touching: true });
    expect(told(circle(120, 50, 20))).toEqual({ kind: 'apart', touching: true });
    expect(told(circle(121, 50, 20))).toEqual({ kind: 'apart', touching: false });
    expect(told(reversed(square))).toEqual({ kind: 'same', touching: true });
    expect(told(circle(50, 50, 80))).toEqual({ kind: 'around', touching: false });
    // As far as a cut may lie off its place anyway it is taken as touching; farther it crosses.
    expect(told(rectangle(-0.004, 10, 5, 5))).toEqual({ kind: 'inside', touching: true });
    expect(told(rectangle(-0.02, 10, 5, 5)).kind).toBe('crossing');
  });

  it('is exact for circles, whichever way they run and however they lie', () => {
    const coordinate = fc.double({ min: -10, max: 10, noNaN: true });
    const size = fc.double({ min: 0.5, max: 12, noNaN: true });
    const seen = new Set<RelationKind>();
    fc.assert(
      fc.property(coordinate, coordinate, size, size, fc.boolean(), (x, y, r, q, back) => {
        const apart = Math.hypot(x, y);
        const far = [apart - r - q, apart - Math.abs(r - q)];
        if (far.some((gap) => Math.abs(gap) < 0.02)) return;
        const expected =
          apart > r + q ? 'apart' : apart > Math.abs(r - q) ? 'crossing' : r < q ? 'inside' : 'around';
        expect(kind(circle(x, y, r, (back ? -2 : 2) * Math.PI), circle(0, 0, q))).toBe(expected);
        seen.add(expected);
      }),
      { seed: 20261201, numRuns: 400 },
    );
    expect(seen.size).toBe(4);
  });

  it('does not change with turn, place and mirror image', () => {
    const one: Path = {
      closed: true,
      segments: [
        {
          kind: 'cubic',
          from: { x: 0, y: 0 },
          control1: { x: 20, y: 30 },
          control2: { x: 60, y: 30 },
          to: { x: 80, y: 0 },
        },
        {
          kind: 'cubic',
          from: { x: 80, y: 0 },
          control1: { x: 60, y: -30 },
          control2: { x: 20, y: -30 },
          to: { x: 0, y: 0 },
        },
      ],
    };
    const at =
      (angle: number, flip: number) =>
      (path: Path): Path => {
        const corners = polygonOfPath(path, 1e-4).map(({ x, y }): [number, number] => [
          Math.cos(angle) * flip * x - Math.sin(angle) * y + 300,
          Math.sin(angle) * flip * x + Math.cos(angle) * y - 70,
        ]);
        return polygon(...corners);
      };
    const others: readonly (readonly [Path, RelationKind])[] = [
      [rectangle(30, -10, 10, 20), 'inside'],
      [rectangle(30, -10, 10, 40), 'crossing'],
      [rectangle(2, 10, 6, 6), 'apart'],
      [rectangle(-5, -40, 100, 80), 'around'],
    ];
    for (const [other, expected] of others) {
      expect(kind(other, one)).toBe(expected);
      for (const angle of [0.4, 2, 3.9]) {
        for (const flip of [1, -1]) {
          const moved = at(angle, flip);
          expect(kind(moved(other), moved(one))).toBe(expected);
        }
      }
    }
  });
});

describe('which rings lie in which', () => {
  it('counts holes, islands and openings in islands, in any order and winding', () => {
    expect(
      levels(
        rectangle(40, 40, 20, 20),
        reversed(rectangle(0, 0, 100, 100)),
        rectangle(20, 20, 60, 60),
        rectangle(200, 0, 10, 10),
        reversed(rectangle(85, 85, 10, 10)),
      ),
    ).toEqual([2, 0, 1, 0, 1]);
    expect(levels(circle(0, 0, 3), circle(0, 0, 10), ellipse(30, 0, 4, 3), circle(0, 0, 7))).toEqual([
      2, 0, 0, 1,
    ]);
    expect(levels()).toEqual([]);
    expect(levels(circle(0, 0, 1))).toEqual([0]);
    expect(levels(circle(50, 50, 50), rectangle(0, 0, 100, 100))).toEqual([1, 0]);
  });

  it('takes no ring as inside that crosses, touches from outside, or is drawn twice', () => {
    expect(levels(rectangle(50, 90, 100, 60), rectangle(30, 110, 30, 30))).toEqual([0, 0]);
    expect(levels(rectangle(0, 0, 10, 10), rectangle(10, 10, 10, 10))).toEqual([0, 0]);
    expect(levels(rectangle(0, 0, 10, 10), rectangle(0, 0, 10, 10))).toEqual([0, 0]);
  });

  it('takes what lies in the overlap of two openings that cross as lying in both: it is no island', () => {
    const paths = [
      rectangle(0, 0, 60, 40),
      rectangle(30, 0, 60, 30),
      rectangle(40, 10, 10, 10),
      circle(10, 10, 5),
    ];
    const nesting = nestingOf(paths.map(ring));
    expect(paths.map((_, i) => nesting.level(i))).toEqual([0, 0, 2, 1]);
    expect(paths.map((_, i) => nesting.islandOf(i))).toEqual([undefined, undefined, undefined, 0]);
  });

  it('agrees with centres and radii for circles that do not cross', () => {
    const coordinate = fc.integer({ min: -500, max: 500 }).map((n) => n / 7);
    fc.assert(
      fc.property(
        fc.array(fc.tuple(coordinate, coordinate, fc.integer({ min: 1, max: 300 })), {
          minLength: 1,
          maxLength: 40,
        }),
        (candidates) => {
          const taken: (readonly [number, number, number])[] = [];
          for (const [x, y, size] of candidates) {
            const radius = size / 6;
            const clear = taken.every(([a, b, r]) => {
              const apart = Math.hypot(x - a, y - b);
              return apart > r + radius + 0.1 || apart < Math.abs(r - radius) - 0.1;
            });
            if (clear) taken.push([x, y, radius]);
          }
          const rounds = taken.map(([x, y, r]) =>
            taken.flatMap(([a, b, q], k) => (Math.hypot(x - a, y - b) < q - r - 0.05 ? [k] : [])),
          );
          const nesting = nestingOf(taken.map(([x, y, r]) => ring(circle(x, y, r))));
          rounds.forEach((round, i) => {
            expect(nesting.level(i)).toBe(round.length);
            expect(nesting.around(i).sort((a, b) => a - b)).toEqual(round);
          });
        },
      ),
      { seed: 20261201, numRuns: 100 },
    );
  });

  it('looks at each ring a few times only, of 20,000 side by side in one panel, and of 1,000 in one another', () => {
    let asked = 0;
    const counted = (path: Path): NestRing => {
      const own = ringOfPath(path);
      return {
        box: own.box,
        start: own.start,
        get prepared() {
          asked += 1;
          return own.prepared;
        },
      };
    };
    const many = Array.from({ length: 20_000 }, (_, i) => circle(5 * (i % 200), 5 * Math.floor(i / 200), 2));
    const nesting = nestingOf([...many, rectangle(-10, -10, 1020, 520)].map(counted));
    expect(nesting.level(0)).toBe(1);
    expect(nesting.level(20_000)).toBe(0);
    expect(asked).toBeLessThan(2 * 20_000 + 10);
    asked = 0;
    const deep = nestingOf(Array.from({ length: 1000 }, (_, i) => counted(circle(0, 0, 1 + i))));
    expect(deep.level(0)).toBe(999);
    expect(asked).toBeLessThan(4000);
  });
});

describe('what rings of one role take away', () => {
  const within = (p: { x: number; y: number }, path: Path): boolean => ring(path).prepared.holds(p);

  it('is their union where they cross, without the islands of each', () => {
    const paths = [rectangle(0, 0, 60, 40), rectangle(30, 10, 60, 40), rectangle(10, 10, 10, 10)];
    const removed = new Removed(paths.map(ring));
    const has = (x: number, y: number): boolean => removed.has({ x, y });
    expect([has(5, 5), has(15, 15), has(45, 25), has(80, 45), has(100, 5)]).toEqual([
      true,
      false,
      true,
      true,
      false,
    ]);
  });

  it('is union of rectangles, at any point', () => {
    const side = fc.integer({ min: 0, max: 20 });
    const one = fc.tuple(side, side, fc.integer({ min: 1, max: 9 }), fc.integer({ min: 1, max: 9 }));
    fc.assert(
      fc.property(fc.array(one, { minLength: 1, maxLength: 5 }), side, side, (some, x, y) => {
        const paths = some.map(([a, b, w, h]) => rectangle(a, b, w, h));
        const nesting = nestingOf(paths.map(ring));
        if (paths.some((_, i) => nesting.level(i) > 0)) return;
        const p = { x: x + 0.5, y: y + 0.5 };
        expect(new Removed(paths.map(ring)).has(p)).toBe(paths.some((path) => within(p, path)));
      }),
      { seed: 20261201, numRuns: 300 },
    );
  });

  it('has as its edge those stretches of a ring that no other one swallows', () => {
    const removed = new Removed([rectangle(0, 0, 60, 40), rectangle(30, 10, 60, 20)].map(ring));
    const lengthOf = (i: number): number =>
      removed
        .stretchesOf(i)
        .flatMap(({ spans }) => spans)
        .reduce((sum, s) => sum + Math.hypot(s.bx - s.ax, s.by - s.ay), 0);
    expect(lengthOf(0)).toBeCloseTo(2 * 100 - 20, 9);
    expect(lengthOf(1)).toBeCloseTo(2 * 80 - 30 - 30 - 20, 9);
    // The material lies to the right of what runs counter-clockwise round an opening.
    for (const i of [0, 1]) for (const { outside } of removed.stretchesOf(i)) expect(outside).toBe(-1);
  });
});

it('a ring lies in another one only whole', () => {
  expect(liesIn(ring(circle(0, 0, 2)), ring(circle(1, 0, 4)))).toBe(true);
  expect(liesIn(ring(circle(0, 0, 2)), ring(circle(3, 0, 4)))).toBe(false);
});
