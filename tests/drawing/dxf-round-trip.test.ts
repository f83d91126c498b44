import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { writeDxf } from '../../src/drawing/write/write-dxf.js';
import type { Arc, Line, Segment } from '../../src/geometry/curve.js';
import { arbitraryRing, circle, fileOf, largestMiss, roundedRectangle, writtenEdges } from './cut-files.js';
import { bytesOf } from './dxf-text.js';

const isEdge = (s: Segment): s is Line | Arc => s.kind === 'line' || s.kind === 'arc';

/** What the reader makes of a cut file: each ring as edges. */
const readBack = (rings: readonly (readonly (Line | Arc)[])[]) => {
  const drawing = readDrawing(bytesOf(writeDxf(fileOf('y-up', rings))), { path: 'cut.dxf' });
  expect(drawing.units).toBe('mm');
  expect(drawing.leftOut).toEqual([]);
  expect(drawing.shapes).toHaveLength(rings.length);
  return drawing.shapes.map((shape) => {
    expect(shape.paths).toHaveLength(1);
    expect(shape.paths[0]!.closed).toBe(true);
    const edges = shape.paths[0]!.segments.filter(isEdge);
    expect(edges).toHaveLength(shape.paths[0]!.segments.length);
    return { layer: shape.layers[0], edges };
  });
};

describe('a DXF cut file read back', () => {
  it('has its rings where they were, to 1e-6 mm, lines as lines and arcs as arcs', () => {
    const rings = fc.sample(arbitraryRing, { seed: 20261125, numRuns: 300 });
    let worst = 0;
    readBack(rings).forEach(({ edges }, i) => {
      const written = writtenEdges(rings[i]!);
      expect(edges.map(({ kind }) => kind)).toEqual(written.map(({ kind }) => kind));
      worst = Math.max(worst, largestMiss(written, edges));
    });
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });

  it('keeps its layers and its order', () => {
    const drawing = readDrawing(
      bytesOf(
        writeDxf({
          axes: 'y-up',
          paths: [
            { id: 'a', layer: 'openings', segments: circle(50, 40, 10) },
            { id: 'b', layer: 'outline', segments: roundedRectangle(10, 20, 300, 150, 4) },
          ],
        }),
      ),
      { path: 'cut.dxf' },
    );
    expect(drawing.shapes.map(({ layers }) => layers)).toEqual([['openings'], ['outline']]);
    expect(drawing.box).toMatchObject({ minX: 10, minY: 20, maxX: 310, maxY: 170 });
    expect(drawing.warnings).toEqual([]);
  });
});
