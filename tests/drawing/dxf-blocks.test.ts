import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Drawing, Shape } from '../../src/drawing/model/drawing.js';
import { apply, compose, type Matrix, rotation, scaling, translation } from '../../src/geometry/affine.js';
import { endOf, positionAt, startOf } from '../../src/geometry/curve.js';
import { signedArea } from '../../src/geometry/measure.js';
import {
  arc,
  at,
  block,
  circle,
  type DxfParts,
  extrusion,
  insert,
  layer,
  line,
  lwpolyline,
  readParts,
  refusalOfParts,
  type Tag,
} from './dxf-text.js';

const ids = ({ shapes }: Drawing): string[] => shapes.map(({ id }) => id);
const leftOutOf = (parts: DxfParts): string[] =>
  readParts({ ...parts, entities: [line(0, 0, 1, 0), ...parts.entities] }).leftOut.map(
    ({ what, why }) => `${what}: ${why}`,
  );

/** Some points along a shape. */
const walk = (shape: Shape) =>
  shape.paths.flatMap(({ segments }) =>
    segments.flatMap((s) => [0, 0.3, 0.8, 1].map((t) => positionAt(s, t))),
  );

const leaf = (...more: Tag[]): Tag[] =>
  lwpolyline(
    true,
    [
      [0, 0],
      [20, 0, 1],
      [20, 10],
      [0, 10, -0.4],
    ],
    ...more,
  );

