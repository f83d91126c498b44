import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { endOf, pathBox, type Segment, segmentBox, startOf } from '../../src/geometry/curve.js';
import { boxOfPath, PackedSegments } from '../../src/geometry/packed-path.js';
import { joinBoxes, type Point } from '../../src/geometry/point.js';
import { pathOf } from '../drawing/svg-text.js';

const point: fc.Arbitrary<Point> = fc.record({
  x: fc.double({ noNaN: true, min: -1e6, max: 1e6 }),
  y: fc.double({ noNaN: true, min: -1e6, max: 1e6 }),
});

describe('a long path', () => {
  it('comes out of its packing as it went in', () => {
    const step = fc.oneof(
      fc.tuple(fc.constant('line' as const), point, point, point),
      fc.tuple(fc.constant('cubic' as const), point, point, point),
      fc.tuple(fc.constant('arc' as const), point, point, point),
    );
    fc.assert(
      fc.property(
        point,
        fc.array(step, { minLength: 1, maxLength: 700 }),
        fc.boolean(),
        (start, steps, closed) => {
          const packed = new PackedSegments(start);
          let from = start;
          const segments = steps.map(([kind, a, b, to]): Segment => {
            const here = from;
            from = to;
            if (kind === 'line') {
              packed.line(to);
              return { kind, from: here, to };
            }
            if (kind === 'cubic') {
              packed.cubic(a, b, to);
              return { kind, from: here, control1: a, control2: b, to };
            }
            const arc: Segment = { kind, centre: a, radius: 3, start: b.x, sweep: b.y };
            packed.other(arc, to);
            return arc;
          });
          const path = packed.path(closed);
          expect(path.closed).toBe(closed);
          expect(path.segments).toEqual(segments);
          expect(path.segments).toEqual(segments);
        },
      ),
      { seed: 20261125, numRuns: 60 },
    );
  });

  it('is read from a drawing like a short one, joints and closing included', () => {
    const waves = 'c1 2 3 2 4 0a2 2 0 0 1 4 0l-3 1h-1v-1'.repeat(40);
    const whole = pathOf(`M10 10${waves}L10.0000001 10`);
    expect(whole.closed).toBe(true);
    expect(whole.segments).toHaveLength(201);
    whole.segments.forEach((s, i) => {
      const next = whole.segments[(i + 1) % 201]!;
      expect(Math.hypot(endOf(s).x - startOf(next).x, endOf(s).y - startOf(next).y)).toBeLessThan(1e-9);
    });
    const half = pathOf(`M10 10${'c1 2 3 2 4 0a2 2 0 0 1 4 0l-3 1h-1v-1'.repeat(8)}`);
    expect(whole.segments.slice(0, 40)).toEqual(half.segments);
  });

  it('has the box of its segments, packed and unpacked', () => {
    for (const waves of [
      'l1 2h3v-1',
      'c1 2 3 2 4 0',
      'c9 2 -3 2 4 0s1 -5 2 0',
      'a2 2 0 0 1 4 0c1 2 3 2 4 0l-3 1',
    ]) {
      const ring = pathOf(`M10 10${waves.repeat(40)}z`);
      const box = ring.segments.map(segmentBox).reduce(joinBoxes);
      expect(boxOfPath(ring)).toEqual(box);
      expect(pathBox({ segments: ring.segments, closed: true })).toEqual(box);
    }
  });
});
