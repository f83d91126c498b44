import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import {
  derivativeAt,
  endOf,
  positionAt,
  type Segment,
  segmentBox,
  startOf,
} from '../../src/geometry/curve.js';
import { pathLength, signedArea } from '../../src/geometry/measure.js';
import type { Point } from '../../src/geometry/point.js';
import { at, block, insert, line, readParts, refusalOfParts, type Tag } from './dxf-text.js';

const seeded = { seed: 20261125, numRuns: 60 };

interface SplineParts {
  readonly degree: number;
  readonly knots: readonly number[];
  readonly controls: readonly Point[];
  readonly weights?: readonly number[];
  readonly flags?: number;
}

const spline = ({ degree, knots, controls, weights = [], flags = 8 }: SplineParts): Tag[] => [
  [0, 'SPLINE'],
  [70, flags | (weights.length > 0 ? 4 : 0)],
  [71, degree],
  [72, knots.length],
  [73, controls.length],
  [74, 0],
  [42, 1e-7],
  ...knots.map((knot): Tag => [40, knot]),
  ...weights.map((weight): Tag => [41, weight]),
  ...controls.flatMap(({ x, y }) => at(x, y, 10, 0)),
];

const fitSpline = (points: readonly Point[], closed: boolean, ...more: Tag[]): Tag[] => [
  [0, 'SPLINE'],
  [70, closed ? 1 : 0],
  [71, 3],
  [73, 0],
  [74, points.length],
  ...more,
  ...points.flatMap(({ x, y }) => at(x, y, 11, 0)),
];

const segmentsOf = (drawing: Drawing): readonly Segment[] => {
  expect(drawing.shapes).toHaveLength(1);
  expect(drawing.shapes[0]!.paths).toHaveLength(1);
  return drawing.shapes[0]!.paths[0]!.segments;
};

const read = (parts: SplineParts): readonly Segment[] => segmentsOf(readParts({ entities: [spline(parts)] }));

/** A point of a spline from its definition: Cox and de Boor's recursion of the basis functions, as a plain sum. */
const pointOf = ({ degree, knots, controls, weights }: SplineParts, t: number): Point => {
  const basis = (i: number, k: number): number => {
    if (k === 0) {
      const isLast = t === knots.at(-1) && knots[i + 1] === t && knots[i]! < t;
      return (knots[i]! <= t && t < knots[i + 1]!) || isLast ? 1 : 0;
    }
    const part = (top: number, bottom: number, below: number): number =>
      bottom === 0 ? 0 : (top / bottom) * below;
    return (
      part(t - knots[i]!, knots[i + k]! - knots[i]!, basis(i, k - 1)) +
      part(knots[i + k + 1]! - t, knots[i + k + 1]! - knots[i + 1]!, basis(i + 1, k - 1))
    );
  };
  let x = 0;
  let y = 0;
  let w = 0;
  controls.forEach((p, i) => {
    const share = basis(i, degree) * (weights?.[i] ?? 1);
    x += share * p.x;
    y += share * p.y;
    w += share;
  });
  return { x: x / w, y: y / w };
};

/** The distance of a point from segments, by a fine walk and a local search. */
const distanceFrom = (segments: readonly Segment[], p: Point): number => {
  let best = Number.POSITIVE_INFINITY;
  for (const s of segments) {
    const box = segmentBox(s);
    const aside = Math.max(box.minX - p.x, p.x - box.maxX, box.minY - p.y, p.y - box.maxY);
    if (aside > best) continue;
    const gap = (t: number): number => {
      const q = positionAt(s, Math.min(1, Math.max(0, t)));
      return Math.hypot(q.x - p.x, q.y - p.y);
    };
    // Each dip of the distance is followed down: a curve may come back close to itself.
    const walk = Array.from({ length: 25 }, (_, i) => gap(i / 24));
    walk.forEach((here, i) => {
      if (here > (walk[i - 1] ?? here) || here > (walk[i + 1] ?? here)) return;
      let near = i / 24;
      for (let step = 1 / 48; step > 1e-13; step /= 2) {
        if (gap(near - step) < gap(near)) near -= step;
        else if (gap(near + step) < gap(near)) near += step;
      }
      best = Math.min(best, gap(near));
    });
  }
  return best;
};

