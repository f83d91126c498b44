/** The existing edges of the placed openings, as places with the direction in which the new edge is set back. */
import type { Shape } from '../drawing/model/drawing.js';
import { apply, invert, type Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import { edgeRings } from '../verdict/edges/edge-rings.js';
import { fieldsOfChain } from '../verdict/edges/edge-samples.js';

/** A place of an existing edge. True bed mm but for `drawn`. */
export interface EdgePlace {
  /** Index and id of the opening. */
  readonly index: number;
  readonly opening: string;
  readonly at: Point;
  /** Unit vector from the existing edge to where the new one belongs. */
  readonly normal: Point;
  /** The same place in the drawing, mm. */
  readonly drawn: Point;
  /** Of the existing edge, 1/mm: above 0 where its set-back directions spread. */
  readonly curvature: number;
  /** Along the edge to the nearest corner, mm; undefined on an edge without one. */
  readonly fromCorner?: number;
}

export interface EdgesToWalk {
  readonly openings: readonly Shape[];
  /** Drawing -> true bed mm, `face` included. */
  readonly toBed: Matrix;
  /** By how much the existing edge lies within the material beside the drawn one, mm: half the kerf that pierced it. */
  readonly grown: number;
  readonly kind: 'opening' | 'inlay';
}

/** A stretch of an edge without a corner between its ends, straight or bent by a degree or two at most. */
export interface Stretch {
  readonly index: number;
  /** Existing edge, true bed mm. */
  readonly x: number;
  readonly y: number;
  readonly toX: number;
  readonly toY: number;
  /** Set-back direction at both ends. */
  readonly normal: Point;
  readonly toNormal: Point;
  /** mm from the ring's start, or from its first corner. */
  readonly from: number;
  readonly length: number;
  /** Number of its ring, and the places of the ring's corners along it. */
  readonly ring: number;
}

export interface Walk {
  readonly stretches: readonly Stretch[];
  readonly rings: readonly { readonly length: number; readonly corners: readonly number[] }[];
  readonly edges: EdgesToWalk;
}

/** Normals turn by less from one point of a smooth edge to the next, radians. */
const fineness = { turn: 0.02, arm: 1e-3 };
/** A larger turn in one place is a corner. */
const cornerTurn = 3 * fineness.turn;

export const walkEdges = (edges: EdgesToWalk): Walk => {
  const { openings, toBed, grown, kind } = edges;
  const stretches: Stretch[] = [];
  const rings = edgeRings(openings, toBed, fineness).map(({ chain, opening, material }, ring) => {
    const side = kind === 'opening' ? material : -material;
    const n = chain.length;
    const normals: Point[] = [];
    const points: Point[] = [];
    for (let i = 0; i < n; i += fieldsOfChain) {
      const normal = { x: side * chain[i + 3]!, y: -side * chain[i + 2]! };
      const out = kind === 'opening' ? grown : -grown;
      normals.push(normal);
      points.push({ x: chain[i]! + out * normal.x, y: chain[i + 1]! + out * normal.y });
    }
    const corners: number[] = [];
    let along = 0;
    const count = points.length;
    for (let i = 0; i < count; i += 1) {
      const next = (i + 1) % count;
      const a = points[i]!;
      const b = points[next]!;
      const m = normals[i]!;
      const k = normals[next]!;
      const turn = Math.abs(Math.atan2(m.x * k.y - m.y * k.x, m.x * k.x + m.y * k.y));
      if (turn > cornerTurn) {
        corners.push(along);
        continue;
      }
      const length = Math.hypot(b.x - a.x, b.y - a.y);
      if (length < 1e-9) continue;
      const index = typeof opening === 'number' ? opening : opening[i]!;
      stretches.push({
        index,
        x: a.x,
        y: a.y,
        toX: b.x,
        toY: b.y,
        normal: m,
        toNormal: k,
        from: along,
        length,
        ring,
      });
      along += length;
    }
    return { length: along, corners };
  });
  return { stretches, rings, edges };
};

/** The place at a share t of a stretch. */
export const placeOn = (walk: Walk, stretch: Stretch, t: number): EdgePlace => {
  const { openings, toBed } = walk.edges;
  const { x, y, toX, toY, normal, toNormal, index } = stretch;
  const nx = normal.x + t * (toNormal.x - normal.x);
  const ny = normal.y + t * (toNormal.y - normal.y);
  const size = Math.hypot(nx, ny);
  const at = { x: x + t * (toX - x), y: y + t * (toY - y) };
  const back = invert(toBed);
  if (back === undefined) throw new RangeError('a placement that cannot be undone');
  const fromCorner = distanceToCorner(walk, stretch, t);
  const bends = Math.hypot(toNormal.x - normal.x, toNormal.y - normal.y) / stretch.length;
  const spreads = (toNormal.x - normal.x) * (toX - x) + (toNormal.y - normal.y) * (toY - y) > 0;
  return {
    index,
    opening: openings[index]!.id,
    at,
    normal: { x: nx / size, y: ny / size },
    drawn: apply(back, at),
    curvature: spreads ? bends : -bends,
    ...(fromCorner === undefined ? {} : { fromCorner }),
  };
};

const distanceToCorner = (walk: Walk, { from, length, ring }: Stretch, t: number): number | undefined => {
  const { corners, length: whole } = walk.rings[ring]!;
  let nearest: number | undefined;
  for (const corner of corners) {
    const d = Math.abs(from + t * length - corner);
    const away = Math.min(d, whole - d);
    if (nearest === undefined || away < nearest) nearest = away;
  }
  return nearest;
};

/** The place of an opening's edge nearest to a point of the bed, and how far away it is; undefined for an opening without edge. */
export const nearestPlace = (
  walk: Walk,
  index: number,
  p: Point,
): { readonly place: EdgePlace; readonly away: number } | undefined => {
  let best: { stretch: Stretch; t: number; away: number } | undefined;
  for (const stretch of walk.stretches) {
    if (stretch.index !== index) continue;
    const { x, y, toX, toY, length } = stretch;
    const t = Math.min(1, Math.max(0, ((p.x - x) * (toX - x) + (p.y - y) * (toY - y)) / (length * length)));
    const away = Math.hypot(p.x - x - t * (toX - x), p.y - y - t * (toY - y));
    if (best === undefined || away < best.away) best = { stretch, t, away };
  }
  return best && { place: placeOn(walk, best.stretch, best.t), away: best.away };
};
