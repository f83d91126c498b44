/** Curves as polylines, by formulas of the tests' own. */
import type { Matrix } from '../../src/geometry/affine.js';
import type { Segment } from '../../src/geometry/curve.js';

export type XY = readonly [number, number];

const position = (s: Segment, t: number): XY => {
  if (s.kind === 'line') return [s.from.x + (s.to.x - s.from.x) * t, s.from.y + (s.to.y - s.from.y) * t];
  if (s.kind === 'cubic') {
    const mix = (a: number, b: number, c: number, d: number): number => {
      // de Casteljau
      const ab = a + (b - a) * t;
      const bc = b + (c - b) * t;
      const cd = c + (d - c) * t;
      const abc = ab + (bc - ab) * t;
      return abc + (bc + (cd - bc) * t - abc) * t;
    };
    return [
      mix(s.from.x, s.control1.x, s.control2.x, s.to.x),
      mix(s.from.y, s.control1.y, s.control2.y, s.to.y),
    ];
  }
  const angle = s.start + s.sweep * t;
  const u = s.kind === 'arc' ? { x: s.radius, y: 0 } : s.u;
  const v = s.kind === 'arc' ? { x: 0, y: s.radius } : s.v;
  return [
    s.centre.x + u.x * Math.cos(angle) + v.x * Math.sin(angle),
    s.centre.y + u.y * Math.cos(angle) + v.y * Math.sin(angle),
  ];
};

/** The chords err less than `chord` mm and turn by less than `turn` radians from one to the next. */
export interface Fineness {
  readonly chord: number;
  readonly turn: number;
}

export const map = (m: Matrix, [x, y]: XY): XY => [m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]];

/**
 * Points of a segment under a map, the last one left out, at equal steps of its parameter: so many that the middle
 * of each step lies within the chord error, doubled until it holds.
 */
export const flattenSegment = (s: Segment, m: Matrix, { chord, turn }: Fineness): XY[] => {
  const at = (t: number): XY => map(m, position(s, t));
  if (s.kind === 'line') return [at(0)];
  for (let n = 8; ; n *= 2) {
    const points = Array.from({ length: n + 1 }, (_, i) => at(i / n));
    let good = n >= 8192;
    if (!good) {
      good = true;
      for (let i = 0; i < n && good; i++) {
        const [ax, ay] = points[i]!;
        const [bx, by] = points[i + 1]!;
        const [px, py] = at((i + 0.5) / n);
        const length = Math.hypot(bx - ax, by - ay);
        const off = length < 1e-12 ? 0 : Math.abs((bx - ax) * (py - ay) - (by - ay) * (px - ax)) / length;
        // On an arc of height h over a chord c the turn is 8 h / c.
        if (off > chord || (length > 1e-4 && (8 * off) / length > turn)) good = false;
      }
    }
    if (good) return points.slice(0, n);
  }
};

export const flattenRing = (ring: readonly Segment[], m: Matrix, fineness: Fineness): XY[] => {
  const out: XY[] = [];
  for (const s of ring) {
    for (const p of flattenSegment(s, m, fineness)) {
      const last = out[out.length - 1];
      if (last === undefined || Math.hypot(p[0] - last[0], p[1] - last[1]) > 1e-9) out.push(p);
    }
  }
  const first = out[0]!;
  const last = out[out.length - 1]!;
  if (out.length > 1 && Math.hypot(first[0] - last[0], first[1] - last[1]) < 1e-9) out.pop();
  return out;
};