describe('a block of a DXF drawing', () => {
  it('is drawn where it is inserted: scaled, turned, its base point at the insertion point', () => {
    const drawing = readParts({
      blocks: [block('LEAF', [5, 5], line(5, 5, 15, 5))],
      entities: [insert('LEAF', 100, 200, [41, 2], [42, 2], [50, 90])],
    });
    const [s] = drawing.shapes[0]!.paths[0]!.segments;
    expect(startOf(s!)).toEqual({ x: 100, y: 200 });
    expect(endOf(s!).x).toBeCloseTo(100, 12);
    expect(endOf(s!).y).toBeCloseTo(220, 12);
  });

  it('moves each of its curves as the map of its insert does, whatever the scale, turn, mirror and nesting', () => {
    const scale = fc.oneof(
      fc.double({ min: 0.2, max: 4, noNaN: true }),
      fc.double({ min: -4, max: -0.2, noNaN: true }),
    );
    const place = fc.record({
      x: fc.integer({ min: -500, max: 500 }),
      y: fc.integer({ min: -500, max: 500 }),
      sx: scale,
      sy: scale,
      degrees: fc.integer({ min: -720, max: 720 }),
      behind: fc.boolean(),
    });
    type Place = typeof place extends fc.Arbitrary<infer T> ? T : never;
    const tagsOf = (name: string, p: Place): Tag[] =>
      insert(name, p.x, p.y, [41, p.sx], [42, p.sy], [50, p.degrees], ...extrusion(0, 0, p.behind ? -1 : 1));
    const mapOf = (p: Place, base: readonly [number, number]): Matrix =>
      [
        translation(-base[0], -base[1]),
        scaling(p.sx, p.sy),
        rotation((p.degrees * Math.PI) / 180),
        translation(p.x, p.y),
        scaling(p.behind ? -1 : 1, 1),
      ].reduce((first, then) => compose(then, first));
    const content = [
      leaf(),
      leaf(...extrusion(0, 0, -1)),
      circle(3, 4, 5),
      arc(3, 4, 5, 20, 200, ...extrusion(0, 0, -1)),
      [[0, 'ELLIPSE'], ...at(1, 2), ...at(3, 4, 11), [40, 0.3], [41, 0.5], [42, 4]] as Tag[],
      [
        [0, 'SPLINE'],
        [70, 8],
        [71, 3],
        [73, 0],
        [74, 3],
        ...at(0, 0, 11),
        ...at(9, 4, 11),
        ...at(12, -3, 11),
      ] as Tag[],
    ];
    const plain = readParts({ entities: content }).shapes;
    let worst = 0;
    fc.assert(
      fc.property(place, place, (inner, outer) => {
        const drawing = readParts({
          blocks: [block('OUTER', [7, -3], tagsOf('INNER', inner)), block('INNER', [1, 2], ...content)],
          entities: [tagsOf('OUTER', outer)],
        });
        const map = compose(mapOf(outer, [7, -3]), mapOf(inner, [1, 2]));
        drawing.shapes.forEach((shape, i) => {
          const wanted = walk(plain[i]!).map((p) => apply(map, p));
          walk(shape).forEach((p, j) => {
            worst = Math.max(worst, Math.hypot(p.x - wanted[j]!.x, p.y - wanted[j]!.y));
          });
        });
      }),
      { seed: 20261125, numRuns: 200 },
    );
    expect(worst).toBeLessThan(1e-9);
    expect(worst).toBeGreaterThan(0);
  });

  it('keeps its arcs as arcs under an even scale, mirrored too, and makes ellipses of them under an uneven one', () => {
    const kindsWith = (...more: Tag[]): string[] =>
      readParts({ blocks: [block('LEAF', [0, 0], leaf())], entities: [insert('LEAF', 1, 2, ...more)] })
        .shapes.flatMap(({ paths }) => paths[0]!.segments)
        .map(({ kind }) => kind);
    expect(kindsWith([41, 3], [42, -3], [50, 33])).toEqual(['line', 'arc', 'line', 'arc']);
    expect(kindsWith(...extrusion(0, 0, -1))).toEqual(['line', 'arc', 'line', 'arc']);
    expect(kindsWith([41, 3], [42, 2])).toEqual(['line', 'elliptical-arc', 'line', 'elliptical-arc']);
  });

  it('inserted as an array stands in each cell; the cells are turned with it, but not scaled', () => {
    const drawing = readParts({
      blocks: [block('DOT', [0, 0], circle(0, 0, 1))],
      entities: [
        insert('DOT', 10, 20, [5, 'A1'], [41, 2], [42, 2], [50, 90], [70, 3], [71, 2], [44, 5], [45, 7]),
      ],
    });
    const centres = drawing.shapes.map(({ paths }) => {
      const [s] = paths[0]!.segments;
      return s?.kind === 'arc' ? [s.radius, Math.round(s.centre.x), Math.round(s.centre.y)] : [];
    });
    expect(centres).toEqual([
      [2, 10, 20],
      [2, 10, 25],
      [2, 10, 30],
      [2, 3, 20],
      [2, 3, 25],
      [2, 3, 30],
    ]);
  });

  it('inserted as an array without spacing is drawn once, and that is said', () => {
    const parts = {
      blocks: [block('DOT', [0, 0], circle(0, 0, 1))],
      entities: [insert('DOT', 0, 0, [70, 3])],
    };
    expect(readParts(parts).shapes).toHaveLength(1);
    expect(leftOutOf(parts)).toEqual([
      'copies of an INSERT: its spacing is 0, so all copies lie in one place: one is taken',
    ]);
  });

  it('gives its shapes the names of the blocks around, and ids made of the handles on the way', () => {
    const drawing = readParts({
      blocks: [
        block('FROND', [0, 0], insert('LEAF', 0, 0, [5, '2b'], [8, 'STEM']), line(0, 0, 1, 1, [5, '2C'])),
        block('LEAF', [0, 0], circle(0, 0, 1, [5, '1A'], [8, 'CUT']), circle(0, 0, 2, [5, '1B'])),
      ],
      entities: [
        insert('FROND', 0, 0, [5, 'F0'], [8, 'PANEL']),
        insert('frond', 50, 0, [8, 'PANEL']),
        insert('LEAF', 50, 0, [5, 'F0'], [8, 'PANEL'], [70, 2], [44, 5]),
      ],
    });
    expect(drawing.shapes.map(({ id, layers }) => `${id}: ${layers.join(' ')}`)).toEqual([
      'entity-F0.2B.1A: CUT LEAF FROND',
      'entity-F0.2B.1B: STEM LEAF FROND',
      'entity-F0.2C: PANEL FROND',
      'circle-4: CUT LEAF FROND',
      'circle-5: STEM LEAF FROND',
      'line-6: PANEL FROND',
      'entity-F0.1A: CUT LEAF',
      'entity-F0.1B: PANEL LEAF',
      'entity-F0.1A-2: CUT LEAF',
      'entity-F0.1B-2: PANEL LEAF',
    ]);
    expect(new Set(ids(drawing)).size).toBe(10);
  });

  it('holds the parts of one insert together in one group within their layer', () => {
    const { shapes } = readParts({
      blocks: [block('CROSS', [0, 0], line(-1, 0, 1, 0), line(0, -1, 0, 1))],
      entities: [insert('CROSS', 0, 0, [8, 'marks']), insert('CROSS', 9, 9, [8, 'marks'])],
    });
    expect(shapes[0]!.group).toBe(shapes[1]!.group);
    expect(shapes[2]!.group).toBe(shapes[3]!.group);
    expect(shapes[0]!.group).not.toBe(shapes[2]!.group);
    expect(shapes[0]!.group).toEqual({ names: ['CROSS'], parent: { names: ['marks'] } });
    expect(shapes[0]!.group!.parent).toBe(shapes[2]!.group!.parent);
  });

  it('that is not in the file, or in another one, is left out, and that is said', () => {
    expect(
      leftOutOf({
        blocks: [[[0, 'BLOCK'], [2, 'XREF'], [70, 4], ...at(0, 0), [1, 'other.dwg'], [0, 'ENDBLK']]],
        entities: [insert('GHOST', 0, 0), insert('XREF', 0, 0)],
      }),
    ).toEqual(['INSERT: its block GHOST is not in the file', 'INSERT: its block XREF is in another file']);
  });

  it('inserted tilted or flattened is left out, and that is said', () => {
    expect(
      leftOutOf({
        blocks: [block('DOT', [0, 0], circle(0, 0, 1))],
        entities: [insert('DOT', 0, 0, ...extrusion(1, 0, 0)), insert('DOT', 0, 0, [41, 0])],
      }),
    ).toEqual([
      'INSERT: it is tilted out of the plane of the drawing',
      'INSERT: its scale flattens it to nothing',
    ]);
  });

  it('tells what of it is left out for each place it is drawn in, and nothing of a block that is not drawn', () => {
    const drawing = readParts({
      blocks: [
        block('LABEL', [0, 0], circle(0, 0, 1), [[0, 'TEXT'], ...at(0, 0), [1, 'fern']]),
        block('UNUSED', [0, 0], [[0, 'HATCH'], ...at(0, 0)]),
      ],
      entities: [insert('LABEL', 0, 0), insert('LABEL', 5, 0)],
    });
    expect(drawing.leftOut.map(({ what, where }) => `${what}: ${where}`)).toEqual(['TEXT: line 50; line 50']);
  });

  it('brings its attributes along as text, which is left out', () => {
    const attribute: Tag[] = [[0, 'ATTRIB'], ...at(0, 0), [1, 'A'], [2, 'NAME']];
    const drawing = readParts({
      blocks: [block('DOT', [0, 0], circle(0, 0, 1))],
      entities: [insert('DOT', 0, 0, [66, 1]), attribute, [[0, 'SEQEND']], line(0, 0, 1, 1)],
    });
    expect(drawing.shapes).toHaveLength(2);
    expect(drawing.leftOut.map(({ what }) => what)).toEqual(['ATTRIB']);
  });

  it('that holds itself is refused, with the way it comes back and the line', () => {
    const error = refusalOfParts({
      blocks: [
        block('A', [0, 0], insert('B', 0, 0)),
        block('B', [0, 0], circle(0, 0, 1), insert('C', 0, 0)),
        block('C', [0, 0], insert('a', 0, 0)),
      ],
      entities: [insert('A', 0, 0)],
    });
    expect(error.found).toBe('a block that holds itself: A > B > C > A');
    expect(error.where).toEqual({ file: 'panel.dxf', line: 86 });
  });

  it('that multiplies to millions is refused at once', () => {
    const doubled = Array.from({ length: 40 }, (_, i) =>
      block(`B${i}`, [0, 0], insert(`B${i + 1}`, 0, 0), insert(`B${i + 1}`, 1, 0)),
    );
    const bomb = {
      blocks: [...doubled, block('B40', [0, 0], circle(0, 0, 1))],
      entities: [insert('B0', 0, 0)],
    };
    const array = {
      blocks: [block('DOT', [0, 0], circle(0, 0, 1))],
      entities: [insert('DOT', 0, 0, [70, 32000], [71, 32000], [44, 1], [45, 1])],
    };
    for (const parts of [bomb, array]) {
      expect(refusalOfParts(parts).found).toBe('blocks that multiply to more than 200000 entities');
    }
  });

  it('nested deeper than any drawing is refused', () => {
    const chain = Array.from({ length: 80 }, (_, i) => block(`B${i}`, [0, 0], insert(`B${i + 1}`, 0, 0)));
    expect(refusalOfParts({ blocks: chain, entities: [insert('B0', 0, 0)] }).found).toBe(
      'blocks nested more than 64 deep',
    );
  });

  it('holds the sheets and the model in some files: the model is drawn, the sheets are left out', () => {
    const drawing = readParts({
      blocks: [
        block('*Model_Space', [0, 0], circle(0, 0, 1)),
        block('*Paper_Space0', [0, 0], circle(0, 0, 300), [[0, 'VIEWPORT'], ...at(0, 0)]),
      ],
      entities: [line(0, 0, 1, 1)],
    });
    expect(drawing.shapes.map(({ element }) => element)).toEqual(['circle', 'line']);
    expect(drawing.leftOut.map(({ what, why }) => `${what}: ${why}`)).toEqual([
      'CIRCLE: it lies on a sheet (paper space), not in the model',
      'VIEWPORT: it is a window of a sheet',
    ]);
  });
});

