import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { onWaysRound } from '../../../src/drawing/join/doubtful/blocks.js';
import { startOf } from '../../../src/geometry/curve.js';
import { createRandom } from '../../../src/numeric/random.js';
import { ids, joinBody, lines, said, widestLeak } from './joined.js';

/** Lines of 1.5 mm with nothing near them, on a lattice of 3 mm. */
const apart = lines(
  ...Array.from({ length: 11_000 }, (_, i): [number, number, number, number] => {
    const [x, y] = [(i % 110) * 3, Math.floor(i / 110) * 3];
    return [x, y, x + 1.5, y + 0.1];
  }),
);

const few = lines(
  [500, 10, 530, 10],
  [520, 10, 540, 10],
  [500, 50, 560, 80],
  [540, 70, 520, 60],
  // Nearly closed.
  [600, 10, 610, 10],
  [610, 10, 610, 20],
  [610, 20, 600, 10.3],
);

const codes = ['lines-drawn-twice', 'open-path-left-out', 'lines-joined', 'duplicates-unsearched'];

describe('a few lines among very many', () => {
  it('are joined, cut where they overlap, and told of, as they are by themselves', () => {
    const alone = joinBody(few);
    const among = joinBody(few + apart);
    expect(alone.report).toMatchObject({ duplicates: 2, openChains: 2 });
    expect(said(alone, 'open-path-left-out')).toContain('nearly closed');
    expect(among.report).toEqual(alone.report);
    for (const code of codes) expect(said(among, code)).toBe(said(alone, code));
    expect(ids(among).slice(0, ids(alone).length)).toEqual(ids(alone));
    expect(ids(among)).toHaveLength(ids(alone).length + 11_000);
  });
});

/** Outlines on a lattice, their lines in any order and direction, ends up to `gap` / 2 beside their corners. */
const polygons = (count: number, gap: number, seed: number) => {
  const { uniform: random, index } = createRandom(seed);
  const drawn: [number, number, number, number][] = [];
  for (let k = 0; k < count; k += 1) {
    const [x, y] = [(k % 10) * 9 + 5, Math.floor(k / 10) * 9 + 5];
    const sides = 3 + index(4);
    const beside = () => (random() - 0.5) * (gap / 2);
    const corner = (i: number) => [
      x + 3 * Math.cos((2 * Math.PI * i) / sides),
      y + 3 * Math.sin((2 * Math.PI * i) / sides),
    ];
    for (let i = 0; i < sides; i += 1) {
      const [a, b] = [corner(i), corner((i + 1) % sides)];
      const [from, to] = random() < 0.5 ? [a, b] : [b, a];
      drawn.push([from[0]! + beside(), from[1]! + beside(), to[0]! + beside(), to[1]! + beside()]);
    }
  }
  for (let i = drawn.length - 1; i > 0; i -= 1) {
    const k = index(i + 1);
    [drawn[i], drawn[k]] = [drawn[k]!, drawn[i]!];
  }
  return drawn;
};

/** The corners of all outlines, whichever of them comes first in each. */
const cornersOf = ({ drawing }: ReturnType<typeof joinBody>): string[] =>
  drawing.shapes
    .map(({ paths }) =>
      paths
        .map(({ segments }) =>
          segments
            .map((s) => `${startOf(s).x.toFixed(7)},${startOf(s).y.toFixed(7)}`)
            .sort()
            .join(' '),
        )
        .join(),
    )
    .sort();

describe('outlines of loose lines', () => {
  it('are found in any order and direction of their lines, whether ends meet or only nearly do', () => {
    fc.assert(
      fc.property(fc.integer(), fc.constantFrom(0, 1e-7, 0.004, 0.009), (seed, gap) => {
        const joined = joinBody(lines(...polygons(20, gap, seed)));
        expect(joined.report).toMatchObject({ outlines: 20, openChains: 0, duplicates: 0 });
        expect(joined.drawing.shapes).toHaveLength(20);
        for (const { paths } of joined.drawing.shapes) {
          expect(paths).toHaveLength(1);
          expect(paths[0]!.closed).toBe(true);
          expect(widestLeak(paths[0]!)).toBeLessThan(1e-9);
        }
      }),
      { seed: 20261125, numRuns: 30 },
    );
  });

  it('are the same with a line of each drawn twice, but that it is told', () => {
    fc.assert(
      fc.property(fc.integer(), fc.constantFrom(0, 0.004, 0.009), (seed, gap) => {
        const drawn = polygons(10, gap, seed);
        const plain = joinBody(lines(...drawn));
        const firsts = plain.drawing.shapes.map(({ id }) => drawn[Number(id.split('-')[1]) - 1]!);
        const again = joinBody(lines(...drawn, ...firsts));
        expect(again.report).toMatchObject({ outlines: 10, lines: plain.report.lines, duplicates: 10 });
        expect(cornersOf(again)).toEqual(cornersOf(plain));
      }),
      { seed: 20261125, numRuns: 30 },
    );
  });
});

describe('networks with a way round', () => {
  it('are kept with all that hangs on them; chains and trees are not', () => {
    // A triangle 0-1-2 with a tail 2-3-4; a star around 5; a loop at 9; two parallel edges 10-11.
    const edges = [
      [0, 1],
      [1, 2],
      [2, 0],
      [2, 3],
      [3, 4],
      [5, 6],
      [5, 7],
      [5, 8],
      [9, 9],
      [10, 11],
      [11, 10],
    ];
    const from = Int32Array.from(edges, ([a]) => a!);
    const to = Int32Array.from(edges, ([, b]) => b!);
    expect([...onWaysRound(12, from, to)]).toEqual([0, 1, 2, 3, 4, 9, 10]);
  });
});
