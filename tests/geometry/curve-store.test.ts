import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { endOf, pathBox, type Segment, segmentBox, startOf } from '../../src/geometry/curve.js';
import { CurveStore } from '../../src/geometry/curve-store.js';
import { joinBoxes, type Point } from '../../src/geometry/point.js';
import { boxOfPath, StoredPath } from '../../src/geometry/stored-path.js';
import { pathOf } from '../drawing/svg-text.js';

const point: fc.Arbitrary<Point> = fc.record({
  x: fc.double({ noNaN: true, min: -1e6, max: 1e6 }),
  y: fc.double({ noNaN: true, min: -1e6, max: 1e6 }),
});

describe('a path in a store', () => {
  it('comes out as it went in', () => {
    const step = fc.oneof(
      fc.tuple(fc.constant('line' as const), point, point, point),
      fc.tuple(fc.constant('cubic' as const), point, point, point),
      fc.tuple(fc.constant('arc' as const), point, point, point),
      fc.tuple(fc.constant('elliptical-arc' as const), point, point, point),
    );
    fc.assert(
      fc.property(
        point,
        fc.array(step, { minLength: 1, maxLength: 700 }),
        fc.boolean(),
        (start, steps, closed) => {
          const curves = new CurveStore();
          // Others before and behind, and one that is given up.
          curves.single({ kind: 'arc', centre: start, radius: 1, start: 0, sweep: 1 }, false);
          curves.begin(1, 2);
          curves.line(3, 4);
          curves.begin(start.x, start.y);
          let from = start;
          const segments = steps.map(([kind, a, b, to]): Segment => {
            const here = from;
            from = to;
            const segment: Segment =
              kind === 'line'
                ? { kind, from: here, to }
                : kind === 'cubic'
                  ? { kind, from: here, control1: a, control2: b, to }
                  : kind === 'arc'
                    ? { kind, centre: a, radius: 3, start: b.x, sweep: b.y }
                    : { kind, centre: a, u: b, v: to, start: a.y, sweep: b.y };
            curves.add(segment, to.x, to.y);
            return segment;
          });
          curves.keep(closed);
          const ellipse = {
            kind: 'elliptical-arc',
            centre: start,
            u: from,
            v: start,
            start: 1,
            sweep: 2,
          } as const;
          curves.single(ellipse, true);
          expect(curves.segmentsOf(2)).toEqual([ellipse]);
          expect(curves.isClosed(2)).toBe(true);
          const path = new StoredPath(curves, 1);
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

  it('has the box of its segments, in a store and as objects', () => {
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
