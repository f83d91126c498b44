import { describe, expect, it } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { endOf, type Segment, startOf } from '../../src/geometry/curve.js';
import { pathLength, signedArea } from '../../src/geometry/measure.js';
import {
  arc,
  at,
  circle,
  extrusion,
  line,
  lwpolyline,
  readParts,
  refusalOfParts,
  shapesOf,
  type Tag,
} from './dxf-text.js';

const onlySegment = (shape: Shape | undefined): Segment => {
  expect(shape?.paths).toHaveLength(1);
  expect(shape!.paths[0]!.segments).toHaveLength(1);
  return shape!.paths[0]!.segments[0]!;
};

const expectPoint = (p: { x: number; y: number }, x: number, y: number): void => {
  expect(p.x).toBeCloseTo(x, 9);
  expect(p.y).toBeCloseTo(y, 9);
};

const leftOutOf = (...entities: (readonly Tag[])[]) =>
  readParts({ entities: [line(0, 0, 1, 0), ...entities] }).leftOut.map(({ what, why }) => `${what}: ${why}`);

describe('a LINE, CIRCLE or ARC of a DXF drawing', () => {
  it('is taken where it lies, y up, and named by its handle', () => {
    const drawing = readParts({ entities: [line(1, 2, 30, -4, [5, '1f'], [8, 'CUT']), circle(5, 6, 7)] });
    expect(drawing.shapes.map(({ id, named, element, layers }) => ({ id, named, element, layers }))).toEqual([
      { id: 'entity-1F', named: false, element: 'line', layers: ['CUT'] },
      { id: 'circle-2', named: false, element: 'circle', layers: ['0'] },
    ]);
    expect(onlySegment(drawing.shapes[0])).toEqual({
      kind: 'line',
      from: { x: 1, y: 2 },
      to: { x: 30, y: -4 },
    });
    expect(onlySegment(drawing.shapes[1])).toEqual({
      kind: 'arc',
      centre: { x: 5, y: 6 },
      radius: 7,
      start: 0,
      sweep: 2 * Math.PI,
    });
    expect(drawing.shapes.map(({ paths }) => paths[0]!.closed)).toEqual([false, true]);
    expect(drawing.box).toEqual({ minX: -2, minY: -4, maxX: 30, maxY: 13 });
  });

  it('keeps the centre form of an arc, which runs counter-clockwise from its first angle', () => {
    const s = onlySegment(shapesOf(arc(10, 20, 5, 350, 80))[0]);
    expect(s.kind).toBe('arc');
    if (s.kind !== 'arc') return;
    expect(s.centre).toEqual({ x: 10, y: 20 });
    expect(s.radius).toBe(5);
    expect(s.sweep).toBeCloseTo(Math.PI / 2, 12);
    expectPoint(endOf(s), 10 + 5 * Math.cos((80 * Math.PI) / 180), 20 + 5 * Math.sin((80 * Math.PI) / 180));
  });

  it('takes an arc from 0 to 360 degrees as a closed circle', () => {
    const [shape] = shapesOf(arc(0, 0, 5, 0, 360));
    expect(shape!.paths[0]!.closed).toBe(true);
    expect(pathLength(shape!.paths[0]!)).toBeCloseTo(10 * Math.PI, 12);
  });

  it('mirrors what is seen from behind (extrusion 0, 0, -1): x counts to the left, and arcs stay arcs', () => {
    const [round, part] = shapesOf(
      circle(10, 20, 3, ...extrusion(0, 0, -1)),
      arc(10, 20, 3, 0, 90, ...extrusion(0, 0, -1)),
    );
    expect(onlySegment(round)).toMatchObject({ kind: 'arc', centre: { x: -10, y: 20 }, radius: 3 });
    const s = onlySegment(part);
    expect(s).toMatchObject({ kind: 'arc', centre: { x: -10, y: 20 }, radius: 3 });
    expectPoint(startOf(s), -13, 20);
    expectPoint(endOf(s), -10, 23);
  });

  it("does not mirror a line, whose coordinates are the world's whatever its extrusion", () => {
    expect(onlySegment(shapesOf(line(1, 2, 3, 4, ...extrusion(0, 0, -1)))[0])).toMatchObject({
      from: { x: 1, y: 2 },
      to: { x: 3, y: 4 },
    });
  });

  it('leaves out what is tilted out of the plane, and says so', () => {
    const why = 'it is tilted out of the plane of the drawing';
    expect(
      leftOutOf(
        circle(0, 0, 5, ...extrusion(1, 0, 0)),
        arc(0, 0, 5, 0, 90, ...extrusion(0, 0.1, 1)),
        [[0, 'LINE'], ...at(0, 0, 10, 0), ...at(10, 0, 11, 5)],
        lwpolyline(
          false,
          [
            [0, 0],
            [5, 5],
          ],
          ...extrusion(0, 1, 0),
        ),
      ),
    ).toEqual([`CIRCLE: ${why}`, `ARC: ${why}`, `LINE: ${why}`, `LWPOLYLINE: ${why}`]);
  });

  it('takes what lies flat at any height', () => {
    const drawing = readParts({ entities: [[[0, 'LINE'], ...at(0, 0, 10, 40), ...at(10, 0, 11, 40)]] });
    expect(drawing.leftOut).toEqual([]);
  });

  it('leaves out what has no length, and says so', () => {
    expect(
      leftOutOf(line(3, 3, 3, 3), circle(0, 0, 0), arc(0, 0, 4, 30, 30), lwpolyline(true, [[1, 1]])),
    ).toEqual([
      'LINE: it has no length',
      'CIRCLE: it has no length',
      'ARC: it starts and ends at the same angle',
      'LWPOLYLINE: it has no length',
    ]);
  });

  it.each([
    ['a radius below 0', circle(0, 0, -2), 'a CIRCLE with the radius -2'],
    ['no radius', [[0, 'CIRCLE'], ...at(0, 0)], 'a CIRCLE without a radius (group 40)'],
    ['no end', [[0, 'LINE'], ...at(0, 0)], 'a LINE without an end point (group 11)'],
    ['no angle', [[0, 'ARC'], ...at(0, 0), [40, 2], [50, 0]], 'an ARC without an end angle (group 51)'],
    ['no direction', circle(0, 0, 2, ...extrusion(0, 0, 0)), 'a CIRCLE whose extrusion direction is 0, 0, 0'],
  ] as [string, Tag[], string][])('is refused with its line when it has %s', (_, entity, found) => {
    const error = refusalOfParts({ entities: [line(0, 0, 1, 0), entity] });
    expect(error.found).toBe(found);
    expect(error.where).toEqual({ file: 'panel.dxf', line: 50 });
  });
});