const coordinate = fc.integer({ min: -1600, max: 1600 }).map((n) => n / 8);
const corner = fc.record({ x: coordinate, y: coordinate });

/** Splines with their end knots repeated, and with knots as they come. */
const splineParts = (degree: number, rational: boolean): fc.Arbitrary<SplineParts> =>
  fc
    .record({
      controls: fc.uniqueArray(corner, {
        selector: ({ x, y }) => `${x} ${y}`,
        minLength: degree + 1,
        maxLength: degree + 6,
      }),
      clamped: fc.boolean(),
      steps: fc.array(fc.constantFrom(0, 0.5, 1, 3), { minLength: 40, maxLength: 40 }),
      weights: fc.array(fc.double({ min: 0.2, max: 5, noNaN: true }), { minLength: 40, maxLength: 40 }),
    })
    .map(({ controls, clamped, steps, weights }) => {
      const count = controls.length + degree + 1;
      const knots: number[] = [];
      let knot = 0;
      for (let i = 0; i < count; i += 1) {
        const isEnd = i === 0 || (clamped && (i <= degree || i > controls.length));
        // An inner knot is repeated degree times at most, and the curve has a last piece.
        const isFull = knots.slice(-degree).filter((k) => k === knot).length >= degree;
        if (!isEnd) knot += isFull || i === controls.length ? 1 : steps[i]!;
        knots.push(knot);
      }
      return { degree, knots, controls, ...(rational ? { weights: weights.slice(0, controls.length) } : {}) };
    });

const insideDomain = ({ degree, knots, controls }: SplineParts): number[] => {
  const low = knots[degree]!;
  const high = knots[controls.length]!;
  return Array.from({ length: 12 }, (_, i) => low + ((high - low) * (i + 0.31)) / 12);
};

const worstMiss = (parts: SplineParts): number => {
  const segments = read(parts);
  return Math.max(...insideDomain(parts).map((t) => distanceFrom(segments, pointOf(parts, t))));
};

