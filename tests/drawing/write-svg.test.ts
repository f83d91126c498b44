import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { writeSvg } from '../../src/drawing/write/write-svg.js';
import type { Point } from '../../src/geometry/point.js';
import { arbitraryRing, circle, fileOf, largestMiss, roundedRectangle, writtenEdges } from './cut-files.js';
import { readSvgBack } from './read-back.js';

const fromBottom =
  (height: number) =>
  (p: Point): Point => ({ x: p.x, y: height - p.y });

describe('an SVG cut file', () => {
  it('is a page of the bed in millimetres, origin bottom left, one path per ring', () => {
    const ring = roundedRectangle(10, 20, 30, 15, 4);
    expect(writeSvg(fileOf('y-up', [ring], [1200, 900]))).toBe(
      [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="1200mm" height="900mm" viewBox="0 0 1200 900">',
        '<g id="cut" fill="none" stroke="#000000" stroke-width="0.1">',
        '<path id="ring-1" d="M14,880L36,880A4,4 0 0 0 40,876L40,869A4,4 0 0 0 36,865L14,865A4,4 0 0 0 10,869L10,876A4,4 0 0 0 14,880Z"/>',
        '</g>',
        '</svg>',
        '',
      ].join('\n'),
    );
  });

  it('has its origin at the top left for a display that counts downwards', () => {
    const text = writeSvg(fileOf('y-down', [roundedRectangle(10, 20, 30, 15, 4)], [1200, 900]));
    expect(text).toContain('d="M14,20L36,20A4,4 0 0 1 40,24');
  });

  it('shrinks the page to the paths, from the origin, where the bed is unknown', () => {
    const page = readSvgBack(writeSvg(fileOf('y-up', [circle(50, 30, 10.00025)])));
    expect([page.width, page.height]).toEqual([60.001, 40.001]);
    expect(page.viewBox).toEqual([0, 0, 60.001, 40.001]);
  });

  it('begins the page at negative coordinates', () => {
    const rings = [circle(5, 2, 10), circle(50, 30, 10)];
    const up = readSvgBack(writeSvg(fileOf('y-up', rings, [100, 80])));
    expect([up.width, up.height]).toEqual([105, 88]);
    expect(up.viewBox).toEqual([-5, 0, 105, 88]);
    expect(largestMiss(writtenEdges(rings[0]!), up.paths[0]!.segments, fromBottom(80))).toBeLessThan(1e-6);
    const down = readSvgBack(writeSvg(fileOf('y-down', rings, [100, 80])));
    expect(down.viewBox).toEqual([-5, -8, 105, 88]);
    expect(largestMiss(writtenEdges(rings[0]!), down.paths[0]!.segments)).toBeLessThan(1e-6);
  });

  it('read back gives the same shapes to 1e-6 mm, whichever way the display counts', () => {
    let worst = 0;
    fc.assert(
      fc.property(arbitraryRing, fc.constantFrom('y-up' as const, 'y-down' as const), (ring, axes) => {
        const page = readSvgBack(writeSvg(fileOf(axes, [ring])));
        const bottom = page.viewBox[1]! + page.height + Math.min(0, lowest(ring));
        const read = page.paths[0]!.segments;
        const written = writtenEdges(ring);
        expect(read).toHaveLength(written.length);
        expect(read.map((s) => s.kind)).toEqual(written.map((s) => s.kind));
        worst = Math.max(worst, largestMiss(written, read, axes === 'y-up' ? fromBottom(bottom) : undefined));
      }),
      { seed: 20261125, numRuns: 150 },
    );
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });

  it('keeps the order of the paths and gives every element an id of its own', () => {
    const paths = ['leaf', 'leaf', 'a "b" & <c>', 'cut'].map((id, i) => ({
      id,
      layer: ['cut', 'cut', 'second layer', 'cut'][i]!,
      segments: circle(50, 50, 10 + i),
    }));
    const page = readSvgBack(writeSvg({ axes: 'y-up', paths }));
    expect(page.paths.map((p) => [p.layer, p.id])).toEqual([
      ['cut', 'leaf'],
      ['cut', 'leaf-2'],
      ['second-layer', 'a-"b"-&-<c>'],
      ['cut-2', 'cut-3'],
    ]);
  });

  it('writes no exponent and no minus zero', () => {
    const text = writeSvg(fileOf('y-down', [roundedRectangle(-1e-9, 1e-7, 30, 15, 4)], [1200, 900]));
    expect(text).not.toMatch(/\de[-+]?\d/);
    expect(text).not.toMatch(/-0[ ,LAZ"]/);
  });
});

/** The lowest coordinate of a ring, to the micrometre below it. */
const lowest = (ring: Parameters<typeof writtenEdges>[0]): number => {
  let low = Number.POSITIVE_INFINITY;
  for (const s of ring) {
    if (s.kind === 'line') low = Math.min(low, s.from.y, s.to.y);
    else {
      for (let i = 0; i <= 1; i += 1)
        low = Math.min(low, s.centre.y + s.radius * Math.sin(s.start + i * s.sweep));
      const down = (-Math.PI / 2 - s.start) * Math.sign(s.sweep);
      if (down - 2 * Math.PI * Math.floor(down / (2 * Math.PI)) < Math.abs(s.sweep)) {
        low = Math.min(low, s.centre.y - s.radius);
      }
    }
  }
  return Math.floor(low * 1000) / 1000;
};
