import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import { writeCutFile } from '../../src/drawing/write/write.js';
import type { Arc, Line, Segment } from '../../src/geometry/curve.js';
import { arbitraryPath, largestMiss, writtenEdges } from './cut-files.js';

const isEdge = (s: Segment): s is Line | Arc => s.kind === 'line' || s.kind === 'arc';

describe.each(['svg', 'dxf'] as const)('what is written as %s', (format) => {
  it('is read back as the same shapes to 1e-6 mm: edges, ends, layers, order, names', () => {
    const paths = fc
      .sample(arbitraryPath, { seed: 20261125, numRuns: 250 })
      .map((path, i) => ({ ...path, id: `path-of-${i}`, layer: i < 120 ? 'openings' : 'outline' }));
    const text = writeCutFile({ axes: 'y-up', paths }, format);
    const drawing = readDrawing(new TextEncoder().encode(text), { path: `cut.${format}` });
    expect(drawing.units).toBe('mm');
    expect(drawing.leftOut).toEqual([]);
    expect(drawing.shapes).toHaveLength(paths.length);
    if (format === 'svg') expect(drawing.shapes.map((s) => s.id)).toEqual(paths.map((p) => p.id));
    // The page starts at negative coordinates, and its lower left corner is the design's origin.
    const offset = format === 'svg' ? pageStart(text) : { x: 0, y: 0 };
    let worst = 0;
    drawing.shapes.forEach((shape, i) => {
      const { segments, open, layer } = paths[i]!;
      const [path] = shape.paths;
      expect(shape.paths).toHaveLength(1);
      expect(shape.layers[0]).toBe(layer);
      expect(path!.closed).toBe(!open);
      const written = writtenEdges(segments, open);
      const edges = path!.segments.filter(isEdge);
      expect(edges.map((s) => s.kind)).toEqual(written.map((s) => s.kind));
      worst = Math.max(
        worst,
        largestMiss(written, edges, (p) => ({ x: p.x + offset.x, y: p.y + offset.y })),
      );
    });
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });
});

/** The display coordinates of the page's lower left corner. */
const pageStart = (text: string): { x: number; y: number } => {
  const [left, , , height] = /viewBox="([^"]*)"/.exec(text)![1]!.split(' ').map(Number);
  const lowest = Number(/M[^,]*,(-?[\d.]+)/.exec(text)![1]);
  // The first point of the first path is known on both sides.
  const first = fc.sample(arbitraryPath, { seed: 20261125, numRuns: 250 })[0]!;
  const start = writtenEdges(first.segments, first.open)[0]!;
  const y = start.kind === 'line' ? start.from.y : start.centre.y + start.radius * Math.sin(start.start);
  return { x: left!, y: y - (height! - lowest) };
};
