/**
 * How the piece lies in the picture: turned and moved, never mirrored. Spots of one tone that could be openings are matched
 * to the openings by their middles, pair by pair, and each way is judged by how near the borders of the spots come to the edges.
 */
import type { Point } from '../../geometry/point.js';
import { InputError } from '../../job/messages.js';
import type { Border } from '../../scan/edges/trace.js';
import { traceBorders } from '../../scan/edges/trace.js';
import type { GreyPicture, PixelSize } from '../../scan/picture/grey-picture.js';
import { darkPixels, levelsOf } from '../../scan/picture/levels.js';
import type { Walk } from '../edge-walk.js';

/** True bed mm -> picture mm, y up from the lower left corner: a turn and a shift. */
export interface Lying {
  readonly turn: number;
  readonly x: number;
  readonly y: number;
}

export const toPicture = ({ turn, x, y }: Lying, p: Point): Point => {
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  return { x: c * p.x - s * p.y + x, y: s * p.x + c * p.y + y };
};

interface Spot {
  readonly at: Point;
  /** Root of the area, mm. */
  readonly size: number;
}

/** So many of the largest spots and openings are matched. */
const mostSpots = 40;
const mostOpenings = 14;
/** Distances agree within this, as a share and in mm: the scanner's scale, and a new edge that is off to one side. */
const scaleShare = 0.01;
const offBy = 0.8;
/** A border within this of an edge belongs to it, mm besides the clearance. */
const near = 0.6;
/** A way whose edges lie along borders for less than this share of their length is none. */
const leastShare = 0.6;
/** One whose edges do for more than this is not sought any further. */
const surely = 0.75;
/** Another way, turned by more than this, that is nearly as good leaves open which one it is. */
const otherTurn = (5 * Math.PI) / 180;
const nearlyAs = 0.92;

export interface RegisterInput {
  readonly picture: GreyPicture;
  readonly pixel: PixelSize;
  readonly walk: Walk;
  readonly clearance: number;
  readonly file: string;
  /** About how the piece is turned in the picture, radians; undefined: any way. */
  readonly turned?: number;
}

/** @throws InputError where the openings are not found, or fit in several ways */
export const register = (input: RegisterInput): Lying => {
  const { picture, walk, clearance, file, turned } = input;
  const outlines = ringsOf(walk);
  let judged: Judged[] = [];
  let isEven = true;
  for (const dark of inTwoTones(picture)) {
    isEven = false;
    const borders = bordersOf(input, dark(), Math.min(...outlines.map(({ size }) => size)));
    const spots = borders
      .map((border) => spotOf(border, picture, input.pixel))
      .sort((a, b) => b.size - a.size)
      .slice(0, mostSpots);
    const distances = distanceMap(borders, picture);
    const found = waysOf(spots, outlines)
      .filter(({ turn }) => turned === undefined || Math.abs(angleBetween(turn, turned)) < Math.PI / 4)
      .map((lying) => ({ lying, share: shareOnBorders(lying, walk, distances, input, near + clearance) }));
    judged = [...judged, ...found].sort((a, b) => b.share - a.share);
    if (judged[0] !== undefined && judged[0].share > surely) break;
  }
  if (isEven) throw unlike(file, 'a picture without two tones, one dark and one bright');
  const best = judged[0];
  if (best === undefined || best.share < leastShare)
    throw unlike(file, 'a picture in which the openings of the job are not found as they lie');
  const other = judged.find(
    ({ lying, share }) =>
      share > nearlyAs * best.share && Math.abs(angleBetween(lying.turn, best.lying.turn)) > otherTurn,
  );
  if (other !== undefined) {
    const degrees = [best, other].map(({ lying }) =>
      Math.round((angleBetween(lying.turn, 0) * 180) / Math.PI),
    );
    throw new InputError({
      found: `a piece that fits into the picture turned by ${degrees[0]} degrees and by ${degrees[1]} degrees`,
      expected: 'one way in which it lies there',
      where: { file },
      next: `Say how it was turned on the scanner from how it lay on the bed, counter-clockwise, as in --turned ${degrees[0]}.`,
    });
  }
  return best.lying;
};

