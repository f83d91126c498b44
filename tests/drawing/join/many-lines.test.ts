import { describe, expect, it } from 'vitest';
import { onWaysRound } from '../../../src/drawing/join/blocks.js';
import { ids, joinBody, lines, said } from './joined.js';

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

const codes = ['duplicate-lines', 'open-path-left-out', 'lines-joined', 'duplicates-unsearched'];

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
