/**
 * A closed chain of lines and arcs: corners, and of each side between two of them its bulge, tan(sweep / 4), 0 for a line and
 * positive for a turn to the left. Coordinates in pixels, y up. The distance of a point from a side is a ratio of
 * polynomials in these numbers, so that it stays exact where an arc is nearly straight.
 */
import type { Point } from '../../geometry/point.js';

export interface Side {
  readonly kind: 'line' | 'arc';
  bulge: number;
}

export interface Chain {
  /** Where side k begins; it ends where the next one begins. */
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly sides: Side[];
}

/** What the distance of a point from a side is made of. */
export interface SideForm {
  readonly mx: number;
  readonly my: number;
  /** Unit vector along the chord. */
  readonly ex: number;
  readonly ey: number;
  readonly quarter: number;
  readonly rise: number;
  readonly norm: number;
  /** Distance at which the middle level of a blurred edge lies from the edge: towards the centre of its curvature. */
  readonly inward: number;
}

/** @param blur sd, pixels */
export const sideForm = (
  ax: number,
  ay: number,
  bx: number,
  by: number,
  bulge: number,
  blur: number,
): SideForm => {
  const dx = bx - ax;
  const dy = by - ay;
  const chord = Math.sqrt(dx * dx + dy * dy) || 1e-9;
  const rise = (bulge * chord) / 2;
  const quarter = (chord * chord) / 4;
  const norm = rise * rise + quarter;
  return {
    mx: (ax + bx) / 2,
    my: (ay + by) / 2,
    ex: dx / chord,
    ey: dy / chord,
    quarter,
    rise,
    norm,
    // Heat spreads from a curved front as from a straight one that has moved by sd^2 / 2 times its curvature, 2 rise / norm.
    inward: (blur * blur * rise) / norm,
  };
};

/** Of a point from the line or circle of a side, positive on its left; what blur does to the edge is taken off. */
export const distanceFromSide = (f: SideForm, x: number, y: number): number => {
  const px = x - f.mx;
  const py = y - f.my;
  const s = px * f.ex + py * f.ey;
  const h = py * f.ex - px * f.ey;
  return (h * (f.quarter - f.rise * f.rise) - f.rise * (s * s + h * h - f.quarter)) / f.norm - f.inward;
};

export const formOf = (chain: Chain, k: number, blur: number): SideForm => {
  const next = k + 1 === chain.x.length ? 0 : k + 1;
  return sideForm(chain.x[k]!, chain.y[k]!, chain.x[next]!, chain.y[next]!, chain.sides[k]!.bulge, blur);
};

/** Direction of travel where side k begins and where it ends, radians. */
export const directionAtStart = (chain: Chain, k: number): number => {
  const next = (k + 1) % chain.x.length;
  return (
    Math.atan2(chain.y[next]! - chain.y[k]!, chain.x[next]! - chain.x[k]!) -
    2 * Math.atan(chain.sides[k]!.bulge)
  );
};
export const directionAtEnd = (chain: Chain, k: number): number => {
  const next = (k + 1) % chain.x.length;
  return (
    Math.atan2(chain.y[next]! - chain.y[k]!, chain.x[next]! - chain.x[k]!) +
    2 * Math.atan(chain.sides[k]!.bulge)
  );
};

/** By how much the chain turns at the beginning of side k, -pi..pi, positive to the left. */
export const turnAt = (chain: Chain, k: number): number => {
  const n = chain.x.length;
  return wrapped(directionAtStart(chain, k) - directionAtEnd(chain, (k + n - 1) % n));
};

export const wrapped = (angle: number): number => {
  const a = angle % (2 * Math.PI);
  return a > Math.PI ? a - 2 * Math.PI : a <= -Math.PI ? a + 2 * Math.PI : a;
};

export const chordOf = (chain: Chain, k: number): number => {
  const next = (k + 1) % chain.x.length;
  return Math.hypot(chain.x[next]! - chain.x[k]!, chain.y[next]! - chain.y[k]!);
};

export const lengthOf = (chain: Chain, k: number): number => {
  const chord = chordOf(chain, k);
  const half = 2 * Math.atan(chain.sides[k]!.bulge);
  return Math.abs(half) < 1e-6 ? chord : (chord * half) / Math.sin(half);
};

/** Radius of side k; undefined for a line. */
export const radiusOf = (chain: Chain, k: number): number | undefined => {
  const { bulge } = chain.sides[k]!;
  if (bulge === 0) return undefined;
  return (chordOf(chain, k) * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
};

/** A point a fraction t of the way along side k. */
export const pointOn = (chain: Chain, k: number, t: number): Point => {
  const next = (k + 1) % chain.x.length;
  const ax = chain.x[k]!;
  const ay = chain.y[k]!;
  const bx = chain.x[next]!;
  const by = chain.y[next]!;
  const half = 2 * Math.atan(chain.sides[k]!.bulge);
  if (Math.abs(half) < 1e-7) return { x: ax + t * (bx - ax), y: ay + t * (by - ay) };
  // A chord of the first part of the arc: it turns by half the angle of that part from the tangent at the start.
  const part = Math.sin(half * t) / Math.sin(half);
  const turn = half * (t - 1);
  const c = Math.cos(turn) * part;
  const s = Math.sin(turn) * part;
  return { x: ax + c * (bx - ax) - s * (by - ay), y: ay + s * (bx - ax) + c * (by - ay) };
};

/** Distance of a point from the stretch that side k really covers. */
export const distanceToSide = (chain: Chain, k: number, x: number, y: number): number => {
  const next = (k + 1) % chain.x.length;
  const ax = chain.x[k]!;
  const ay = chain.y[k]!;
  const bx = chain.x[next]!;
  const by = chain.y[next]!;
  const ends = Math.min(Math.hypot(x - ax, y - ay), Math.hypot(x - bx, y - by));
  const form = sideForm(ax, ay, bx, by, chain.sides[k]!.bulge, 0);
  const px = x - form.mx;
  const py = y - form.my;
  const s = px * form.ex + py * form.ey;
  const h = py * form.ex - px * form.ey;
  if (form.rise === 0) return s * s > form.quarter ? ends : Math.abs(h);
  const radius = form.norm / (2 * Math.abs(form.rise));
  // The centre lies on the left for a turn to the left, at this height over the chord.
  const centre = (form.quarter - form.rise * form.rise) / (2 * form.rise);
  const angle = Math.abs(Math.atan2(s, (centre - h) * Math.sign(form.rise)));
  const within = angle <= Math.abs(2 * Math.atan(chain.sides[k]!.bulge));
  return within ? Math.abs(Math.hypot(s, h - centre) - radius) : ends;
};
