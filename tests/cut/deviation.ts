/** How far the paths of a cut lie from those of the second engine, both ways round. */
import Flatbush from 'flatbush';
import type { Arc, Line } from '../../src/geometry/curve.js';
import type { XY } from './flatten.js';
import { distanceToSegment } from './second-engine.js';

export interface Worst {
  readonly distance: number;
  readonly at: XY;
}

export interface Deviation {
  /** From the cut's paths to the nearest point of the reference. */
  readonly out: Worst;
  /** From the reference to the nearest point of the cut's paths. */
  readonly back: Worst;
  /** Points beside the reference that lie on the wrong side of the cut's paths. */
  readonly wrongSide: readonly XY[];
}

type Piece = Line | Arc;

const pieceAt = (s: Piece, t: number): XY =>
  s.kind === 'line'
    ? [s.from.x + t * (s.to.x - s.from.x), s.from.y + t * (s.to.y - s.from.y)]
    : [
        s.centre.x + s.radius * Math.cos(s.start + t * s.sweep),
        s.centre.y + s.radius * Math.sin(s.start + t * s.sweep),
      ];

const pieceLength = (s: Piece): number =>
  s.kind === 'line' ? Math.hypot(s.to.x - s.from.x, s.to.y - s.from.y) : s.radius * Math.abs(s.sweep);

const distanceToPiece = (p: XY, s: Piece): number => {
  if (s.kind === 'line') return distanceToSegment(p, [s.from.x, s.from.y], [s.to.x, s.to.y]);
  const dx = p[0] - s.centre.x;
  const dy = p[1] - s.centre.y;
  const full = 2 * Math.PI;
  const from =
    (((s.sweep > 0 ? Math.atan2(dy, dx) - s.start : s.start - Math.atan2(dy, dx)) % full) + full) % full;
  if (from <= Math.abs(s.sweep)) return Math.abs(Math.hypot(dx, dy) - s.radius);
  const a = pieceAt(s, 0);
  const b = pieceAt(s, 1);
  return Math.min(Math.hypot(p[0] - a[0], p[1] - a[1]), Math.hypot(p[0] - b[0], p[1] - b[1]));
};

/** Points along a path: closer than `step`, at least nine to a piece. */
export const sampled = (ring: readonly Piece[], step: number): XY[] =>
  ring.flatMap((s) => {
    const n = Math.max(9, Math.min(400, Math.ceil(pieceLength(s) / step)));
    return Array.from({ length: n }, (_, i) => pieceAt(s, i / n));
  });

interface Nearest {
  distance(p: XY): number;
}

const nearestAmong = <T>(
  things: readonly T[],
  boxOf: (t: T) => [number, number, number, number],
  off: (p: XY, t: T) => number,
): Nearest => {
  if (things.length === 0) return { distance: () => Number.POSITIVE_INFINITY };
  const index = new Flatbush(things.length);
  for (const t of things) index.add(...boxOf(t));
  index.finish();
  return {
    distance: (p) => {
      for (let reach = 0.01; ; reach *= 8) {
        let best = Number.POSITIVE_INFINITY;
        for (const i of index.search(p[0] - reach, p[1] - reach, p[0] + reach, p[1] + reach)) {
          best = Math.min(best, off(p, things[i]!));
        }
        if (best <= reach || reach > 1e4) return best;
      }
    },
  };
};

const pieceBox = (s: Piece): [number, number, number, number] =>
  s.kind === 'line'
    ? [
        Math.min(s.from.x, s.to.x),
        Math.min(s.from.y, s.to.y),
        Math.max(s.from.x, s.to.x),
        Math.max(s.from.y, s.to.y),
      ]
    : arcBox(s);

const arcBox = (s: Arc): [number, number, number, number] => {
  const points = Array.from({ length: 17 }, (_, i) => pieceAt(s, i / 16));
  const margin = s.radius * (1 - Math.cos(s.sweep / 32)) + 1e-9;
  const xs = points.map((p) => p[0]);
  const ys = points.map((p) => p[1]);
  return [
    Math.min(...xs) - margin,
    Math.min(...ys) - margin,
    Math.max(...xs) + margin,
    Math.max(...ys) + margin,
  ];
};

/** How far a point lies from the nearest of these pieces. */
export const nearestTo = (pieces: readonly Piece[]): Nearest =>
  nearestAmong(pieces, pieceBox, distanceToPiece);

type Edge = readonly [XY, XY];

const edgesOf = (rings: readonly (readonly XY[])[]): Edge[] =>
  rings.flatMap((ring) => ring.map((p, i): Edge => [p, ring[(i + 1) % ring.length]!]));

const edgeBox = ([a, b]: Edge): [number, number, number, number] => [
  Math.min(a[0], b[0]),
  Math.min(a[1], b[1]),
  Math.max(a[0], b[0]),
  Math.max(a[1], b[1]),
];

/** Even-odd over all rings: how often a ray to the right crosses them. */
const insideOf = (edges: readonly Edge[]): ((x: number, y: number) => boolean) => {
  if (edges.length === 0) return () => false;
  const index = new Flatbush(edges.length);
  for (const edge of edges) index.add(...edgeBox(edge));
  index.finish();
  return (x, y) => {
    let odd = false;
    for (const i of index.search(x, y, Number.POSITIVE_INFINITY, y)) {
      const [[ax, ay], [bx, by]] = edges[i]!;
      if (ay <= y === by <= y) continue;
      const left = (bx - ax) * (y - ay) - (by - ay) * (x - ax) > 0;
      if (by > ay === left) odd = !odd;
    }
    return odd;
  };
};

export const deviation = (
  paths: readonly (readonly Piece[])[],
  reference: readonly (readonly XY[])[],
  bound: number,
): Deviation => {
  const edges = edgesOf(reference);
  const nearReference = nearestAmong(edges, edgeBox, (p, [a, b]) => distanceToSegment(p, a, b));
  const nearPieces = nearestTo(paths.flat());
  let out: Worst = { distance: 0, at: [0, 0] };
  for (const path of paths) {
    for (const at of sampled(path, 0.2)) {
      const distance = nearReference.distance(at);
      if (!(distance <= out.distance)) out = { distance, at };
    }
  }
  let back: Worst = { distance: 0, at: [0, 0] };
  const beside: XY[] = [];
  const every = Math.max(1, Math.floor(edges.length / 150));
  edges.forEach(([a, b], i) => {
    const size = Math.hypot(b[0] - a[0], b[1] - a[1]);
    const n = Math.max(1, Math.min(50, Math.ceil(size / 0.2)));
    for (let k = 0; k < n; k++) {
      const at: XY = [a[0] + ((b[0] - a[0]) * k) / n, a[1] + ((b[1] - a[1]) * k) / n];
      const distance = nearPieces.distance(at);
      if (!(distance <= back.distance)) back = { distance, at };
    }
    if (i % every === 0 && size > 1e-9) {
      for (const side of [bound * 1.5, -bound * 1.5]) {
        const x = (a[0] + b[0]) / 2 + ((b[1] - a[1]) / size) * side;
        const y = (a[1] + b[1]) / 2 - ((b[0] - a[0]) / size) * side;
        if (nearReference.distance([x, y]) > bound) beside.push([x, y]);
      }
    }
  });
  const isInside = insideOf(edgesOf(paths.map((path) => sampled(path, 0.05))));
  const shouldBeInside = insideOf(edges);
  const wrongSide = beside.filter(
    ([x, y]) => isInside(x, y) !== shouldBeInside(x, y) && nearPieces.distance([x, y]) > 1e-3,
  );
  return { out, back, wrongSide };
};
