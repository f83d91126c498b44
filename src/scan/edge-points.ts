/**
 * Points of an edge to a fraction of a pixel, from grey levels. Where the edge runs more across than down, each column of
 * pixels tells one point of it, else each row: no level is interpolated, so the errors of neighbours are their own.
 *
 * Along such a column a blurred edge rises from the level of the dark side to that of the bright side like a normal
 * distribution function; the place of its middle is found by least squares, which weighs each pixel by the slope there. The
 * two levels are means along the edge, so they follow the light. For weights and variance: the matched filter for a known
 * shape in white noise (H. Van Trees, *Detection, Estimation, and Modulation Theory I*, 1968, from memory).
 */
import type { GreyPicture } from './grey-picture.js';
import { type Levels, levelsAt } from './levels.js';
import type { Border } from './trace.js';

/** Points of one closed border in order; pixels, y down; the middle of the first pixel is at 0.5. */
export interface EdgePoints {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Standard deviation along the normal that the noise of the picture lets expect, in units of noise / step: to be scaled. */
  readonly spread: Float64Array;
  /** Level of the bright side less that of the dark side. */
  readonly step: Float64Array;
  /** Root mean square of what the levels depart from the blurred edge, in levels. */
  readonly misfit: Float64Array;
}

/** Sides this far along give the direction of the edge. */
const reach = 5;
/** Levels are taken over so many pixels on each side, from where the blur has ended. */
const flank = 3;
/** Means of the levels are taken over so many points, and once for so many. */
const levelRun = 41;
const levelStep = 8;
/** A level so far from that of the tile, as a share of the step, is that of something else. */
const strayLevel = 0.15;
/** Fewer levels along a run say less than the tile. */
const leastLevels = 8;
/** An edge is looked for this far beyond the blur, in sds of it. */
const window = 2.6;

/**
 * @param blur sd of the blur along the normal, pixels
 */
