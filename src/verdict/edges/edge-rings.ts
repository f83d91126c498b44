/** The existing edges as rings, each with the side on which the new edge is set back: the one the cut takes. */
import Flatbush from 'flatbush';
import { Links } from '../../cut/clusters.js';
import { existingRegions } from '../../cut/offset/existing.js';
import type { RegionRing } from '../../cut/offset/region.js';
import type { DrawnRings } from '../../cut/offset/regions.js';
import type { Shape } from '../../drawing/model/drawing.js';
import { changedShape } from '../../drawing/model/shape-store.js';
import type { Matrix } from '../../geometry/affine.js';
import { type Path, positionAt } from '../../geometry/curve.js';
import { boxDiagonal, boxOfPoints, type Point } from '../../geometry/point.js';
import { type NestRing, nestingOf, ringOfSpans } from '../../geometry/rings/nesting.js';
import {
  distanceToSpan,
  lineSpan,
  type Span,
  spanBox,
  spanPoint,
  spanToCurve,
} from '../../geometry/spans/span.js';
import { ChainStore, type EdgeChain, fieldsOfChain, samplePath, sampleSegment } from './edge-samples.js';
import { areEntangled, boxOfChain } from './entangled.js';

export interface EdgeRing {
  readonly chain: EdgeChain;
  /** Index of the opening each point belongs to, or of the one that all do. */
  readonly opening: number | readonly number[];
  /** 1: the material lies to the right of travel; -1: to the left. */
  readonly material: 1 | -1;
}

/** How close together the points of a ring lie: by turn, and by unevenness as a share of the ring's size. */
export interface RingFineness {
  readonly turn: number;
  readonly arm: number;
}

/** Arcs of edges that cross lie this close to the drawn curves, mm. */
const crossingTolerance = 1e-3;

/**
 * The closed paths of the openings, placed by `matrix`. Where edges keep apart the drawn ones are taken, and the side
 * follows from how many others lie round each. Where they cross or touch, themselves or one another, the
 * boundaries of what is left of the material are: an edge inside another opening is none. Spikes without width and
 * openings drawn twice go with them, as in the cut.
 */
export const edgeRings = (openings: readonly Shape[], matrix: Matrix, fineness: RingFineness): EdgeRing[] => {
  const drawn: { opening: number; path: Path; chain: EdgeChain }[] = [];
  const store = new ChainStore();
  openings.forEach((shape, opening) => {
    for (const path of shape.paths) {
      if (!path.closed) continue;
      const arm = fineness.arm * roughSize(path);
      const chain = samplePath(path, matrix, { turn: fineness.turn, arm }, store);
      if (chain.length > fieldsOfChain) drawn.push({ opening, path, chain });
    }
  });
  return neighbourhoods(drawn.map((d) => d.chain)).flatMap((members): EdgeRing[] => {
    const chains = members.map((i) => drawn[i]!.chain);
    if (areEntangled(chains)) {
      const paths = members.map((i) => drawn[i]!);
      return unitedRings(shapesOf(openings, paths), matrix, fineness);
    }
    const nesting = members.length > 1 ? nestingOf(chains.map(ringOfChain)) : undefined;
    return members.map((i, k) => {
      const { chain, opening } = drawn[i]!;
      const isCounterClockwise = doubleAreaOf(chain) > 0;
      const isOuter = nesting === undefined || nesting.level(k) % 2 === 0;
      return { chain, opening, material: isCounterClockwise === isOuter ? 1 : -1 };
    });
  });
};

/** Diagonal of the box of the segments' ends and middles, mm; only curves are asked. */
export const roughSize = ({ segments }: Path): number => {
  if (segments.every((s) => s.kind === 'line')) return 0;
  const points: Point[] = [];
  for (const s of segments) points.push(positionAt(s, 0), positionAt(s, 0.5));
  return boxDiagonal(boxOfPoints(points));
};

/** Rings whose boxes meet, directly or through others, in the order of the first of each. */
const neighbourhoods = (chains: readonly EdgeChain[]): number[][] => {
  if (chains.length === 0) return [];
  const boxes = chains.map(boxOfChain);
  const index = new Flatbush(chains.length);
  for (const b of boxes) index.add(b.minX, b.minY, b.maxX, b.maxY);
  index.finish();
  const links = new Links(chains.length);
  boxes.forEach((b, i) => {
    index.search(b.minX, b.minY, b.maxX, b.maxY, (j) => {
      if (j > i) links.join(i, j);
      return false;
    });
  });
  return links.groups();
};

