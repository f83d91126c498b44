/** Many strongly bent openings on one panel: rings of eight cubics each, in rows, no two of which touch. */
import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Cubic, Path } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

const across = 50;

/** Where a ring runs at the angle t, and its derivative: r = 7 + 2 sin(3 t + phase). */
const ringAt = (t: number, phase: number): { at: Point; along: Point } => {
  const r = 7 + 2 * Math.sin(3 * t + phase);
  const dr = 6 * Math.cos(3 * t + phase);
  const [c, s] = [Math.cos(t), Math.sin(t)];
  return { at: { x: r * c, y: r * s }, along: { x: dr * c - r * s, y: dr * s + r * c } };
};

const wavyPath = (x: number, y: number, phase: number): Path => {
  const step = Math.PI / 4;
  const segments = Array.from({ length: 8 }, (_, k): Cubic => {
    const from = ringAt(k * step, phase);
    const to = ringAt(((k + 1) % 8) * step, phase);
    const place = (p: Point, d: Point, share: number): Point => ({
      x: x + p.x + d.x * share,
      y: y + p.y + d.y * share,
    });
    return {
      kind: 'cubic',
      from: place(from.at, from.along, 0),
      control1: place(from.at, from.along, step / 3),
      control2: place(to.at, to.along, -step / 3),
      to: place(to.at, to.along, 0),
    };
  });
  return { segments, closed: true };
};

/** `count` openings, 22 x 20 mm apart; 2,000 of them are 16,000 cubics. */
export const wavyOpenings = (count: number): Shape[] =>
  Array.from({ length: count }, (_, i) => ({
    id: `opening-${i}`,
    named: true,
    layers: ['openings'],
    element: 'path',
    paths: [wavyPath(25 + 22 * (i % across), 25 + 20 * Math.floor(i / across), i)],
  }));