describe('an ELLIPSE', () => {
  const ellipse = (...more: Tag[]): Tag[] => [
    [0, 'ELLIPSE'],
    ...at(10, 20),
    ...at(3, 4, 11),
    [40, 0.5],
    ...more,
  ];

  it('keeps its axes; its parameters count from the major axis towards the minor', () => {
    const s = onlySegment(shapesOf(ellipse([41, 0], [42, Math.PI / 2]))[0]);
    expect(s).toMatchObject({ kind: 'elliptical-arc', centre: { x: 10, y: 20 }, u: { x: 3, y: 4 } });
    expectPoint(startOf(s), 13, 24);
    expectPoint(endOf(s), 8, 21.5);
  });

  it('seen from behind runs the other way about its axis, in the same place', () => {
    const s = onlySegment(shapesOf(ellipse([41, 0], [42, Math.PI / 2], ...extrusion(0, 0, -1)))[0]);
    expectPoint(startOf(s), 13, 24);
    expectPoint(endOf(s), 12, 18.5);
  });

  it.each([
    ['without parameters', []],
    [
      'from 0 to a turn',
      [
        [41, 0],
        [42, 6.283185307179586],
      ],
    ],
    [
      'to a turn of six decimals',
      [
        [41, 0],
        [42, 6.283185],
      ],
    ],
    [
      'to a turn that is a little more than one',
      [
        [41, 0],
        [42, 6.28318530718],
      ],
    ],
    [
      'from anywhere',
      [
        [41, -1.569386743796231],
        [42, 4.713798563383355],
      ],
    ],
  ] as [string, Tag[]][])('is whole and closed %s', (_, more) => {
    const [shape] = shapesOf(ellipse(...more));
    expect(shape!.paths[0]!.closed).toBe(true);
    expect(Math.abs(signedArea(shape!.paths[0]!))).toBeCloseTo(Math.PI * 5 * 2.5, 9);
  });

  it('with equal axes is a circle', () => {
    const [shape] = shapesOf([[0, 'ELLIPSE'], ...at(1, 2), ...at(0, 5, 11), [40, 1], [41, 0], [42, Math.PI]]);
    const s = onlySegment(shape);
    expect(s).toMatchObject({ kind: 'arc', centre: { x: 1, y: 2 } });
    expectPoint(startOf(s), 1, 7);
    expectPoint(endOf(s), 1, -3);
  });

  it('without a minor axis is left out', () => {
    expect(leftOutOf([[0, 'ELLIPSE'], ...at(1, 2), ...at(0, 5, 11), [40, 0]])).toEqual([
      'ELLIPSE: its minor axis is 0',
    ]);
  });
});

