/** Which shapes' edges the beam's rings follow, where openings were united before they were moved. */
import type { Point } from '../../geometry/point.js';
import { type Span, spanPoint } from '../../geometry/spans/span.js';
import { nearestOnSpan } from '../../geometry/spans/span-distance.js';
import { SpanIndex } from '../../geometry/spans/span-index.js';
import { holds, middleOf } from './connected.js';
import type { Region, RegionRing } from './region.js';
import type { DrawnRings } from './regions.js';

/**
 * What is moved as one region and runs together bears the names of all shapes that lend it an edge, and what comes of it
 * bears them too, wherever it runs. Here each ring keeps the shapes whose edges it follows. One that lends no edge stays with
 * the rings round it, or with all that bore its name: what is lost is not told here.
 *
 * @param existing what was moved
 * @param drawn the rings that it is made of
 */
export const namedByEdges = (
  beams: readonly Region[],
  existing: readonly Region[],
  drawn: DrawnRings['rings'],
): readonly Region[] => {
  const united = new Set(existing.map(shapesOf).flatMap((shapes) => (shapes.length > 1 ? shapes : [])));
  if (united.size === 0) return beams;
  const concerned = beams.filter(
    (region) => region.rings.length > 1 && shapesOf(region).some((shape) => united.has(shape)),
  );
  if (concerned.length === 0) return beams;
  const ownerAt = edgeOwners(existing, drawn);
  const placesOf = (shape: string): Point[] =>
    drawn.filter((one) => one.shape === shape).map(({ ring }) => middleOf(ring.spans()));
  const renamed = new Map(concerned.map((region) => [region, renamedRings(region, ownerAt, placesOf)]));
  return beams.map((region) => renamed.get(region) ?? region);
};

const renamedRings = (
  region: Region,
  ownerAt: ReturnType<typeof edgeOwners>,
  placesOf: (shape: string) => Point[],
): Region => {
  const { rings } = region;
  const place = new Map<string, number>();
  for (const { shapes } of rings)
    for (const shape of shapes) place.set(shape, place.get(shape) ?? place.size);
  const names = rings.map(({ ring }) => {
    const owners = ring.spans().map((span) => ownerAt(middle(span)));
    return new Set(owners.filter((owner): owner is string => owner !== undefined && place.has(owner)));
  });
  const lending = new Set(names.flatMap((some) => [...some]));
  for (const shape of place.keys()) {
    if (lending.has(shape)) continue;
    const bearing = rings.flatMap(({ shapes }, i) => (shapes.includes(shape) ? [i] : []));
    const places = placesOf(shape);
    const round = bearing.filter((i) => places.some((at) => isRound(rings[i]!, at)));
    for (const i of round.length > 0 ? round : bearing) names[i]!.add(shape);
  }
  const inOrder = (some: ReadonlySet<string>): string[] =>
    [...some].sort((a, b) => place.get(a)! - place.get(b)!);
  return {
    ...region,
    rings: rings.map(({ ring, shapes }, i) => ({
      ring,
      shapes: names[i]!.size === 0 ? shapes : inOrder(names[i]!),
    })),
  };
};

/**
 * The shape with the drawn edge that the nearest edge of the openings comes from; undefined where that is the end of an edge:
 * a corner may be one of several shapes.
 */
const edgeOwners = (
  existing: readonly Region[],
  drawn: DrawnRings['rings'],
): ((p: Point) => string | undefined) => {
  const spans: Span[] = [];
  const owners: string[] = [];
  for (const { ring, shape } of drawn) {
    for (const span of ring.spans()) {
      spans.push(span);
      owners.push(shape);
    }
  }
  const drawnEdges = new SpanIndex(spans);
  const edges = new SpanIndex(existing.flatMap(({ rings }) => rings.flatMap(({ ring }) => ring.spans())));
  const known: (string | undefined)[] = [];
  return ({ x, y }) => {
    const i = edges.nearest(x, y);
    const edge = edges.spans[i]!;
    const foot = nearestOnSpan(edge, x, y);
    const toEnd = Math.min(
      Math.hypot(foot.x - edge.ax, foot.y - edge.ay),
      Math.hypot(foot.x - edge.bx, foot.y - edge.by),
    );
    if (toEnd < 1e-9) return undefined;
    if (known[i] === undefined) {
      const on = middle(edge);
      known[i] = owners[drawnEdges.nearest(on.x, on.y)]!;
    }
    return known[i];
  };
};

const shapesOf = ({ rings }: Region): string[] => [...new Set(rings.flatMap(({ shapes }) => shapes))];

const middle = (span: Span): Point => spanPoint(span, 0.5);

const isRound = ({ ring }: RegionRing, place: Point): boolean => ring.area > 0 && holds(ring, place);
