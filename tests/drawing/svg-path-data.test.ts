import { describe, expect, it } from 'vitest';
import {
  type Arc,
  type Cubic,
  type EllipticalArc,
  endOf,
  positionAt,
  startOf,
} from '../../src/geometry/curve.js';
import { expectPoint, expectSameTrace, onlyShape, onPage, pathOf, readBody } from './svg-text.js';

/** The segments as pairs of SVG points. */
const lines = (data: string): number[][][] =>
  pathOf(data).segments.map((s) => [startOf(s), endOf(s)].map((p) => [p.x, 100 - p.y]));

const expectSame = (found: string, expected: string): void =>
  expectSameTrace(onlyShape(`<path d="${found}"/>`).paths, onlyShape(`<path d="${expected}"/>`).paths, 1e-12);

describe('straight commands of path data (W3C SVG 2, section 9.3)', () => {
  it('draws M and L from point to point and leaves the path open', () => {
    const first = [
      [10, 20],
      [30, 40],
    ];
    const second = [
      [30, 40],
      [50, 10],
    ];
    expect(lines('M 10 20 L 30 40 L 50 10')).toEqual([first, second]);
    expect(pathOf('M 10 20 L 30 40 L 50 10').closed).toBe(false);
  });

  it('takes further pairs after M as lines, after m as relative lines', () => {
    expectSame('M 10 20 30 40 50 10', 'M 10 20 L 30 40 L 50 10');
    expectSame('m 10 20 20 20 20 -30', 'M 10 20 L 30 40 L 50 10');
  });

  it('takes a first m as absolute', () => {
    expectSame('m 10 20 l 5 5', 'M 10 20 L 15 25');
  });

  it('draws H, V, h and v along the axes, several numbers in a row too', () => {
    expectSame(
      'M 10 20 H 30 40 V 50 60 h -5 -5 v -7',
      'M10 20 L30 20 L40 20 L40 50 L40 60 L35 60 L30 60 L30 53',
    );
  });

  it('closes with a line back to the start where one is missing', () => {
    expect(lines('M 10 10 L 20 10 L 20 20 Z').at(-1)).toEqual([
      [20, 20],
      [10, 10],
    ]);
    expect(pathOf('M 10 10 L 20 10 L 20 20 Z').closed).toBe(true);
  });

  it('adds no closing line where the path is back at its start already', () => {
    expect(pathOf('M 10 10 L 20 10 L 20 20 L 10 10 z').segments).toHaveLength(3);
  });

  it('closes a path that is drawn back to its start within a millionth of a millimetre without z', () => {
    const path = pathOf('M 10 10 L 20 10 L 20 20 L 10.0000005 10');
    expect(path.closed).toBe(true);
    expect(path.segments).toHaveLength(3);
    expect(endOf(path.segments[2]!)).toEqual(startOf(path.segments[0]!));
    expect(pathOf('M 10 10 L 20 10 L 20 20 L 10.00001 10').closed).toBe(false);
  });

  it('ends a closed curve exactly at its start', () => {
    const path = pathOf('M 0.1 0.7 c 1 2 3 4 5 6 c -2 1 -3 -5 -5 -6 z');
    expect(path.segments).toHaveLength(2);
    expect(endOf(path.segments[1]!)).toEqual(startOf(path.segments[0]!));
  });

  it('starts the next subpath at the start of the closed one when no M follows z', () => {
    const { paths } = onlyShape('<path d="M 10 10 L 20 10 L 20 20 z L 5 5 L 6 9"/>');
    expect(paths.map(({ closed }) => closed)).toEqual([true, false]);
    expectPoint(startOf(paths[1]!.segments[0]!), 10, 90);
    const moved = onlyShape('<path d="M 10 10 l 10 0 l 0 10 z m 1 2 l 3 0"/>').paths[1]!;
    expectPoint(startOf(moved.segments[0]!), 11, 88);
  });

  it('drops lines without length and moves without lines', () => {
    expectSame('M 1 1 M 10 10 L 10 10 L 20 10 L 20 10 M 3 3', 'M 10 10 L 20 10');
  });

  it('leaves out a path without data or without length, and says so', () => {
    const { shapes, leftOut } = readBody(
      '<path/><path d=""/><path d=" "/><path d="none"/><path d="M 5 5 z"/><path id="dot" d="M 5 5 L 5 5"/><path d="M 5 5"/>',
    );
    expect(shapes).toEqual([]);
    expect(leftOut).toEqual([
      { what: 'path', where: 'line 1; line 1; line 1; line 1', why: 'a path without data is not drawn' },
      { what: 'path', where: 'line 1; line 1 (dot); line 1', why: 'it has no length' },
    ]);
  });

  it('says it when only a part of a path has no length', () => {
    const { shapes, leftOut } = readBody('<path id="a" d="M 5 5 z M 1 1 L 2 2"/>');
    expect(shapes[0]!.paths).toHaveLength(1);
    expect(leftOut).toEqual([{ what: 'part of a path', where: 'line 1 (a)', why: 'it has no length' }]);
  });
});

