/** Where things of the bed lie in the plan: its scale, its axes, and room for signs beside it. Pure: tested without a browser. */

import type { Box, Matrix, Point } from '../../internal.js';
import { apply, compose } from './matrix.js';

/** Zoomed by `k` about the middle and moved by x, y px; 1, 0, 0 shows all of it. */
export interface Zoom {
  readonly k: number;
  readonly x: number;
  readonly y: number;
}

export const whole: Zoom = { k: 1, x: 0, y: 0 };
export const mostZoom = 200;

export interface Frame {
  /** Display coordinates to px. */
  readonly toPx: Matrix;
  /** px to the mm. */
  readonly scale: number;
  readonly inner: Box;
}

export interface Room {
  readonly width: number;
  readonly height: number;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

export const boxThrough = (m: Matrix, { minX, minY, maxX, maxY }: Box): Box => {
  const corners = [
    { x: minX, y: minY },
    { x: maxX, y: minY },
    { x: maxX, y: maxY },
    { x: minX, y: maxY },
  ].map((p) => apply(m, p));
  return {
    minX: Math.min(...corners.map(({ x }) => x)),
    minY: Math.min(...corners.map(({ y }) => y)),
    maxX: Math.max(...corners.map(({ x }) => x)),
    maxY: Math.max(...corners.map(({ y }) => y)),
  };
};

/** @param box on the display, mm */
export const frameOf = (box: Box, room: Room, zoom: Zoom, upwards: boolean): Frame => {
  const inner = {
    minX: room.left,
    minY: room.top,
    maxX: Math.max(room.left + 10, room.width - room.right),
    maxY: Math.max(room.top + 10, room.height - room.bottom),
  };
  const [w, h] = [inner.maxX - inner.minX, inner.maxY - inner.minY];
  const base = Math.min(w / Math.max(1e-9, box.maxX - box.minX), h / Math.max(1e-9, box.maxY - box.minY));
  const scale = base * zoom.k;
  const [cx, cy] = [(box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2];
  const [px, py] = [inner.minX + w / 2 + zoom.x, inner.minY + h / 2 + zoom.y];
  const sy = upwards ? -scale : scale;
  return { toPx: [scale, 0, 0, sy, px - scale * cx, py - sy * cy], scale, inner };
};

/** Zooms so that the point of the page under the hand stays there. */
export const zoomedAt = (zoom: Zoom, frame: Frame, at: Point, factor: number): Zoom => {
  const k = Math.min(mostZoom, Math.max(1, zoom.k * factor));
  if (k === 1) return whole;
  const f = k / zoom.k;
  const { inner } = frame;
  const [mx, my] = [(inner.minX + inner.maxX) / 2, (inner.minY + inner.maxY) / 2];
  return {
    k,
    x: at.x - mx - f * (at.x - mx - zoom.x),
    y: at.y - my - f * (at.y - my - zoom.y),
  };
};

/** Moved no farther than that half of it stays in sight. */
export const moved = (zoom: Zoom, { inner }: Frame, dx: number, dy: number): Zoom => {
  if (zoom.k === 1) return whole;
  const [w, h] = [inner.maxX - inner.minX, inner.maxY - inner.minY];
  const limit = (v: number, size: number): number =>
    Math.min(size * zoom.k * 0.5, Math.max(-size * zoom.k * 0.5, v));
  return { k: zoom.k, x: limit(zoom.x + dx, w), y: limit(zoom.y + dy, h) };
};

/** Places of ticks, with a figure at every one of `figures`. */
export const ticksOf = (low: number, high: number, px: number): { step: number; at: number[] } => {
  const rough = ((high - low) * 90) / Math.max(1, px);
  const decade = Number(`1e${Math.floor(Math.log10(rough))}`);
  const step = ([1, 2, 5, 10].find((s) => s * decade >= rough) ?? 10) * decade;
  const at: number[] = [];
  for (let v = Math.ceil(low / step) * step; v <= high + 1e-9 && at.length < 60; v += step)
    at.push(Math.round(v / step) * step);
  return { step, at };
};

export interface Label {
  readonly text: string;
  /** What it names, px, and how far from it nothing of it may come. */
  readonly at: Point;
  readonly clear: number;
  readonly size: number;
  /** px */
  readonly width: number;
}

export interface PlacedLabel extends Label {
  /** Its left end and the baseline. */
  readonly x: number;
  readonly y: number;
}

/** Directions from what is named, the best first. */
const around = [
  [1, 0],
  [-1, 0],
  [0, -1],
  [0, 1],
  [0.75, -0.75],
  [-0.75, -0.75],
  [0.75, 0.75],
  [-0.75, 0.75],
] as const;

/** px farther away, where all that is near is taken. */
const steps = [0, 8, 18, 32, 50];

const overlap = (a: Box, b: Box): number =>
  Math.max(0, Math.min(a.maxX, b.maxX) - Math.max(a.minX, b.minX)) *
  Math.max(0, Math.min(a.maxY, b.maxY) - Math.max(a.minY, b.minY));

/**
 * Each label where it covers least of what is there: the rim of the picture and other labels first of all, then `taken`, then
 * `part`, the nearer the better.
 */
export const placeLabels = (
  labels: readonly Label[],
  taken: readonly Box[],
  part: Box,
  inside: Box,
): PlacedLabel[] => {
  const placed: Box[] = [];
  return labels.map((label) => {
    const { width: w, at, clear } = label;
    const h = label.size * 0.75;
    let best: { cost: number; box: Box } | undefined;
    for (const step of steps)
      around.forEach(([dx, dy], i) => {
        const far = clear + step;
        const x = at.x + dx * far + (dx === 0 ? -w / 2 : dx > 0 ? 0 : -w);
        const y = at.y + dy * far + (dy === 0 ? h / 2 : dy > 0 ? h : 0);
        const box = { minX: x, maxX: x + w, minY: y - h, maxY: y };
        const area = w * h;
        const share = (boxes: readonly Box[]): number =>
          boxes.reduce((sum, b) => sum + overlap(box, b), 0) / area;
        const cost =
          i * 0.02 +
          step * 0.04 +
          100 * (1 - overlap(box, inside) / area) +
          40 * share(placed) +
          8 * share(taken) +
          0.9 * share([part]);
        if (best === undefined || cost < best.cost) best = { cost, box };
      });
    const { box } = best!;
    placed.push({ minX: box.minX - 2, maxX: box.maxX + 2, minY: box.minY - 2, maxY: box.maxY + 2 });
    return { ...label, x: box.minX, y: box.maxY };
  });
};

export const squareAt = ({ x, y }: Point, half: number): Box => ({
  minX: x - half,
  minY: y - half,
  maxX: x + half,
  maxY: y + half,
});

export { apply, compose };
