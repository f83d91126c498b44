import { describe, expect, it } from 'vitest';
import { BandMatrix } from '../../src/scan/curves/band-matrix.js';
import { distanceFromSide, pointOn, sideForm } from '../../src/scan/curves/chain.js';
import { bothBelow } from '../../src/scan/edges/blurred-corner.js';
import { tipSetback } from '../../src/scan/edges/tips.js';
import { traceBorders } from '../../src/scan/edges/trace.js';
import { Moments } from '../../src/scan/picture/moments.js';

describe('parts of the scan', () => {
  it('two normal variables are below a bound together as often as the closed forms say', () => {
    // P(X < 0, Y < 0) = 1/4 + asin(r) / (2 pi): W. Sheppard, 1899.
    for (const r of [-0.9, -0.5, 0, 0.3, 0.8, 0.98])
      expect(bothBelow(0, 0, r)).toBeCloseTo(0.25 + Math.asin(r) / (2 * Math.PI), 4);
    expect(bothBelow(1, 8, 0.5)).toBeCloseTo(0.8413447, 4);
  });

  it('the middle level of a blurred right angle lies 0.77 sd of the blur from its tip', () => {
    // Both sides at a distance z with P(Z < z)^2 = 1/2: z = 0.5449, so z sqrt 2 along the bisector.
    expect(tipSetback(Math.PI / 2)).toBeCloseTo(0.7706, 2);
    expect(tipSetback(Math.PI)).toBeCloseTo(0, 1);
  });

  it('a band matrix gives the solution of the full one', () => {
    const full = [
      [4, 1, 0.5, 0],
      [1, 5, 1, 0.2],
      [0.5, 1, 6, 1],
      [0, 0.2, 1, 3],
    ];
    const band = new BandMatrix(4, 2);
    for (const [i, row] of full.entries())
      for (const [j, v] of row.entries()) if (j <= i && i - j <= 2) band.add(i, j, v);
    const x = [1, -2, 3, 0.5];
    const b = Float64Array.from(full, (row) => row.reduce((sum, v, j) => sum + v * x[j]!, 0));
    expect(band.factor()).toBe(true);
    band.solve(b);
    for (const [i, v] of b.entries()) expect(v).toBeCloseTo(x[i]!, 12);
    const indefinite = new BandMatrix(2, 1);
    indefinite.add(0, 0, 1);
    indefinite.add(1, 0, 2);
    indefinite.add(1, 1, 1);
    expect(indefinite.factor()).toBe(false);
  });

  it('points on an arc lie at no distance from it, and others at theirs', () => {
    const chain = {
      x: Float64Array.of(0, 10),
      y: Float64Array.of(0, 2),
      sides: [
        { kind: 'arc' as const, bulge: 0.7 },
        { kind: 'arc' as const, bulge: 1e-9 },
      ],
    };
    for (const k of [0, 1]) {
      const next = 1 - k;
      const form = sideForm(
        chain.x[k]!,
        chain.y[k]!,
        chain.x[next]!,
        chain.y[next]!,
        chain.sides[k]!.bulge,
        0,
      );
      for (const t of [0, 0.2, 0.5, 0.9, 1]) {
        const p = pointOn(chain, k, t);
        expect(distanceFromSide(form, p.x, p.y)).toBeCloseTo(0, 7);
      }
    }
    const line = sideForm(0, 0, 10, 0, 0, 0.7);
    expect(distanceFromSide(line, 3, 0.25)).toBeCloseTo(0.25, 12);
  });

  it('the best circle through points of a circle is that circle, and a line has none', () => {
    const moments = new Moments(100, 50);
    for (let i = 0; i < 30; i += 1) moments.add(107 + 12 * Math.cos(i / 9), 44 + 12 * Math.sin(i / 9));
    const circle = moments.circle()!;
    expect([circle.x, circle.y, circle.radius]).toEqual([
      expect.closeTo(107, 6),
      expect.closeTo(44, 6),
      expect.closeTo(12, 6),
    ]);
    const straight = new Moments(0, 0);
    for (let i = 0; i < 30; i += 1) straight.add(i, 2 * i + 1);
    expect(straight.lineSquares()).toBeCloseTo(0, 8);
    expect(straight.circle()).toBeUndefined();
  });

  it('borders enclose the pixels they go round, and every one is found once', () => {
    const rows = ['.......', '.#####.', '.#...#.', '.#.#.##', '.#...#.', '.#####.', '......#'];
    const pixels = Uint8Array.from(rows.join(''), (c) => (c === '#' ? 1 : 0));
    const { borders } = traceBorders(pixels, 7, 7, 0, 0);
    expect(borders.map(({ area, atRim }) => [area, atRim])).toEqual([
      [26, true],
      [-9, false],
      [1, false],
      [1, true],
    ]);
  });

  it('a picture that is dark all round has its light part as one border', () => {
    const rows = ['###', '##.', '###'];
    const pixels = Uint8Array.from(rows.join(''), (c) => (c === '#' ? 1 : 0));
    const { borders } = traceBorders(pixels, 3, 3, 1, 0);
    expect(borders.map(({ area, atRim }) => [area, atRim])).toEqual([[-1, true]]);
  });
});