describe('what a DXF drawing holds beside edges', () => {
  it('is left out by kind, counted, with its place and the reason', () => {
    const text = (n: number): Tag[] => [[0, 'TEXT'], ...at(0, n), [40, 2.5], [1, 'fern']];
    const drawing = readParts({
      entities: [
        ...[0, 1, 2, 3, 4, 5].map(text),
        [[0, 'HATCH'], ...at(0, 0), [2, 'SOLID']],
        line(0, 0, 1, 1),
        [[0, 'POINT'], ...at(3, 4)],
        [[0, 'DREAM'], ...at(3, 4)],
      ],
    });
    expect(drawing.leftOut).toEqual([
      {
        what: 'TEXT',
        where: 'line 40; line 50; line 60; line 70; and 2 more',
        why: 'text is not an edge that could be cut',
      },
      {
        what: 'HATCH',
        where: 'line 100',
        why: 'it fills an area; its boundary is taken only where it is a polyline or is drawn as well',
      },
      { what: 'POINT', where: 'line 118', why: 'a point has no length; draw a mark as a circle or a cross' },
      { what: 'DREAM', where: 'line 124', why: 'this reader does not know the entity' },
    ]);
    expect(drawing.warnings).toEqual([
      {
        code: 'content-left-out',
        message:
          'Not everything in the drawing was taken over: TEXT (6 times), HATCH, POINT, DREAM. ' +
          '`reseat list` says where and why.',
      },
    ]);
  });

  it('passes over data of other programs and embedded objects within an entity', () => {
    const [shape] = shapesOf(
      line(1, 2, 3, 4, [102, '{SOMEONE'], [10, 99], [102, '}'], [1001, 'SOMEONE'], [1010, 7], [1040, 7]),
      circle(0, 0, 5, [101, 'Embedded Object'], [40, 77]),
    );
    expect(onlySegment(shape)).toMatchObject({ from: { x: 1, y: 2 }, to: { x: 3, y: 4 } });
  });

  it('alone makes no drawing', () => {
    const error = refusalOfParts({ entities: [[[0, 'TEXT'], ...at(0, 0), [1, 'fern']]] });
    expect(error.found).toBe(
      'a drawing of which nothing can be taken: TEXT (the first at line 40: text is not an edge that could be cut)',
    );
    expect(error.where).toEqual({ file: 'panel.dxf', line: 40 });
    const none = refusalOfParts({ entities: [] });
    expect(none.found).toBe('a drawing without a single entity in its model space');
    // The line of the name of its section.
    expect(none.where).toEqual({ file: 'panel.dxf', line: 38 });
  });
});