interface Judged {
  readonly lying: Lying;
  /** Of the edges' length along borders. */
  readonly share: number;
}

/**
 * Ways to part a picture of three tones into two, the dark pixels as 1: by the two classes that it has, then above and below the
 * middle one of three (N. Otsu 1979 for more than two classes). None for a picture of one tone.
 */
const inTwoTones = (picture: GreyPicture): (() => Uint8Array)[] => {
  const levels = levelsOf(picture);
  const { levels: values, white } = picture;
  const shift = white > 255 ? 8 : 0;
  const counts = new Float64Array(256);
  for (let i = 0; i < values.length; i += 1) counts[values[i]! >> shift]! += 1;
  const count = new Float64Array(257);
  const sum = new Float64Array(257);
  counts.forEach((c, i) => {
    count[i + 1] = count[i]! + c;
    sum[i + 1] = sum[i]! + c * i;
  });
  const between = (a: number, b: number): number =>
    count[b]! === count[a]! ? 0 : (sum[b]! - sum[a]!) ** 2 / (count[b]! - count[a]!);
  let best = 0;
  let at: [number, number] | undefined;
  for (let i = 1; i < 255; i += 1)
    for (let j = i + 1; j < 256; j += 1) {
      const value = between(0, i) + between(i, j) + between(j, 256);
      if (value > best) {
        best = value;
        at = [i, j];
      }
    }
  const below = (limit: number) => () => {
    const dark = new Uint8Array(values.length);
    for (let i = 0; i < values.length; i += 1) dark[i] = values[i]! >> shift < limit ? 1 : 0;
    return dark;
  };
  const filled = counts.filter((c) => c > 0.001 * values.length).length;
  return [
    ...(levels === undefined ? [] : [() => darkPixels(picture, levels)]),
    ...(at === undefined || filled < 3 ? [] : [below(at[0]), below(at[1])]),
  ];
};

const bordersOf = ({ picture, pixel }: RegisterInput, dark: Uint8Array, size: number): Border[] =>
  traceBorders(
    dark,
    picture.width,
    picture.height,
    0,
    Math.max(20, (0.5 * size) ** 2 / (pixel.x * pixel.y)),
  ).borders.filter(({ atRim }) => !atRim);

const unlike = (file: string, found: string): InputError =>
  new InputError({
    found,
    expected: 'the finished piece, the side that was cut on the glass, openings whole and in view',
    where: { file },
    next: 'Scan it with a ground that differs from panel and film, and look whether it is this job. The back of the piece, or a mirrored picture, shows no gaps.',
  });

const angleBetween = (a: number, b: number): number => Math.atan2(Math.sin(a - b), Math.cos(a - b));

/** Middle and size of every ring. */
const ringsOf = ({ rings, stretches }: Walk): Spot[] => {
  const sums = rings.map(() => ({ area: 0, x: 0, y: 0 }));
  const origin = rings.map(() => undefined as Point | undefined);
  for (const { ring, x, y, toX, toY } of stretches) {
    const o = origin[ring] ?? { x, y };
    origin[ring] = o;
    const cross = (x - o.x) * (toY - o.y) - (toX - o.x) * (y - o.y);
    const sum = sums[ring]!;
    sum.area += cross;
    sum.x += (x - o.x + toX - o.x) * cross;
    sum.y += (y - o.y + toY - o.y) * cross;
  }
  return sums.flatMap(({ area, x, y }, i) =>
    area === 0
      ? []
      : [
          {
            at: { x: origin[i]!.x + x / (3 * area), y: origin[i]!.y + y / (3 * area) },
            size: Math.sqrt(Math.abs(area) / 2),
          },
        ],
  );
};

/** By the sides of its pixels: those to the left and right of dark ones are enough for area and middle. */
const spotOf = (border: Border, { height }: GreyPicture, pixel: PixelSize): Spot => {
  let area = 0;
  let mx = 0;
  let my = 0;
  for (let k = 0; k < border.x.length; k += 1) {
    const side = border.toBright[k]!;
    if (side !== 0 && side !== 2) continue;
    const x = border.x[k]! + (side === 0 ? 1 : 0);
    const sign = side === 0 ? 1 : -1;
    area += sign * x;
    mx += (sign * x * x) / 2;
    my += sign * x * (border.y[k]! + 0.5);
  }
  return {
    at: { x: (mx / area) * pixel.x, y: (height - my / area) * pixel.y },
    size: Math.sqrt(Math.abs(area) * pixel.x * pixel.y),
  };
};

