import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { findOverlaps, uncovered } from '../../../src/drawing/join/doubtful/overlap.js';
import { sameLine } from '../../../src/drawing/join/doubtful/same-curve.js';
import type { Segment } from '../../../src/geometry/curve.js';
import { segmentLength } from '../../../src/geometry/measure.js';
import { createRandom } from '../../../src/numeric/random.js';

type Span = readonly [from: number, to: number];

/** On one slanted line, in either direction, rounded as files round. */
const lineOver = ([from, to]: Span, i: number): Segment => {
  const at = (t: number) => ({
    x: Math.round((3 + 0.8 * t) * 1e4) / 1e4,
    y: Math.round((5 + 0.6 * t) * 1e4) / 1e4,
  });
  return i % 2 === 0
    ? { kind: 'line', from: at(from), to: at(to) }
    : { kind: 'line', from: at(to), to: at(from) };
};
/** Round one circle of a radius of 10, one degree to the unit. */
const arcOver = ([from, to]: Span): Segment => ({
  kind: 'arc',
  centre: { x: 40, y: 30 },
  radius: 10,
  start: (from * Math.PI) / 180,
  sweep: ((to - from) * Math.PI) / 180,
});

const lengthOfUnion = (spans: readonly Span[]): number => {
  let length = 0;
  let reached = Number.NEGATIVE_INFINITY;
  for (const [from, to] of [...spans].sort((a, b) => a[0] - b[0])) {
    length += Math.max(0, to - Math.max(from, reached));
    reached = Math.max(reached, to);
  }
  return length;
};

/** What is left of segments when each is relieved of what lies on earlier ones. */
const lengthLeft = (segments: readonly Segment[]): number => {
  const { covers, complete } = findOverlaps(segments, segments.length, sameLine);
  expect(complete).toBe(true);
  return segments.reduce((sum, s, i) => {
    const own = covers.get(i);
    const parts = own === undefined ? [s] : uncovered(s, own, sameLine);
    return sum + parts.reduce((all, part) => all + segmentLength(part), 0);
  }, 0);
};

const spans = (count: number, reach: number, longest: number): Span[] => {
  const random = createRandom('heap');
  return Array.from({ length: count }, () => {
    const from = Math.floor(reach * random.uniform());
    return [from, from + 1 + Math.floor(longest * random.uniform())] as const;
  });
};

describe('lines and arcs that lie on each other by the thousand', () => {
  it('leave once what is drawn many times, and are all looked at', () => {
    for (const [reach, longest] of [
      [900, 100],
      [900, 3],
      [20, 900],
      [300, 300],
    ] as const) {
      const some = spans(1500, reach, longest);
      const left = lengthLeft(some.map(lineOver));
      expect(Math.abs(left - lengthOfUnion(some))).toBeLessThan(0.02 * lengthOfUnion(some));
    }
  });

  it('so do arcs of one circle', () => {
    const some = spans(1000, 200, 60);
    const expected = (lengthOfUnion(some) * 10 * Math.PI) / 180;
    expect(Math.abs(lengthLeft(some.map(arcOver)) - expected)).toBeLessThan(0.02 * expected);
  });

  it('whatever their number, order and length', () => {
    const span = fc.tuple(fc.integer({ min: 0, max: 60 }), fc.integer({ min: 1, max: 30 }));
    fc.assert(
      fc.property(fc.array(span, { minLength: 1, maxLength: 60 }), (drawn) => {
        const some = drawn.map(([from, length]): Span => [from, from + length]);
        expect(Math.abs(lengthLeft(some.map(lineOver)) - lengthOfUnion(some))).toBeLessThan(
          0.02 * some.length,
        );
      }),
      { seed: 20261201, numRuns: 100 },
    );
  });
});
