/** Which openings can have to do with one another; the others need not be looked at together. */
import type { Shape } from '../drawing/model/drawing.js';
import type { Matrix } from '../geometry/affine.js';
import { derivativeAt, type Path } from '../geometry/curve.js';
import { type Box, emptyBox, growBox } from '../geometry/point.js';
import { passingSegments } from '../geometry/stored-path.js';
import { clustersOfBoxes } from './clusters.js';

/** How far from its drawn edge an opening matters to others. */
export interface Reach {
  /** Of its beam path, mm; 0 for one inside it. */
  readonly offset: number;
  /** Longest mitre, as a multiple of the offset; 1 where corners are rounded. */
  readonly mitreLimit: number;
  /** Beyond its beam path, mm. */
  readonly beyond: number;
}

export interface Neighbourhood {
  readonly shapes: readonly Shape[];
  /** Of a shape by itself: what its beam paths and their reach have to keep within, or it is no neighbourhood. */
  readonly room?: Box;
}

/** What the mitre at a corner taken for smooth may add to the offset. */
const smoothMitre = 1.03;
/** The turn of such a corner: its mitre is the offset over the cosine of half of it. */
const cosineOfSmooth = 2 / (smoothMitre * smoothMitre) - 1;

/**
 * The shapes in groups that have nothing to do with one another. Those with corners, and those with neighbours, take the
 * room of the longest mitre; so do all with `everywhere`. Otherwise a lone path is trusted to get no corners that it was
 * not drawn with (it would where it crosses itself), and has to be held against its `room`.
 */
export const neighbourhoods = (
  shapes: readonly Shape[],
  toBed: Matrix,
  { offset, mitreLimit, beyond }: Reach,
  everywhere = false,
): Neighbourhood[] => {
  const mitres = mitreLimit > smoothMitre && offset > 0;
  const claims = shapes.map((shape) => claimOf(shape, toBed));
  const wide = claims.map(({ corners }) => everywhere || !mitres || corners);
  for (;;) {
    const rooms = claims.map(({ box }, i) =>
      growBox(box, offset * (wide[i] ? mitreLimit : smoothMitre) + beyond),
    );
    const groups = clustersOfBoxes(rooms);
    const narrow = groups
      .filter(({ length }) => length > 1)
      .flatMap((group) => group.filter((i) => !wide[i]));
    if (narrow.length === 0) {
      return groups.map((group) => {
        const [first] = group;
        const isAlone = group.length === 1 && !wide[first!];
        return { shapes: group.map((i) => shapes[i]!), ...(isAlone ? { room: rooms[first!]! } : {}) };
      });
    }
    for (const i of narrow) wide[i] = true;
  }
};

/** What is to be known of a placed shape before it is placed. */
interface Claim {
  readonly box: Box;
  /** Its path has corners, or several paths may have some where they cross. */
  readonly corners: boolean;
}

const claimOf = ({ paths }: Shape, toBed: Matrix): Claim => {
  const outlines = paths.map((path) => ({ closed: path.closed, segments: passingSegments(path) }));
  return {
    box: placedBox(outlines, toBed),
    corners: outlines.length > 1 || outlines.some((path) => hasCorner(path, toBed)),
  };
};

/** Whether somewhere on a placed path, its closing line included, the direction changes by more than at a smooth corner. */
const hasCorner = ({ segments, closed }: Path, [a, b, c, d]: Matrix): boolean => {
  // Directions at the start of the path and at the end of what was looked at.
  let firstX = 0;
  let firstY = 0;
  let lastX = 0;
  let lastY = 0;
  const turnsSharply = (x: number, y: number): boolean =>
    lastX * x + lastY * y < cosineOfSmooth * Math.sqrt((lastX * lastX + lastY * lastY) * (x * x + y * y));
  for (const segment of segments) {
    const start = derivativeAt(segment, 0);
    const x = a * start.x + c * start.y;
    const y = b * start.x + d * start.y;
    const begins = lastX === 0 && lastY === 0;
    if (begins) {
      firstX = x;
      firstY = y;
    } else if (turnsSharply(x, y)) return true;
    const end = segment.kind === 'line' ? start : derivativeAt(segment, 1);
    lastX = a * end.x + c * end.y;
    lastY = b * end.x + d * end.y;
    // As with a control point on its end: the curve has a direction there all the same, which is not known here.
    if (Math.abs(x) + Math.abs(y) < 1e-6 || Math.abs(lastX) + Math.abs(lastY) < 1e-6) return true;
  }
  return closed && turnsSharply(firstX, firstY);
};

/** A box that holds placed paths, by their control points; where there are none, a point far away. */
const placedBox = (paths: readonly Path[], [a, b, c, d, e, f]: Matrix): Box => {
  let { minX, minY, maxX, maxY } = emptyBox;
  const stretch = Math.hypot(a, b, c, d);
  const take = (x: number, y: number, radius = 0): void => {
    const placedX = a * x + c * y + e;
    const placedY = b * x + d * y + f;
    const room = radius * stretch;
    if (placedX - room < minX) minX = placedX - room;
    if (placedX + room > maxX) maxX = placedX + room;
    if (placedY - room < minY) minY = placedY - room;
    if (placedY + room > maxY) maxY = placedY + room;
  };
  for (const { segments } of paths) {
    for (const s of segments) {
      switch (s.kind) {
        case 'arc':
          take(s.centre.x, s.centre.y, s.radius);
          break;
        case 'elliptical-arc':
          take(s.centre.x, s.centre.y, Math.hypot(s.u.x, s.u.y, s.v.x, s.v.y));
          break;
        default:
          take(s.from.x, s.from.y);
          take(s.to.x, s.to.y);
          if (s.kind === 'line') break;
          take(s.control1.x, s.control1.y);
          take(s.control2.x, s.control2.y);
      }
    }
  }
  return minX > maxX ? { minX: far, minY: far, maxX: far, maxY: far } : { minX, minY, maxX, maxY };
};

/** mm; no drawing reaches so far. */
const far = 1e9;
