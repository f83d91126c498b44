/**
 * Stretches of the existing edges and the mean profile of grey levels across each: from inside the opening over the panel to the
 * film. A stretch is so short that the gap is the same along it, and keeps to where no other edge comes near.
 */
import Flatbush from 'flatbush';
import { apply, invert, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { GreyPicture } from '../../scan/picture/grey-picture.js';
import { type EdgePlace, placeOn, type Stretch, type Walk } from '../edge-walk.js';

export interface Window {
  /** Its middle. */
  readonly place: EdgePlace;
  /** mm along the edge, and where on its ring. */
  readonly length: number;
  readonly ring: number;
  readonly from: number;
  /** How far the profile may reach to either side of the edge, mm. */
  readonly inside: number;
  readonly outside: number;
}

/** mm. A window is as long as this, and turns by no more than `mostTurn` radians: the mean of n . d is then right to 0.1 %. */
const longest = 3;
const mostTurn = 0.15;
const shortest = 0.25;
/** Of a corner, mm besides the clearance: blur, and the new corner that lies elsewhere. */
const cornerRoom = 0.4;
/** The profile reaches so far beyond both edges where there is room, mm: how far off a cut may be and still be seen. */
const reach = 0.8;
const leastReach = 0.12;

export const windowsOf = (walk: Walk, clearance: number): Window[] => {
  const room = roomAt(walk, clearance);
  const windows: Window[] = [];
  const byRing: Stretch[][] = walk.rings.map(() => []);
  for (const stretch of walk.stretches) byRing[stretch.ring]!.push(stretch);
  walk.rings.forEach(({ length: whole, corners }, ring) => {
    const own = byRing[ring]!;
    // Smooth parts between corners; a ring without corners is one.
    const ends = corners.length === 0 ? [0, whole] : [...new Set(corners)].sort((a, b) => a - b);
    const parts =
      corners.length === 0
        ? [[0, whole] as const]
        : ends.map((c, i) => [c, i + 1 < ends.length ? ends[i + 1]! : ends[0]! + whole] as const);
    for (const [start, end] of parts) {
      const keep = corners.length === 0 ? 0 : clearance + cornerRoom;
      let from = start + keep;
      const last = end - keep;
      while (last - from >= shortest) {
        const first = stretchAt(own, from % whole);
        const bends = Math.abs(placeOn(walk, first.stretch, first.t).curvature);
        const size = Math.min(longest, bends > 0 ? mostTurn / bends : longest, last - from);
        // What is left at the end joins the last one where it is short.
        const length = last - from - size < shortest ? last - from : size;
        if (length >= shortest) {
          const window = windowAt(walk, own, { ring, from, length, whole }, room);
          if (window !== undefined) windows.push(window);
        }
        from += length;
        if (size <= 0) break;
      }
    }
  });
  return windows;
};

const stretchAt = (own: readonly Stretch[], along: number): { stretch: Stretch; t: number } => {
  let low = 0;
  let high = own.length - 1;
  while (low < high) {
    const middle = (low + high + 1) >> 1;
    if (own[middle]!.from <= along) low = middle;
    else high = middle - 1;
  }
  const stretch = own[low]!;
  return { stretch, t: Math.min(1, Math.max(0, (along - stretch.from) / stretch.length)) };
};

const windowAt = (
  walk: Walk,
  own: readonly Stretch[],
  { ring, from, length, whole }: { ring: number; from: number; length: number; whole: number },
  room: (at: Point, normal: Point, side: 1 | -1, wanted: number) => number,
): Window | undefined => {
  const samples = [0.02, 0.5, 0.98].map((share): { at: Point; normal: Point } => {
    const { stretch, t } = stretchAt(own, (from + share * length) % whole);
    return placeOn(walk, stretch, t);
  });
  const { stretch, t } = stretchAt(own, (from + length / 2) % whole);
  const place = placeOn(walk, stretch, t);
  let inside = Number.POSITIVE_INFINITY;
  let outside = Number.POSITIVE_INFINITY;
  for (const { at, normal } of samples) {
    outside = Math.min(outside, room(at, normal, 1, reach));
    inside = Math.min(inside, room(at, normal, -1, reach));
  }
  return inside < leastReach || outside < leastReach
    ? undefined
    : { place, length, ring, from, inside, outside };
};

/** How far the profile may go from an edge, mm: as long as the edge itself is the nearest one. `outside` counts from the new edge. */
const roomAt = (
  { stretches }: Walk,
  clearance: number,
): ((at: Point, normal: Point, side: 1 | -1, wanted: number) => number) => {
  const index = new Flatbush(Math.max(1, stretches.length));
  if (stretches.length === 0) index.add(0, 0, 0, 0);
  for (const { x, y, toX, toY } of stretches)
    index.add(Math.min(x, toX), Math.min(y, toY), Math.max(x, toX), Math.max(y, toY));
  index.finish();
  const isFree = (p: Point, away: number): boolean => {
    let free = true;
    index.search(p.x - away, p.y - away, p.x + away, p.y + away, (i) => {
      const { x, y, toX, toY, length } = stretches[i]!;
      const t = Math.min(1, Math.max(0, ((p.x - x) * (toX - x) + (p.y - y) * (toY - y)) / length ** 2));
      if (Math.hypot(p.x - x - t * (toX - x), p.y - y - t * (toY - y)) < away) free = false;
      return false;
    });
    return free;
  };
  return (at, normal, side, wanted) => {
    const base = side === 1 ? clearance : 0;
    let room = 0;
    for (let r = 0.1; r <= wanted + 1e-9; r += 0.1) {
      const d = base + r;
      const p = { x: at.x + side * d * normal.x, y: at.y + side * d * normal.y };
      // Chords lie inside their arcs by less than 0.02 mm.
      if (!isFree(p, 0.98 * d - 0.02)) break;
      room = r;
    }
    return room;
  };
};

/** Levels across an edge: the mean of all pixels of a window whose middles lie in the same narrow strip along it. */
export interface Profile {
  /** mm along the normal from the drawn edge, rising. */
  readonly t: Float64Array;
  readonly levels: Float64Array;
  /** Pixels to each. */
  readonly counts: Float64Array;
}

/** Strips to a pixel: a step is missed by (1/6)^2 / 24 of a pixel at most, and not to one side. */
const strips = 6;

/**
 * No level is made up between pixels: each counts where its middle lies. Undefined where some of the window lies out of the
 * picture.
 *
 * @param toPixels bed mm -> pixels from the upper left corner, y down
 * @param pixel mm of one
 */
export const profileOf = (
  { width, height, levels }: GreyPicture,
  { place: { at, normal, curvature }, length }: Window,
  toPixels: Matrix,
  pixel: number,
  from: number,
  to: number,
): Profile | undefined => {
  const back = invert(toPixels);
  if (back === undefined) return undefined;
  const along = { x: -normal.y, y: normal.x };
  const half = length / 2;
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  // The ends of a bent window lie off its middle's tangent.
  const sag = (Math.abs(curvature) * half * half) / 2;
  for (const s of [-half, half])
    for (const t of [from - sag, to + sag]) {
      const p = apply(toPixels, {
        x: at.x + s * along.x + t * normal.x,
        y: at.y + s * along.y + t * normal.y,
      });
      minX = Math.min(minX, p.x);
      maxX = Math.max(maxX, p.x);
      minY = Math.min(minY, p.y);
      maxY = Math.max(maxY, p.y);
    }
  if (minX < 0 || minY < 0 || maxX > width || maxY > height) return undefined;
  const step = pixel / strips;
  const count = Math.ceil((to - from) / step);
  const sums = new Float64Array(count);
  const places = new Float64Array(count);
  const counts = new Float64Array(count);
  const isBent = Math.abs(curvature) > 1e-6;
  const radius = isBent ? 1 / curvature : 0;
  for (let y = Math.floor(minY); y < maxY; y += 1) {
    for (let x = Math.floor(minX); x < maxX; x += 1) {
      const px = x + 0.5;
      const py = y + 0.5;
      const bx = back[0] * px + back[2] * py + back[4] - at.x;
      const by = back[1] * px + back[3] * py + back[5] - at.y;
      let s = bx * along.x + by * along.y;
      let t = bx * normal.x + by * normal.y;
      if (isBent) {
        // About the middle of the circle that touches the edge here: the way along it, and the distance from it.
        const away = radius + t;
        if (away * radius <= 0) continue;
        const distance = Math.sign(radius) * Math.hypot(s, away);
        s = Math.atan2(s * Math.sign(radius), Math.abs(away)) * radius * Math.sign(radius);
        t = distance - radius;
      }
      if (s < -half || s >= half) continue;
      const k = Math.floor((t - from) / step);
      if (k < 0 || k >= count) continue;
      sums[k]! += levels[y * width + x]!;
      places[k]! += t;
      counts[k]! += 1;
    }
  }
  const full = [...counts.keys()].filter((k) => counts[k]! > 0);
  return {
    t: Float64Array.from(full, (k) => places[k]! / counts[k]!),
    levels: Float64Array.from(full, (k) => sums[k]! / counts[k]!),
    counts: Float64Array.from(full, (k) => counts[k]!),
  };
};
