/**
 * Where the beam cannot follow the existing edge. A beam thicker than twice the clearance runs inside the edge; where a tip
 * is sharper, or a neck narrower, than it can get into, the new edge keeps less than the clearance from the existing one.
 */
import { beamRegions } from '../../cut/cut-neighbourhood.js';
import { neighbourhoods } from '../../cut/neighbourhoods.js';
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Span } from '../../geometry/spans/span.js';
import { nearestOnSpan } from '../../geometry/spans/span-distance.js';
import { SpanIndex } from '../../geometry/spans/span-index.js';
import { type CornerSettings, pointedRadius } from './corner-room.js';

/**
 * What the beam leaves at a point of the drawn edge with the outward normal n: gain and extra of `EdgeRoom`, exact at the
 * clearance asked for and too small beyond it; undefined where that is no less than the gain and extra given.
 *
 * At a tip the beam leaves a disc about the nearest point q that its middle gets to: the tip may move by d as long as
 * n . d stays below  n . (q - p) + beam  for every n of the tip (support functions, as in corner-room.ts).
 *
 * @param isHollow the edge bends towards the material there, as in a neck: no other point has the normals in between, and the
 * way along n out of the disc counts
 * @param size of the ring, mm: nothing sticks out farther than it is long
 */
export type Unreached = (
  at: Point,
  normal: Point,
  isHollow: boolean,
  size: number,
  gain?: number,
  extra?: number,
) => readonly [gain: number, extra: number] | undefined;

/** Bound on the distance of the beam's path from the exact one, mm. */
const tolerance = 1e-3;
/** Less than this is no difference, mm. */
const unnoticed = 2e-3;

/** Undefined where the beam follows every edge: it is thin enough, or as thin as what pierced the openings. */
export const unreached = (
  openings: readonly Shape[],
  matrix: Matrix,
  settings: CornerSettings,
): Unreached | undefined => {
  const { kind, pierced, tools } = settings;
  if (tools === undefined) return undefined;
  const { beam, piercing, clearance } = tools;
  const radius = pointedRadius(settings);
  if (radius <= clearance + unnoticed) return undefined;
  const isOpening = kind === 'opening';
  // The side that is set back from, as the beam's middle and the piercing tool's get into it, and what the latter takes.
  const within = (by: number): SpanIndex | undefined =>
    insideOf(openings, matrix, isOpening ? -by : by, settings);
  const inside = isOpening ? beam - clearance - pierced : beam - clearance + pierced;
  const path = within(inside);
  const piercedInside = !isOpening ? pierced : pierced > 0 ? 0 : piercing;
  const grown = !isOpening ? 0 : pierced > 0 ? pierced : piercing;
  const piercedPath = piercedInside > 0 ? within(piercedInside) : undefined;

  /** Where the existing edge has the normal n. */
  const existing = ({ x, y }: Point, n: Point): Point => {
    const q = piercedPath && nearest(piercedPath, x, y);
    const isLost = q !== undefined && Math.hypot(q.x - x, q.y - y) > piercedInside + unnoticed;
    const from = isLost ? q : { x: x - piercedInside * n.x, y: y - piercedInside * n.y };
    return { x: from.x + grown * n.x, y: from.y + grown * n.y };
  };
  const roomAt = (at: Point, normal: Point, isHollow: boolean): number | undefined => {
    if (path === undefined) return Number.NEGATIVE_INFINITY;
    const q = nearest(path, at.x, at.y);
    if (Math.hypot(q.x - at.x, q.y - at.y) <= inside + unnoticed) return undefined;
    const p = existing(at, normal);
    const dx = q.x - p.x;
    const dy = q.y - p.y;
    const along = dx * normal.x + dy * normal.y;
    if (!isHollow) return along + beam;
    const away = Math.hypot(dx, dy);
    return away >= beam ? beam - away : along + Math.sqrt(beam * beam - (away * away - along * along));
  };
  return (at, normal, isHollow, size, gain = 1, extra = 0) => {
    const room = roomAt(at, normal, isHollow);
    if (room === undefined || room > gain * clearance + extra - unnoticed) return undefined;
    const less = (radius - Math.max(room, -size)) / (radius - clearance);
    return [less, (1 - less) * radius];
  };
};

/** The drawn edges moved by `distance`, outward for a positive one; undefined where nothing is left of them. */
const insideOf = (
  openings: readonly Shape[],
  matrix: Matrix,
  distance: number,
  { corners, mitreLimit }: CornerSettings,
): SpanIndex | undefined => {
  const reach = {
    offset: Math.max(0, distance),
    mitreLimit: corners === 'mitre' ? mitreLimit : 1,
    beyond: 2 * tolerance,
  };
  const way = { toBed: matrix, distance, cut: { corners, mitreLimit, tolerance } };
  const spans: Span[] = [];
  for (const { shapes } of neighbourhoods(openings, matrix, reach, true)) {
    for (const region of beamRegions(shapes, way).beams) {
      for (const { ring } of region.rings) for (const span of ring.spans()) spans.push(span);
    }
  }
  return spans.length === 0 ? undefined : new SpanIndex(spans);
};

const nearest = (index: SpanIndex, x: number, y: number): Point =>
  nearestOnSpan(index.spans[index.nearest(x, y)]!, x, y);
