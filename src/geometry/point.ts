/** A point or vector in millimetres; x to the right, y up. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** An axis-parallel box in millimetres. An empty box has minX > maxX. */
export interface Box {
  readonly minX: number;
  readonly minY: number;
  readonly maxX: number;
  readonly maxY: number;
}

export const point = (x: number, y: number): Point => ({ x, y });

export const add = (a: Point, b: Point): Point => ({ x: a.x + b.x, y: a.y + b.y });

export const subtract = (a: Point, b: Point): Point => ({ x: a.x - b.x, y: a.y - b.y });

export const scale = (a: Point, factor: number): Point => ({ x: a.x * factor, y: a.y * factor });

export const dot = (a: Point, b: Point): number => a.x * b.x + a.y * b.y;

/** z of a x b: positive when b lies counter-clockwise of a. */
export const cross = (a: Point, b: Point): number => a.x * b.y - a.y * b.x;

/** Length of a vector; the square root is faster than Math.hypot and no bed comes near its overflow. */
export const length = (a: Point): number => Math.sqrt(a.x * a.x + a.y * a.y);

export const distance = (a: Point, b: Point): number => length(subtract(a, b));

/** Unit vector along a, or (0, 0) for a zero vector. */
export const unit = (a: Point): Point => {
  const size = length(a);
  return size === 0 ? { x: 0, y: 0 } : { x: a.x / size, y: a.y / size };
};

/** a turned a quarter turn counter-clockwise. */
export const turnedLeft = (a: Point): Point => ({ x: -a.y, y: a.x });

/** The point a fraction t of the way from a to b. */
export const between = (a: Point, b: Point, t: number): Point => ({
  x: a.x + t * (b.x - a.x),
  y: a.y + t * (b.y - a.y),
});

export const emptyBox: Box = {
  minX: Number.POSITIVE_INFINITY,
  minY: Number.POSITIVE_INFINITY,
  maxX: Number.NEGATIVE_INFINITY,
  maxY: Number.NEGATIVE_INFINITY,
};

export const boxOfPoints = (points: Iterable<Point>): Box => {
  let { minX, minY, maxX, maxY } = emptyBox;
  for (const p of points) {
    if (p.x < minX) minX = p.x;
    if (p.x > maxX) maxX = p.x;
    if (p.y < minY) minY = p.y;
    if (p.y > maxY) maxY = p.y;
  }
  return { minX, minY, maxX, maxY };
};

export const joinBoxes = (a: Box, b: Box): Box => ({
  minX: Math.min(a.minX, b.minX),
  minY: Math.min(a.minY, b.minY),
  maxX: Math.max(a.maxX, b.maxX),
  maxY: Math.max(a.maxY, b.maxY),
});

export const growBox = (a: Box, by: number): Box => ({
  minX: a.minX - by,
  minY: a.minY - by,
  maxX: a.maxX + by,
  maxY: a.maxY + by,
});

export const boxesMeet = (a: Box, b: Box): boolean =>
  a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;

export const boxCentre = (a: Box): Point => ({ x: (a.minX + a.maxX) / 2, y: (a.minY + a.maxY) / 2 });

export const boxDiagonal = (a: Box): number => Math.hypot(a.maxX - a.minX, a.maxY - a.minY);

export const boxHolds = (box: Box, p: Point): boolean =>
  p.x >= box.minX && p.x <= box.maxX && p.y >= box.minY && p.y <= box.maxY;
