/**
 * Bounded common errors at their worst. The chance of a touch given such errors grows outwards in every direction (the
 * errors without a touch are a convex set, and their density is log-concave: A. Prekopa, Acta Sci. Math. 34 (1973), from
 * memory), so the worst lies at a vertex of their bounds. Each point of an edge has one vertex that brings it nearest; of
 * those only the ones that leave some point few sds of room can be the worst.
 */

import { boxCentre } from '../../geometry/point.js';
import { type Edge, edgeBox, roomAt } from '../edges/edge.js';
import { angleNumber } from '../edges/edge-index.js';
import { type Displacement, displacedBy, plus, shiftBy } from './displacement.js';

/**
 * Common errors of which bounds are known: the displacement is the sum of t_k x generators[k] with every |t_k| <= 1, and
 * a shift of at most `anyDirection`, mm, towards any side.
 */
export interface Bounded {
  readonly generators: readonly Displacement[];
  readonly anyDirection: number;
}

export const nothingBounded: Bounded = { generators: [], anyDirection: 0 };

export const hasBounds = ({ generators, anyDirection }: Bounded): boolean =>
  generators.length > 0 || anyDirection > 0;

/** One choice of signs and of a direction. */
export interface Vertex {
  /** -1, 1, or 0 where the point does not tell. */
  readonly signs: readonly number[];
  readonly direction: { readonly x: number; readonly y: number };
  /** Least number of sds that a point keeps there. */
  readonly sdsLeft: number;
}

const sectors = 32;
const nowhere = { x: 0, y: 0 };
/** A generator that moves a point along its normal by less than this share of the move tells nothing of its sign. */
const sideways = 1e-3;

/** At every point of an edge what bounded errors take at most, mm. */
export const supportAt = ({ generators, anyDirection }: Bounded, edge: Edge, i: number): number => {
  let sum = anyDirection;
  for (const generator of generators) sum += Math.abs(alongNormal(generator, edge, i));
  return sum;
};

/** n . d of a displacement at a point of an edge, mm. */
export const alongNormal = (
  { matrix: [a, b, c, d, e, f], bend }: Displacement,
  edge: Edge,
  i: number,
): number => {
  const x = edge.x[i]!;
  const y = edge.y[i]!;
  let dx = a * x + c * y + e;
  let dy = b * x + d * y + f;
  if (bend !== undefined) {
    const squared = (bend.along.x * x + bend.along.y * y - bend.origin) ** 2;
    dx += bend.each.x * squared;
    dy += bend.each.y * squared;
  }
  return edge.normalX[i]! * dx + edge.normalY[i]! * dy;
};

export const knownAlong = (known: Displacement, edge: Edge, i: number): number =>
  alongNormal(known, edge, i) + (edge.loss === undefined ? 0 : edge.loss[i]!);

/** The vertices that bring some point of the edge nearest, the one that leaves the fewest sds first. */
export const verticesOf = (
  edge: Edge,
  variances: Float64Array,
  clearance: number,
  known: Displacement,
  bounded: Bounded,
  most: number,
): Vertex[] => {
  const { generators, anyDirection } = bounded;
  const found = new Map<string | number, Vertex>();
  const signs = new Int8Array(generators.length);
  const isShort = generators.length <= 30;
  for (let i = 0; i < edge.x.length; i++) {
    let left = roomAt(edge, i, clearance) - knownAlong(known, edge, i) - anyDirection;
    let key: string | number = isShort ? 0 : '';
    for (let k = 0; k < generators.length; k++) {
      const generator = generators[k]!;
      const size = alongNormal(generator, edge, i);
      left -= Math.abs(size);
      signs[k] = Math.abs(size) <= sideways * reachOf(generator, edge, i) ? 0 : Math.sign(size);
      key = typeof key === 'number' ? 3 * key + signs[k]! + 1 : `${key}${signs[k]! + 1}`;
    }
    if (anyDirection > 0) {
      const sector = Math.floor((angleNumber(edge.normalX[i]!, edge.normalY[i]!) * sectors) / 4);
      key = typeof key === 'number' ? key * (sectors + 1) + sector : `${key} ${sector}`;
    }
    const sd = Math.sqrt(Math.max(0, variances[i]!));
    const sdsLeft = left > 0 ? left / (sd + 1e-300) : left - sd;
    const before = found.get(key);
    if (before !== undefined && before.sdsLeft <= sdsLeft) continue;
    const direction = anyDirection > 0 ? { x: edge.normalX[i]!, y: edge.normalY[i]! } : nowhere;
    found.set(key, { signs: Array.from(signs), direction, sdsLeft });
  }
  const sorted = distinct([...found.values()].sort((a, b) => a.sdsLeft - b.sdsLeft).flatMap(bothSigns));
  if (generators.length < 3) return sorted.slice(0, most);
  // An edge with several sides is touched on two of them where it moves as a whole.
  const whole = wholeMoves(edge, generators, sorted[0]);
  return distinct([...sorted.slice(0, most), ...whole]).slice(0, 2 * most);
};

const directions = 16;

/** The vertices that move the middle of an edge farthest, each towards some side. */
const wholeMoves = (
  edge: Edge,
  generators: readonly Displacement[],
  nearest: Vertex | undefined,
): Vertex[] => {
  if (nearest === undefined) return [];
  const middle = boxCentre(edgeBox(edge));
  const moves = generators.map((generator) => displacedBy(generator, middle));
  return Array.from({ length: directions }, (_, k): Vertex => {
    const angle = (2 * Math.PI * (k + 0.5)) / directions;
    const direction = { x: Math.cos(angle), y: Math.sin(angle) };
    const signs = moves.map(({ x, y }) => (direction.x * x + direction.y * y >= 0 ? 1 : -1));
    return { ...nearest, signs, direction: nearest.direction === nowhere ? nowhere : direction };
  });
};

const reachOf = ({ matrix: [a, b, c, d, e, f], bend }: Displacement, edge: Edge, i: number): number => {
  const x = edge.x[i]!;
  const y = edge.y[i]!;
  const squared = bend === undefined ? 0 : (bend.along.x * x + bend.along.y * y - bend.origin) ** 2;
  return (
    Math.abs(a * x + c * y + e + (bend?.each.x ?? 0) * squared) +
    Math.abs(b * x + d * y + f + (bend?.each.y ?? 0) * squared)
  );
};

/** Where one sign is open, both; where more are, two of the choices. */
const bothSigns = (vertex: Vertex): Vertex[] => {
  if (!vertex.signs.includes(0)) return [vertex];
  return [1, -1].map((open) => ({
    ...vertex,
    signs: vertex.signs.map((sign) => (sign === 0 ? open : sign)),
  }));
};

const distinct = (vertices: readonly Vertex[]): Vertex[] => {
  const seen = new Map<string, Vertex>();
  for (const vertex of vertices) {
    const key = keyOf(vertex);
    if (!seen.has(key)) seen.set(key, vertex);
  }
  return [...seen.values()];
};

export const keyOf = ({ signs, direction: { x, y } }: Vertex): string =>
  `${signs.join()} ${x.toFixed(6)} ${y.toFixed(6)}`;

export const displacementAt = (
  known: Displacement,
  { generators, anyDirection }: Bounded,
  { signs, direction }: Vertex,
): Displacement => {
  let sum = known;
  generators.forEach((generator, k) => {
    sum = plus(sum, generator, signs[k]!);
  });
  return anyDirection > 0 ? plus(sum, shiftBy(anyDirection * direction.x, anyDirection * direction.y)) : sum;
};
