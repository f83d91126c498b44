import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, describe, expect, it, type TestContext } from 'vitest';
import type { CutFile } from '../../src/drawing/write/cut-file.js';
import { writeDxf } from '../../src/drawing/write/write-dxf.js';
import {
  arbitraryPath,
  arbitraryRing,
  arc,
  circle,
  fileOf,
  largestMiss,
  line,
  roundedRectangle,
  turning,
  writtenEdges,
} from './cut-files.js';
import { type DxfReadBack, findEzdxf, readDxfBack } from './read-back.js';

const folder = mkdtempSync(join(tmpdir(), 'reseat-dxf-'));
afterAll(() => rmSync(folder, { recursive: true }));

const ezdxf = findEzdxf();
if ('missing' in ezdxf) console.warn(`DXF files are not held against another reader: ${ezdxf.missing}`);

const readBack = (context: TestContext, file: CutFile): DxfReadBack => {
  if ('missing' in ezdxf) return context.skip(ezdxf.missing);
  const path = join(folder, 'cut.dxf');
  writeFileSync(path, writeDxf(file));
  return readDxfBack(ezdxf.python, path);
};

describe('a DXF cut file', () => {
  it('writes a quarter turn with bulge tan(90/4), negative for clockwise (DXF reference, group 42)', () => {
    const text = writeDxf(fileOf('y-up', [circle(0, 0, 10), circle(0, 0, 5, -1)]));
    const bulges = [...text.matchAll(/^ 42\n(-?0\..*)$/gm)].map((m) => Number(m[1]));
    expect(bulges).toHaveLength(8);
    for (const b of bulges.slice(0, 4)) expect(b).toBeCloseTo(0.41421356, 8);
    for (const b of bulges.slice(4)) expect(b).toBeCloseTo(-0.41421356, 8);
  });

  it('carries display coordinates as they are, whichever way the display counts', () => {
    const rings = [roundedRectangle(10, 20, 30, 15, 4)];
    expect(writeDxf(fileOf('y-down', rings))).toBe(writeDxf(fileOf('y-up', rings)));
  });

  it('is the same text for the same paths', () => {
    const file = fileOf('y-up', [circle(50, 50, 10), roundedRectangle(10, 20, 30, 15, 4)]);
    expect(writeDxf(file)).toBe(writeDxf(file));
  });

  it('uses every handle once, below the next free one', () => {
    const text = writeDxf(fileOf('y-up', [circle(50, 50, 10), circle(50, 50, 20)]));
    const handles = [...text.matchAll(/\n(?: {2}5|105)\n([0-9A-F]+)(?=\n)/g)].map((m) =>
      Number.parseInt(m[1]!, 16),
    );
    const [seed, ...used] = handles;
    expect(new Set(used).size).toBe(used.length);
    expect(Math.max(...used)).toBe(seed! - 1);
  });

  it('passes the audit of another reader: millimetres, closed polylines, layers, extents', (context) => {
    const read = readBack(context, {
      axes: 'y-up',
      paths: [
        { id: 'a', layer: 'cut', segments: circle(50, 40, 10) },
        { id: 'b', layer: 'Farn: Rückseite', segments: roundedRectangle(10, 20, 30, 15, 4) },
        { id: 'c', layer: 'CUT', segments: circle(150, -40, 5) },
      ],
    });
    expect(read.faults).toEqual([]);
    expect(read.version).toBe('AC1021');
    expect(read.units).toBe(4);
    expect(read.paths.map((p) => p.closed)).toEqual([true, true, true]);
    expect(read.paths.map((p) => p.layer)).toEqual(['cut', 'Farn_ Rückseite', 'CUT']);
    expect(read.layers).toEqual(expect.arrayContaining(['0', 'cut', 'Farn_ Rückseite']));
    expect(read.extents[0].slice(0, 2)).toEqual([10, -45]);
    expect(read.extents[1].slice(0, 2)).toEqual([155, 50]);
  });

  it('passes the audit without a single path', (context) => {
    expect(readBack(context, { axes: 'y-up', paths: [] }).faults).toEqual([]);
  });

  it('passes the audit with every kind of path, open and closed, from a single line to a bed of them', (context) => {
    const single = { open: true, segments: [line(5, 5, 9, 7)] };
    const kinds = [
      single,
      { open: true, segments: [arc(50, 50, 10, 1, 1)] },
      { open: true, segments: [arc(50, 50, 10, 1, -6)] },
      { open: true, segments: [line(0, 0, 10, 0), arc(10, 5, 5, -Math.PI / 2, 3), line(2, 3, 2, 8)] },
      { open: false, segments: circle(90, 50, 0.001) },
      { open: false, segments: [line(0, 0, 10, 0), line(10, 0, 0, 0)] },
      { open: false, segments: [turning({ x: 0, y: 0 }, { x: 900, y: 0 }, 1e-7), line(900, 0, 0, 0)] },
      { open: false, segments: roundedRectangle(-10, -20, 30, 15, 4) },
    ];
    const layers = ['cut', 'Öffnungen', '0', 'CUT', 'a|b<c>', '', '*', 'score lines'];
    for (const paths of [[single], kinds]) {
      const read = readBack(context, {
        axes: 'y-up',
        paths: paths.map((path, i) => ({ ...path, id: `${i}`, layer: layers[i]! })),
      });
      expect(read.faults).toEqual([]);
      expect(read.paths.map((p) => p.closed)).toEqual(paths.map((p) => !p.open));
    }
  });

  it('read back by another reader, open paths end where they end', (context) => {
    const paths = fc.sample(arbitraryPath, { seed: 20261126, numRuns: 100 });
    const read = readBack(context, {
      axes: 'y-up',
      paths: paths.map((path, i) => ({ ...path, id: `${i}`, layer: 'cut' })),
    });
    expect(read.faults).toEqual([]);
    paths.forEach(({ segments, open }, i) => {
      const written = writtenEdges(segments, open);
      expect(read.paths[i]!.closed).toBe(!open);
      expect(read.paths[i]!.segments.map((s) => s.kind)).toEqual(written.map((s) => s.kind));
      expect(largestMiss(written, read.paths[i]!.segments)).toBeLessThan(1e-6);
    });
  });

  it('read back by another reader gives gives the same shapes to 1e-6 mm', (context) => {
    const rings = fc.sample(arbitraryRing, { seed: 20261125, numRuns: 150 });
    const read = readBack(context, fileOf('y-up', rings));
    expect(read.faults).toEqual([]);
    expect(read.paths).toHaveLength(rings.length);
    let worst = 0;
    rings.forEach((ring, i) => {
      const written = writtenEdges(ring);
      expect(read.paths[i]!.segments.map((s) => s.kind)).toEqual(written.map((s) => s.kind));
      worst = Math.max(worst, largestMiss(written, read.paths[i]!.segments));
    });
    expect(worst).toBeLessThan(1e-6);
    expect(worst).toBeGreaterThan(0);
  });
});
