/** Spans too short to be told from a point: which of them go, and how far the ring moves for it. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CutInput, cutOpenings } from '../../src/cut/cut.js';
import { withoutShortSpans } from '../../src/cut/offset/short-spans.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import {
  arcSpan,
  distanceToSpan,
  lineSpan,
  origins,
  type Ring,
  type Span,
  spanPoint,
} from '../../src/geometry/spans/span.js';
import { judge } from './judge.js';
import { between, openingsWithin } from './random-openings.js';
import { cutInput, polygon, shape } from './shapes.js';

const bounds = { shortest: 0.005, atBreaks: 0.00335, elsewhere: 0.00015 };

const points = (ring: Ring): { x: number; y: number }[] =>
  ring.flatMap((span) => Array.from({ length: 40 }, (_, k) => spanPoint(span, k / 40)));

/** The farthest that either ring lies from the other. */
const apart = (one: Ring, other: Ring): number =>
  Math.max(
    ...[[one, other] as const, [other, one] as const].flatMap(([from, to]) =>
      points(from).map(({ x, y }) => Math.min(...to.map((span) => distanceToSpan(span, x, y)))),
    ),
  );

const line = (ax: number, ay: number, bx: number, by: number): Span => lineSpan(ax, ay, bx, by);

/** A square of 10 mm whose corner at (10, 0) is something else. */
const square = (...corner: Span[]): Span[] => [
  line(0, 0, corner[0]!.ax, corner[0]!.ay),
  ...corner,
  line(corner.at(-1)!.bx, corner.at(-1)!.by, 10, 10),
  line(10, 10, 0, 10),
  line(0, 10, 0, 0),
];

describe('a short span between two others', () => {
  it.each<[what: string, ring: Span[]]>([
    ['that cuts off a corner: the lines go on to where they cross', square(line(9.998, 0, 10, 0.002))],
    ['that rounds one off', square(arcSpan(9.998, 0, 10, 0.002, Math.PI / 2, origins.drawn))],
    [
      'that steps aside between lines that run on: one of them is led there',
      square(line(5, 0, 5.0001, 0.002), line(5.0001, 0.002, 10, 0.002)),
    ],
    [
      'that turns by a degree, as a round corner of hardly any turn',
      square(arcSpan(5, 0, 5.0008, 0.000008, 0.019, origins.drawn), line(5.0008, 0.000008, 10, 0.095)),
    ],
    [
      'before an arc: its circle goes on to the line',
      square(line(9.997, 0, 9.999, 0.001), arcSpan(9.999, 0.001, 10, 3, 0.2, origins.drawn)),
    ],
  ])('%s', (_, ring) => {
    const found = withoutShortSpans(
      ring,
      ring.map(() => true),
      bounds,
    );
    expect(found).toHaveLength(ring.length - 1);
    expect(apart(ring, found)).toBeLessThan(bounds.atBreaks);
    found.forEach((span, i) => {
      const next = found[(i + 1) % found.length]!;
      expect(Math.hypot(span.bx - next.ax, span.by - next.ay)).toBeLessThan(1e-9);
    });
  });

  it.each<[what: string, ring: Span[]]>([
    [
      'a step that is farther than the bound',
      square(line(5, 0, 5.0001, 0.0045), line(5.0001, 0.0045, 10, 0.0045)),
    ],
    [
      'a blunt end of a needle, whose sides cross far away',
      [line(0, 0, 100, 0), line(100, 0, 100, 0.004), line(100, 0.004, 0, 1), line(0, 1, 0, 0)],
    ],
  ])('%s stays', (_, ring) => {
    expect(
      withoutShortSpans(
        ring,
        ring.map(() => true),
        bounds,
      ),
    ).toEqual(ring);
  });

  it('between curves that were fitted has no room to spare', () => {
    const corner = [line(9.998, 0, 10, 0.002)];
    const ring = square(...corner);
    expect(
      withoutShortSpans(
        ring,
        ring.map(() => false),
        bounds,
      ),
    ).toHaveLength(ring.length);
  });
});

describe('what is cut', () => {
  it('round a star whose inner corners hardly turn has no segment that nobody could see', () => {
    const corners = Array.from({ length: 12 }, (_, k): [number, number] => {
      const angle = (k * Math.PI) / 6;
      const radius = k % 2 === 0 ? 3 : 3 * Math.cos(Math.PI / 6) * 0.995;
      return [20 + radius * Math.cos(angle), 20 + radius * Math.sin(angle)];
    });
    const input = cutInput([shape('star', polygon(...corners))], {
      kind: 'inlay',
      corners: 'round',
      clearance: 0.05,
    });
    expect(Math.min(...lengths(input))).toBeGreaterThan(0.005);
    expect(judge(input).fault).toBeUndefined();
  });

  it('of random openings hardly ever has one', { timeout: 60_000 }, () => {
    const jobs = fc
      .record({
        openings: fc.oneof(openingsWithin(60), openingsWithin(30)),
        kind: fc.constantFrom('opening' as const, 'inlay' as const),
        corners: fc.constantFrom('round' as const, 'mitre' as const),
        clearance: between(0.1, 1.5),
        turn: between(-3, 3),
      })
      .map(({ openings, kind, corners, clearance, turn }) =>
        cutInput(
          openings,
          { kind, corners, clearance },
          { toBed: compose(translation(100, 50), rotation(turn)) },
        ),
      );
    const short = fc
      .sample(jobs, { seed: 20261201, numRuns: 300 })
      .filter((input) => lengths(input).some((length) => length < 0.005));
    expect(short.length).toBeLessThanOrEqual(2);
  });
});

const lengths = (input: CutInput): number[] =>
  cutOpenings(input).paths.flatMap(({ segments }) =>
    segments.map((s) =>
      s.kind === 'line' ? Math.hypot(s.to.x - s.from.x, s.to.y - s.from.y) : s.radius * Math.abs(s.sweep),
    ),
  );
