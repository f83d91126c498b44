import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cutAsDrawn } from '../../src/cut/as-drawn.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { apply, compose, type Matrix, rotation, scaling, translation } from '../../src/geometry/affine.js';
import { type Path, positionAt, type Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { arc, line } from '../drawing/cut-files.js';
import { distanceTo } from '../drawing/nc-machine.js';

const shape = (id: string, path: Path, layers: string[] = []): Shape => ({
  id,
  named: true,
  layers,
  element: 'path',
  paths: [path],
});

const turned: Matrix = compose(translation(300, 50), rotation(0.3));
const uneven: Matrix = compose(turned, [1.003, 0, 0.002, 0.998, 0, 0]);

const cut = (shapes: readonly Shape[], toMachine = turned, tolerance = 0.005) =>
  cutAsDrawn({ shapes, toMachine, tolerance }).paths;

const square = (x: number, y: number, size: number): Path => ({
  closed: true,
  segments: [
    line(x, y, x + size, y),
    line(x + size, y, x + size, y + size),
    line(x + size, y + size, x, y + size),
    line(x, y + size, x, y),
  ],
});

const coordinate = fc.integer({ min: 0, max: 20_000 }).map((k) => k / 100);
const place = fc.record({ x: coordinate, y: coordinate });
const angle = fc.integer({ min: -6000, max: 6000 }).map((k) => k / 1000);

const anySegment: fc.Arbitrary<Segment> = fc.oneof(
  fc.record({ kind: fc.constant('line' as const), from: place, to: place }),
  fc.record({
    kind: fc.constant('arc' as const),
    centre: place,
    radius: fc.integer({ min: 1, max: 5000 }).map((k) => k / 50),
    start: angle,
    sweep: angle.filter((a) => Math.abs(a) > 0.01),
  }),
  fc.record({
    kind: fc.constant('elliptical-arc' as const),
    centre: place,
    u: fc.record({ x: fc.integer({ min: 5, max: 80 }), y: fc.integer({ min: -20, max: 20 }) }),
    v: fc.record({ x: fc.integer({ min: -3, max: 3 }), y: fc.integer({ min: 5, max: 80 }) }),
    start: angle,
    sweep: angle.filter((a) => Math.abs(a) > 0.01),
  }),
  fc.record({
    kind: fc.constant('cubic' as const),
    from: place,
    control1: place,
    control2: place,
    to: place,
  }),
);

const samples = (s: Segment, n = 40): Point[] =>
  Array.from({ length: n + 1 }, (_, k) => positionAt(s, k / n));

describe('a cut as drawn', () => {
  it('lies within the tolerance of the drawn curves, moved: lines, arcs, ellipses and cubics, under any fit', () => {
    let most = 0;
    fc.assert(
      fc.property(anySegment, fc.boolean(), fc.boolean(), (segment, isUneven, mirrored) => {
        const fit = isUneven ? uneven : turned;
        const m = mirrored ? compose(fit, scaling(-1, 1)) : fit;
        const [path] = cut([shape('s', { closed: false, segments: [segment] })], m);
        if (path === undefined) return;
        const drawn = samples(segment).map((p) => apply(m, p));
        for (const p of drawn) {
          const off = Math.min(...path.segments.map((s) => distanceTo(p, s)));
          most = Math.max(most, off);
          expect(off).toBeLessThanOrEqual(0.005);
        }
        // And back: from the arcs to a chain of chords through 601 points of the curve.
        const chain = samples(segment, 600).map((p) => apply(m, p));
        const chords = chain.slice(1).map((to, i) => ({ kind: 'line' as const, from: chain[i]!, to }));
        for (const s of path.segments) {
          for (const p of samples(s, 8)) {
            expect(Math.min(...chords.map((c) => distanceTo(p, c)))).toBeLessThanOrEqual(0.006);
          }
        }
      }),
      { seed: 20261125, numRuns: 80 },
    );
    expect(most).toBeGreaterThan(0.0005);
  });

  it('keeps lines as lines and, unless the fit is uneven, arcs as arcs', () => {
    const path: Path = { closed: false, segments: [line(0, 0, 30, 0), arc(30, 10, 10, -Math.PI / 2, 1)] };
    const [even] = cut([shape('s', path)]);
    expect(even!.segments.map((s) => s.kind)).toEqual(['line', 'arc']);
    const centre = apply(turned, { x: 30, y: 10 });
    expect(even!.segments[1]).toMatchObject({
      radius: expect.closeTo(10, 9),
      sweep: expect.closeTo(1, 12),
      centre: { x: expect.closeTo(centre.x, 9), y: expect.closeTo(centre.y, 9) },
    });
    const [bent] = cut([shape('s', path)], uneven);
    expect(bent!.segments[0]!.kind).toBe('line');
    expect(bent!.segments.length).toBeGreaterThan(2);
  });

  it('keeps id and layer, and says which paths are open', () => {
    const slot: Path = { closed: false, segments: [line(0, 0, 30, 0)] };
    expect(cut([shape('slot', slot, ['slots', 'all']), shape('hole', square(50, 50, 5))])).toMatchObject([
      { openings: ['slot'], layer: 'slots', open: true, length: expect.closeTo(30, 9), area: 0 },
      { openings: ['hole'], length: expect.closeTo(20, 9), area: expect.closeTo(25, 9) },
    ]);
  });

  it('cuts what lies inside before what lies round it, open lines too', () => {
    const shapes = [
      shape('outline', square(0, 0, 200)),
      shape('ring', square(20, 20, 100)),
      shape('hole in the ring', square(40, 40, 10)),
      shape('slot in the ring', { closed: false, segments: [line(60, 60, 80, 60)] }),
      shape('slot beside it', { closed: false, segments: [line(150, 60, 180, 60)] }),
      shape('slot outside', { closed: false, segments: [line(250, 60, 280, 60)] }),
    ];
    const order = cut(shapes).map((p) => p.openings[0]!);
    expect([...order].sort()).toEqual(shapes.map((s) => s.id).sort());
    const before = (a: string, b: string) => expect(order.indexOf(a)).toBeLessThan(order.indexOf(b));
    before('hole in the ring', 'ring');
    before('slot in the ring', 'ring');
    before('ring', 'outline');
    before('slot beside it', 'outline');
  });

  it('leaves out what has no length, and says so', () => {
    const done = cutAsDrawn({
      shapes: [
        shape('dot', { closed: true, segments: [line(5, 5, 5, 5)] }),
        shape('slot', { closed: false, segments: [line(0, 0, 30, 0)] }),
      ],
      toMachine: turned,
      tolerance: 0.005,
    });
    expect(done.paths.map((p) => p.openings)).toEqual([['slot']]);
    expect(done.warnings).toEqual([
      { code: 'content-left-out', message: '1 path without any length left out: dot.' },
    ]);
  });
});
