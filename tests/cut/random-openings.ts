/** Random openings of all kinds, for properties. */
import fc from 'fast-check';
import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Segment } from '../../src/geometry/curve.js';
import {
  backwards,
  circle,
  ellipse,
  leaf,
  letterC,
  polygon,
  rectangle,
  roundedRectangle,
  shape,
  spiral,
  star,
  wavyRing,
} from './shapes.js';

/** Evenly spread, unlike fc.double, of whose values most lie within a hair of zero. */
export const between = (min: number, max: number): fc.Arbitrary<number> =>
  fc.integer({ min: 0, max: 1_000_000 }).map((k) => min + ((max - min) * k) / 1_000_000);
const angle = between(0, 6.28);

/** One closed path about the origin, a few millimetres across. */
const ring: fc.Arbitrary<Segment[]> = fc.oneof(
  between(0.3, 6).map((r): Segment[] => circle(0, 0, r)),
  fc.tuple(between(1, 9), between(0.3, 4), angle).map(([a, b, t]): Segment[] => ellipse(0, 0, a, b, t)),
  fc
    .tuple(fc.integer({ min: 3, max: 8 }), between(3, 8), between(0.3, 0.9), angle)
    .map(([n, r, part, t]): Segment[] => star(0, 0, n, r, r * part, t)),
  fc.tuple(between(4, 20), between(0.5, 8), angle).map(([l, b, t]): Segment[] => leaf(0, 0, l, b, t)),
  fc
    .tuple(between(4, 12), between(4, 12), between(0.2, 1.9))
    .map(([w, h, r]): Segment[] => roundedRectangle(-w / 2, -h / 2, w, h, r)),
  fc.tuple(between(0.3, 10), between(0.3, 10)).map(([w, h]): Segment[] => rectangle(-w / 2, -h / 2, w, h)),
  fc.tuple(angle, between(0.2, 0.9)).map(([p, s]): Segment[] => wavyRing(0, 0, p, s)),
  fc.tuple(between(3, 7), between(0.5, 2.5), between(0.05, 2)).map(([r, w, g]) => letterC(0, 0, r, w, g)),
  fc
    .tuple(between(1.5, 4), between(0.3, 0.95), between(0.6, 2))
    .map(([p, w, n]) => spiral(0, 0, p, p * w, n)),
  fc
    .array(fc.tuple(between(-6, 6), between(-6, 6)), { minLength: 3, maxLength: 8 })
    .map((corners): Segment[] => polygon(...corners)),
  fc
    .array(fc.array(fc.tuple(between(-6, 6), between(-6, 6)), { minLength: 3, maxLength: 3 }), {
      minLength: 2,
      maxLength: 4,
    })
    .map((pieces): Segment[] =>
      pieces.map(([p, q, r], i) => {
        const [toX, toY] = pieces[(i + 1) % pieces.length]![0]!;
        const at = (pair: readonly [number, number]) => ({ x: pair[0], y: pair[1] });
        return { kind: 'cubic', from: at(p!), control1: at(q!), control2: at(r!), to: { x: toX, y: toY } };
      }),
    ),
);

export const moved = (segments: readonly Segment[], x: number, y: number): Segment[] => {
  const at = (p: { x: number; y: number }) => ({ x: p.x + x, y: p.y + y });
  return segments.map((s): Segment => {
    if (s.kind === 'line') return { ...s, from: at(s.from), to: at(s.to) };
    if (s.kind === 'cubic')
      return { ...s, from: at(s.from), control1: at(s.control1), control2: at(s.control2), to: at(s.to) };
    return { ...s, centre: at(s.centre) };
  });
};

/** Some openings spread over a field of `size` mm, so that they may overlap, nest, or lie apart. */
export const openingsWithin = (size: number): fc.Arbitrary<Shape[]> =>
  fc
    .array(fc.tuple(ring, between(0, size), between(0, size), fc.boolean()), { minLength: 1, maxLength: 6 })
    .map((list) =>
      list.map(([r, x, y, turned], i) => shape(`s${i}`, moved(turned ? backwards(r) : r, x, y))),
    );

export const anyOpenings: fc.Arbitrary<Shape[]> = fc.oneof(
  openingsWithin(60),
  openingsWithin(25),
  openingsWithin(8),
);
