/** From drawn openings to regions: which side of each edge is material is decided by nesting, never by winding. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import { type Path, transformSegment } from '../../geometry/curve.js';
import { cutAtMeetings, linkStretches, standIn } from '../../geometry/rings/arrangement.js';
import { type Nesting, nestingOf, ringOfSpans } from '../../geometry/rings/nesting.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { segmentToSpans } from '../../geometry/spans/arc-spline.js';
import {
  cosineOfTurn,
  lineSpan,
  middleDirection,
  origins,
  type Ring,
  reversedRing,
  ringArea,
  ringLength,
  type Span,
  sineOfTurn,
  spanLength,
  windingNumber,
  withPassingSpans,
} from '../../geometry/spans/span.js';
import { passingSegments } from '../../geometry/stored-path.js';
import type { Region, RegionRing } from './region.js';
import { facetTurn } from './smooth.js';

export interface DrawnRings {
  readonly rings: readonly { readonly ring: StoredRing; readonly shape: string }[];
  /** Ids of shapes with a path that does not close. */
  readonly open: readonly string[];
  /** Ids of shapes that close but enclose nothing. */
  readonly empty: readonly string[];
  /** Ids of shapes with a path that crosses or touches itself. */
  readonly crossed: ReadonlySet<string>;
  /** Ids of shapes drawn exactly over another one. */
  readonly duplicates: readonly { readonly shape: string; readonly of: string }[];
}

/** The closed paths of the shapes, placed on the bed, as simple rings that run counter-clockwise round their inside. */
export const ringsOfShapes = (shapes: readonly Shape[], toBed: Matrix, tolerance: number): DrawnRings => {
  const rings: { ring: StoredRing; shape: string }[] = [];
  const open: string[] = [];
  const crossed = new Set<string>();
  const duplicates: { shape: string; of: string }[] = [];
  const seen = new Map<string, { shape: string; ring: StoredRing }[]>();
  for (const shape of shapes) {
    if (shape.paths.some((p) => !p.closed)) open.push(shape.id);
    for (const path of shape.paths) {
      if (!path.closed) continue;
      const simples = withPassingSpans(() => simpleRings(placedSpans(path, toBed, tolerance)));
      if (simples.crossed) crossed.add(shape.id);
      for (const ring of simples.rings) {
        const twin = findTwin(seen, ring, shape.id);
        if (twin !== undefined) duplicates.push({ shape: shape.id, of: twin });
        else rings.push({ ring, shape: shape.id });
      }
    }
  }
  const kept = new Set([...rings.map((r) => r.shape), ...duplicates.map((d) => d.shape)]);
  const empty = shapes.filter((s) => s.paths.some((p) => p.closed) && !kept.has(s.id)).map((s) => s.id);
  return { rings, open, empty, crossed, duplicates };
};

const placedSpans = (path: Path, toBed: Matrix, tolerance: number): Span[] => {
  const spans: Span[] = [];
  for (const segment of passingSegments(path)) {
    const placed = transformSegment(toBed, segment);
    for (const span of segmentToSpans(placed, tolerance)) spans.push(span);
  }
  return softenFacets(closeUp(spans), tolerance);
};

/** Lines so short for the turns at their ends that they can only be facets of a flattened curve are free to be fitted. */
const softenFacets = (ring: Span[], tolerance: number): Span[] => {
  const n = ring.length;
  const turns = ring.map((s, i) => {
    const next = ring[(i + 1) % n]!;
    if (s.radius !== 0 || next.radius !== 0) return 0;
    return Math.abs(Math.atan2(sineOfTurn(s, next), cosineOfTurn(s, next)));
  });
  const isFacetCorner = (i: number): boolean => {
    const turn = turns[i]!;
    return turn > 1e-6 && turn < facetTurn;
  };
  return ring.map((s, i) => {
    const before = (i + n - 1) % n;
    if (!isFacetCorner(i) || !isFacetCorner(before)) return s;
    const sagitta = (Math.max(turns[i]!, turns[before]!) * spanLength(s)) / 8;
    return sagitta < tolerance ? s.withOrigin(origins.curve) : s;
  });
};

