import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decimal, formatOf, uniqueNames, verticesOf } from '../../src/drawing/write/cut-file.js';
import { positionAt } from '../../src/geometry/curve.js';
import { InputError } from '../../src/job/messages.js';
import { arbitraryRing, arc, circle, line } from './cut-files.js';

const degrees = Math.PI / 180;

describe('the format of a cut file', () => {
  it('follows from the extension, in either case', () => {
    expect(formatOf('out/fern.svg')).toBe('svg');
    expect(formatOf('FERN.DXF')).toBe('dxf');
    expect(formatOf('a.dxf/fern.v2.svg')).toBe('svg');
  });

  it.each([
    ['fern.nce', 'a cut file ending in .nce'],
    ['fern.pdf', 'a cut file ending in .pdf'],
    ['fern', 'a cut file name without an extension'],
    ['out.svg/fern', 'a cut file name without an extension'],
    ['.svg', 'a cut file name without an extension'],
  ])('is refused for %s', (name, found) => {
    const refused = () => formatOf(name);
    expect(refused).toThrow(InputError);
    expect(refused).toThrow(`${found}; expected a name ending in .svg, .dxf or .nc`);
  });
});

describe('a number in a cut file', () => {
  it.each([
    [0, '0'],
    [-0, '0'],
    [-1e-9, '0'],
    [1e-7, '0.0000001'],
    [100, '100'],
    [-12.5, '-12.5'],
    [1234567.0000001, '1234567.0000001'],
    [0.1 + 0.2, '0.3'],
  ])('%d is written %s', (value, text) => {
    expect(decimal(value, 7)).toBe(text);
  });

  it('without decimals keeps the zeros of its tens', () => {
    expect(decimal(1200, 0)).toBe('1200');
    expect(decimal(-0.4, 0)).toBe('0');
  });
});

describe('the arcs of a ring', () => {
  it('stay whole up to 120 degrees', () => {
    expect(verticesOf([arc(0, 0, 5, 0, 119.9 * degrees)])).toHaveLength(1);
    expect(verticesOf([arc(0, 0, 5, 0, -120 * degrees)])).toHaveLength(1);
  });

  it('are split into equal parts of at most 90 degrees beyond that', () => {
    const parts = verticesOf([arc(0, 0, 5, 0.2, -200 * degrees)]);
    expect(parts).toHaveLength(3);
    for (const part of parts) expect(part.sweep).toBeCloseTo((-200 / 3) * degrees, 12);
  });

  it('make four quarters of a circle', () => {
    expect(verticesOf(circle(10, 20, 3))).toHaveLength(4);
    expect(verticesOf(circle(10, 20, 3, -1))).toHaveLength(4);
  });

  it('start where the whole arc passes', () => {
    fc.assert(
      fc.property(arbitraryRing, (ring) => {
        const vertices = verticesOf(ring);
        let next = 0;
        for (const segment of ring) {
          const turn = segment.kind === 'arc' ? Math.abs(segment.sweep) : 0;
          // 2.2 radians, 126 degrees.
          const parts = turn <= 2.2 ? 1 : Math.ceil(turn / (90 * degrees) - 1e-9);
          for (let part = 0; part < parts; part++) {
            const { at } = vertices[next++]!;
            const expected = positionAt(segment, part / parts);
            expect(Math.hypot(at.x - expected.x, at.y - expected.y)).toBeLessThan(1e-6);
          }
        }
        expect(next).toBe(vertices.length);
      }),
      { seed: 20261125, numRuns: 100 },
    );
  });

  it('leave lines alone', () => {
    expect(verticesOf([line(1, 2, 3, 4), line(3, 4, 5, 6)])).toEqual([
      { at: { x: 1, y: 2 } },
      { at: { x: 3, y: 4 } },
    ]);
  });
});

describe('names in a cut file', () => {
  it('are handed out once each', () => {
    const unique = uniqueNames();
    expect(['leaf', 'leaf', 'leaf-2', 'leaf', 'stem'].map(unique)).toEqual([
      'leaf',
      'leaf-2',
      'leaf-2-2',
      'leaf-3',
      'stem',
    ]);
  });
});
