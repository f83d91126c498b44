import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Obstacle, placeSeams, type SeamInput, stripsNeeded } from '../../src/cut/film/seams.js';

/** What the seams are judged by, worked out straight from the words. */
const rate = ({ from, to, overlap, obstacles }: SeamInput, seams: readonly number[]) => {
  const ends = [from, to, ...obstacles.flatMap((o) => [o.low, o.high])].filter((e) => e >= from && e <= to);
  const distances = seams.map((s) => Math.min(...ends.map((e) => Math.max(0, s - e, e - s - overlap))));
  return {
    crossings: seams.flatMap((s) => obstacles.filter((o) => o.low < s + overlap && o.high > s)).length,
    smallest: Math.min(...distances),
    sum: distances.reduce((a, b) => a + b, 0),
  };
};

/** Of strips that lie over one another by exactly the overlap; undefined where they do not cover or are too narrow. */
const widths = ({ from, to, overlap }: SeamInput, seams: readonly number[]): number[] =>
  [from, ...seams].map((begin, i) => (seams[i] === undefined ? to : seams[i]! + overlap) - begin);

const mayLie = (input: SeamInput, seams: readonly number[]): boolean =>
  widths(input, seams).every((w) => w <= input.width + 1e-6 && w >= input.width / 4 - 1e-6) &&
  seams.every((s, i) => i === 0 || s - seams[i - 1]! >= input.overlap - 1e-6);

/** Every way to lay the seams on a grid. */
const everyWay = function* (input: SeamInput, count: number, step: number): Generator<number[]> {
  const grid: number[] = [];
  for (let s = input.from; s <= input.to; s += step) grid.push(s);
  const lay = function* (before: readonly number[], start: number): Generator<number[]> {
    if (before.length === count) {
      if (mayLie(input, before)) yield [...before];
      return;
    }
    for (let i = start; i < grid.length; i++) {
      const last = before.at(-1) ?? input.from;
      if (grid[i]! - last > input.width) break;
      yield* lay([...before, grid[i]!], i + 1);
    }
  };
  yield* lay([], 0);
};

const smallCase = fc
  .record({
    width: fc.integer({ min: 8, max: 16 }),
    share: fc.double({ min: 0, max: 1, noNaN: true }),
    length: fc.integer({ min: 5, max: 44 }),
    from: fc.integer({ min: -3, max: 3 }),
    obstacles: fc.array(fc.tuple(fc.integer({ min: 0, max: 44 }), fc.integer({ min: 1, max: 9 })), {
      maxLength: 9,
    }),
  })
  .map(({ width, share, length, from, obstacles }): SeamInput => {
    return {
      from,
      to: from + length,
      width,
      overlap: Math.floor(share * (width / 4)),
      obstacles: obstacles.map(([at, size]): Obstacle => ({ low: from + at, high: from + at + size })),
    };
  })
  .filter((input) => stripsNeeded(input) <= 4);

describe('Seams of a film in strips', () => {
  test('are never beaten by any way to lay them on a grid: crossings, then the narrowest land, then the sum', () => {
    fc.assert(
      fc.property(smallCase, (input) => {
        const seams = placeSeams(input).map((s) => s.at);
        expect(seams.length).toBe(stripsNeeded(input) - 1);
        if (seams.length === 0) return;
        expect(mayLie(input, seams)).toBe(true);
        const found = rate(
          input,
          seams.map((s) => Math.round(s * 1e6) / 1e6),
        );
        for (const other of everyWay(input, seams.length, seams.length > 2 ? 1 : 0.5)) {
          const { crossings, smallest, sum } = rate(input, other);
          if (crossings > found.crossings) continue;
          expect(crossings).toBe(found.crossings);
          expect(found.smallest).toBeGreaterThan(smallest - 1e-5);
          if (smallest > found.smallest - 1e-5) expect(found.sum).toBeGreaterThan(sum - 1e-4);
        }
      }),
      { seed: 20261125, numRuns: 400 },
    );
  });

  test('are as few as can be: one strip less would not cover', () => {
    fc.assert(
      fc.property(smallCase, (input) => {
        const strips = stripsNeeded(input);
        const reach = (n: number) => n * input.width - (n - 1) * input.overlap;
        expect(reach(strips)).toBeGreaterThanOrEqual(input.to - input.from);
        if (strips > 1) expect(reach(strips - 1)).toBeLessThan(input.to - input.from);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });

  test('lie in the middle of the widest land that the strips reach', () => {
    // Lands 20..24, 40..52 and 70..71; the film reaches 60.
    const obstacles = [
      { low: 5, high: 20 },
      { low: 24, high: 40 },
      { low: 52, high: 70 },
      { low: 71, high: 95 },
    ];
    const [seam] = placeSeams({ from: 0, to: 100, width: 62, overlap: 2, obstacles });
    expect(seam!.at).toBeCloseTo(45, 6);
    expect(seam!.distance).toBeCloseTo(5, 6);
    expect(seam!.crosses).toEqual([]);
  });

  test('name every opening they have to cross', () => {
    const obstacles = [
      { low: 10, high: 90 },
      { low: 20, high: 30 },
      { low: 60, high: 70 },
    ];
    const [seam] = placeSeams({ from: 0, to: 100, width: 60, overlap: 0, obstacles });
    expect(seam!.crosses).toEqual([0]);
  });

  test('may touch an opening without crossing it', () => {
    const obstacles = [
      { low: 10, high: 50 },
      { low: 55, high: 90 },
    ];
    const [seam] = placeSeams({ from: 0, to: 100, width: 60, overlap: 5, obstacles });
    expect(seam).toMatchObject({ crosses: [], distance: 0 });
    expect(seam!.at).toBeCloseTo(50, 6);
  });

  test('of thousands of openings are found in a moment', () => {
    const obstacles = Array.from({ length: 5000 }, (_, i) => ({
      low: (i * 977) % 2900,
      high: ((i * 977) % 2900) + 0.3,
    }));
    const seams = placeSeams({ from: 0, to: 3000, width: 310, overlap: 0.1, obstacles });
    expect(seams).toHaveLength(9);
    expect(seams.every((s) => s.crosses.length === 0)).toBe(true);
  });

  test('cannot overlap by more than a quarter of the film', () => {
    expect(() => placeSeams({ from: 0, to: 100, width: 40, overlap: 11, obstacles: [] })).toThrow(RangeError);
  });
});
