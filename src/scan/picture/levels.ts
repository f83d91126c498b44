/**
 * Which pixels are dark: a level half-way between what is dark and what is bright near by. The first level is the one of
 * N. Otsu, *A threshold selection method from gray-level histograms*, IEEE Trans. SMC 9 (1979), for the whole picture; then
 * the medians of what lies below and above it are taken tile by tile, and the level follows the light.
 */
import type { GreyPicture } from './grey-picture.js';

/** Tiles are so wide, pixels. */
const tileSize = 64;
const bins = 256;
/** Less of a tile says nothing about its level. */
const leastShare = 0.02;
/** Classes nearer than so many of their own spreads are not two. */
const leastSeparation = 4;

export interface Levels {
  /** Columns and rows of tiles. */
  readonly columns: number;
  readonly rows: number;
  readonly tileSize: number;
  /** Of each tile, in levels of the picture. */
  readonly dark: Float64Array;
  readonly bright: Float64Array;
}

/** Undefined where the picture does not hold two levels, one dark and one bright. */
export const levelsOf = (picture: GreyPicture): Levels | undefined => {
  const { width, height, levels, white } = picture;
  const columns = Math.max(1, Math.round(width / tileSize));
  const rows = Math.max(1, Math.round(height / tileSize));
  const perLevel = bins / (white + 1);
  const shift = white > 255 ? 8 : 0;
  const counts = new Uint32Array(columns * rows * bins);
  const columnOf = new Uint32Array(width);
  for (let x = 0; x < width; x += 1)
    columnOf[x] = Math.min(columns - 1, Math.floor((x * columns) / width)) * bins;
  for (let y = 0; y < height; y += 1) {
    const row = Math.min(rows - 1, Math.floor((y * rows) / height)) * columns * bins;
    const start = y * width;
    for (let x = 0; x < width; x += 1) counts[row + columnOf[x]! + (levels[start + x]! >> shift)]! += 1;
  }
  const whole = new Float64Array(bins);
  for (let i = 0; i < counts.length; i += 1) whole[i % bins]! += counts[i]!;
  const first = otsu(whole);
  if (first === undefined) return undefined;
  const level = new Float64Array(columns * rows).fill(first);
  const dark = new Float64Array(columns * rows);
  const bright = new Float64Array(columns * rows);
  for (let pass = 0; pass < 3; pass += 1) {
    for (let tile = 0; tile < level.length; tile += 1) {
      const from = tile * bins;
      const limit = Math.round(level[tile]!);
      dark[tile] = medianOf(counts, from, 0, limit);
      bright[tile] = medianOf(counts, from, limit, bins);
    }
    fill(dark, columns, rows);
    fill(bright, columns, rows);
    for (let tile = 0; tile < level.length; tile += 1) level[tile] = (dark[tile]! + bright[tile]!) / 2;
  }
  const toLevels = (values: Float64Array): Float64Array => values.map((v) => (v + 0.5) / perLevel - 0.5);
  return { columns, rows, tileSize, dark: toLevels(dark), bright: toLevels(bright) };
};

/** The bin that parts the two classes best; undefined where they are not two. */
const otsu = (histogram: Float64Array): number | undefined => {
  let all = 0;
  let sum = 0;
  histogram.forEach((count, i) => {
    all += count;
    sum += count * i;
  });
  let below = 0;
  let sumBelow = 0;
  let best = 0;
  let least = 0;
  let most = 0;
  for (let i = 0; i < bins - 1; i += 1) {
    below += histogram[i]!;
    sumBelow += histogram[i]! * i;
    if (below === 0 || below === all) continue;
    const apart = sumBelow / below - (sum - sumBelow) / (all - below);
    const between = below * (all - below) * apart * apart;
    if (between > best * (1 + 1e-12)) {
      best = between;
      least = i;
    }
    if (between >= best * (1 - 1e-12)) most = i;
  }
  if (best === 0) return undefined;
  const level = (least + most) / 2 + 1;
  const [dark, darkSpread] = spreadOf(histogram, 0, Math.round(level));
  const [bright, brightSpread] = spreadOf(histogram, Math.round(level), bins);
  const apart = bright - dark;
  // One hump cut in two by the best level has classes 2.6 of their spreads apart (a normal distribution halved).
  return apart >= 6 && apart > (leastSeparation * (darkSpread + brightSpread)) / 2 ? level : undefined;
};

