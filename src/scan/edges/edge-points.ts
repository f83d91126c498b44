/**
 * Points of an edge to a fraction of a pixel, from grey levels. Where the edge runs more across than down, each column of
 * pixels tells one point of it, else each row: no level is interpolated, so the errors of neighbours are their own.
 *
 * Along such a column a blurred edge rises from the level of the dark side to that of the bright side like a normal
 * distribution function; the place of its middle is found by least squares, which weighs each pixel by the slope there. The
 * two levels are means along the edge, so they follow the light. For weights and variance: the matched filter for a known
 * shape in white noise (H. Van Trees, *Detection, Estimation, and Modulation Theory I*, 1968, from memory).
 */
import type { GreyPicture } from '../picture/grey-picture.js';
import { type Levels, levelsAt } from '../picture/levels.js';
import type { Border } from './trace.js';

/** Points of one closed border in order; pixels, y down; the middle of the first pixel is at 0.5. */
export interface EdgePoints {
  readonly x: Float64Array;
  readonly y: Float64Array;
  /** Standard deviation along the normal that the noise of the picture lets expect, in units of noise / step: to be scaled. */
  readonly spread: Float64Array;
  /** Level of the bright side less that of the dark side. */
  readonly step: Float64Array;
  /**
   * Variance of the mean of all points that errors of the two levels cause, times their number, in spread^2: levels are means over
   * a run, so these errors are slow.
   */
  readonly slow: number;
  /** Root mean square of what the levels depart from the blurred edge, in levels. */
  readonly misfit: Float64Array;
}