/** Makes the spans meet to the last bit and drops those too short to have a direction. */
const closeUp = (spans: readonly Span[]): Span[] => {
  const out: Span[] = [];
  for (const s of spans) {
    if (Math.abs(s.bx - s.ax) + Math.abs(s.by - s.ay) < 1e-7) continue;
    const last = out[out.length - 1];
    if (last === undefined || (last.bx === s.ax && last.by === s.ay)) out.push(s);
    else if (Math.hypot(last.bx - s.ax, last.by - s.ay) < 1e-5) out.push(s.startingAt(last.bx, last.by));
    else {
      out.push(lineSpan(last.bx, last.by, s.ax, s.ay));
      out.push(s);
    }
  }
  const first = out[0];
  const last = out[out.length - 1];
  if (first === undefined || last === undefined) return out;
  if (last.bx !== first.ax || last.by !== first.ay) {
    if (Math.hypot(last.bx - first.ax, last.by - first.ay) < 1e-5) {
      out[out.length - 1] = last.endingAt(first.ax, first.ay);
    } else out.push(lineSpan(last.bx, last.by, first.ax, first.ay));
  }
  return out;
};

/** A ring that crosses itself becomes the rings round everything it winds about; each is turned counter-clockwise. */
const simpleRings = (spans: readonly Span[]): { rings: StoredRing[]; crossed: boolean } => {
  const fromRing = (ring: Ring): StoredRing[] =>
    Math.abs(ringArea(ring)) > 1e-5 * ringLength(ring) ? [new StoredRing(ring, { turned: true })] : [];
  if (spans.length < 2) return { rings: [], crossed: false };
  const stretches = cutAtMeetings([{ spans, closed: true, tag: 0 }]);
  if (stretches.length === 1 && stretches[0]!.from === -1) {
    return { rings: fromRing(spans), crossed: false };
  }
  const kept = stretches.flatMap((stretch) => {
    const { point, span } = standIn(stretch.spans);
    const d = middleDirection(span);
    const step = 1e-6;
    const left = windingNumber([spans], point.x - d.y * step, point.y + d.x * step);
    const right = windingNumber([spans], point.x + d.y * step, point.y - d.x * step);
    if ((left === 0) === (right === 0)) return [];
    if (left !== 0) return [stretch];
    return [{ ...stretch, spans: [...reversedRing(stretch.spans)], from: stretch.to, to: stretch.from }];
  });
  const linked = linkStretches(kept) ?? [{ ring: spans, tags: new Set([0]) }];
  return { rings: linked.flatMap((l) => fromRing(l.ring)), crossed: true };
};

/** The shape an equal ring came from, if there is one; otherwise remembers this ring. */
const findTwin = (
  seen: Map<string, { shape: string; ring: StoredRing }[]>,
  ring: StoredRing,
  shape: string,
): string | undefined => {
  const { box, area } = ring;
  const key = `${Math.round(box.minX * 100)} ${Math.round(box.minY * 100)} ${Math.round(area * 10)}`;
  const near = seen.get(key);
  for (const other of near ?? []) {
    const b = other.ring.box;
    const apart = Math.max(
      Math.abs(b.minX - box.minX),
      Math.abs(b.minY - box.minY),
      Math.abs(b.maxX - box.maxX),
      Math.abs(b.maxY - box.maxY),
    );
    if (apart >= 1e-4) continue;
    const length = ring.length();
    if (Math.abs(other.ring.area - area) < 1e-4 * length && Math.abs(other.ring.length() - length) < 1e-3) {
      return other.shape;
    }
  }
  if (near === undefined) seen.set(key, [{ shape, ring }]);
  else near.push({ shape, ring });
  return undefined;
};

/** How rings lie in one another; see geometry/rings/nesting.ts. */
export const nestingOfRings = (rings: readonly StoredRing[]): Nesting =>
  nestingOf(
    rings.map((ring) => {
      const { ax: x, ay: y } = ring.first();
      return ringOfSpans(ring.box, { x, y }, () => ring.spans());
    }),
  );

/** An opening with the islands in it, before they are taken out of it. */
export interface Nest {
  readonly outer: RegionRing;
  /** Each a region of its own, its material on its left. */
  readonly islands: readonly Region[];
}

/** Openings from rings by nesting: rings of even level bound openings, those of odd level are islands in one each. */
export const nestRings = (rings: DrawnRings['rings']): Nest[] => {
  const nesting = nestingOfRings(rings.map((r) => r.ring));
  const nestOf = new Map<number, { outer: RegionRing; islands: Region[] }>();
  rings.forEach(({ ring, shape }, i) => {
    if (nesting.level(i) % 2 === 0) nestOf.set(i, { outer: { ring, shapes: [shape] }, islands: [] });
  });
  rings.forEach(({ ring, shape }, i) => {
    const holder = nesting.islandOf(i);
    if (holder !== undefined) nestOf.get(holder)!.islands.push({ rings: [{ ring, shapes: [shape] }] });
  });
  return [...nestOf.values()];
};