/** Ways in which two openings come to lie on two spots; of a single opening every turn about its spot. */
const waysOf = (spots: readonly Spot[], outlines: readonly Spot[]): Lying[] => {
  const largest = [...outlines].sort((a, b) => b.size - a.size).slice(0, mostOpenings);
  const alike = (spot: Spot, outline: Spot): boolean =>
    spot.size > 0.85 * outline.size - offBy && spot.size < 1.15 * outline.size + 3 * offBy;
  const ways: { lying: Lying; matched: number }[] = [];
  largest.forEach((a, i) => {
    for (const b of largest.slice(i + 1)) {
      const length = Math.hypot(b.at.x - a.at.x, b.at.y - a.at.y);
      if (length < offBy) continue;
      for (const p of spots) {
        if (!alike(p, a)) continue;
        for (const q of spots) {
          if (p === q || !alike(q, b)) continue;
          const found = Math.hypot(q.at.x - p.at.x, q.at.y - p.at.y);
          if (Math.abs(found - length) > scaleShare * length + offBy) continue;
          const turn =
            Math.atan2(q.at.y - p.at.y, q.at.x - p.at.x) - Math.atan2(b.at.y - a.at.y, b.at.x - a.at.x);
          const lying = through(turn, [a.at, b.at], [p.at, q.at]);
          ways.push({ lying, matched: matchedBy(lying, largest, spots, alike) });
        }
      }
    }
  });
  if (ways.length === 0) {
    for (const a of largest.slice(0, 1))
      for (const p of spots.filter((spot) => alike(spot, a)))
        for (let k = 0; k < 360; k += 1)
          ways.push({ lying: through((k * Math.PI) / 180, [a.at], [p.at]), matched: 1 });
    return ways.map(({ lying }) => lying);
  }
  const most = Math.max(...ways.map(({ matched }) => matched));
  const good = ways.filter(({ matched }) => matched >= 0.8 * most);
  // Of ways that are the same one of the best is enough.
  const different: Lying[] = [];
  for (const { lying } of good.sort((a, b) => b.matched - a.matched)) {
    if (different.length >= 60) break;
    const isKnown = different.some(
      (d) =>
        Math.abs(angleBetween(d.turn, lying.turn)) < 0.004 && Math.hypot(d.x - lying.x, d.y - lying.y) < 0.5,
    );
    if (!isKnown) different.push(refined(lying, largest, spots, alike));
  }
  return different;
};

const through = (turn: number, from: readonly Point[], to: readonly Point[]): Lying => {
  const mean = (points: readonly Point[]): Point => ({
    x: points.reduce((s, p) => s + p.x, 0) / points.length,
    y: points.reduce((s, p) => s + p.y, 0) / points.length,
  });
  const a = mean(from);
  const b = mean(to);
  const moved = toPicture({ turn, x: 0, y: 0 }, a);
  return { turn, x: b.x - moved.x, y: b.y - moved.y };
};

const nearestSpot = (p: Point, spots: readonly Spot[], fits: (spot: Spot) => boolean): Spot | undefined => {
  let best: Spot | undefined;
  let least = 2 * offBy;
  for (const spot of spots) {
    const away = Math.hypot(spot.at.x - p.x, spot.at.y - p.y);
    if (away < least && fits(spot)) {
      least = away;
      best = spot;
    }
  }
  return best;
};

type Alike = (spot: Spot, outline: Spot) => boolean;

const matchedBy = (lying: Lying, outlines: readonly Spot[], spots: readonly Spot[], alike: Alike): number =>
  outlines.filter(
    (one) => nearestSpot(toPicture(lying, one.at), spots, (spot) => alike(spot, one)) !== undefined,
  ).length;

