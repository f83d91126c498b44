/** What tells a wrong boundary from a right one. */
import { describe, expect, it } from 'vitest';
import { agreesWithSides, refuseUncertain } from '../../src/cut/offset/boundary.js';
import { offsetRegion } from '../../src/cut/offset/offset-region.js';
import { sharpestLeft } from '../../src/geometry/rings/around-node.js';
import { StoredRing } from '../../src/geometry/rings/stored-ring.js';
import { arcSpansAbout, lineSpan, origins, type Ring, reversedRing } from '../../src/geometry/spans/span.js';

const disc = (x: number, y: number, r: number, start = 0): Ring =>
  arcSpansAbout(x, y, r, start, 2 * Math.PI, origins.drawn);
const whole = (spans: Ring, tag: number) => ({ spans, tag, chain: tag, from: -1, to: -1 });

describe('a boundary', () => {
  const sides = [disc(0, 0, 20), reversedRing(disc(0, 0, 5))].map((ring, tag) => ({
    stretch: whole(ring, tag),
    left: true,
    right: false,
  }));

  it('agrees with the stretches it was made of', () => {
    expect(agreesWithSides([disc(0, 0, 20), reversedRing(disc(0, 0, 5))], sides)).toBe(true);
  });

  it('does not where a ring is lost', () => {
    expect(agreesWithSides([reversedRing(disc(0, 0, 5))], sides)).toBe(false);
  });

  it('does not where a ring runs the wrong way round', () => {
    expect(agreesWithSides([reversedRing(disc(0, 0, 20)), reversedRing(disc(0, 0, 5))], sides)).toBe(false);
  });

  it('that no engine finds is refused with the names of the openings', () => {
    const region = { rings: [{ ring: new StoredRing(disc(0, 0, 20)), shapes: ['porthole'] }] };
    expect(() => refuseUncertain([region])).toThrow(/no certain boundary for porthole near -20.00, -20.00/);
  });
});

describe('discs that touch', () => {
  it('are followed each by itself where they meet', () => {
    for (const turn of [0, 0.4, 2, -1.3]) {
      const at = (r: number): [number, number] => [r * Math.cos(turn), r * Math.sin(turn)];
      const one = disc(...at(-10), 10, turn);
      const other = disc(...at(10), 10, turn + Math.PI);
      expect(sharpestLeft(one, [other, one])).toBe(1);
      expect(sharpestLeft(other, [other, one])).toBe(0);
    }
  });
});

describe('a region moved', () => {
  it('has the area of a parallel body (Steiner): A + L d + pi d^2', () => {
    const square: Ring = [
      lineSpan(0, 0, 10, 0),
      lineSpan(10, 0, 10, 10),
      lineSpan(10, 10, 0, 10),
      lineSpan(0, 10, 0, 0),
    ];
    const region = { rings: [{ ring: new StoredRing(square), shapes: ['a'] }] };
    const moved = offsetRegion(region, 2, { corners: 'round', mitreLimit: 4 }, 0.005);
    expect(moved.rings[0]!.ring.area).toBeCloseTo(100 + 40 * 2 + Math.PI * 4, 9);
  });
});
