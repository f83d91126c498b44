import { describe, expect, it } from 'vitest';
import { alikeOf, rolesYaml, shapeAt } from '../../src/page/kept/role-lines.js';

const shape = (id: string, at: number, size: number, more = {}) =>
  ({
    id,
    role: 'opening',
    element: 'circle',
    layer: undefined,
    stroke: '#000000',
    fill: undefined,
    box: { minX: at, minY: 0, maxX: at + size, maxY: size },
    ...more,
  }) as const;

describe('roles from taps', () => {
  const shapes = [
    shape('circle-1', 0, 2),
    shape('circle-2', 10, 2),
    shape('leaf 7', 20, 30, { element: 'path' }),
    shape('edge', 0, 100, { element: 'path', role: 'outline', stroke: '#ff0000' }),
  ];

  it('name what was tapped, in YAML that reads back', () => {
    expect(
      rolesYaml(
        shapes,
        new Map([
          ['circle-1', 'mark'],
          ['circle-2', 'mark'],
        ]),
      ),
    ).toBe('{marks: [circle-1, circle-2], openings: ["leaf 7"], outline: [edge]}');
  });

  it('take a layer or a colour where it says exactly the same', () => {
    const layered = shapes.map((one, i) => ({ ...one, layer: i < 2 ? 'pegs' : undefined }));
    expect(
      rolesYaml(
        layered,
        new Map([
          ['circle-1', 'mark'],
          ['circle-2', 'mark'],
        ]),
      ),
    ).toContain('marks: [pegs]');
    expect(rolesYaml(layered, new Map([['circle-1', 'mark']]))).toContain('marks: [circle-1]');
    expect(rolesYaml(shapes, new Map())).toContain('openings: ["stroke:#000000"]');
  });

  it('are offered together with what is alike', () => {
    expect(alikeOf(shapes[0]!, shapes).map(({ says, ids }) => [says, ids.length])).toEqual([
      ['only this', 1],
      ['of its size', 2],
      ['drawn #000000', 3],
    ]);
  });

  it('mean the smallest shape under the finger', () => {
    expect(shapeAt(shapes, { x: 11, y: 1 }, 1)?.id).toBe('circle-2');
    expect(shapeAt(shapes, { x: 60, y: 60 }, 1)?.id).toBe('edge');
    expect(shapeAt(shapes, { x: 200, y: 60 }, 1)).toBeUndefined();
  });
});