/** Mean and spread of a stretch of the histogram. */
const spreadOf = (histogram: Float64Array, from: number, to: number): [number, number] => {
  let n = 0;
  let sum = 0;
  let squares = 0;
  for (let i = from; i < to; i += 1) {
    n += histogram[i]!;
    sum += histogram[i]! * i;
    squares += histogram[i]! * i * i;
  }
  if (n === 0) return [from, 0];
  const mean = sum / n;
  return [mean, Math.sqrt(Math.max(0, squares / n - mean * mean))];
};

/** The median of the bins from..to of one tile, NaN where they hold too little of it. */
const medianOf = (counts: Uint32Array, tile: number, from: number, to: number): number => {
  let all = 0;
  for (let i = 0; i < bins; i += 1) all += counts[tile + i]!;
  let n = 0;
  for (let i = from; i < to; i += 1) n += counts[tile + i]!;
  if (n < leastShare * all || n === 0) return Number.NaN;
  let seen = 0;
  for (let i = from; i < to; i += 1) {
    const here = counts[tile + i]!;
    if (seen + here >= n / 2) return i + (n / 2 - seen) / here - 0.5;
    seen += here;
  }
  return Number.NaN;
};

/** Fills tiles without a value from their neighbours. */
const fill = (values: Float64Array, columns: number, rows: number): void => {
  let missing = values.some(Number.isNaN);
  while (missing) {
    const before = Float64Array.from(values);
    missing = false;
    let filled = 0;
    for (let row = 0; row < rows; row += 1) {
      for (let column = 0; column < columns; column += 1) {
        const tile = row * columns + column;
        if (!Number.isNaN(before[tile]!)) continue;
        let n = 0;
        let sum = 0;
        for (let r = Math.max(0, row - 1); r <= Math.min(rows - 1, row + 1); r += 1) {
          for (let c = Math.max(0, column - 1); c <= Math.min(columns - 1, column + 1); c += 1) {
            const value = before[r * columns + c]!;
            if (Number.isNaN(value)) continue;
            n += 1;
            sum += value;
          }
        }
        if (n === 0) missing = true;
        else {
          values[tile] = sum / n;
          filled += 1;
        }
      }
    }
    if (filled === 0) return;
  }
};

/**
 * 1 for every dark pixel, 0 for every bright one; the level runs evenly from tile to tile.
 *
 * @returns row by row, as the picture
 */
export const darkPixels = (picture: GreyPicture, { columns, rows, dark, bright }: Levels): Uint8Array => {
  const { width, height, levels } = picture;
  const result = new Uint8Array(width * height);
  const ofRow = new Float64Array(columns);
  const limits = new Int32Array(width);
  for (let y = 0; y < height; y += 1) {
    const [above, below, part] = between(y, height, rows);
    for (let c = 0; c < columns; c += 1) {
      const i = above * columns + c;
      const j = below * columns + c;
      ofRow[c] = ((1 - part) * (dark[i]! + bright[i]!) + part * (dark[j]! + bright[j]!)) / 2;
    }
    if (y % 4 === 0) {
      for (let x = 0; x < width; x += 1) {
        const [left, right, share] = between(x, width, columns);
        limits[x] = Math.ceil((1 - share) * ofRow[left]! + share * ofRow[right]!);
      }
    }
    const start = y * width;
    for (let x = 0; x < width; x += 1) result[start + x] = levels[start + x]! < limits[x]! ? 1 : 0;
  }
  return result;
};

/** The two tiles whose middles a pixel lies between, and how far it is on the way. */
const between = (pixel: number, size: number, tiles: number): [number, number, number] => {
  const at = ((pixel + 0.5) * tiles) / size - 0.5;
  const first = Math.min(tiles - 1, Math.max(0, Math.floor(at)));
  const second = Math.min(tiles - 1, first + 1);
  return [first, second, Math.min(1, Math.max(0, at - first))];
};

/** Level of dark and bright at a pixel. */
export const levelsAt = (
  { columns, rows, dark, bright }: Levels,
  picture: Pick<GreyPicture, 'width' | 'height'>,
  x: number,
  y: number,
): { dark: number; bright: number } => {
  const [left, right, share] = between(x, picture.width, columns);
  const [above, below, part] = between(y, picture.height, rows);
  const value = (values: Float64Array): number =>
    (1 - part) * ((1 - share) * values[above * columns + left]! + share * values[above * columns + right]!) +
    part * ((1 - share) * values[below * columns + left]! + share * values[below * columns + right]!);
  return { dark: value(dark), bright: value(bright) };
};
