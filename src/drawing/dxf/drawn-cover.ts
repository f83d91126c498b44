/** Whether the boundary of a filled area is drawn as well, by other entities. */
import Flatbush from 'flatbush';
import { type Path, positionAt, type Segment, segmentBox } from '../../geometry/curve.js';
import { placesNear } from '../../geometry/curve-part.js';
import type { CurveStore } from '../../geometry/curve-store.js';
import { type Box, boxDiagonal, emptyBox, growBox, joinBoxes, type Point } from '../../geometry/point.js';
import { boxOfPath, StoredPath, segmentsNow } from '../../geometry/stored-path.js';

/**
 * How far a filled area may end from the line round it: filled circles have polygons round them.
 * Common practice, no source.
 */
const leastApart = 0.1;
const shareApart = 0.003;

export class DrawnCover {
  private readonly segments: Segment[] = [];
  private readonly index: Flatbush | undefined;

  /**
   * @param curves all that is drawn
   * @param boundaries of the filled areas
   */
  constructor(curves: CurveStore, boundaries: readonly Path[]) {
    const near = growBox(boundaries.map(boxOfPath).reduce(joinBoxes, emptyBox), leastApart);
    for (let i = 0; i < curves.count; i += 1) {
      if (!meet(curves.boxOf(i), near)) continue;
      for (const s of segmentsNow(new StoredPath(curves, i))) this.segments.push(s);
    }
    if (this.segments.length === 0) return;
    this.index = new Flatbush(this.segments.length);
    for (const s of this.segments) {
      const { minX, minY, maxX, maxY } = segmentBox(s);
      this.index.add(minX, minY, maxX, maxY);
    }
    this.index.finish();
  }

  /**
   * Whether the corners of a boundary, and three places between each two of them, lie on lines that
   * are drawn.
   */
  covers(boundary: Path): boolean {
    const { index } = this;
    if (index === undefined) return false;
    const apart = leastApart + shareApart * boxDiagonal(boxOfPath(boundary));
    const isDrawn = ({ x, y }: Point): boolean =>
      index
        .search(x - apart, y - apart, x + apart, y + apart)
        .some((k) => placesNear(this.segments[k]!, { x, y }, apart).length > 0);
    return segmentsNow(boundary).every((s) => [0, 0.25, 0.5, 0.75].every((t) => isDrawn(positionAt(s, t))));
  }
}

const meet = (a: Box, b: Box): boolean =>
  a.minX <= b.maxX && a.maxX >= b.minX && a.minY <= b.maxY && a.maxY >= b.minY;