describe('numbers of path data', () => {
  it('may stand without blanks where a sign or a point tells them apart', () => {
    expectSame('M.5.5-1-1', 'M 0.5 0.5 L -1 -1');
    expectSame('M10-20L30+40.5', 'M 10,-20 L 30,40.5');
    expectSame('M0 0L1.5.5.25-2', 'M 0 0 L 1.5 0.5 L 0.25 -2');
  });

  it('may have exponents, and e is no unit', () => {
    expectSame('M1e1 2E+1 L 300e-1,.4e2', 'M 10 20 L 30 40');
  });

  it('may end in a point, as SVG 1.1 allows', () => {
    expectSame('M 5. 6. L 7.,8.', 'M 5 6 L 7 8');
  });

  it('come out as the nearest double, however many digits they have', () => {
    const texts = [
      '0.1',
      '33.333333333333336',
      '1.7976931348623157e-3',
      '.000000000000000000000000012345',
      '12345.678901234567890123',
    ];
    for (const text of texts) {
      const s = pathOf(`M 0 100 L ${text} 50`).segments[0]!;
      expect(endOf(s).x).toBe(Number(text));
    }
  });

  it('may be separated by tabs and line breaks, with a comma at most', () => {
    expectSame('\n\tM\t10\n,20\r\n L 30&#9;40', 'M 10 20 L 30 40');
  });
});

describe('curves of path data', () => {
  it('keeps cubics with their control points', () => {
    expect(pathOf('M 10 10 C 20 10 30 20 30 30').segments).toEqual([
      {
        kind: 'cubic',
        from: onPage(10, 10),
        control1: onPage(20, 10),
        control2: onPage(30, 20),
        to: onPage(30, 30),
      },
    ]);
  });

  it('mirrors the second control point for S, and has none to mirror after other commands', () => {
    expectSame(
      'M 10 10 C 12 8 18 8 20 10 S 28 12 30 10 s 8 -2 10 0',
      'M 10 10 C 12 8 18 8 20 10 C 22 12 28 12 30 10 C 32 8 38 8 40 10',
    );
    expectSame('M 10 10 L 20 10 S 28 12 30 10', 'M 10 10 L 20 10 C 20 10 28 12 30 10');
    expectSame('M 10 10 Q 15 5 20 10 S 28 12 30 10', 'M 10 10 Q 15 5 20 10 C 20 10 28 12 30 10');
  });

  it('turns a quadratic curve into the cubic that runs the same way: 1/4, 1/2, 1/4 at its middle', () => {
    const s = pathOf('M 10 10 Q 20 30 40 10').segments[0] as Cubic;
    for (const t of [0, 0.2, 0.5, 0.9, 1]) {
      const [a, b, c] = [(1 - t) ** 2, 2 * t * (1 - t), t * t];
      expectPoint(positionAt(s, t), a * 10 + b * 20 + c * 40, 100 - (a * 10 + b * 30 + c * 10), 12);
    }
  });

  it('mirrors the control point for T through a whole chain, and has none to mirror after other commands', () => {
    expectSame('M 10 10 Q 15 5 20 10 T 30 10 t 10 0', 'M 10 10 Q 15 5 20 10 Q 25 15 30 10 Q 35 5 40 10');
    expectSame('M 10 10 L 20 10 T 30 10 T 40 20', 'M 10 10 L 20 10 Q 20 10 30 10 Q 40 10 40 20');
    expectSame('M 10 10 C 12 8 18 8 20 10 T 30 10', 'M 10 10 C 12 8 18 8 20 10 Q 20 10 30 10');
  });
});