/** Sides this far along give the direction of the edge. */
const reach = 5;
/** Levels are taken over so many pixels on each side, from where the blur has ended. */
const flank = 6;
/** Halves of a flank differ by no more levels than noise and paper make them, of 256. */
const evenFlank = 8;
/** Means of the levels are taken over so many points, and once for so many. */
export const levelRun = 41;
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
export const edgePoints = (
  picture: GreyPicture,
  light: Levels,
  border: Border,
  blur: number,
  walls?: Walls,
): EdgePoints => {
  const { width, height, levels } = picture;
  const scale = (picture.white + 1) / 256;
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
  const outX = new Float64Array(count);
  const outY = new Float64Array(count);
  let n = 0;
  const span = Math.min(reach, Math.floor(count / 4));
  for (let i = 0; i < count; i += 1) {
    const a = i >= span ? i - span : i - span + count;
    const b = i + span < count ? i + span : i + span - count;
    const alongX = roughX[b]! - roughX[a]!;
    const alongY = roughY[b]! - roughY[a]!;
    const tx = Math.abs(alongX);
    const ty = Math.abs(alongY);
    const alongColumn = (border.toBright[i]! & 1) === 1;
    if (alongColumn !== tx >= ty) continue;
    const px = border.x[i]!;
    const py = border.y[i]!;
    if (px < 0 || py < 0 || px >= width || py >= height) continue;
    const size = Math.hypot(tx, ty);
    steep[n] = Math.max(0.6, Math.max(tx, ty) / (size || 1));
    // Dark lies on the left, so bright on the right; y points down.
    outX[n] = -alongY / (size || 1);
    outY[n] = alongX / (size || 1);
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
    dark[k] = meanAlong(levels, at, -stride, from, before, scale);
    bright[k] = meanAlong(levels, at + stride, stride, from, after - 1, scale);
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
    // The band of a wall, along the column.
    const band =
      walls === undefined ? 0 : walls.width(border.x[i]!, border.y[i]!, outX[k]!, outY[k]!) / steep[k]!;
    const grey = walls !== undefined && band > leastBand ? walls.grey : 0;
    const most = Math.ceil(window * along + 1 + band);
    const first = Math.max(-before, -most);
    const last = Math.min(after, most + 1);
    // Of two steps the outer one counts: half-way between wall and panel.
    let place = crossing(levels, at, stride, low + (rise * (1 + grey)) / 2, first, last);
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
        // The level falls where the place moves on: its derivative is -slope.
        const slope = ((1 - grey) * rise * 0.3989422804014327 * Math.exp((-t * t) / 2)) / along;
        const inner = t + band / along;
        const model = grey === 0 ? normal(t) : (1 - grey) * normal(t) + grey * normal(inner);
        const left = levels[at + j * stride]! - (low + rise * model);
        sum -= slope * left;
        information +=
          slope *
          (grey === 0
            ? slope
            : slope + (grey * rise * 0.3989422804014327 * Math.exp((-inner * inner) / 2)) / along);
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
  return { x, y, spread, step, slow: slowOf(dark, bright, darkLevel, brightLevel, spread, step), misfit };
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
  scale: number,
): number => {
  const first = Math.min(from, Math.max(0, room));
  const last = Math.min(from + flank - 1, Math.max(0, room));
  const half = Math.min(last, first + (flank >> 1) - 1);
  let sum = 0;
  for (let j = first; j <= half; j += 1) sum += levels[at + j * stride]!;
  const near = sum / (half - first + 1);
  if (half === last) return near;
  for (let j = half + 1; j <= last; j += 1) sum += levels[at + j * stride]!;
  const mean = sum / (last - first + 1);
  // Where something else begins farther out, what is near counts alone.
  return Math.abs(mean - near) > evenFlank * scale ? near : mean;
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

/** Errors of the levels beside one another go together over so many points. */
const levelLags = 12;
/** The mean of the middle half of normal values has this many times the variance of their mean. */
const middleHalf = 1.2;

const slowOf = (
  dark: Float64Array,
  bright: Float64Array,
  darkLevel: Float64Array,
  brightLevel: Float64Array,
  spread: Float64Array,
  step: Float64Array,
): number => {
  const n = dark.length;
  // Half the sum of both errors moves the edge: by what is left of it over the slope, which is spread / step times a constant.
  const errors = new Float64Array(n);
  for (let k = 0; k < n; k += 1)
    errors[k] = (dark[k]! + bright[k]! - darkLevel[k]! - brightLevel[k]!) / 2 / step[k]!;
  let sum = 0;
  let count = 0;
  for (let k = 0; k < n; k += 1) {
    if (!(Math.abs(errors[k]!) < 0.1) || !(spread[k]! < 100)) continue;
    let row = errors[k]! ** 2;
    for (let lag = 1; lag <= levelLags; lag += 1) {
      const other = errors[(k + lag) % n]!;
      if (Math.abs(other) < 0.1) row += 2 * (1 - lag / (levelLags + 1)) * errors[k]! * other;
    }
    sum += row * spread[k]! ** 2;
    count += 1;
  }
  // A shift by d of the middle level moves the place by d times the sum of slopes over the sum of their squares: spread^2
  // times 1 / step, as the slopes add up to the step; and the points are scaled by spread.
  return count === 0 ? 0 : Math.max(0, (middleHalf * sum) / count);
};

/** Bands narrower than this, pixels along the column, are none. */
const leastBand = 0.1;

/** Levels across a stretch of edge, centred where a single step would be; 0 as dark as the opening, 1 as bright as the panel. */
export interface Profile {
  /** Of its middle, pixels, y down; unit vector to the bright side. */
  readonly x: number;
  readonly y: number;
  readonly nx: number;
  readonly ny: number;
  /** Mean levels at `first`, `first + step` ... pixels along the normal, and how many each is of. */
  readonly values: Float64Array;
  readonly counts: Float64Array;
  readonly first: number;
  readonly step: number;
}

const profileRun = 24;
const profileReach = 16;
const profileStep = 0.5;
/** Profiles whose direction changes by more, as a cosine, lie at corners. */
const sameDirection = 0.985;

/** Profiles across stretches of an edge, every so many of them. */
export const profilesOf = (
  picture: GreyPicture,
  light: Levels,
  border: Border,
  points: EdgePoints,
  every: number,
): Profile[] => {
  const { width, height, levels } = picture;
  const { x, y } = points;
  const n = x.length;
  const profiles: Profile[] = [];
  const bins = Math.round((2 * profileReach) / profileStep) + 1;
  void border;
  for (let from = 0; from + profileRun <= n; from += profileRun * every) {
    const last = from + profileRun - 1;
    const length = Math.hypot(x[last]! - x[from]!, y[last]! - y[from]!);
    if (length < profileRun / 2) continue;
    const middle = from + (profileRun >> 1);
    const tx = (x[last]! - x[from]!) / length;
    const ty = (y[last]! - y[from]!) / length;
    const early = Math.hypot(x[middle]! - x[from]!, y[middle]! - y[from]!) || 1;
    if ((tx * (x[middle]! - x[from]!) + ty * (y[middle]! - y[from]!)) / early < sameDirection) continue;
    const [nx, ny] = [-ty, tx];
    const { dark, bright } = levelsAt(light, picture, x[middle]!, y[middle]!);
    const sums = new Float64Array(bins);
    const counts = new Float64Array(bins);
    // Along the column or row that is nearer to the normal, each pixel falls into the bin of its distance along the normal.
    const across = Math.abs(nx) >= Math.abs(ny);
    const share = across ? nx : ny;
    const reach = Math.floor(profileReach / Math.abs(share));
    let brightest = 0;
    let brightCount = 0;
    for (let k = from; k <= last; k += 1) {
      const px = Math.floor(x[k]!);
      const py = Math.floor(y[k]!);
      for (let j = -reach; j <= reach; j += 1) {
        const qx = across ? px + j : px;
        const qy = across ? py : py + j;
        if (qx < 0 || qy < 0 || qx >= width || qy >= height) continue;
        const t = across ? (qx + 0.5 - x[k]!) * share : (qy + 0.5 - y[k]!) * share;
        const bin = Math.round((t + profileReach) / profileStep);
        if (bin < 0 || bin >= bins) continue;
        const level = levels[qy * width + qx]!;
        sums[bin]! += level;
        counts[bin]! += 1;
        if (t > 3 && t < 7) {
          brightest += level;
          brightCount += 1;
        }
      }
    }
    const top = brightCount === 0 ? bright : brightest / brightCount;
    if (top < bright - strayLevel * (bright - dark)) continue;
    const values = sums.map((s, i) => (counts[i] === 0 ? 0 : (s / counts[i]! - dark) / (top - dark)));
    // Where another edge comes near, the profile ends.
    const zero = Math.round(profileReach / profileStep);
    for (let i = zero + Math.round(4 / profileStep); i < bins; i += 1)
      if (values[i]! < 0.8) counts.fill(0, i);
    for (let i = zero - Math.round(4 / profileStep); i >= 0; i -= 1)
      if (values[i]! > 0.95) counts.fill(0, 0, i + 1);
    profiles.push({
      x: x[middle]!,
      y: y[middle]!,
      nx,
      ny,
      values,
      counts,
      first: -profileReach,
      step: profileStep,
    });
  }
  return profiles;
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

export interface Walls {
  /** Grey of the wall: 0 as dark as the opening, 1 as bright as the panel. */
  readonly grey: number;
  /** Width of the band where the outward normal is (nx, ny), pixels; y down. */
  readonly width: (x: number, y: number, nx: number, ny: number) => number;
  /** sd of the edges because of it, pixels: how well the widths are known. */
  readonly sd: number;
  /** The widest band found, pixels. */
  readonly widest: number;
}