describe('a SPLINE without weights', () => {
  it.each([1, 2, 3])(
    'of degree %i is taken exactly, as one line or cubic for each span of its knots',
    (degree) => {
      fc.assert(
        fc.property(splineParts(degree, false), (parts) => {
          const segments = read(parts);
          const { knots, controls } = parts;
          const spans = [...new Set(knots.slice(degree, controls.length + 1))];
          expect(segments.map((s) => s.kind)).toEqual(
            Array(spans.length - 1).fill(degree === 1 ? 'line' : 'cubic'),
          );
          segments.forEach((s, i) => {
            for (const part of [0, 0.2, 0.5, 0.9]) {
              const wanted = pointOf(parts, spans[i]! + part * (spans[i + 1]! - spans[i]!));
              const got = positionAt(s, part);
              expect(Math.hypot(got.x - wanted.x, got.y - wanted.y)).toBeLessThan(1e-10);
            }
          });
        }),
        seeded,
      );
    },
  );

  it.each([4, 5, 7])('of degree %i is followed by cubics within 1e-6 mm', (degree) => {
    let worst = 0;
    fc.assert(
      fc.property(splineParts(degree, false), (parts) => {
        worst = Math.max(worst, worstMiss(parts));
      }),
      { ...seeded, numRuns: 12 },
    );
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });

  it('that is one Bezier curve is that cubic', () => {
    const controls = [
      { x: 0, y: 0 },
      { x: 10, y: 30 },
      { x: 40, y: 30 },
      { x: 50, y: 0 },
    ];
    expect(read({ degree: 3, knots: [0, 0, 0, 0, 1, 1, 1, 1], controls })).toEqual([
      { kind: 'cubic', from: controls[0], control1: controls[1], control2: controls[2], to: controls[3] },
    ]);
  });

  it('that is periodic, with knots beyond its ends, is the closed curve between them', () => {
    const around = [0, 1, 2, 3, 4, 5].map((i) => ({ x: 50 * Math.cos(i), y: 30 * Math.sin(i) }));
    const controls = [...around, ...around.slice(0, 3)];
    const knots = controls.concat(around.slice(0, 4)).map((_, i) => i - 3);
    const drawing = readParts({ entities: [spline({ degree: 3, knots, controls, flags: 11 })] });
    expect(segmentsOf(drawing)).toHaveLength(6);
    expect(drawing.shapes[0]!.paths[0]!.closed).toBe(true);
    expect(drawing.leftOut).toEqual([]);
  });

  it('that says it is closed and is not is taken as it runs, and that is said', () => {
    const controls = [0, 1, 2, 3].map((i) => ({ x: 10 * i, y: i * i }));
    const drawing = readParts({
      entities: [spline({ degree: 3, knots: [0, 0, 0, 0, 1, 1, 1, 1], controls, flags: 1 })],
    });
    expect(drawing.shapes[0]!.paths[0]!.closed).toBe(false);
    expect(drawing.leftOut.map(({ what, why }) => `${what}: ${why}`)).toEqual([
      'closing of SPLINE: it is marked as closed, but its ends do not meet; it is taken as it runs',
    ]);
  });

  it('that jumps is taken in its parts', () => {
    const controls = [0, 1, 2, 3].map((i) => ({ x: 10 * i, y: i * i }));
    const drawing = readParts({ entities: [spline({ degree: 1, knots: [0, 0, 1, 1, 2, 2], controls })] });
    expect(
      drawing.shapes[0]!.paths.map(({ segments }) => segments.map((s) => [startOf(s), endOf(s)])),
    ).toEqual([[[controls[0], controls[1]]], [[controls[2], controls[3]]]]);
  });
});

describe('a SPLINE with weights', () => {
  const half = Math.SQRT1_2;
  /** A circle in four quarters, a textbook's NURBS (Piegl and Tiller, The NURBS Book, 7.5). */
  const circle = (r: number, squash = 1): SplineParts => ({
    degree: 2,
    knots: [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4],
    controls: [
      [1, 0],
      [1, 1],
      [0, 1],
      [-1, 1],
      [-1, 0],
      [-1, -1],
      [0, -1],
      [1, -1],
      [1, 0],
    ].map(([x, y]) => ({ x: 30 + r * x!, y: 40 + squash * r * y! })),
    weights: [1, half, 1, half, 1, half, 1, half, 1],
    flags: 1,
  });

  it('that is a circle is taken as arcs about its centre', () => {
    const drawing = readParts({ entities: [spline(circle(25))] });
    const segments = segmentsOf(drawing);
    expect(drawing.shapes[0]!.paths[0]!.closed).toBe(true);
    expect(segments).toHaveLength(4);
    for (const s of segments) {
      if (s.kind !== 'arc') throw new Error(`${s.kind} instead of an arc`);
      expect(s.centre.x).toBeCloseTo(30, 11);
      expect(s.centre.y).toBeCloseTo(40, 11);
      expect(s.radius).toBeCloseTo(25, 11);
      expect(s.sweep).toBeCloseTo(Math.PI / 2, 12);
    }
    expect(pathLength(drawing.shapes[0]!.paths[0]!)).toBeCloseTo(50 * Math.PI, 10);
  });

  it('that is an ellipse is taken as elliptical arcs', () => {
    const drawing = readParts({ entities: [spline(circle(25, 0.4))] });
    expect(segmentsOf(drawing).map((s) => s.kind)).toEqual(Array(4).fill('elliptical-arc'));
    expect(signedArea(drawing.shapes[0]!.paths[0]!)).toBeCloseTo(Math.PI * 25 * 10, 9);
  });

  it('that is a circle stays one in a block that is mirrored and scaled, and becomes an ellipse when stretched', () => {
    const kinds = (...scale: Tag[]): string[] =>
      readParts({
        blocks: [block('RIM', [0, 0], spline(circle(25)))],
        entities: [insert('RIM', 5, 5, ...scale)],
      }).shapes[0]!.paths[0]!.segments.map((s) => s.kind);
    expect(kinds([41, -2], [42, 2])).toEqual(Array(4).fill('arc'));
    expect(kinds([41, 1], [42, 2])).toEqual(Array(4).fill('elliptical-arc'));
  });

  it('of degree 2 is exact where it is an ellipse or a parabola, and within 1e-6 mm where it is a hyperbola', () => {
    fc.assert(
      fc.property(splineParts(2, true), (parts) => {
        expect(worstMiss(parts)).toBeLessThan(1e-6);
      }),
      { ...seeded, numRuns: 30 },
    );
    const controls = [
      { x: 0, y: 0 },
      { x: 30, y: 50 },
      { x: 60, y: 0 },
    ];
    const knots = [0, 0, 0, 1, 1, 1];
    const kindsOf = (middle: number): string[] =>
      read({ degree: 2, knots, controls, weights: [1, middle, 1] }).map((s) => s.kind);
    expect(kindsOf(0.3)).toEqual(['elliptical-arc']);
    expect(read({ degree: 2, knots, controls, weights: [1, 2, 4] }).map((s) => s.kind)).toEqual(['cubic']);
    expect(kindsOf(3).length).toBeGreaterThan(3);
  });

  it.each([3, 5])('of degree %i is followed by cubics within 1e-6 mm', (degree) => {
    let worst = 0;
    fc.assert(
      fc.property(splineParts(degree, true), (parts) => {
        worst = Math.max(worst, worstMiss(parts));
      }),
      { ...seeded, numRuns: 12 },
    );
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });

  it('of degree 1 is made of straight lines', () => {
    const controls = [0, 1, 2].map((i) => ({ x: 10 * i, y: i * i }));
    expect(
      read({ degree: 1, knots: [0, 0, 1, 2, 2], controls, weights: [1, 3, 2] }).map((s) => s.kind),
    ).toEqual(['line', 'line']);
  });
});