/** The chain by straight lines: it meets no other one that is asked, and none of its points lies off the edge. */
const ringOfChain = (chain: EdgeChain): NestRing => {
  const spans = (): Span[] => {
    const lines: Span[] = [];
    const n = chain.length;
    for (let i = 0; i < n; i += fieldsOfChain) {
      const next = (i + fieldsOfChain) % n;
      const [x, y, toX, toY] = [chain[i]!, chain[i + 1]!, chain[next]!, chain[next + 1]!];
      if (x !== toX || y !== toY) lines.push(lineSpan(x, y, toX, toY));
    }
    return lines;
  };
  return ringOfSpans(boxOfChain(chain), { x: chain[0]!, y: chain[1]! }, spans);
};

const doubleAreaOf = (chain: EdgeChain): number => {
  const n = chain.length;
  const originX = chain[0]!;
  const originY = chain[1]!;
  let x = chain[n - fieldsOfChain]! - originX;
  let y = chain[n - fieldsOfChain + 1]! - originY;
  let sum = 0;
  for (let i = 0; i < n; i += fieldsOfChain) {
    const nextX = chain[i]! - originX;
    const nextY = chain[i + 1]! - originY;
    sum += x * nextY - y * nextX;
    x = nextX;
    y = nextY;
  }
  return sum;
};

/** The given paths as shapes, each named by the number of its opening. */
const shapesOf = (
  openings: readonly Shape[],
  paths: readonly { readonly opening: number; readonly path: Path }[],
): Shape[] => {
  const byOpening = new Map<number, Path[]>();
  for (const { opening, path } of paths) {
    const known = byOpening.get(opening);
    if (known === undefined) byOpening.set(opening, [path]);
    else known.push(path);
  }
  return [...byOpening].map(([opening, own]) =>
    changedShape(openings[opening]!, { id: String(opening), paths: own }),
  );
};

const unitedRings = (shapes: readonly Shape[], matrix: Matrix, fineness: RingFineness): EdgeRing[] => {
  const tolerances = { arcs: crossingTolerance, polygons: crossingTolerance };
  const { drawn, regions } = existingRegions(shapes, matrix, tolerances);
  const ownerOf = ownerFinder(drawn);
  const store = new ChainStore();
  return regions
    .flatMap((region) => region.rings)
    .map((ring) => {
      const opening: number[] = [];
      for (const span of ring.ring.spans()) {
        sampleSegment(spanToCurve(span), { turn: fineness.turn, arm: Number.POSITIVE_INFINITY }, store);
        const owner = ownerOf(ring, span);
        while (opening.length < store.length / fieldsOfChain) opening.push(owner);
      }
      // Regions keep what was removed on their left.
      return { chain: store.take(), opening, material: 1 };
    });
};

/** Which opening a span of a united ring was drawn as: the nearest of those the ring was made of. */
const ownerFinder = (drawn: DrawnRings): ((ring: RegionRing, span: Span) => number) => {
  const spans: Span[] = [];
  const owners: number[] = [];
  for (const { ring, shape } of drawn.rings) {
    for (const span of ring.spans()) {
      spans.push(span);
      owners.push(Number(shape));
    }
  }
  const index = new Flatbush(Math.max(1, spans.length));
  if (spans.length === 0) index.add(0, 0, 0, 0);
  for (const span of spans) {
    const box = spanBox(span);
    index.add(box.minX, box.minY, box.maxX, box.maxY);
  }
  index.finish();
  return ({ shapes }, span) => {
    if (shapes.length === 1) return Number(shapes[0]);
    const { x, y } = spanPoint(span, 0.5);
    const near = 10 * crossingTolerance;
    let owner = Number(shapes[0]);
    let nearest = Number.POSITIVE_INFINITY;
    index.search(x - near, y - near, x + near, y + near, (i) => {
      const away = distanceToSpan(spans[i]!, x, y);
      if (away < nearest) {
        nearest = away;
        owner = owners[i]!;
      }
      return false;
    });
    return owner;
  };
};
