/**
 * From a scan to openings. In: grey levels and the size of a pixel. Out: every edge as lines and arcs, with its role, its
 * standard deviation, and what was left out. Nothing here touches a file; `decode.ts` alone does.
 */
import type { Point } from '../geometry/point.js';
import { InputError, type Warning } from '../job/messages.js';
import { lengthOf } from './curves/chain.js';
import { alongOutline, type Outline } from './edges/outline.js';
import { type EdgeNoise, outlinesOf, type TracedOutline } from './edges/outlines.js';
import { type Border, traceBorders } from './edges/trace.js';
import type { GreyPicture, PixelSize } from './picture/grey-picture.js';
import { darkPixels, type Levels, levelsOf } from './picture/levels.js';

export type Tone = 'dark' | 'light';

export interface ScanSettings {
  /** Whether openings are dark or light; undefined: it is decided, and said. */
  readonly openings?: Tone;
  /** What is smaller across than this, mm, is a speck. */
  readonly smallest: number;
  /** What was found from known lengths: the pixel is to be that much larger, and the picture leans. */
  readonly known?: KnownScale;
}

export const usualSmallest = 0.5;

export type EdgeRole = 'opening' | 'island' | 'outline';

export interface ScannedEdge {
  readonly id: string;
  readonly role: EdgeRole;
  /** In units of `Scan.unit`, y up, from the lower left corner of the picture. */
  readonly outline: Outline;
  /** Its own standard deviation along the normal, mm: root mean square along it. */
  readonly sd: number;
  readonly traced: TracedOutline;
}

export interface Scan {
  readonly edges: readonly ScannedEdge[];
  readonly openings: Tone;
  readonly openingsAssumed: boolean;
  /** Millimetres of one unit of the outlines: a pixel of mean size. */
  readonly unit: number;
  /** Width and height of the picture, mm. */
  readonly size: readonly [number, number];
  readonly noise: EdgeNoise;
  /** Bright less dark, as a share of all levels. */
  readonly contrast: number;
  /** Specks that were left out, and openings that reach out of the picture. */
  readonly dropped: { readonly specks: number; readonly cutOff: number };
  /** The largest sd of an edge, mm. */
  readonly edgeSd: number;
  /** The scale from known lengths, which is in the outlines. */
  readonly known?: KnownScale;
  readonly warnings: readonly Warning[];
}

/** A sheet in view takes at least this share of the picture, or this with several openings in it: else it is an opening with an island. */
const leastSheet = 0.5;
const leastPierced = 0.2;
const severalOpenings = 3;
/** More edges than these are noise, or a picture of something else. */
const mostEdges = 20_000;

