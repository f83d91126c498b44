/** Free land: where on a panel a mark may be made, far enough from every opening and from the panel's edge. */
import Flatbush from 'flatbush';
import type { Shape } from '../../drawing/model/drawing.js';
import type { Path } from '../../geometry/curve.js';
import { type Box, boxDiagonal, boxOfPoints, emptyBox, joinBoxes, type Point } from '../../geometry/point.js';
import { ringOfPath } from '../../geometry/rings/nesting.js';
import { isInside, type Polygon, polygonOfPath } from '../../geometry/rings/polygon-of-path.js';
import { Removed } from '../../geometry/rings/removed.js';

/** How closely edges are followed, mm: well below what anybody sets out. */
const followed = 0.02;

export interface LandInput {
  readonly openings: readonly Shape[];
  /** Without one the land ends with the box of the openings. */
  readonly outline: readonly Shape[];
  /** Areas to stay in, where there are such: inside any of them. */
  readonly within?: readonly Shape[];
  readonly fromOpenings: number;
  readonly fromEdge: number;
}

/** Something near a place. */
export interface Nearby {
  readonly distance: number;
  readonly id: string;
}

export interface Land {
  readonly box: Box;
  readonly isFree: (p: Point) => boolean;
  /** The opening whose edge is nearest; undefined where there is none. */
  readonly nearestOpening: (p: Point) => Nearby | undefined;
  /** The outline's nearest point, mm; undefined without an outline. */
  readonly fromOutline: (p: Point) => number | undefined;
  /** Every free place whose coordinates are whole multiples of `step`, column by column. */
  readonly placesEvery: (step: number) => Point[];
}

export const freeLand = (input: LandInput): Land => {
  const openings = input.openings.flatMap(ringsOf);
  const outline = input.outline.flatMap(ringsOf);
  const within = input.within?.flatMap(ringsOf);
  const openingEdges = edgeIndex(openings);
  const outlineEdges = edgeIndex(outline);
  const withinEdges = edgeIndex(within ?? []);
  const bound = outline.length > 0 ? outline : openings;
  let box = bound.map((ring) => boxOfPoints(ring.polygon)).reduce(joinBoxes, emptyBox);
  if (within !== undefined) {
    const area = within.map((ring) => boxOfPoints(ring.polygon)).reduce(joinBoxes, emptyBox);
    box = {
      minX: Math.max(box.minX, area.minX),
      minY: Math.max(box.minY, area.minY),
      maxX: Math.min(box.maxX, area.maxX),
      maxY: Math.min(box.maxY, area.maxY),
    };
  }
  const panel = new Removed(input.outline.flatMap(closedPaths).map((path) => ringOfPath(path)));
  const held = boxesOf(openings);
  const isMaterial = (p: Point): boolean => {
    if (outline.length > 0 ? !panel.has(p) : !isInBox(p, box)) return false;
    if (held !== undefined)
      for (const i of held.search(p.x, p.y, p.x, p.y)) if (isInside(p, openings[i]!.polygon)) return false;
    return within === undefined || within.some((ring) => isInside(p, ring.polygon));
  };
  /** No edge nearer than its distance, with `more` to spare. */
  const isClear = (p: Point, more: number): boolean =>
    !openingEdges.isWithin(p, input.fromOpenings + more) &&
    !outlineEdges.isWithin(p, input.fromEdge + more) &&
    (more === 0 || within === undefined || !withinEdges.isWithin(p, more));
  const isFree = (p: Point): boolean => isClear(p, 0) && isMaterial(p);

  const placesEvery = (step: number): Point[] => {
    const found: Point[] = [];
    const first = { x: Math.ceil(box.minX / step - 1e-9), y: Math.ceil(box.minY / step - 1e-9) };
    const last = { x: Math.floor(box.maxX / step + 1e-9), y: Math.floor(box.maxY / step + 1e-9) };
    const at = (i: number, j: number): Point => ({ x: onGrid(i, step), y: onGrid(j, step) });
    // A block of places that no edge comes near is free as a whole, or not at all.
    const visit = (i0: number, j0: number, i1: number, j1: number): void => {
      if (i0 > i1 || j0 > j1) return;
      const low = at(i0, j0);
      const high = at(i1, j1);
      const middle = { x: (low.x + high.x) / 2, y: (low.y + high.y) / 2 };
      const radius = boxDiagonal({ minX: low.x, minY: low.y, maxX: high.x, maxY: high.y }) / 2;
      if (i0 === i1 && j0 === j1) {
        if (isFree(low)) found.push(low);
      } else if (outline.length > 0 && isClear(middle, radius)) {
        if (isMaterial(middle))
          for (let i = i0; i <= i1; i++) for (let j = j0; j <= j1; j++) found.push(at(i, j));
      } else if (i1 - i0 > j1 - j0) {
        const half = (i0 + i1) >> 1;
        visit(i0, j0, half, j1);
        visit(half + 1, j0, i1, j1);
      } else {
        const half = (j0 + j1) >> 1;
        visit(i0, j0, i1, half);
        visit(i0, half + 1, i1, j1);
      }
    };
    visit(first.x, first.y, last.x, last.y);
    return found.sort((a, b) => a.x - b.x || a.y - b.y);
  };
  return {
    box,
    isFree,
    nearestOpening: openingEdges.nearest,
    fromOutline: (p) => outlineEdges.nearest(p)?.distance,
    placesEvery,
  };
};

