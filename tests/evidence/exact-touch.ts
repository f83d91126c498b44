/**
 * Whether a new edge touches an existing one, by the geometry of polygons itself: no normals, no linear formula.
 * The yardstick of the studies; itself held against a buffer of another library in exact-touch.test.ts.
 */
import { apply, type Matrix } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';

/** Rings of an opening, holes included; any winding. */
export type Rings = readonly (readonly Point[])[];

export interface NewEdge {
  readonly kind: 'opening' | 'inlay';
  readonly corners: 'round' | 'mitre';
  readonly mitreLimit: number;
  /** Radius of the beam that makes the new edge, mm; absent: none, so that a mitre is pointed. */
  readonly beam?: number;
}

export const placedRings = (matrix: Matrix, rings: Rings): Rings =>
  rings.map((ring) => ring.map((p) => apply(matrix, p)));

const parity = (p: Point, rings: Rings): boolean => {
  let inside = false;
  for (const ring of rings) {
    let a = ring[ring.length - 1]!;
    for (const b of ring) {
      if (a.y > p.y !== b.y > p.y && p.x < a.x + ((p.y - a.y) / (b.y - a.y)) * (b.x - a.x)) inside = !inside;
      a = b;
    }
  }
  return inside;
};

const boundaryDistance = (p: Point, rings: Rings): number => {
  let least = Number.POSITIVE_INFINITY;
  for (const ring of rings) {
    let a = ring[ring.length - 1]!;
    for (const b of ring) {
      const ux = b.x - a.x;
      const uy = b.y - a.y;
      let t = ((p.x - a.x) * ux + (p.y - a.y) * uy) / (ux * ux + uy * uy);
      t = Math.max(0, Math.min(1, t));
      const dx = p.x - a.x - t * ux;
      const dy = p.y - a.y - t * uy;
      const squares = dx * dx + dy * dy;
      if (squares < least) least = squares;
      a = b;
    }
  }
  return Math.sqrt(least);
};

interface Corner {
  readonly at: Point;
  /** Unit normals out of the set-back region, of the edge before and after. */
  readonly before: Point;
  readonly after: Point;
  /** Convex as seen from the side that is set back. */
  readonly convex: boolean;
}

/** Corners with normals that point where the new edge goes; found by testing points, so no winding is trusted. */
const cornersOf = (rings: Rings, outwards: boolean): Corner[] =>
  rings.flatMap((ring) => {
    const normals = ring.map((a, i) => {
      const b = ring[(i + 1) % ring.length]!;
      const size = Math.hypot(b.x - a.x, b.y - a.y);
      const n = { x: (b.y - a.y) / size, y: -(b.x - a.x) / size };
      const probe = { x: (a.x + b.x) / 2 + 1e-6 * n.x, y: (a.y + b.y) / 2 + 1e-6 * n.y };
      return parity(probe, rings) === outwards ? { x: -n.x, y: -n.y } : n;
    });
    return ring.map((at, i) => {
      const before = normals[(i + ring.length - 1) % ring.length]!;
      const after = normals[i]!;
      const next = ring[(i + 1) % ring.length]!;
      // The next point lies behind the line of the edge before: the corner points outwards.
      const convex = (next.x - at.x) * before.x + (next.y - at.y) * before.y < 0;
      return { at, before, after, convex };
    });
  });

/** Ready to be asked for many clearances. */
export interface Touch {
  readonly existing: Rings;
  readonly estimated: Rings;
  readonly edge: NewEdge;
  readonly corners: readonly Corner[];
  /** Distance of each existing vertex outside the estimated region (the waste), 0 within it. */
  readonly away: readonly number[];
}

/**
 * `estimated`: the opening where the fit puts it, from which the new edge is set back; `existing`: where it is.
 */
export const prepareTouch = (existing: Rings, estimated: Rings, edge: NewEdge): Touch => {
  const outwards = edge.kind === 'opening';
  const away = existing.flatMap((ring) =>
    ring.map((p) => (parity(p, estimated) === outwards ? 0 : boundaryDistance(p, estimated))),
  );
  return { existing, estimated, edge, corners: cornersOf(estimated, outwards), away };
};