/** @throws InputError where the picture does not hold openings */
export const scanPicture = (
  picture: GreyPicture,
  stated: PixelSize,
  settings: ScanSettings,
  file: string,
  step: (text: string) => void = () => {},
): Scan => {
  const { known } = settings;
  const pixel = known === undefined ? stated : { x: stated.x * (1 + known.x), y: stated.y * (1 + known.y) };
  step('looking for what is dark and what is bright');
  const levels = levelsOf(picture);
  if (levels === undefined) {
    throw new InputError({
      found: 'a picture without two levels, one dark and one bright',
      expected: 'openings that are darker or lighter than the panel',
      where: { file },
      next: 'Scan it again with black card behind a light panel, or white card behind a dark one.',
    });
  }
  const pixels = darkPixels(picture, levels);
  const outside = classOfRim(pixels, picture);
  const leastArea = (Math.PI * settings.smallest ** 2) / 4 / (pixel.x * pixel.y);
  const { borders, dropped } = traceBorders(
    pixels,
    picture.width,
    picture.height,
    outside,
    Math.max(leastArea, 20),
  );
  const specks = dropped.dark + dropped.bright;
  if (borders.length === 0) {
    throw new InputError({
      found:
        specks === 0
          ? 'no edge in the picture'
          : `nothing but ${specks} specks smaller than ${settings.smallest} mm`,
      expected: 'openings',
      where: { file },
      next: 'Scan it again with more contrast, or say a smaller size with --smallest.',
    });
  }
  if (borders.length > mostEdges) {
    throw new InputError({
      found: `${borders.length} dark or bright spots`,
      expected: 'a panel with openings',
      where: { file },
      next: `Scan it again with an even ground, or drop what is small, as in --smallest ${4 * settings.smallest}.`,
    });
  }
  const found = rolesOf(borders, outside, picture, settings.openings);
  const wanted = found.roles.flatMap(({ role, border }) => (role === undefined ? [] : [{ role, border }]));
  if (!wanted.some(({ role }) => role === 'opening')) {
    throw new InputError({
      found: `no ${found.openings} opening that lies wholly in the picture`,
      expected: 'openings',
      where: { file },
      next: `Say what an opening is with --openings ${found.openings === 'dark' ? 'light' : 'dark'}, or scan with the whole opening in view.`,
    });
  }
  const { outlines, noise } = outlinesOf(
    picture,
    levels,
    wanted.map(({ border }) => border),
    pixel,
    known?.lean ?? 0,
    step,
  );
  const unit = Math.sqrt(pixel.x * pixel.y);
  const number = { opening: 0, island: 0, outline: 0 };
  const unfit: string[] = [];
  const named = wanted.map(({ role }, i) => ({ role, traced: outlines[i]! }));
  named.sort((a, b) => inReadingOrder(a.traced.border, b.traced.border));
  const edges = named.flatMap(({ role, traced }): ScannedEdge[] => {
    number[role] += 1;
    const alone = role === 'outline' && named.filter((n) => n.role === 'outline').length === 1;
    const id = alone ? 'outline' : `${role}-${number[role]}`;
    const { outline } = traced;
    if (outline === undefined) {
      const { minX, minY } = traced.border.box;
      unfit.push(`${id} at ${(minX * pixel.x).toFixed(1)},${((picture.height - minY) * pixel.y).toFixed(1)}`);
      return [];
    }
    return [
      {
        id,
        role,
        outline,
        sd: unit * Math.hypot(Math.sqrt(meanVariance(outline)), noise.walls?.sd ?? 0),
        traced,
      },
    ];
  });
  const edgeSd = Math.max(0, ...edges.map(({ sd }) => sd));
  return {
    edges,
    openings: found.openings,
    openingsAssumed: settings.openings === undefined,
    unit,
    size: [picture.width * pixel.x, picture.height * pixel.y],
    noise,
    contrast: contrastOf(levels, picture),
    dropped: { specks, cutOff: found.cutOff },
    edgeSd,
    warnings: [...wallWarnings(noise, unit), ...warningsOf(found.cutOff, unfit, known)],
    ...(known === undefined ? {} : { known }),
  };
};

const wallWarnings = ({ walls }: EdgeNoise, unit: number): Warning[] =>
  walls === undefined
    ? []
    : [
        {
          code: 'walls-seen',
          message: `The walls of the openings show as a band up to ${(walls.widest * unit).toFixed(2)} mm wide; the outer step was taken, where the panel's face ends on the glass.`,
        },
      ];

const warningsOf = (cutOff: number, unfit: readonly string[], known: KnownScale | undefined): Warning[] => {
  const warnings: Warning[] = [];
  if (known === undefined)
    warnings.push({
      code: 'scale-unchecked',
      message:
        'The size rests on the density that the file states; the carriage of a scanner may be off by 0.1 % and more (common practice, no source): hold a length of the drawing against a rule, and say in the job how sure the size is (check: size-change: 0.001), or say known lengths with --known.',
    });
  if (cutOff > 0)
    warnings.push({
      code: 'content-left-out',
      message: `${cutOff === 1 ? 'One edge reaches' : `${cutOff} edges reach`} out of the picture and ${cutOff === 1 ? 'was' : 'were'} left out: scan with the whole opening in view.`,
    });
  if (unfit.length > 0)
    warnings.push({
      code: 'content-left-out',
      message: `No lines and arcs could be fitted to ${unfit.join('; ')}: left out.`,
    });
  return warnings;
};

const contrastOf = ({ dark, bright }: Levels, { white }: GreyPicture): number => {
  let sum = 0;
  for (let i = 0; i < dark.length; i += 1) sum += bright[i]! - dark[i]!;
  return sum / dark.length / white;
};

const meanVariance = (outline: Outline): number => {
  if (outline.kind === 'circle') return outline.variance;
  let sum = 0;
  let length = 0;
  outline.variance.forEach((v, k) => {
    const l = lengthOf(outline.chain, k);
    sum += v * l;
    length += l;
  });
  return sum / length;
};

/** From above to below, and from left to right where two begin at one height. */
const inReadingOrder = (a: Border, b: Border): number => a.box.minY - b.box.minY || a.box.minX - b.box.minX;

/** What most of the picture's rim is: 1 dark, 0 bright. */
const classOfRim = (pixels: Uint8Array, { width, height }: GreyPicture): 0 | 1 => {
  let dark = 0;
  for (let x = 0; x < width; x += 1) dark += pixels[x]! + pixels[(height - 1) * width + x]!;
  for (let y = 0; y < height; y += 1) dark += pixels[y * width]! + pixels[y * width + width - 1]!;
  return dark > width + height ? 1 : 0;
};

