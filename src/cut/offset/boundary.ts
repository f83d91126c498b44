/**
 * What holds of every boundary that is put together from stretches: each stretch has the sides in the result that were
 * found for it. A ring that is lost, a pocket that is filled or rings linked the wrong way round show here. Where it
 * does not hold, another engine is asked; where that does not help either, the cut is refused.
 */
import { type Stretch, standIn } from '../../geometry/rings/arrangement.js';
import { StoredRing } from '../../geometry/rings/stored-ring.js';
import { WindingIndex } from '../../geometry/rings/winding-index.js';
import { middleDirection, type Ring, type Span, spanBox, spanLength } from '../../geometry/spans/span.js';
import { SpanIndex } from '../../geometry/spans/span-index.js';
import { InputError } from '../../job/messages.js';
import type { Region, RegionRing } from './region.js';

/** A stretch, and whether what lies to its left and to its right belongs to the result. */
export interface Sided {
  readonly stretch: Stretch;
  readonly left: boolean;
  readonly right: boolean;
}

/** How far beside a stretch its sides are looked at, mm. */
const aside = 1e-6;
/** Stretches shorter than this, mm, have no sides to speak of: what they could hide is as small. */
const shortest = 1e-4;

/**
 * Whether the rings, which keep their region on their left, agree with the sides of all stretches. The left sides are
 * looked at; where rings and stretches are the same edges, the right ones follow.
 */
export const agreesWithSides = (rings: readonly Ring[], sides: readonly Sided[]): boolean => {
  const index = new WindingIndex(rings);
  return sides.every(({ stretch, left }) => {
    const { point, span } = standIn(stretch.spans);
    if (spanLength(span) < shortest) return true;
    const d = middleDirection(span);
    return index.at(point.x - d.y * aside, point.y + d.x * aside) === (left ? 1 : 0);
  });
};

/** Areas agree within this much for each mm of edge, mm: twice what is dropped as a sliver. */
export const thinnest = 2e-5;

/**
 * Polygons with the shapes they were made of: those with an edge near one of theirs; an outer one also with those that it
 * holds.
 *
 * @param tolerance how far a polygon may lie off the edges it stands for, mm
 */
export const withNames = (
  polygons: readonly Ring[],
  sources: readonly Region[],
  tolerance: number,
): RegionRing[] => {
  const spans: Span[] = [];
  const names: (readonly string[])[] = [];
  for (const { rings } of sources) {
    for (const { ring, shapes } of rings) {
      for (const span of ring.spans()) {
        spans.push(span);
        names.push(shapes);
      }
    }
  }
  const index = spans.length === 0 ? undefined : new SpanIndex(spans);
  return polygons.map((polygon) => {
    const ring = new StoredRing(polygon);
    const shapes = new Set<string>();
    for (const { ax, ay } of polygon) {
      const nearest = index?.nearest(ax, ay);
      if (nearest !== undefined) for (const name of names[nearest]!) shapes.add(name);
    }
    if (ring.area > 0) {
      const inside = new WindingIndex([polygon]);
      spans.forEach((span, i) => {
        const { minX, minY, maxX, maxY } = spanBox(span);
        const isIn = inside.at((minX + maxX) / 2, (minY + maxY) / 2) > 0 && spanLength(span) > tolerance;
        if (isIn) for (const name of names[i]!) shapes.add(name);
      });
    }
    return { ring, shapes: [...shapes] };
  });
};

/** @throws InputError: no engine found a boundary that agrees with what it was made of */
export const refuseUncertain = (sources: readonly Region[]): never => {
  const shapes = [...new Set(sources.flatMap(({ rings }) => rings.flatMap((r) => r.shapes)))];
  const box = sources[0]?.rings[0]?.ring.box;
  const near = box && ` near ${box.minX.toFixed(2)}, ${box.minY.toFixed(2)} on the bed`;
  throw new InputError({
    found: `no certain boundary for ${shapes.slice(0, 5).join(', ')}${shapes.length > 5 ? ` and ${shapes.length - 5} more` : ''}${near ?? ''}: their edges touch or overlap in a way that two methods do not agree on`,
    expected: 'edges that are apart, or that overlap by more than 0.001 mm',
    next: 'Move these shapes apart or into one another by a hundredth of a millimetre in the drawing, or change "clearance" by as little.',
  });
};