export const edgePoints = (picture: GreyPicture, light: Levels, border: Border, blur: number): EdgePoints => {
  const { width, height, levels } = picture;
  const count = border.x.length;
  const roughX = new Float64Array(count);
  const roughY = new Float64Array(count);
  for (let i = 0; i < count; i += 1) {
    const side = border.toBright[i]!;
    roughX[i] = border.x[i]! + (side === 0 ? 1 : side === 2 ? 0 : 0.5);
    roughY[i] = border.y[i]! + (side === 1 ? 1 : side === 3 ? 0 : 0.5);
  }
  // First the sides that count, with the direction and the two levels there.
  const keep = new Int32Array(count);
  const steep = new Float64Array(count);
  let n = 0;
  const span = Math.min(reach, Math.floor(count / 4));
  for (let i = 0; i < count; i += 1) {
    const a = i >= span ? i - span : i - span + count;
    const b = i + span < count ? i + span : i + span - count;
    const tx = Math.abs(roughX[b]! - roughX[a]!);
    const ty = Math.abs(roughY[b]! - roughY[a]!);
    const alongColumn = (border.toBright[i]! & 1) === 1;
    if (alongColumn !== tx >= ty) continue;
    const px = border.x[i]!;
    const py = border.y[i]!;
    if (px < 0 || py < 0 || px >= width || py >= height) continue;
    const size = Math.hypot(tx, ty);
    steep[n] = Math.max(0.6, Math.max(tx, ty) / (size || 1));
    keep[n] = i;
    n += 1;
  }
  const dark = new Float64Array(n);
  const bright = new Float64Array(n);
  let near = { dark: 0, bright: 0 };
  for (let k = 0; k < n; k += 1) {
    const i = keep[k]!;
    const side = border.toBright[i]!;
    const stride = strideOf(side, width);
    const at = border.y[i]! * width + border.x[i]!;
    const [before, after] = roomOf(side, border.x[i]!, border.y[i]!, width, height);
    const from = Math.ceil((window * blur) / steep[k]!);
    dark[k] = meanAlong(levels, at, -stride, from, before);
    bright[k] = meanAlong(levels, at + stride, stride, from, after - 1);
    // Where another edge is near, its other side is no level of this one.
    if (k % levelStep === 0) near = levelsAt(light, picture, border.x[i]!, border.y[i]!);
    const most = strayLevel * (near.bright - near.dark);
    if (dark[k]! > near.dark + most) dark[k] = Number.NaN;
    if (bright[k]! < near.bright - most) bright[k] = Number.NaN;
  }
  const darkLevel = runningMean(
    dark,
    (k) => levelsAt(light, picture, border.x[keep[k]!]!, border.y[keep[k]!]!).dark,
  );
  const brightLevel = runningMean(
    bright,
    (k) => levelsAt(light, picture, border.x[keep[k]!]!, border.y[keep[k]!]!).bright,
  );
  const x = new Float64Array(n);
  const y = new Float64Array(n);
  const spread = new Float64Array(n);
  const step = new Float64Array(n);
  const misfit = new Float64Array(n);
  for (let k = 0; k < n; k += 1) {
    const i = keep[k]!;
    const side = border.toBright[i]!;
    const stride = strideOf(side, width);
    const at = border.y[i]! * width + border.x[i]!;
    const [before, after] = roomOf(side, border.x[i]!, border.y[i]!, width, height);
    const along = blur / steep[k]!;
    const low = darkLevel[k]!;
    const rise = brightLevel[k]! - low;
    // Places along the column count from the middle of the dark pixel, towards the bright one.
    const most = Math.ceil(window * along + 1);
    const first = Math.max(-before, -most);
    const last = Math.min(after, most + 1);
    let place = crossing(levels, at, stride, low + rise / 2, first, last);
    let information = 0;
    let squares = 0;
    let used = 0;
    for (let turn = 0; turn < 4; turn += 1) {
      let sum = 0;
      information = 0;
      squares = 0;
      used = 0;
      for (let j = first; j <= last; j += 1) {
        const t = (j - place) / along;
        if (t < -window || t > window) continue;
        const slope = (rise * 0.3989422804014327 * Math.exp((-t * t) / 2)) / along;
        const left = levels[at + j * stride]! - (low + rise * normal(t));
        // The level falls where the place moves on: its derivative is -slope.
        sum -= slope * left;
        information += slope * slope;
        squares += left * left;
        used += 1;
      }
      if (information === 0) break;
      const move = Math.max(-0.7, Math.min(0.7, sum / information));
      place += move;
      if (Math.abs(move) < 1e-4) break;
    }
    place = Math.max(first, Math.min(last, place));
    const sign = side < 2 ? 1 : -1;
    const across = (side & 1) === 0;
    x[k] = border.x[i]! + 0.5 + (across ? sign * place : 0);
    y[k] = border.y[i]! + 0.5 + (across ? 0 : sign * place);
    step[k] = rise;
    spread[k] =
      information > 0 ? (steep[k]! * Math.abs(rise)) / Math.sqrt(information) : Number.POSITIVE_INFINITY;
    misfit[k] = used > 1 ? Math.sqrt(squares / (used - 1)) : 0;
  }
  return { x, y, spread, step, misfit };
};

/** From a pixel to its neighbour on a side. */
const strideOf = (side: number, width: number): number =>
  side === 0 ? 1 : side === 1 ? width : side === 2 ? -1 : -width;

/** How many pixels there are against that side's direction, and in it. */
const roomOf = (side: number, x: number, y: number, width: number, height: number): [number, number] => {
  const [low, high] = (side & 1) === 0 ? [x, width - 1 - x] : [y, height - 1 - y];
  return side < 2 ? [low, high] : [high, low];
};

const meanAlong = (
  levels: GreyPicture['levels'],
  at: number,
  stride: number,
  from: number,
  room: number,
): number => {
  const first = Math.min(from, Math.max(0, room));
  const last = Math.min(from + flank - 1, Math.max(0, room));
  let sum = 0;
  for (let j = first; j <= last; j += 1) sum += levels[at + j * stride]!;
  return sum / (last - first + 1);
};

