/** The panel as it really is: cut out along its drawn outline, and smaller by half a kerf where that was not corrected. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import {
  type Box,
  boxCentre,
  boxDiagonal,
  boxesMeet,
  boxHolds,
  growBox,
  type Point,
} from '../../geometry/point.js';
import { PreparedRing } from '../../geometry/rings/prepared-ring.js';
import { StoredRing, withPassingRings } from '../../geometry/rings/stored-ring.js';
import { distanceToSpan, type Span, spanBox } from '../../geometry/spans/span.js';
import { shortestBetween } from '../../geometry/spans/span-distance.js';
import { meetings } from '../../geometry/spans/span-intersection.js';
import type { Job } from '../../job/job.js';
import { existingRegions, unite } from '../offset/existing.js';
import { offsetRegion } from '../offset/offset-region.js';
import type { Region } from '../offset/region.js';

/** Rounding, mm. */
const hair = 1e-6;

export class Panel {
  private readonly prepared = new Map<StoredRing, PreparedRing>();

  /** @param regions keep the panel on their left; they last */
  constructor(readonly regions: readonly Region[]) {}

  /** Whether a point lies on the panel; one on its edge may fall either way. */
  holds(p: Point): boolean {
    let winding = 0;
    for (const { ring } of this.regions.flatMap((region) => region.rings)) {
      if (boxHolds(ring.box, p) && this.preparedOf(ring).holds(p)) winding += Math.sign(ring.area);
    }
    return winding > 0;
  }

  /** Whether a ring comes within `reach` (mm) of its edge, or crosses it. */
  isWithin(reach: number, ring: StoredRing): boolean {
    const { box } = ring;
    const middle = boxCentre(box);
    const radius = boxDiagonal(box) / 2 + reach;
    return this.near(growBox(box, reach)).some((edge) => {
      if (distanceToSpan(edge, middle.x, middle.y) > radius) return false;
      return ring
        .spansNear(spanBox(edge), reach)
        .some((s) => meetings(s, edge).length > 0 || shortestBetween(s, edge).distance <= reach);
    });
  }

  /** The parts of its edge whose boxes, with a hair of room, meet a box. */
  near(box: Box): Span[] {
    return this.regions.flatMap(({ rings }) =>
      rings.flatMap(({ ring }) => {
        if (!boxesMeet(growBox(ring.box, hair), box)) return [];
        const prepared = this.preparedOf(ring);
        return prepared.near(growBox(box, hair)).map((i) => prepared.spans[i]!);
      }),
    );
  }

  private preparedOf(ring: StoredRing): PreparedRing {
    const known = this.prepared.get(ring) ?? new PreparedRing(ring.spans());
    this.prepared.set(ring, known);
    return known;
  }
}

/** Undefined where nothing that closes is drawn as the outline. */
export const panelOf = (
  outline: readonly Shape[],
  toBed: Matrix,
  pierced: Job['pierced'],
  tolerance: number,
): Panel | undefined => {
  const lost = pierced.compensated ? 0 : pierced.kerf / 2;
  const regions = withPassingRings(() => {
    const tolerances = { arcs: tolerance, polygons: tolerance };
    const drawn = existingRegions(outline, toBed, tolerances).regions;
    if (lost === 0) return drawn.map(lastingRegion);
    // A beam rounds the corners that it runs round on the outside.
    const left = drawn.map((region) => offsetRegion(region, -lost, roundCorners, tolerance));
    return unite(left, tolerance).map(lastingRegion);
  });
  return regions.length === 0 ? undefined : new Panel(regions);
};

export const roundCorners = { corners: 'round', mitreLimit: 1 } as const;

export const lastingRegion = ({ rings }: Region): Region => ({
  rings: rings.map(({ ring, shapes }) => ({ ring: new StoredRing(ring.spans(), { lasts: true }), shapes })),
});
