import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { at, bytesOf, dxfTags, readBytes, readParts, refusalOfParts, type Tag, textOf } from './dxf-text.js';

const circle = (layer: string, x: number, ...more: Tag[]): Tag[] => [
  [0, 'CIRCLE'],
  [8, layer],
  ...at(x, 5),
  [40, 3],
  ...more,
];
const layer = (name: string, ...tags: Tag[]): Tag[] => [[0, 'LAYER'], [2, name], [70, 0], [62, 7], ...tags];
const polyline = (layer: string, corners: readonly (readonly [number, number])[]): Tag[] => [
  [0, 'LWPOLYLINE'],
  [8, layer],
  [90, corners.length],
  [70, 1],
  ...corners.flatMap(([x, y]) => at(x, y)),
];
const square = (x: number, size = 10): [number, number][] => [
  [x, 0],
  [x + size, 0],
  [x + size, size],
  [x, size],
];
const hatch = (
  layer: string,
  ...boundaries: readonly (readonly (readonly [number, number, number?])[])[]
): Tag[] => [
  [0, 'HATCH'],
  [8, layer],
  ...at(0, 0),
  [2, 'SOLID'],
  [91, boundaries.length],
  ...boundaries.flatMap((corners): Tag[] => [
    [92, 7],
    [72, 1],
    [73, 1],
    [93, corners.length],
    ...corners.flatMap(([x, y, bulge = 0]): Tag[] => [...at(x, y), [42, bulge]]),
    [97, 0],
  ]),
  [98, 1],
  ...at(5, 5),
];

describe('layers that are not plotted', () => {
  it('are left out, and so are the points of dimensions, and it is said which', () => {
    const drawing = readParts({
      layers: [layer('Cut', [290, 1]), layer('Aid', [290, 0]), layer('Defpoints')],
      entities: [circle('Cut', 5), circle('aid', 25), circle('Defpoints', 45), circle('elsewhere', 65)],
    });
    expect(drawing.shapes.map(({ layers: [name] }) => name)).toEqual(['Cut', 'elsewhere']);
    expect(drawing.leftOut.map(({ why }) => why)).toEqual([
      'its layer aid is not plotted',
      'its layer Defpoints is not plotted',
    ]);
    expect(drawing.warnings[0]!.message).toContain('layers that are not plotted (aid, Defpoints)');
  });

  it('no circle of a construction layer becomes an opening (fixtures/circles-in-unplotted-layers)', () => {
    const path = new URL('../fixtures/circles-in-unplotted-layers.dxf', import.meta.url);
    const listed = listDrawing(readFileSync(path), 'plate.dxf', { units: 'mm' });
    expect(listed.roles.openings).toHaveLength(3);
    expect(listed.drawing.leftOut).toHaveLength(2);
  });
});

describe('filled areas (HATCH)', () => {
  it('are taken by their polyline boundaries, closed, with bulges, where nothing else draws them', () => {
    const { shapes } = readParts({
      entities: [
        hatch(
          'fill',
          [
            [0, 0],
            [10, 0, 1],
            [10, 10],
            [0, 10],
          ],
          square(2, 3),
        ),
      ],
    });
    expect(shapes.map(({ element, layers }) => [element, layers[0]])).toEqual([
      ['hatch', 'fill'],
      ['hatch', 'fill'],
    ]);
    expect(shapes.every(({ paths }) => paths.length === 1 && paths[0]!.closed)).toBe(true);
    expect(shapes[0]!.paths[0]!.segments.map(({ kind }) => kind)).toEqual(['line', 'arc', 'line', 'line']);
  });

  it('are no second edge where their boundary is drawn as well, by whatever lines', () => {
    const side = (a: readonly [number, number], b: readonly [number, number]): Tag[] => [
      [0, 'LINE'],
      [8, 'cut'],
      ...at(...a),
      ...at(...b, 11),
    ];
    const [a, b, c, d] = square(40) as [
      [number, number],
      [number, number],
      [number, number],
      [number, number],
    ];
    const drawing = readParts({
      entities: [
        hatch('fill', square(0)),
        hatch('fill', square(40)),
        polyline('cut', square(0)),
        side(a, b),
        side(b, c),
        side(c, d),
        side(d, a),
      ],
    });
    expect(drawing.shapes.map(({ element }) => element)).not.toContain('hatch');
    expect(drawing.leftOut.map(({ why }) => why)).toEqual([
      'it fills an area whose boundary is drawn as well',
    ]);
    expect(drawing.warnings).toEqual([]);
  });

  it('that say a wrong number of vertices are refused', () => {
    const broken = hatch('fill', square(0)).map(
      ([code, value]): Tag => (code === 93 ? [93, 5] : [code, value]),
    );
    expect(refusalOfParts({ entities: [broken] }).found).toBe(
      'a HATCH with a boundary of 4 vertices that says it has 5',
    );
  });
});

describe('a DXF file', () => {
  it('without EOF is read behind its whole sections, with a warning', () => {
    const text = textOf(dxfTags({ entities: [circle('0', 5)] })).replace(/0\nEOF\n$/, '');
    const drawing = readBytes(bytesOf(text));
    expect(drawing.shapes).toHaveLength(1);
    expect(drawing.warnings.map(({ code }) => code)).toEqual(['end-missing']);
  });

  it('that lies on a sheet as a whole is told so', () => {
    const error = refusalOfParts({
      entities: [circle('0', 5, [67, 1]), [[0, 'VIEWPORT'], ...at(0, 0), [67, 1]]],
    });
    expect(error.found).toContain('a drawing that lies on a sheet (paper space) as a whole: CIRCLE');
    expect(error.next).toContain('from the sheet to the model space');
  });
});