interface Roles {
  readonly openings: Tone;
  readonly roles: readonly { readonly border: Border; readonly role: EdgeRole | undefined }[];
  readonly cutOff: number;
}

const rolesOf = (
  borders: readonly Border[],
  outside: 0 | 1,
  { width, height }: GreyPicture,
  stated: Tone | undefined,
): Roles => {
  const parent = parentsOf(borders);
  const depth = borders.map((_, i) => {
    let d = 0;
    for (let p = parent[i]!; p >= 0; p = parent[p]!) d += 1;
    return d;
  });
  const outsideTone: Tone = outside === 1 ? 'dark' : 'light';
  const inside = new Int32Array(borders.length);
  for (const p of parent) if (p >= 0) inside[p]! += 1;
  const sheets = borders.filter((border, i) => {
    const share = Math.abs(border.area) / (width * height);
    const pierced = inside[i]! >= severalOpenings ? leastPierced : leastSheet;
    return depth[i] === 0 && inside[i]! > 0 && share >= pierced;
  });
  const openings = stated ?? (sheets.length > 0 ? outsideTone : outsideTone === 'dark' ? 'light' : 'dark');
  const sheetInView = openings === outsideTone;
  let cutOff = 0;
  const roles = borders.map((border, i) => {
    const d = depth[i]!;
    const role: EdgeRole = sheetInView
      ? d === 0
        ? 'outline'
        : d % 2 === 1
          ? 'opening'
          : 'island'
      : d % 2 === 0
        ? 'opening'
        : 'island';
    if (!border.atRim) return { border, role };
    if (role === 'opening') cutOff += 1;
    return { border, role: undefined };
  });
  return { openings, roles, cutOff };
};

/** Of each border the smallest one round it, -1 for none. */
const parentsOf = (borders: readonly Border[]): Int32Array => {
  const order = borders
    .map((_, i) => i)
    .sort((a, b) => Math.abs(borders[b]!.area) - Math.abs(borders[a]!.area));
  const parent = new Int32Array(borders.length).fill(-1);
  order.forEach((i, rank) => {
    const { box } = borders[i]!;
    // From the smallest of the larger ones up.
    for (let r = rank - 1; r >= 0; r -= 1) {
      const j = order[r]!;
      const around = borders[j]!.box;
      if (
        around.minX > box.minX ||
        around.minY > box.minY ||
        around.maxX < box.maxX ||
        around.maxY < box.maxY
      )
        continue;
      if (windsRound(borders[j]!, borders[i]!)) {
        parent[i] = j;
        return;
      }
    }
  });
  return parent;
};

/** Whether a border goes round the pixel that another one begins at: by its upright sides to the left of it. */
const windsRound = (border: Border, own: Border): boolean => {
  // A pixel just inside the inner border: its dark one where it encloses dark, else its bright one.
  const side = own.toBright[0]!;
  const bright = own.area < 0;
  const px = own.x[0]! + (bright ? (side === 0 ? 1 : side === 2 ? -1 : 0) : 0);
  const py = own.y[0]! + (bright ? (side === 1 ? 1 : side === 3 ? -1 : 0) : 0);
  let crossings = 0;
  for (let k = 0; k < border.x.length; k += 1) {
    if (border.y[k] !== py) continue;
    const s = border.toBright[k]!;
    if (s === 0 && border.x[k]! + 1 <= px) crossings += 1;
    else if (s === 2 && border.x[k]! <= px) crossings += 1;
  }
  return crossings % 2 === 1;
};

/** Places along an edge, mm. */
export const placesAlong = (scan: Pick<Scan, 'unit'>, { outline }: ScannedEdge, apart: number): Point[] =>
  alongOutline(outline, apart / scan.unit).map(({ x, y }) => ({ x: x * scan.unit, y: y * scan.unit }));

/** True lengths are (1 + x) across and (1 + y) up of what the picture says; x' = x + lean y. */
export interface KnownScale {
  readonly x: number;
  readonly y: number;
  readonly lean: number;
  readonly sd: { readonly x: number; readonly y: number; readonly lean: number };
  /** One for both axes, each its own, or with the lean. */
  readonly unknowns: 1 | 2 | 3;
  readonly redundancy: number;
  /** P of as large a contradiction by chance; undefined without redundancy. */
  readonly pValue?: number;
  readonly lengths: readonly {
    readonly text: string;
    readonly from: Point;
    readonly to: Point;
    readonly measured: number;
    readonly inPicture: number;
    /** Measured less what the scale makes of the picture, mm. */
    readonly residual: number;
  }[];
}
