import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  arcSpansAbout,
  distanceToSpan,
  lineSpan,
  origins,
  type Span,
} from '../../src/geometry/spans/span.js';
import { SpanIndex } from '../../src/geometry/spans/span-index.js';
import { sideOfSpan } from '../../src/geometry/spans/span-side.js';
import { createRandom } from '../../src/numeric/random.js';

const someSpans = (seed: number, count: number): Span[] => {
  const random = createRandom(`spans ${seed}`);
  const place = () => 400 * random.uniform();
  return Array.from({ length: count }, (_, i) =>
    i % 3 === 0
      ? arcSpansAbout(place(), place(), 5 + 60 * random.uniform(), 6 * random.uniform(), 2, origins.drawn)[0]!
      : lineSpan(place(), place(), place(), place()),
  );
};

const seeds = fc.integer({ min: 0, max: 1e9 });
const coordinate = fc.double({ min: -200, max: 600, noNaN: true });

test('the nearest of many spans is the one that asking each of them finds', () => {
  fc.assert(
    fc.property(seeds, fc.integer({ min: 1, max: 90 }), coordinate, coordinate, (seed, count, x, y) => {
      const spans = someSpans(seed, count);
      const index = new SpanIndex(spans);
      const least = Math.min(...spans.map((s) => distanceToSpan(s, x, y)));
      expect(index.distance(x, y)).toBe(least);
      expect(distanceToSpan(spans[index.nearest(x, y)]!, x, y)).toBe(least);
    }),
    { seed: 20261125, numRuns: 300 },
  );
});

test('the side of a span is a distance with its gradient, to the left of travel', () => {
  const step = 1e-5;
  fc.assert(
    fc.property(seeds, coordinate, coordinate, (seed, x, y) => {
      const s = someSpans(seed, 3)[seed % 3]!;
      fc.pre(s.radius === 0 || Math.hypot(x - s.cx, y - s.cy) > 1);
      const { left, normalX, normalY } = sideOfSpan(s, x, y);
      expect(Math.hypot(normalX, normalY)).toBeCloseTo(1, 12);
      const byX = (sideOfSpan(s, x + step, y).left - sideOfSpan(s, x - step, y).left) / (2 * step);
      const byY = (sideOfSpan(s, x, y + step).left - sideOfSpan(s, x, y - step).left) / (2 * step);
      expect(byX).toBeCloseTo(normalX, 5);
      expect(byY).toBeCloseTo(normalY, 5);
      expect(Math.abs(left)).toBeLessThanOrEqual(distanceToSpan(s, x, y) + 1e-9);
    }),
    { seed: 20261125, numRuns: 300 },
  );
  expect(sideOfSpan(lineSpan(0, 0, 10, 0), 25, 3).left).toBe(3);
  expect(sideOfSpan(arcSpansAbout(0, 0, 5, 0, 1, origins.drawn)[0]!, -4, 0).left).toBe(1);
});

test('an index of nothing is a mistake of the programmer', () => {
  expect(() => new SpanIndex([])).toThrow(RangeError);
});
