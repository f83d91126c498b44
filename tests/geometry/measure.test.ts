import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  compose,
  determinant,
  type Matrix,
  rotation,
  scaling,
  translation,
} from '../../src/geometry/affine.js';
import {
  type Cubic,
  type EllipticalArc,
  type Path,
  reversed,
  type Segment,
  transformPath,
} from '../../src/geometry/curve.js';
import { pathLength, segmentLength, signedArea } from '../../src/geometry/measure.js';
import { isInside, polygonOfPath } from '../../src/geometry/rings/polygon-of-path.js';

const p = (x: number, y: number) => ({ x, y });
const full = 2 * Math.PI;
const ellipse = (a: number, b: number): EllipticalArc => ({
  kind: 'elliptical-arc',
  centre: p(300, -200),
  u: p(a, 0),
  v: p(0, b),
  start: 0.3,
  sweep: full,
});
const closed = (...segments: Segment[]): Path => ({ segments, closed: true });
const cubic = (...c: [number, number, number, number, number, number, number, number]): Cubic => ({
  kind: 'cubic',
  from: p(c[0], c[1]),
  control1: p(c[2], c[3]),
  control2: p(c[4], c[5]),
  to: p(c[6], c[7]),
});
const lines = (...points: number[][]): Path =>
  closed(
    ...points.map(([x, y], i): Segment => {
      const [nextX, nextY] = points[(i + 1) % points.length]!;
      return { kind: 'line', from: p(x!, y!), to: p(nextX!, nextY!) };
    }),
  );

describe('length', () => {
  it('of a line and of a circle', () => {
    expect(segmentLength({ kind: 'line', from: p(1, 1), to: p(4, 5) })).toBe(5);
    expect(segmentLength({ kind: 'arc', centre: p(9, 9), radius: 3, start: 1, sweep: -full })).toBeCloseTo(
      6 * Math.PI,
      12,
    );
  });

  it('of an ellipse with semi-axes 5 and 3 is 25.526999 (check value of the parallel curves, recomputed)', () => {
    expect(segmentLength(ellipse(5, 3))).toBeCloseTo(25.526999, 6);
  });

  it('of ellipses agrees with the series of Ivory and Bessel to 1e-9', () => {
    // pi (a + b) sum of binom(1/2, n)^2 h^n, h = ((a - b) / (a + b))^2 (memory).
    for (const [a, b] of [
      [5, 3],
      [1, 1],
      [10, 7],
      [2, 1],
    ] as const) {
      const h = ((a - b) / (a + b)) ** 2;
      let binomial = 1;
      let sum = 0;
      for (let n = 0; n < 60; n += 1) {
        sum += binomial * binomial * h ** n;
        binomial *= (0.5 - n) / (n + 1);
      }
      expect(segmentLength(ellipse(a, b)) / (Math.PI * (a + b) * sum)).toBeCloseTo(1, 10);
    }
  });

  it('of a very flat ellipse nears four times its semi-axis', () => {
    expect(segmentLength(ellipse(100, 1e-9))).toBeCloseTo(400, 7);
    expect(segmentLength(ellipse(100, 0))).toBeCloseTo(400, 7);
  });

  it('of a cubic that is a parabola is that of the parabola', () => {
    // y = x^2 from 0 to 1: sqrt(5) / 2 + asinh(2) / 4; its controls are (1/3, 0) and (2/3, 1/3).
    const length = Math.sqrt(5) / 2 + Math.asinh(2) / 4;
    expect(segmentLength(cubic(0, 0, 1 / 3, 0, 2 / 3, 1 / 3, 1, 1))).toBeCloseTo(length, 11);
  });

  it('of a cubic with a cusp is found through the cusp', () => {
    // Controls that cross make a cusp at t = 1/2: x' = 3 (1 - 2t)^2, y' = 6 (1 - 2t).
    const s = cubic(0, 0, 1, 2, 0, 2, 1, 0);
    // With w = 1 - 2t: the integral of |w| sqrt(9 w^2 + 36) dt is [(9 + 36)^(3/2) - 36^(3/2)] / 27.
    expect(segmentLength(s)).toBeCloseTo((45 ** 1.5 - 36 ** 1.5) / 27, 10);
  });

  it('of a cubic that runs out and back along a line counts both ways', () => {
    // x = 3 t (1 - t) goes out to 3/4 and back.
    expect(segmentLength(cubic(0, 0, 1, 0, 1, 0, 0, 0))).toBeCloseTo(1.5, 10);
    expect(segmentLength(cubic(2, 2, 2, 2, 2, 2, 2, 2))).toBe(0);
  });
});