describe('a SPLINE that states only points to pass through', () => {
  const points = [
    { x: 0, y: 0 },
    { x: 20, y: 30 },
    { x: 60, y: 25 },
    { x: 90, y: -10 },
    { x: 40, y: -40 },
  ];

  /** Second derivative of a cubic by chord length, at its start or end. */
  const bend = (s: Segment | undefined, end: boolean): Point => {
    if (s?.kind !== 'cubic') throw new Error('a cubic expected');
    const h = Math.hypot(s.to.x - s.from.x, s.to.y - s.from.y);
    const [a, b, c] = end ? [s.to, s.control2, s.control1] : [s.from, s.control1, s.control2];
    return { x: (6 * (a.x - 2 * b.x + c.x)) / (h * h), y: (6 * (a.y - 2 * b.y + c.y)) / (h * h) };
  };
  const speed = (s: Segment | undefined, end: boolean): Point => {
    if (s?.kind !== 'cubic') throw new Error('a cubic expected');
    const h = Math.hypot(s.to.x - s.from.x, s.to.y - s.from.y);
    const d = derivativeAt(s, end ? 1 : 0);
    return { x: d.x / h, y: d.y / h };
  };
  const expectSame = (p: Point, q: Point): void => {
    expect(p.x).toBeCloseTo(q.x, 9);
    expect(p.y).toBeCloseTo(q.y, 9);
  };

  it('runs through them with the same direction and curvature on both sides, and none at its ends', () => {
    const drawing = readParts({ entities: [fitSpline(points, false)] });
    const segments = segmentsOf(drawing);
    expect([...segments.map(startOf), endOf(segments.at(-1)!)]).toEqual(points);
    for (let i = 1; i < segments.length; i += 1) {
      expectSame(speed(segments[i - 1], true), speed(segments[i], false));
      expectSame(bend(segments[i - 1], true), bend(segments[i], false));
    }
    expectSame(bend(segments[0], false), { x: 0, y: 0 });
    expectSame(bend(segments.at(-1), true), { x: 0, y: 0 });
    expect(drawing.leftOut).toEqual([
      {
        what: 'exact form of SPLINE',
        where: 'line 40',
        why:
          'it states only points to pass through: they are joined by the cubic spline with their chord lengths as ' +
          'parameter, without curvature at ends that state no direction',
      },
    ]);
  });

  it('leaves and arrives in the directions that it states', () => {
    const segments = segmentsOf(
      readParts({ entities: [fitSpline(points, false, ...at(0, 2, 12, 0), ...at(-3, 4, 13, 0))] }),
    );
    expectSame(speed(segments[0], false), { x: 0, y: 1 });
    expectSame(speed(segments.at(-1), true), { x: -0.6, y: 0.8 });
  });

  it.each([
    ['named once', points],
    ['named again at the end', [...points, points[0]!]],
  ])('closes as smoothly at its first point, %s, as anywhere', (_, given) => {
    const drawing = readParts({ entities: [fitSpline(given, true)] });
    const segments = segmentsOf(drawing);
    expect(drawing.shapes[0]!.paths[0]!.closed).toBe(true);
    expect(segments.map(startOf)).toEqual(points);
    segments.forEach((s, i) => {
      const before = segments.at(i - 1);
      expectSame(speed(before, true), speed(s, false));
      expectSame(bend(before, true), bend(s, false));
    });
  });

  it('through two points is a straight edge', () => {
    const [s] = segmentsOf(readParts({ entities: [fitSpline(points.slice(0, 2), false)] }));
    for (const t of [0.25, 0.5, 0.75]) {
      expectSame(positionAt(s!, t), { x: 20 * t, y: 30 * t });
    }
  });
});

