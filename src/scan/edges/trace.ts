/**
 * The borders between dark and bright pixels, followed from side to side of pixels: every border is a closed loop, with the
 * dark pixels on its left hand (y points down).
 */

/** One closed border. Its sides, in order: each lies between a dark pixel and a bright one. */
export interface Border {
  /** The dark pixel of each side. */
  readonly x: Int32Array;
  readonly y: Int32Array;
  /** Where the bright pixel lies from the dark one: 0 to the right, 1 below, 2 to the left, 3 above. */
  readonly toBright: Uint8Array;
  /** Pixels it encloses: positive round dark ones, negative round bright ones. */
  readonly area: number;
  /** It runs along the picture's own rim: what it encloses is not wholly in view. */
  readonly atRim: boolean;
  readonly box: {
    readonly minX: number;
    readonly minY: number;
    readonly maxX: number;
    readonly maxY: number;
  };
}

export interface Traced {
  readonly borders: readonly Border[];
  /** Borders that enclosed fewer pixels than asked for, dark and bright. */
  readonly dropped: { readonly dark: number; readonly bright: number };
}

const dx = [1, 0, -1, 0];
const dy = [0, 1, 0, -1];
const seen = 2;

/**
 * @param pixels 1 dark, 0 bright; is used as scratch paper
 * @param outside what is taken to lie round the picture: 1 dark, 0 bright
 * @param leastArea borders round fewer pixels are counted and dropped
 */
export const traceBorders = (
  pixels: Uint8Array,
  width: number,
  height: number,
  outside: 0 | 1,
  leastArea: number,
): Traced => {
  const borders: Border[] = [];
  const dropped = { dark: 0, bright: 0 };
  const isDark = (x: number, y: number): number =>
    x < 0 || y < 0 || x >= width || y >= height ? outside : pixels[y * width + x]! & 1;
  // Sides between the picture's last column and what lies beyond it.
  const seenAtRim = new Uint8Array(height);
  let capacity = 1 << 16;
  let xs = new Int32Array(capacity);
  let ys = new Int32Array(capacity);
  let sides = new Uint8Array(capacity);

  const follow = (startX: number, startY: number): void => {
    // Corners of pixels: (x, y) is the upper left one of pixel (x, y). The way begins down along the left side of a dark pixel.
    let x = startX;
    let y = startY;
    let way = 1;
    let n = 0;
    let twice = 0;
    let atRim = false;
    const box = { minX: x, minY: y, maxX: x, maxY: y };
    do {
      // The dark pixel on the left hand, the bright one on the right.
      const pixelX = way === 0 || way === 1 ? x : x - 1;
      const pixelY = way === 0 || way === 3 ? y - 1 : y;
      if (n === capacity) {
        capacity *= 2;
        xs = grown(xs, new Int32Array(capacity));
        ys = grown(ys, new Int32Array(capacity));
        sides = grown(sides, new Uint8Array(capacity));
      }
      xs[n] = pixelX;
      ys[n] = pixelY;
      // Facing right the bright pixel lies below, facing down to the left, and so on.
      sides[n] = (way + 1) & 3;
      n += 1;
      if (way === 1) {
        if (pixelX === width) seenAtRim[pixelY] = 1;
        else pixels[pixelY * width + pixelX]! |= seen;
      }
      const nextX = x + dx[way]!;
      const nextY = y + dy[way]!;
      twice += x * nextY - nextX * y;
      if (way === 1 || way === 3) atRim ||= x === 0 || x === width;
      else atRim ||= y === 0 || y === height;
      x = nextX;
      y = nextY;
      if (x < box.minX) box.minX = x;
      if (x > box.maxX) box.maxX = x;
      if (y < box.minY) box.minY = y;
      if (y > box.maxY) box.maxY = y;
      const left = (way + 3) & 3;
      const aheadLeft = isDark(aheadX(x, way, left), aheadY(y, way, left));
      const right = (way + 1) & 3;
      const aheadRight = isDark(aheadX(x, way, right), aheadY(y, way, right));
      if (!aheadLeft) way = left;
      else if (aheadRight) way = right;
    } while (x !== startX || y !== startY || way !== 1);
    // In axes with y down the left hand turns the sign: a loop round dark pixels has a negative sum.
    const area = -twice / 2;
    if (Math.abs(area) < leastArea) {
      if (area > 0) dropped.dark += 1;
      else dropped.bright += 1;
      return;
    }
    borders.push({ x: xs.slice(0, n), y: ys.slice(0, n), toBright: sides.slice(0, n), area, atRim, box });
  };

  for (let y = 0; y < height; y += 1) {
    const start = y * width;
    let before: number = outside;
    for (let x = 0; x < width; x += 1) {
      const here = pixels[start + x]!;
      if (here === 1 && before === 0) follow(x, y);
      before = here & 1;
    }
    if (outside === 1 && before === 0 && seenAtRim[y] === 0) follow(width, y);
  }
  return { borders, dropped };
};

const aheadX = (x: number, way: number, side: number): number => (way === 0 || side === 0 ? x : x - 1);
const aheadY = (y: number, way: number, side: number): number => (way === 1 || side === 1 ? y : y - 1);

const grown = <T extends Int32Array | Uint8Array>(from: T, to: T): T => {
  to.set(from);
  return to;
};