/** True when the new edge at this clearance meets or crosses the existing edge. */
export const touches = ({ existing, estimated, edge, corners, away }: Touch, clearance: number): boolean => {
  const outwards = edge.kind === 'opening';
  // An existing vertex outside the set-back region.
  let v = 0;
  for (const ring of existing) {
    for (const p of ring) {
      if (away[v++]! >= clearance && !isUnderMitre(p, corners, edge, clearance)) return true;
      if (isBeyondBeam(p, corners, edge, clearance)) return true;
    }
  }
  // A hollow corner of the new edge outside the existing region's complement: it pokes through an existing edge.
  for (const { at, before, after, convex } of corners) {
    if (convex) continue;
    const scale = clearance / (1 + before.x * after.x + before.y * after.y);
    const notch = { x: at.x + scale * (before.x + after.x), y: at.y + scale * (before.y + after.y) };
    const isReal =
      parity(notch, estimated) !== outwards && boundaryDistance(notch, estimated) >= clearance - 1e-9;
    if (isReal && parity(notch, existing) === outwards) return true;
  }
  return false;
};

/** Within the tip that a mitred corner adds to the rounded one. */
const isUnderMitre = (p: Point, corners: readonly Corner[], edge: NewEdge, clearance: number): boolean => {
  if (edge.corners === 'round') return false;
  for (const { at, before, after, convex } of corners) {
    if (!convex) continue;
    const x = p.x - at.x;
    const y = p.y - at.y;
    const toBefore = x * before.x + y * before.y;
    const toAfter = x * after.x + y * after.y;
    if (toBefore >= clearance || toAfter >= clearance || x * x + y * y > (edge.mitreLimit * clearance) ** 2)
      continue;
    const cosine = before.x * after.x + before.y * after.y;
    // Beyond the limit the corner is rounded: 1 / sin(half the inner angle) = sqrt(2 / (1 + cosine)).
    if (2 > edge.mitreLimit ** 2 * (1 + cosine)) continue;
    // In the cone of the two normals: nearer to each normal than the other normal is.
    if (toBefore >= cosine * toAfter - 1e-12 && toAfter >= cosine * toBefore - 1e-12)
      return !isPastTip(p, { at, before, after, convex }, edge.beam ?? 0, clearance);
  }
  return false;
};

/**
 * Farther from the corner of the beam's path than the beam is wide, in the cone where that corner is the nearest of the
 * path. A path with a corner lies the clearance less the beam's radius outside the drawn corner, or inside it.
 */
const isPastTip = (p: Point, { at, before, after }: Corner, beam: number, clearance: number): boolean => {
  const cosine = before.x * after.x + before.y * after.y;
  const scale = (clearance - beam) / (1 + cosine);
  const x = p.x - at.x - scale * (before.x + after.x);
  const y = p.y - at.y - scale * (before.y + after.y);
  const toBefore = x * before.x + y * before.y;
  const toAfter = x * after.x + y * after.y;
  if (toBefore < cosine * toAfter || toAfter < cosine * toBefore) return false;
  return x * x + y * y > beam * beam;
};

/** In a corner that a beam wider than twice the clearance does not reach. */
const isBeyondBeam = (p: Point, corners: readonly Corner[], edge: NewEdge, clearance: number): boolean => {
  const { beam = 0 } = edge;
  if (beam <= clearance) return false;
  return corners.some(
    (corner) =>
      corner.convex &&
      Math.hypot(p.x - corner.at.x, p.y - corner.at.y) < 4 * beam &&
      isPastTip(p, corner, beam, clearance),
  );
};

/** The clearance at which the new edge just touches, mm, to 1e-7; 0 when it does at none. */
export const exactApproach = (touch: Touch): number => {
  let low = 0;
  let high = 1e-3;
  while (touches(touch, high)) {
    low = high;
    high *= 2;
  }
  while (high - low > 1e-7 && high > 1e-9) {
    const middle = (low + high) / 2;
    if (touches(touch, middle)) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
};
