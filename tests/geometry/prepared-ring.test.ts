import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Path, Segment } from '../../src/geometry/curve.js';
import { ringOfPath } from '../../src/geometry/rings/nesting.js';
import { windingNumber } from '../../src/geometry/spans/span.js';

const coordinate = fc.integer({ min: -500, max: 500 }).map((n) => n / 7);
const point = fc.record({ x: coordinate, y: coordinate });

/** Closed rings of lines and cubics, crossing themselves or not. */
const ring: fc.Arbitrary<Path> = fc
  .array(fc.record({ to: point, bent: fc.boolean(), control1: point, control2: point }), {
    minLength: 2,
    maxLength: 60,
  })
  .map((legs) => {
    const segments = legs.map(({ to, bent, control1, control2 }, i): Segment => {
      const from = legs[(i + legs.length - 1) % legs.length]!.to;
      return bent ? { kind: 'cubic', from, control1, control2, to } : { kind: 'line', from, to };
    });
    return { segments, closed: true };
  });

it('a ring of many spans, looked up in an index, holds the same points as all spans asked one by one', () => {
  fc.assert(
    fc.property(ring, fc.array(point, { minLength: 20, maxLength: 20 }), (path, points) => {
      const { prepared } = ringOfPath(path);
      for (const p of points) expect(prepared.holds(p)).toBe(windingNumber([prepared.spans], p.x, p.y) !== 0);
    }),
    { seed: 20261125, numRuns: 100 },
  );
});

it('a slot with half-round ends, whose ends meet but for rounding, lets no ray slip through', () => {
  const slot: Path = {
    segments: [
      { kind: 'line', from: { x: -5, y: -2 }, to: { x: 5, y: -2 } },
      { kind: 'arc', centre: { x: 5, y: 0 }, radius: 2, start: -Math.PI / 2, sweep: Math.PI },
      { kind: 'line', from: { x: 5, y: 2 }, to: { x: -5, y: 2 } },
      { kind: 'arc', centre: { x: -5, y: 0 }, radius: 2, start: Math.PI / 2, sweep: Math.PI },
    ],
    closed: true,
  };
  const { prepared } = ringOfPath(slot);
  fc.assert(
    fc.property(coordinate, fc.oneof(coordinate, fc.constantFrom(-20, 0, 20)), (x, y) => {
      const p = { x: x / 10, y: y / 10 };
      const out = Math.hypot(Math.max(0, Math.abs(p.x) - 5), p.y) - 2;
      if (Math.abs(out) > 1e-9) expect(prepared.holds(p)).toBe(out < 0);
    }),
    { seed: 20261125, numRuns: 500 },
  );
});