/** Where the levels first cross a level near the border, between pixels. */
const crossing = (
  levels: GreyPicture['levels'],
  at: number,
  stride: number,
  level: number,
  first: number,
  last: number,
): number => {
  for (let away = 0; away <= Math.max(-first, last); away += 1) {
    for (const j of away === 0 ? [0] : [away, -away]) {
      if (j < first || j + 1 > last) continue;
      const a = levels[at + j * stride]!;
      const b = levels[at + (j + 1) * stride]!;
      if (a < level && b >= level) return j + (level - a) / (b - a);
    }
  }
  return 0.5;
};

/**
 * Means of the middle half of a run of values: nearly as free of strays as medians, and steadier.
 *
 * @param otherwise the value where the run holds too few
 */
const runningMean = (values: Float64Array, otherwise: (k: number) => number): Float64Array => {
  const n = values.length;
  const result = new Float64Array(n);
  const run = Math.min(levelRun, n);
  const sorted = new Float64Array(run);
  const middles: number[] = [];
  for (let k = 0; k < n; k += levelStep) {
    let known = 0;
    for (let j = 0; j < run; j += 1) {
      const value = values[(k + j - (run >> 1) + n) % n]!;
      if (!Number.isNaN(value)) sorted[known++] = value;
    }
    if (known < leastLevels) {
      middles.push(otherwise(k));
      continue;
    }
    const part = sorted.subarray(0, known).sort();
    const from = known >> 2;
    let sum = 0;
    for (let j = from; j < known - from; j += 1) sum += part[j]!;
    middles.push(sum / (known - 2 * from));
  }
  for (let k = 0; k < n; k += 1) {
    const at = Math.floor(k / levelStep);
    const part = (k - at * levelStep) / levelStep;
    result[k] = (1 - part) * middles[at]! + part * middles[(at + 1) % middles.length]!;
  }
  return result;
};

/** P(Z <= z): M. Abramowitz & I. Stegun, *Handbook of Mathematical Functions*, 26.2.17, within 7.5e-8. */
export const normal = (z: number): number => {
  const t = 1 / (1 + 0.2316419 * Math.abs(z));
  const tail =
    0.3989422804014327 *
    Math.exp((-z * z) / 2) *
    t *
    (0.31938153 + t * (-0.356563782 + t * (1.781477937 + t * (-1.821255978 + t * 1.330274429))));
  return z >= 0 ? 1 - tail : tail;
};

/** The blur that explains the levels across edges best: sd along the normal, pixels. */
export const blurOf = (picture: GreyPicture, light: Levels, borders: readonly Border[]): number => {
  const sample: Border[] = [];
  let length = 0;
  const long = borders.filter((border) => border.x.length >= 100);
  for (const border of [...(long.length > 0 ? long : borders)].sort((a, b) => a.x.length - b.x.length)) {
    if (sample.length > 0 && length + border.x.length > 5_000) continue;
    sample.push(border);
    length += border.x.length;
    if (length > 3_000) break;
  }
  // Half of the points depart least: near corners and dust the levels are those of no straight edge.
  const cost = (blur: number): number => {
    const all = Float64Array.from(
      sample.flatMap((border) => [...edgePoints(picture, light, border, blur).misfit]),
    ).sort();
    let sum = 0;
    const half = all.length >> 1;
    for (let i = 0; i < half; i += 1) sum += all[i]! * all[i]!;
    return sum / Math.max(1, half);
  };
  let low = Math.log(0.35);
  let high = Math.log(5);
  const golden = (Math.sqrt(5) - 1) / 2;
  let a = high - golden * (high - low);
  let b = low + golden * (high - low);
  let costA = cost(Math.exp(a));
  let costB = cost(Math.exp(b));
  while (high - low > 0.02) {
    if (costA < costB) {
      high = b;
      b = a;
      costB = costA;
      a = high - golden * (high - low);
      costA = cost(Math.exp(a));
    } else {
      low = a;
      a = b;
      costA = costB;
      b = low + golden * (high - low);
      costB = cost(Math.exp(b));
    }
  }
  return Math.exp((low + high) / 2);
};