/** i times the step, without the tail of digits that the product may have. */
const onGrid = (i: number, step: number): number => Math.round(i * step * 1e6) / 1e6;

interface Ring {
  readonly id: string;
  readonly polygon: Polygon;
}

const closedPaths = (shape: Shape): Path[] =>
  shape.paths.filter((path) => path.closed && path.segments.length > 0);

const ringsOf = (shape: Shape): Ring[] =>
  closedPaths(shape)
    .map((path) => ({ id: shape.id, polygon: polygonOfPath(path, followed) }))
    .filter((ring) => ring.polygon.length > 1);

const isInBox = (p: Point, { minX, minY, maxX, maxY }: Box): boolean =>
  p.x >= minX && p.x <= maxX && p.y >= minY && p.y <= maxY;

const boxesOf = (rings: readonly Ring[]): Flatbush | undefined => {
  if (rings.length === 0) return undefined;
  const index = new Flatbush(rings.length);
  for (const { polygon } of rings) {
    const box = boxOfPoints(polygon);
    index.add(box.minX, box.minY, box.maxX, box.maxY);
  }
  index.finish();
  return index;
};

interface EdgeIndex {
  readonly isWithin: (p: Point, distance: number) => boolean;
  readonly nearest: (p: Point) => Nearby | undefined;
}

const edgeIndex = (rings: readonly Ring[]): EdgeIndex => {
  const sides = rings.flatMap(({ id, polygon }) =>
    polygon.map((from, i) => ({ id, from, to: polygon[(i + 1) % polygon.length]! })),
  );
  if (sides.length === 0) return { isWithin: () => false, nearest: () => undefined };
  const index = new Flatbush(sides.length);
  for (const { from, to } of sides)
    index.add(Math.min(from.x, to.x), Math.min(from.y, to.y), Math.max(from.x, to.x), Math.max(from.y, to.y));
  index.finish();
  const squareTo = (p: Point, i: number): number => {
    const { from, to } = sides[i]!;
    const x = to.x - from.x;
    const y = to.y - from.y;
    const squares = x * x + y * y;
    const share = squares === 0 ? 0 : ((p.x - from.x) * x + (p.y - from.y) * y) / squares;
    const t = Math.min(1, Math.max(0, share));
    return (p.x - from.x - t * x) ** 2 + (p.y - from.y - t * y) ** 2;
  };
  // A place exactly at the distance asked for is far enough.
  const isWithin = (p: Point, distance: number): boolean => {
    const square = (distance - 1e-9) ** 2;
    if (!(distance > 1e-9)) return false;
    let found = false;
    index.search(p.x - distance, p.y - distance, p.x + distance, p.y + distance, (i) => {
      found ||= squareTo(p, i) < square;
      return false;
    });
    return found;
  };
  const nearest = (p: Point): Nearby | undefined => {
    let best: number | undefined;
    let square = Number.POSITIVE_INFINITY;
    // Boxes come by growing distance, and none is farther than what it holds.
    for (let count = 8; ; count *= 4) {
      const near = index.neighbors(p.x, p.y, count);
      for (const i of near) {
        const s = squareTo(p, i);
        if (s < square) {
          square = s;
          best = i;
        }
      }
      const last = sides[near.at(-1)!]!;
      if (near.length < count || boxSquare(p, last.from, last.to) >= square) break;
    }
    return best === undefined ? undefined : { distance: Math.sqrt(square), id: sides[best]!.id };
  };
  return { isWithin, nearest };
};

const boxSquare = (p: Point, a: Point, b: Point): number => {
  const x = Math.max(0, Math.min(a.x, b.x) - p.x, p.x - Math.max(a.x, b.x));
  const y = Math.max(0, Math.min(a.y, b.y) - p.y, p.y - Math.max(a.y, b.y));
  return x * x + y * y;
};
