/**
 * Where names and numbers find room in a picture: on no other text, on no sign, and within the
 * frame.
 */
import { type Box, boxOfPoints, type Point } from '../../geometry/point.js';

/** Side of the squares by which boxes are found, picture units. */
const cell = 48;

/** How far from its place a label may stand, picture units; farther off a line leads to it. */
const distances = [0, 8, 18, 30, 44, 62, 84, 110, 140, 180, 230, 290, 360, 440, 530, 640, 760, 900];

/** From here on a line leads from the place to its label. */
const leadFrom = 8;

const sixteen: readonly Point[] = Array.from({ length: 16 }, (_, i) => {
  const turn = (i * Math.PI) / 8;
  return { x: Math.cos(turn), y: Math.sin(turn) };
});

export interface Label {
  /** The middle of its box. */
  readonly at: Point;
  readonly box: Box;
  /** A line from beside the place to the label, where it stands apart from it. */
  readonly lead?: readonly [Point, Point];
}

export class LabelRoom {
  private readonly cells = new Map<number, Box[]>();

  /** @param sheet what a label must not leave */
  constructor(private readonly sheet: Box) {}

  /** Nothing is written over this. */
  take(box: Box): void {
    for (const key of this.keysOf(box)) {
      const there = this.cells.get(key);
      if (there === undefined) this.cells.set(key, [box]);
      else there.push(box);
    }
  }

  /** A line is no box: what lies along it is taken in small squares. */
  takeLine(from: Point, to: Point, wide = 3): void {
    for (const p of alongLine(from, to)) this.take(around(p, wide, wide));
  }

  isFree(box: Box): boolean {
    const { sheet } = this;
    if (box.minX < sheet.minX || box.maxX > sheet.maxX || box.minY < sheet.minY || box.maxY > sheet.maxY)
      return false;
    for (const key of this.keysOf(box)) {
      for (const other of this.cells.get(key) ?? []) if (overlap(box, other)) return false;
    }
    return true;
  }

  /**
   * Room for a label beside a place, nearest first, and takes it.
   * @param gap between the place and the label's edge
   * @param preferred the side that is tried first
   * @param farthest how far off it may stand
   * @returns undefined where there is none
   */
  beside(
    place: Point,
    size: { readonly width: number; readonly height: number },
    {
      gap,
      preferred = { x: 0, y: -1 },
      farthest = Number.POSITIVE_INFINITY,
      isClear = () => true,
    }: {
      readonly gap: number;
      readonly preferred?: Point;
      readonly farthest?: number;
      /** What else is asked of the label's box. */
      readonly isClear?: (box: Box) => boolean;
    },
  ): Label | undefined {
    const ways = [...sixteen].sort(
      (a, b) => b.x * preferred.x + b.y * preferred.y - (a.x * preferred.x + a.y * preferred.y),
    );
    for (const away of distances) {
      if (away > farthest) return undefined;
      for (const way of [preferred, ...ways]) {
        const at = {
          x:
            place.x +
            way.x * (gap + away) +
            Math.sign(rounded(way.x)) * Math.min(1, 2 * Math.abs(way.x)) * (size.width / 2),
          y:
            place.y +
            way.y * (gap + away) +
            Math.sign(rounded(way.y)) * Math.min(1, 2 * Math.abs(way.y)) * (size.height / 2),
        };
        const box = around(at, size.width, size.height);
        if (!this.isFree(box) || !isClear(box)) continue;
        if (away < leadFrom) {
          this.take(box);
          return { at, box };
        }
        const lead = [
          { x: place.x + way.x * (gap - 3), y: place.y + way.y * (gap - 3) },
          nearestOn(box, place),
        ] as const;
        if (!alongLine(...lead).every((p) => this.isFree(around(p, 1, 1)))) continue;
        this.take(box);
        this.takeLine(...lead);
        return { at, box, lead };
      }
    }
    return undefined;
  }

  private *keysOf({ minX, minY, maxX, maxY }: Box): Generator<number> {
    for (let i = Math.floor(minX / cell); i <= Math.floor(maxX / cell); i += 1) {
      for (let j = Math.floor(minY / cell); j <= Math.floor(maxY / cell); j += 1) yield i * 4096 + j;
    }
  }
}

/** What is a rounding of a sine is nothing. */
const rounded = (value: number): number => (Math.abs(value) < 1e-9 ? 0 : value);

const alongLine = (from: Point, to: Point): Point[] => {
  const steps = Math.max(1, Math.ceil(Math.hypot(to.x - from.x, to.y - from.y) / 4));
  return Array.from({ length: steps }, (_, i) => ({
    x: from.x + ((to.x - from.x) * i) / steps,
    y: from.y + ((to.y - from.y) * i) / steps,
  }));
};

const nearestOn = ({ minX, minY, maxX, maxY }: Box, { x, y }: Point): Point => ({
  x: Math.min(maxX, Math.max(minX, x)),
  y: Math.min(maxY, Math.max(minY, y)),
});

const overlap = (a: Box, b: Box): boolean =>
  a.minX < b.maxX && b.minX < a.maxX && a.minY < b.maxY && b.minY < a.maxY;

export const around = ({ x, y }: Point, width: number, height: number): Box =>
  boxOfPoints([
    { x: x - width / 2, y: y - height / 2 },
    { x: x + width / 2, y: y + height / 2 },
  ]);