describe('a SPLINE that cannot be right', () => {
  const controls = [0, 1, 2, 3].map((i) => ({ x: 10 * i, y: i * i }));
  const knots = [0, 0, 0, 0, 1, 1, 1, 1];
  const found = (entity: Tag[]): string => refusalOfParts({ entities: [line(0, 0, 1, 1), entity] }).found;

  it('is refused with its line', () => {
    expect(refusalOfParts({ entities: [spline({ degree: 3, knots: [0, 1], controls })] }).where).toEqual({
      file: 'panel.dxf',
      line: 40,
    });
    expect(found(spline({ degree: 3, knots: [0, 1], controls }))).toBe('a SPLINE with 2 knots');
    expect(found(spline({ degree: 3, knots: [0, 0, 0, 1, 0, 1, 1, 1], controls }))).toBe(
      'a SPLINE whose knots go back',
    );
    expect(found(spline({ degree: 3, knots, controls, weights: [1, 2] }))).toBe('a SPLINE with 2 weights');
    expect(found(spline({ degree: 3, knots, controls, weights: [1, 2, -1, 1] }))).toBe(
      'a SPLINE with the weight -1',
    );
    expect(
      found(
        spline({ degree: 3, knots: [-1e308, -1e308, -1e308, -1e308, 1e308, 1e308, 1e308, 1e308], controls }),
      ),
    ).toBe('a SPLINE whose knots are too large to compute with');
    expect(found(spline({ degree: 5, knots, controls }))).toBe('a SPLINE of degree 5 with 4 control points');
    expect(found(spline({ degree: 0, knots, controls }))).toBe('a SPLINE of degree 0');
    expect(found([[0, 'SPLINE'], [73, 2], ...at(0, 0)])).toBe(
      'a SPLINE with 1 control points that says it has 2',
    );
    expect(
      found([
        [0, 'SPLINE'],
        [10, 0],
        [10, 1],
        [20, 1],
      ]),
    ).toBe('a SPLINE with a control point that has no y');
    expect(found(spline({ degree: 3, knots, controls, weights: [1, 1e300, 1e-300, 1] }))).toBe(
      'a SPLINE with weights from 1e-300 to 1e+300',
    );
  });
});