describe('area', () => {
  it('of polygons, signed by the way round, wherever they lie', () => {
    expect(signedArea(lines([0, 0], [4, 0], [4, 3]))).toBe(6);
    expect(signedArea(lines([1e5, 1e5], [1e5, 1e5 + 3], [1e5 + 4, 1e5 + 3]))).toBe(-6);
    expect(signedArea(closed())).toBe(0);
  });

  it('of an ellipse with semi-axes 5 and 3 is 47.123890, of a circle pi r^2', () => {
    expect(signedArea(closed(ellipse(5, 3)))).toBeCloseTo(47.12389, 6);
    const circle: Path = closed({ kind: 'arc', centre: p(7, 8), radius: 2, start: 2, sweep: -full });
    expect(signedArea(circle)).toBeCloseTo(-4 * Math.PI, 12);
  });

  it('of a rounded rectangle is that of the rectangle less its corners', () => {
    const corner = (x: number, y: number, start: number): Segment => ({
      kind: 'arc',
      centre: p(x, y),
      radius: 2,
      start,
      sweep: Math.PI / 2,
    });
    const line = (x: number, y: number, toX: number, toY: number): Segment => ({
      kind: 'line',
      from: p(x, y),
      to: p(toX, toY),
    });
    const path = closed(
      line(2, 0, 8, 0),
      corner(8, 2, -Math.PI / 2),
      line(10, 2, 10, 4),
      corner(8, 4, 0),
      line(8, 6, 2, 6),
      corner(2, 4, Math.PI / 2),
      line(0, 4, 0, 2),
      corner(2, 2, Math.PI),
    );
    expect(signedArea(path)).toBeCloseTo(60 - 4 * 4 + 4 * Math.PI, 12);
  });

  it('under a parabola is a third', () => {
    const path = closed(
      { kind: 'line', from: p(0, 0), to: p(1, 0) },
      { kind: 'line', from: p(1, 0), to: p(1, 1) },
      reversed(cubic(0, 0, 1 / 3, 0, 2 / 3, 1 / 3, 1, 1)),
    );
    expect(signedArea(path)).toBeCloseTo(1 / 3, 14);
  });
});

const coordinate = fc.double({ min: -50, max: 50, noNaN: true });
const anyCubic = fc
  .tuple(coordinate, coordinate, coordinate, coordinate, coordinate, coordinate, coordinate, coordinate)
  .map((c) => cubic(...c));

describe('laws', () => {
  it('an affine map multiplies areas by its determinant', () => {
    fc.assert(
      fc.property(
        anyCubic,
        coordinate,
        coordinate,
        fc.double({ min: 0.1, max: 3, noNaN: true }),
        (s, angle, x, size) => {
          const path = closed(s, { kind: 'line', from: s.to, to: s.from }, ellipse(5, 3));
          const m: Matrix = compose(compose(translation(x, -x), rotation(angle)), scaling(-size, 2));
          expect(signedArea(transformPath(m, path))).toBeCloseTo(determinant(m) * signedArea(path), 6);
        },
      ),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('lengths stay under turns and mirrors, and under reversal; areas change sign under reversal', () => {
    fc.assert(
      fc.property(anyCubic, coordinate, (s, angle) => {
        const path = closed(s, { kind: 'line', from: s.to, to: s.from });
        const back = closed(...path.segments.map(reversed).reverse());
        const length = pathLength(path);
        expect(pathLength(back)).toBeCloseTo(length, 8);
        expect(signedArea(back)).toBeCloseTo(-signedArea(path), 8);
        const turned = transformPath(compose(rotation(angle), scaling(1, -1)), path);
        expect(Math.abs(pathLength(turned) - length)).toBeLessThanOrEqual(1e-9 * length);
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('a cubic and a polygon of it agree in length and area as far as chords can', () => {
    fc.assert(
      fc.property(anyCubic, (s) => {
        const path = closed(s, { kind: 'line', from: s.to, to: s.from });
        const polygon = lines(...polygonOfPath(path, 1e-4).map(({ x, y }) => [x, y]));
        const length = pathLength(path);
        expect(pathLength(polygon)).toBeLessThanOrEqual(length + 1e-9);
        expect(Math.abs(pathLength(polygon) - length)).toBeLessThanOrEqual(1e-2);
        expect(Math.abs(signedArea(polygon) - signedArea(path))).toBeLessThanOrEqual(1e-4 * length + 1e-9);
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });
});

describe('the polygon of a path', () => {
  it('stays within its tolerance of a circle', () => {
    const polygon = polygonOfPath(
      closed({ kind: 'arc', centre: p(0, 0), radius: 50, start: 0, sweep: full }),
      0.01,
    );
    polygon.forEach((a, i) => {
      const b = polygon[(i + 1) % polygon.length]!;
      const middle = Math.hypot((a.x + b.x) / 2, (a.y + b.y) / 2);
      expect(50 - middle).toBeLessThanOrEqual(0.01);
    });
    expect(polygon.length).toBeLessThan(200);
    expect(isInside(p(49, 0), polygon)).toBe(true);
  });
});