/** Turn and shift by all that match (Umeyama 1991, without scale). */
const refined = (lying: Lying, outlines: readonly Spot[], spots: readonly Spot[], alike: Alike): Lying => {
  const pairs = outlines.flatMap((one) => {
    const spot = nearestSpot(toPicture(lying, one.at), spots, (s) => alike(s, one));
    return spot === undefined ? [] : [{ from: one.at, to: spot.at }];
  });
  if (pairs.length < 2) return lying;
  const n = pairs.length;
  const mean = (pick: (pair: (typeof pairs)[number]) => number): number =>
    pairs.reduce((s, pair) => s + pick(pair), 0) / n;
  const [fx, fy, tx, ty] = [
    mean((p) => p.from.x),
    mean((p) => p.from.y),
    mean((p) => p.to.x),
    mean((p) => p.to.y),
  ];
  let c = 0;
  let s = 0;
  for (const { from, to } of pairs) {
    const [ax, ay, bx, by] = [from.x - fx, from.y - fy, to.x - tx, to.y - ty];
    c += ax * bx + ay * by;
    s += ax * by - ay * bx;
  }
  return through(
    Math.atan2(s, c),
    pairs.map(({ from }) => from),
    pairs.map(({ to }) => to),
  );
};

interface DistanceMap {
  readonly columns: number;
  readonly rows: number;
  /** Pixels of the picture to one cell. */
  readonly cell: number;
  readonly away: Float32Array;
}

/** Distance of each cell from the nearest border, pixels, by chamfer steps of 3 and 4 (G. Borgefors 1986, from memory). */
const distanceMap = (borders: readonly Border[], { width, height }: GreyPicture): DistanceMap => {
  const cell = Math.max(1, Math.ceil(Math.max(width, height) / 1500));
  const columns = Math.ceil(width / cell);
  const rows = Math.ceil(height / cell);
  const away = new Float32Array(columns * rows).fill(1e9);
  for (const { x, y } of borders)
    for (let k = 0; k < x.length; k += 1)
      away[Math.floor(y[k]! / cell) * columns + Math.floor(x[k]! / cell)] = 0;
  const relax = (i: number, r: number, c: number, dr: number, dc: number): void => {
    if (r + dr < 0 || r + dr >= rows || c + dc < 0 || c + dc >= columns) return;
    const step = dr !== 0 && dc !== 0 ? 4 / 3 : 1;
    const other = away[i + dr * columns + dc]! + step;
    if (other < away[i]!) away[i] = other;
  };
  for (let r = 0; r < rows; r += 1)
    for (let c = 0; c < columns; c += 1)
      for (const [dr, dc] of [
        [-1, -1],
        [-1, 0],
        [-1, 1],
        [0, -1],
      ] as const)
        relax(r * columns + c, r, c, dr, dc);
  for (let r = rows - 1; r >= 0; r -= 1)
    for (let c = columns - 1; c >= 0; c -= 1)
      for (const [dr, dc] of [
        [1, 1],
        [1, 0],
        [1, -1],
        [0, 1],
      ] as const)
        relax(r * columns + c, r, c, dr, dc);
  return { columns, rows, cell, away };
};

/** Which share of the edges' length has a border near it, weighted by how near. */
const shareOnBorders = (
  lying: Lying,
  { stretches }: Walk,
  { columns, rows, cell, away }: DistanceMap,
  { picture, pixel }: RegisterInput,
  within: number,
): number => {
  let on = 0;
  let whole = 0;
  for (const { x, y, toX, toY, length } of stretches) {
    const parts = Math.max(1, Math.ceil(length));
    for (let k = 0; k < parts; k += 1) {
      const t = (k + 0.5) / parts;
      const p = toPicture(lying, { x: x + t * (toX - x), y: y + t * (toY - y) });
      const c = Math.floor(p.x / pixel.x / cell);
      const r = Math.floor((picture.height - p.y / pixel.y) / cell);
      whole += length / parts;
      if (c < 0 || r < 0 || c >= columns || r >= rows) continue;
      const d = away[r * columns + c]! * cell * Math.sqrt(pixel.x * pixel.y);
      if (d < within) on += (length / parts) * (1 - (0.5 * d) / within);
    }
  }
  return on / whole;
};