describe('arcs of path data (W3C SVG 2, section 9.3.8 and appendix B.2)', () => {
  const arc = (data: string): Arc => {
    const s = pathOf(data).segments[0]!;
    expect(s.kind).toBe('arc');
    return s as Arc;
  };

  it('come out in centre form, turned over with the page', () => {
    const half = arc('M 10 50 A 5 5 0 0 1 20 50');
    expectPoint(half.centre, 15, 50, 12);
    expect(half.radius).toBe(5);
    // The positive direction of SVG is clockwise to the eye: over the top from left to right.
    expect(half.sweep).toBeCloseTo(-Math.PI, 12);
    expectPoint(positionAt(half, 0.5), 15, 55, 12);
  });

  it('take the four arcs of two flags: small and large, over and under', () => {
    // Ends (50, 40) and (60, 50), radius 10: the centres are (60, 40) and (50, 50).
    const cases = [
      { flags: '0 0', centre: [60, 40], sweep: 90 },
      { flags: '0 1', centre: [50, 50], sweep: -90 },
      { flags: '1 0', centre: [50, 50], sweep: 270 },
      { flags: '1 1', centre: [60, 40], sweep: -270 },
    ];
    for (const { flags, centre, sweep } of cases) {
      const found = arc(`M 50 40 A 10 10 0 ${flags} 60 50`);
      expectPoint(found.centre, centre[0]!, 100 - centre[1]!, 12);
      expect((found.sweep * 180) / Math.PI).toBeCloseTo(sweep, 10);
      expectPoint(positionAt(found, 1), 60, 50, 10);
    }
  });

  it('may have their flags run into each other and into the next number', () => {
    expectSame('M 10 10 a5 5 0 0110 10', 'M 10 10 a 5 5 0 0 1 10 10');
    expectSame('M 10 10 a5 5 0 01.5 10a1,1,0,1,0-.5.5', 'M 10 10 a 5 5 0 0 1 0.5 10 a 1 1 0 1 0 -0.5 0.5');
  });

  it('are left out where their ends are equal', () => {
    expectSame('M 10 10 A 5 5 0 1 1 10 10 L 20 10', 'M 10 10 L 20 10');
  });

  it('are lines where a radius is zero', () => {
    expectSame('M 10 10 A 0 5 0 1 1 20 10 A 5 0 30 0 0 20 30', 'M 10 10 L 20 10 L 20 30');
  });

  it('take negative radii as positive', () => {
    expectSame('M 10 50 A -5 -5 0 0 1 18 50', 'M 10 50 A 5 5 0 0 1 18 50');
  });

  it('scale radii up together where they are too small to reach', () => {
    const circle = arc('M 10 50 A 1 1 0 0 1 20 50');
    expect(circle.radius).toBeCloseTo(5, 12);
    // Radii 2 and 1 along the axes, ends 10 apart along x: factor 2.5, so 5 and 2.5.
    const s = pathOf('M 10 50 A 2 1 0 0 1 20 50').segments[0] as EllipticalArc;
    expect(s.kind).toBe('elliptical-arc');
    expectPoint(s.centre, 15, 50, 12);
    expectPoint(positionAt(s, 0.5), 15, 52.5, 12);
  });

  it('stay exact near half a turn, where the ends say little about the centre', () => {
    // 0.1 + 0.2 is not 0.3: the chord is a diameter but for rounding, and the centre must not move by sqrt(rounding).
    const found = arc('M 30.1 50 a 0.15 0.15 0 0 1 0.3 0');
    expectPoint(found.centre, 30.25, 50, 12);
    const large = arc('M 10.3 20.1 A 5.5 5.5 0 1 1 21.3 20.1');
    expectPoint(large.centre, 15.8, 79.9, 7);
  });

  it('keep the turn of an ellipse', () => {
    // Radii 20 and 10, the first axis at 90 degrees: the ellipse stands upright about (50, 50).
    const s = pathOf('M 40 50 A 20 10 90 0 1 60 50').segments[0] as EllipticalArc;
    expectPoint(s.centre, 50, 50, 10);
    expectPoint(positionAt(s, 0.5), 50, 70, 10);
  });

  it('are lines where they depart from the chord by less than anything measurable', () => {
    expect(pathOf('M 10 10 A 1e12 1e12 0 0 1 20 10').segments[0]!.kind).toBe('line');
    expect(pathOf('M 10 10 A 1e5 1e5 0 0 1 20 10').segments[0]!.kind).toBe('arc');
  });

  it('become elliptical arcs where a transform stretches them, and stay arcs where it does not', () => {
    const kind = (transform: string): string =>
      onlyShape(`<path transform="${transform}" d="M 5 5 A 3 3 0 0 1 8 8"/>`).paths[0]!.segments[0]!.kind;
    expect(kind('scale(2 1)')).toBe('elliptical-arc');
    expect(kind('skewX(10)')).toBe('elliptical-arc');
    expect(kind('rotate(33) scale(-2 2)')).toBe('arc');
  });
});
