/**
 * What holds of every boundary that is put together from stretches: each stretch has the sides in the result that were
 * found for it. A ring that is lost, a pocket that is filled or rings linked the wrong way round show here.
 */
import { type Stretch, standIn } from '../geometry/arrangement.js';
import { middleDirection, type Ring, spanLength } from '../geometry/span.js';
import { WindingIndex } from '../geometry/winding-index.js';

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

/** Whether the rings, which keep their region on their left, agree with the sides of all stretches. */
export const agreesWithSides = (rings: readonly Ring[], sides: readonly Sided[]): boolean => {
  const index = new WindingIndex(rings);
  return sides.every(({ stretch, left, right }) => {
    const { point, span } = standIn(stretch.spans);
    if (spanLength(span) < shortest) return true;
    const d = middleDirection(span);
    const x = d.y * aside;
    const y = d.x * aside;
    return (
      index.at(point.x - x, point.y + y) === (left ? 1 : 0) &&
      index.at(point.x + x, point.y - y) === (right ? 1 : 0)
    );
  });
};

/** Areas agree within this much for each mm of edge, mm: twice what is dropped as a sliver. */
export const thinnest = 2e-5;
