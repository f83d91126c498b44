/** Openings drawn for the tests of the cut, and a job with defaults to cut them in. */
import type { CutInput } from '../../src/cut/cut.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { identity } from '../../src/geometry/affine.js';
import type { Cubic, Line, Path, Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

export const shape = (id: string, ...paths: readonly (readonly Segment[])[]): Shape => ({
  id,
  named: true,
  layers: ['openings'],
  element: 'path',
  paths: paths.map((segments) => ({ segments, closed: true })),
});

/** Corners as pairs; the last is joined to the first. */
export const polygon = (...corners: readonly (readonly [number, number])[]): Line[] =>
  corners.map(([x, y], i) => {
    const [toX, toY] = corners[(i + 1) % corners.length]!;
    return { kind: 'line', from: { x, y }, to: { x: toX, y: toY } };
  });

export const rectangle = (x: number, y: number, width: number, height: number): Line[] =>
  polygon([x, y], [x + width, y], [x + width, y + height], [x, y + height]);

export const circle = (x: number, y: number, radius: number): Segment[] => [
  { kind: 'arc', centre: { x, y }, radius, start: 0, sweep: 2 * Math.PI },
];

export const ellipse = (x: number, y: number, a: number, b: number, turn = 0): Segment[] => {
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  return [
    {
      kind: 'elliptical-arc',
      centre: { x, y },
      u: { x: a * c, y: a * s },
      v: { x: -b * s, y: b * c },
      start: 0,
      sweep: 2 * Math.PI,
    },
  ];
};

export const roundedRectangle = (
  x: number,
  y: number,
  width: number,
  height: number,
  r: number,
): Segment[] => {
  const corner = (cx: number, cy: number, start: number): Segment => ({
    kind: 'arc',
    centre: { x: cx, y: cy },
    radius: r,
    start,
    sweep: Math.PI / 2,
  });
  const line = (ax: number, ay: number, bx: number, by: number): Segment => ({
    kind: 'line',
    from: { x: ax, y: ay },
    to: { x: bx, y: by },
  });
  return [
    line(x + r, y, x + width - r, y),
    corner(x + width - r, y + r, -Math.PI / 2),
    line(x + width, y + r, x + width, y + height - r),
    corner(x + width - r, y + height - r, 0),
    line(x + width - r, y + height, x + r, y + height),
    corner(x + r, y + height - r, Math.PI / 2),
    line(x, y + height - r, x, y + r),
    corner(x + r, y + r, Math.PI),
  ];
};

/** A pointed star with `points` tips at radius `outer`. */
export const star = (x: number, y: number, points: number, outer: number, inner: number, turn = 0): Line[] =>
  polygon(
    ...Array.from({ length: 2 * points }, (_, i): [number, number] => {
      const r = i % 2 === 0 ? outer : inner;
      const angle = turn + (i * Math.PI) / points;
      return [x + r * Math.cos(angle), y + r * Math.sin(angle)];
    }),
  );

const cubic = (a: Point, b: Point, c: Point, d: Point): Cubic => ({
  kind: 'cubic',
  from: a,
  control1: b,
  control2: c,
  to: d,
});

/** A leaf of two cubics, pointed at both ends; `bulge` is how far its control points lie off the axis. */
export const leaf = (x: number, y: number, length: number, bulge: number, turn = 0): Cubic[] => {
  const at = (along: number, across: number): Point => ({
    x: x + along * Math.cos(turn) - across * Math.sin(turn),
    y: y + along * Math.sin(turn) + across * Math.cos(turn),
  });
  const a = at(0, 0);
  const b = at(length, 0);
  return [
    cubic(a, at(length * 0.3, -bulge), at(length * 0.75, -bulge * 0.8), b),
    cubic(b, at(length * 0.7, bulge * 0.9), at(length * 0.25, bulge), a),
  ];
};

/** Cubics through r(t) about a centre, matching position and direction at equal steps of t (Hermite form). */
export const closedCurve = (
  x: number,
  y: number,
  pieces: number,
  radius: (t: number) => number,
  turns = 1,
): Cubic[] => {
  const at = (t: number): Point => ({ x: x + radius(t) * Math.cos(t), y: y + radius(t) * Math.sin(t) });
  const h = (2 * Math.PI * turns) / pieces;
  const slope = (t: number): Point => {
    const e = 1e-4;
    const p = at(t - e);
    const q = at(t + e);
    return { x: (q.x - p.x) / (2 * e), y: (q.y - p.y) / (2 * e) };
  };
  return Array.from({ length: pieces }, (_, i) => {
    const t0 = i * h;
    const t1 = i === pieces - 1 ? 0 : (i + 1) * h;
    const p = at(t0);
    const q = at(t1);
    const d = slope(t0);
    const e = slope(t1);
    return cubic(
      p,
      { x: p.x + (d.x * h) / 3, y: p.y + (d.y * h) / 3 },
      { x: q.x - (e.x * h) / 3, y: q.y - (e.y * h) / 3 },
      q,
    );
  });
};

/** A ring of eight cubics, r = 7 + 2 sin(3 t + phase), times `size`. */
export const wavyRing = (x: number, y: number, phase: number, size = 1): Cubic[] =>
  closedCurve(x, y, 8, (t) => size * (7 + 2 * Math.sin(3 * t + phase)));

/** A letter C: a band of `width` along the arc of `radius`, open over `gap` radians, with straight ends. */
export const letterC = (x: number, y: number, radius: number, width: number, gap: number): Segment[] => {
  const centre = { x, y };
  const sweep = 2 * Math.PI - gap;
  const outer = radius + width / 2;
  const inner = radius - width / 2;
  const on = (r: number, angle: number): Point => ({
    x: x + r * Math.cos(angle),
    y: y + r * Math.sin(angle),
  });
  return [
    { kind: 'arc', centre, radius: outer, start: gap / 2, sweep },
    { kind: 'line', from: on(outer, gap / 2 + sweep), to: on(inner, gap / 2 + sweep) },
    { kind: 'arc', centre, radius: inner, start: gap / 2 + sweep, sweep: -sweep },
    { kind: 'line', from: on(inner, gap / 2), to: on(outer, gap / 2) },
  ];
};

/** A band of `width` along a spiral that leaves the centre by `pitch` per turn, of cubics, `turns` turns from the first. */
export const spiral = (x: number, y: number, pitch: number, width: number, turns: number): Segment[] => {
  const at = (t: number, off: number): Point => {
    const r = (pitch * t) / (2 * Math.PI) + off;
    return { x: x + r * Math.cos(t), y: y + r * Math.sin(t) };
  };
  const slope = (t: number, off: number): Point => {
    const r = (pitch * t) / (2 * Math.PI) + off;
    const g = pitch / (2 * Math.PI);
    return { x: g * Math.cos(t) - r * Math.sin(t), y: g * Math.sin(t) + r * Math.cos(t) };
  };
  const first = 2 * Math.PI;
  const last = first + 2 * Math.PI * turns;
  const run = (from: number, to: number, off: number): Cubic[] => {
    const n = Math.ceil(Math.abs(to - from) / (Math.PI / 4));
    const h = (to - from) / n;
    return Array.from({ length: n }, (_, i) => {
      const p = at(from + i * h, off);
      const q = at(from + (i + 1) * h, off);
      const d = slope(from + i * h, off);
      const e = slope(from + (i + 1) * h, off);
      return cubic(
        p,
        { x: p.x + (d.x * h) / 3, y: p.y + (d.y * h) / 3 },
        { x: q.x - (e.x * h) / 3, y: q.y - (e.y * h) / 3 },
        q,
      );
    });
  };
  const out = run(first, last, width / 2);
  const back = run(last, first, -width / 2);
  return [
    ...out,
    { kind: 'line', from: at(last, width / 2), to: at(last, -width / 2) },
    ...back,
    { kind: 'line', from: at(first, -width / 2), to: at(first, width / 2) },
  ];
};

/** The same closed path, traversed the other way. */
export const backwards = (segments: readonly Segment[]): Segment[] =>
  segments
    .map((s): Segment => {
      if (s.kind === 'line') return { ...s, from: s.to, to: s.from };
      if (s.kind === 'cubic')
        return { ...s, from: s.to, control1: s.control2, control2: s.control1, to: s.from };
      return { ...s, start: s.start + s.sweep, sweep: -s.sweep };
    })
    .reverse();

export type CutSettings = Partial<CutInput['cut']>;

/** An input with defaults: no placement, opening, round corners, clearance 0.5 mm, no kerf. */
export const cutInput = (
  openings: readonly Shape[],
  settings: CutSettings = {},
  rest: Partial<Omit<CutInput, 'openings' | 'cut'>> = {},
): CutInput => ({
  openings,
  outline: [],
  toBed: identity,
  toMachine: identity,
  pierced: { kerf: 0, compensated: true },
  ...rest,
  cut: {
    kind: 'opening',
    clearance: 0.5,
    kerf: 0,
    corners: 'round',
    mitreLimit: 4,
    tolerance: 0.005,
    smallestLand: 0,
    apply: 'full',
    ...settings,
  },
});

export const closedPath = (segments: readonly Segment[]): Path => ({ segments, closed: true });
