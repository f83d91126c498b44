import { describe, expect, it } from 'vitest';
import { endOf, positionAt, startOf } from '../../src/geometry/curve.js';
import { pathLength, signedArea } from '../../src/geometry/measure.js';
import {
  at,
  extrusion,
  line,
  lwpolyline,
  readParts,
  refusalOfParts,
  shapesOf,
  type Tag,
} from './dxf-text.js';

const expectPoint = (p: { x: number; y: number }, x: number, y: number): void => {
  expect(p.x).toBeCloseTo(x, 9);
  expect(p.y).toBeCloseTo(y, 9);
};

const leftOutOf = (...entities: (readonly Tag[])[]) =>
  readParts({ entities: [line(0, 0, 1, 0), ...entities] }).leftOut.map(({ what, why }) => `${what}: ${why}`);

describe('a polyline', () => {
  it('turns a bulge into an arc: .41421356 is a quarter turn to the left, 1 half a turn (DXF reference, group 42)', () => {
    const [shape] = shapesOf(
      lwpolyline(false, [
        [10, 0, 0.41421356237309503],
        [0, 10, -1],
        [0, 30],
      ]),
    );
    const [quarter, half] = shape!.paths[0]!.segments;
    expect(quarter).toMatchObject({ kind: 'arc' });
    if (quarter?.kind !== 'arc' || half?.kind !== 'arc') throw new Error('two arcs expected');
    expectPoint(quarter.centre, 0, 0);
    expect(quarter.radius).toBeCloseTo(10, 12);
    expect(quarter.sweep).toBeCloseTo(Math.PI / 2, 12);
    expectPoint(startOf(quarter), 10, 0);
    expectPoint(endOf(quarter), 0, 10);
    expectPoint(half.centre, 0, 20);
    expect(half.sweep).toBeCloseTo(-Math.PI, 12);
    expectPoint(startOf(half), 0, 10);
    expectPoint(endOf(half), 0, 30);
  });

  it('keeps a bulge however small where it is, to a millionth of a millimetre over five metres', () => {
    for (const bulge of [1e-3, 1.1e-6, 9e-7, -1e-7, 1e-8, -1e-9, 2.4e-10, 1e-12]) {
      const [x, y] = [3000, 4000];
      const [edge] = shapesOf(
        lwpolyline(false, [
          [0, 0, bulge],
          [x, y],
        ]),
      )[0]!.paths[0]!.segments;
      // An arc rises over its chord by half a bulge of chords, to the right of the way; over a quarter of a flat one, by 3/4 of that.
      const rise = (bulge * 5000) / 2;
      for (const [t, part] of [
        [0, 0],
        [0.25, 0.75],
        [0.5, 1],
        [1, 0],
      ] as const) {
        if (t === 0.25 && Math.abs(bulge) > 1e-5) continue;
        const p = positionAt(edge!, t);
        expect(Math.abs(p.x - t * x - 0.8 * part * rise)).toBeLessThan(1e-6);
        expect(Math.abs(p.y - t * y + 0.6 * part * rise)).toBeLessThan(1e-6);
      }
    }
  });

  it('is closed by its flag, with the last bulge on the closing edge', () => {
    const [shape] = shapesOf(
      lwpolyline(true, [
        [0, 0],
        [20, 0, 1],
        [20, 10],
        [0, 10, 1],
      ]),
    );
    const [path] = shape!.paths;
    expect(path!.closed).toBe(true);
    expect(path!.segments.map((s) => s.kind)).toEqual(['line', 'arc', 'line', 'arc']);
    expect(signedArea(path!)).toBeCloseTo(200 + Math.PI * 25, 9);
  });

  it('is closed where its last vertex lies on its first, flag or not, without an edge of no length', () => {
    const ring = [
      [0, 0],
      [20, 0],
      [20, 10],
      [0, 0],
    ] as const;
    for (const flag of [true, false]) {
      const [path] = shapesOf(lwpolyline(flag, ring))[0]!.paths;
      expect(path!.closed).toBe(true);
      expect(path!.segments).toHaveLength(3);
    }
  });

  it('stays open without the flag', () => {
    expect(
      shapesOf(
        lwpolyline(false, [
          [0, 0],
          [20, 0],
          [20, 10],
        ]),
      )[0]!.paths[0]!.closed,
    ).toBe(false);
  });

  it('passes over vertices in the same place', () => {
    const [path] = shapesOf(
      lwpolyline(false, [
        [0, 0],
        [0, 0, 0.5],
        [20, 0],
        [20, 0],
      ]),
    )[0]!.paths;
    expect(path!.segments.map((s) => s.kind)).toEqual(['arc']);
  });

  it('seen from behind is mirrored with its bulges', () => {
    const [path] = shapesOf(
      lwpolyline(
        true,
        [
          [0, 0],
          [20, 0, 1],
          [20, 10],
          [0, 10, 1],
        ],
        ...extrusion(0, 0, -1),
      ),
    )[0]!.paths;
    expect(signedArea(path!)).toBeCloseTo(-200 - Math.PI * 25, 9);
    const box = readParts({
      entities: [
        lwpolyline(
          true,
          [
            [0, 0],
            [20, 0, 1],
            [20, 10],
            [0, 10, 1],
          ],
          ...extrusion(0, 0, -1),
        ),
      ],
    }).box;
    expect(box.minX).toBeCloseTo(-25, 9);
    expect(box.maxX).toBeCloseTo(5, 9);
  });

  it('drawn as a band is taken along its middle, and that is said', () => {
    expect(
      leftOutOf(
        lwpolyline(
          false,
          [
            [0, 0],
            [5, 5],
          ],
          [43, 1.5],
        ),
      ),
    ).toEqual(['width of LWPOLYLINE: its middle line is taken, not its edges']);
  });

  it.each([
    ['fewer', 3],
    ['more', 1],
  ])('is refused when it has %s vertices than it says', (_, count) => {
    const entity: Tag[] = [[0, 'LWPOLYLINE'], [90, count], [70, 0], ...at(0, 0), ...at(1, 1)];
    expect(refusalOfParts({ entities: [entity] }).found).toBe(
      `an LWPOLYLINE of 2 vertices that says it has ${count}`,
    );
  });

  const vertex = (x: number, y: number, ...more: Tag[]): Tag[] => [
    [0, 'VERTEX'],
    [8, '0'],
    ...at(x, y, 10, 0),
    ...more,
  ];
  const polyline = (flags: number, ...vertices: Tag[][]): Tag[] => [
    [0, 'POLYLINE'],
    [8, 'CUT'],
    [66, 1],
    ...at(0, 0, 10, 0),
    [70, flags],
    ...vertices.flat(),
    [0, 'SEQEND'],
  ];

  it('of the older kind, with a record for each vertex, is the same', () => {
    const [shape, after] = shapesOf(
      polyline(1, vertex(0, 0), vertex(20, 0, [42, 1]), vertex(20, 10), vertex(0, 10, [42, 1])),
      line(0, 0, 1, 1),
    );
    expect(shape!.element).toBe('polyline');
    expect(shape!.layers).toEqual(['CUT']);
    expect(signedArea(shape!.paths[0]!)).toBeCloseTo(200 + Math.PI * 25, 9);
    expect(after!.element).toBe('line');
  });

  it('smoothed by a spline runs through the points of the spline, not of its frame', () => {
    const [shape] = shapesOf(
      polyline(
        4,
        vertex(0, 50, [70, 16]),
        vertex(0, 0, [70, 8]),
        vertex(5, 2, [70, 8]),
        vertex(9, 50, [70, 16]),
        vertex(9, 0, [70, 8]),
      ),
    );
    expect(shape!.paths[0]!.segments.map((s) => [startOf(s), endOf(s)])).toEqual([
      [
        { x: 0, y: 0 },
        { x: 5, y: 2 },
      ],
      [
        { x: 5, y: 2 },
        { x: 9, y: 0 },
      ],
    ]);
  });

  it('smoothed by arcs keeps the vertices that were added', () => {
    const [shape] = shapesOf(
      polyline(2, vertex(0, 0, [42, 0.1], [70, 0]), vertex(5, 2, [42, 0.1], [70, 1]), vertex(9, 0)),
    );
    expect(shape!.paths[0]!.segments.map((s) => s.kind)).toEqual(['arc', 'arc']);
  });

  it('in space is taken where it is level, and left out where it is not', () => {
    const inSpace = (z: number): Tag[] =>
      polyline(9, vertex(0, 0), vertex(20, 0), [[0, 'VERTEX'], ...at(20, 10, 10, z)]);
    const drawing = readParts({ entities: [inSpace(0), inSpace(4)] });
    expect(drawing.shapes.map(({ paths }) => [paths[0]!.closed, pathLength(paths[0]!)])).toEqual([
      [true, 30 + Math.hypot(20, 10)],
    ]);
    expect(drawing.leftOut).toEqual([
      { what: 'POLYLINE', where: 'line 84', why: 'it is tilted out of the plane of the drawing' },
    ]);
  });

  it('that is a mesh is left out with all its vertices', () => {
    const faces: Tag[] = [
      [0, 'VERTEX'],
      [70, 128],
      [71, 1],
      [72, 2],
      [73, 3],
    ];
    const drawing = readParts({
      entities: [polyline(64, vertex(0, 0, [70, 192]), vertex(1, 0, [70, 192]), faces), line(0, 0, 1, 1)],
    });
    expect(drawing.shapes).toHaveLength(1);
    expect(drawing.leftOut.map(({ what, why }) => `${what}: ${why}`)).toEqual([
      'POLYLINE: it is a mesh in space',
    ]);
  });
});