describe('layers, visibility and colours of a DXF drawing', () => {
  const layers = [
    layer('Cut', [70, 0], [62, 1]),
    layer('ICE', [70, 1], [62, 5]),
    layer('DARK', [70, 0], [62, -3]),
    layer('TRUE', [70, 0], [62, 2], [420, 0x0c83f7]),
  ];

  it('frozen and switched off layers are left out by kind, and that is said', () => {
    const parts = {
      layers,
      entities: [line(0, 0, 1, 1, [8, 'ICE']), circle(0, 0, 1, [8, 'dark']), circle(0, 0, 2, [8, 'DARK'])],
    };
    expect(leftOutOf(parts)).toEqual([
      'LINE: its layer ICE is frozen',
      'CIRCLE: its layer dark is off',
      'CIRCLE: its layer DARK is off',
    ]);
  });

  it('a block inserted on a frozen layer goes with it; on one switched off, only its parts on layer 0 do', () => {
    const blocks = [
      block('PAIR', [0, 0], circle(0, 0, 1), circle(0, 0, 2, [8, 'Cut']), circle(0, 0, 3, [8, 'ICE'])),
    ];
    const drawn = (name: string) =>
      readParts({ layers, blocks, entities: [line(0, 0, 1, 0), insert('PAIR', 0, 0, [8, name])] });
    expect(drawn('Cut').shapes).toHaveLength(3);
    expect(drawn('DARK').shapes.map(({ layers }) => layers)).toEqual([['0'], ['Cut', 'PAIR']]);
    expect(drawn('ICE').shapes).toHaveLength(1);
    expect(drawn('ICE').leftOut.map(({ what }) => what)).toEqual(['INSERT']);
  });

  it('invisible entities and those of a sheet are left out, and that is said', () => {
    expect(leftOutOf({ entities: [circle(0, 0, 1, [60, 1]), circle(0, 0, 2, [67, 1])] })).toEqual([
      'CIRCLE: it is marked as invisible',
      'CIRCLE: it lies on a sheet (paper space), not in the model',
    ]);
  });

  it('layers are named as the layer table spells them, since upper and lower case are the same', () => {
    const { shapes } = readParts({
      layers,
      entities: [line(0, 0, 1, 1, [8, 'CUT']), line(0, 0, 1, 1, [8, 'New'])],
    });
    expect(shapes.map(({ layers }) => layers)).toEqual([['Cut'], ['New']]);
  });

  it("a colour is the entity's own, its layer's, or its insert's", () => {
    const strokesOf = (parts: DxfParts) => readParts({ layers, ...parts }).shapes.map(({ stroke }) => stroke);
    expect(
      strokesOf({
        entities: [
          line(0, 0, 1, 1, [8, 'Cut']),
          line(0, 0, 1, 1, [8, 'Cut'], [62, 256]),
          line(0, 0, 1, 1, [8, 'Cut'], [62, 4]),
          line(0, 0, 1, 1, [8, 'Cut'], [62, 4], [420, 0xc83737]),
          line(0, 0, 1, 1, [8, 'TRUE']),
          line(0, 0, 1, 1, [8, 'Cut'], [62, 0]),
          line(0, 0, 1, 1),
        ],
      }),
    ).toEqual(['#ff0000', '#ff0000', '#00ffff', '#c83737', '#0c83f7', '#000000', '#000000']);
    const content = [
      line(0, 0, 1, 1, [62, 0]),
      line(0, 0, 1, 1),
      line(0, 0, 1, 1, [8, 'TRUE']),
      line(0, 0, 1, 1, [8, 'TRUE'], [62, 0]),
      line(0, 0, 1, 1, [8, 'TRUE'], [62, 9]),
    ];
    expect(
      strokesOf({
        blocks: [block('IN', [0, 0], ...content), block('OUT', [0, 0], insert('IN', 0, 0, [62, 0]))],
        entities: [insert('IN', 0, 0, [8, 'Cut'], [62, 6]), insert('OUT', 0, 0, [8, 'Cut'])],
      }),
    ).toEqual([
      '#ff00ff',
      '#ff0000',
      '#0c83f7',
      '#ff00ff',
      '#c0c0c0',
      '#ff0000',
      '#ff0000',
      '#0c83f7',
      '#ff0000',
      '#c0c0c0',
    ]);
  });

  it('a mirrored block turns its rings the other way', () => {
    const areaOf = (...more: Tag[]): number =>
      signedArea(
        readParts({ blocks: [block('LEAF', [0, 0], leaf())], entities: [insert('LEAF', 0, 0, ...more)] })
          .shapes[0]!.paths[0]!,
      );
    expect(areaOf()).toBeGreaterThan(0);
    expect(areaOf([41, -1])).toBeCloseTo(-areaOf(), 9);
    expect(areaOf(...extrusion(0, 0, -1))).toBeCloseTo(-areaOf(), 9);
    expect(areaOf([41, -1], ...extrusion(0, 0, -1))).toBeCloseTo(areaOf(), 9);
  });
});
