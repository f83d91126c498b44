/**
 * Scans of known geometry: loops of lines and arcs, their area on every pixel exact along the rows and by 16 lines down each,
 * then blur, paper, light that falls off, and noise. Written apart from what is tested; it shares no code with it.
 */
import { createRandom } from '../../src/numeric/random.js';

type Pt = readonly [number, number];
export interface Loop {
  /** mm, y up; a vertex and the bulge, tan(sweep / 4), of the side that begins there. */
  readonly corners: readonly (readonly [x: number, y: number, bulge?: number])[];
}

export const circleLoop = (x: number, y: number, r: number): Loop => ({
  corners: [
    [x + r, y, 1],
    [x - r, y, 1],
  ],
});

export const polygonLoop = (...corners: readonly Pt[]): Loop => ({ corners });

/** Half circles of radius r about (x1, y1) and (x2, y2), and the lines between. */
export const slotLoop = (x1: number, y1: number, x2: number, y2: number, r: number): Loop => {
  const length = Math.hypot(x2 - x1, y2 - y1);
  const nx = (-(y2 - y1) / length) * r;
  const ny = ((x2 - x1) / length) * r;
  return {
    corners: [
      [x1 - nx, y1 - ny],
      [x2 - nx, y2 - ny, 1],
      [x2 + nx, y2 + ny],
      [x1 + nx, y1 + ny, 1],
    ],
  };
};

export const turnedLoop = ({ corners }: Loop, degrees: number, cx: number, cy: number): Loop => {
  const c = Math.cos((degrees * Math.PI) / 180);
  const s = Math.sin((degrees * Math.PI) / 180);
  return {
    corners: corners.map(([x, y, b = 0]) => [
      cx + c * (x - cx) - s * (y - cy),
      cy + s * (x - cx) + c * (y - cy),
      b,
    ]),
  };
};

export const polyline = ({ corners }: Loop): Pt[] =>
  corners.flatMap(([ax, ay, bulge = 0], i): Pt[] => {
    const [bx, by] = corners[(i + 1) % corners.length]!;
    if (bulge === 0) return [[ax, ay]];
    const sweep = 4 * Math.atan(bulge);
    const chord = Math.hypot(bx - ax, by - ay);
    const radius = chord / (2 * Math.sin(Math.abs(sweep) / 2));
    const steps = Math.max(4, Math.ceil(Math.abs(sweep) * Math.sqrt(radius / 8e-6)));
    const h = (1 - bulge * bulge) / (4 * bulge);
    const cx = (ax + bx) / 2 - (by - ay) * h;
    const cy = (ay + by) / 2 + (bx - ax) * h;
    return Array.from({ length: steps }, (_, k) => {
      const c = Math.cos((sweep * k) / steps);
      const s = Math.sin((sweep * k) / steps);
      return [cx + c * (ax - cx) - s * (ay - cy), cy + s * (ax - cx) + c * (ay - cy)];
    });
  });

export interface Rendering {
  readonly width: number;
  readonly height: number;
  /** Pixels to the mm, across and down. */
  readonly density: number;
  readonly densityY?: number;
  readonly seed?: number;
  readonly blur?: number;
  readonly noise?: number;
  readonly texture?: number;
  /** Share of the light that is lost from one side to the other. */
  readonly falls?: number;
  /** Levels of panel and opening. */
  readonly panel?: number;
  readonly opening?: number;
  readonly deep?: boolean;
  /** Walls seen aslant: level of the wall, and by which share what lies deeper is nearer to the middle of the picture. */
  readonly wall?: { readonly level: number; readonly share: number };
}

/** Odd windings are opening. */
export const rendered = (
  loops: readonly Loop[],
  how: Rendering,
): { width: number; height: number; levels: Uint8Array | Uint16Array; white: number } => {
  const {
    density,
    densityY = density,
    seed = 1,
    blur = 0.7,
    noise = 4,
    texture = 4,
    falls = 0.18,
    panel = 225,
    opening = 30,
  } = how;
  const width = Math.round(how.width * density);
  const height = Math.round(how.height * densityY);
  const random = createRandom(`scan ${seed}`);
  const lines = 16;
  const crossings: number[][] = Array.from({ length: height * lines }, () => []);
  for (const loop of loops) {
    const points = polyline(loop).map(([x, y]): Pt => [x * density, height - y * densityY]);
    points.forEach(([ax, ay], i) => {
      const [bx, by] = points[(i + 1) % points.length]!;
      const from = Math.ceil(Math.min(ay, by) * lines - 0.5);
      const to = Math.ceil(Math.max(ay, by) * lines - 0.5);
      for (let k = Math.max(0, from); k < to && k < height * lines; k += 1)
        crossings[k]!.push(ax + (((k + 0.5) / lines - ay) / (by - ay)) * (bx - ax));
    });
  }
  const area = new Float64Array(width * height);
  const through = new Float64Array(width * height);
  const nearer = (x: number): number => x - (how.wall?.share ?? 0) * (x - width / 2);
  crossings.forEach((xs, k) => {
    const row = Math.floor(k / lines) * width;
    xs.sort((a, b) => a - b);
    for (let j = 0; j + 1 < xs.length; j += 2) {
      const from = Math.max(0, xs[j]!);
      const to = Math.min(width, xs[j + 1]!);
      for (let x = Math.floor(from); x < to; x += 1)
        area[row + x]! += (Math.min(to, x + 1) - Math.max(from, x)) / lines;
      // Seen through face and back: what both leave open.
      const backFrom = Math.max(from, nearer(from));
      const backTo = Math.min(to, nearer(to));
      for (let x = Math.floor(backFrom); x < backTo; x += 1)
        through[row + x]! += (Math.min(backTo, x + 1) - Math.max(backFrom, x)) / lines;
    }
  });
  const paper = smoothed(
    Float64Array.from(area, () => random.normal()),
    width,
    height,
    1.5,
  );
  const spread = Math.sqrt(paper.reduce((sum, v) => sum + v * v, 0) / paper.length);
  const mixed = area.map(
    (a, i) => (1 - a) * (panel + (texture * paper[i]!) / spread) + a * (how.wall?.level ?? opening),
  );
  if (how.wall !== undefined)
    for (let i = 0; i < mixed.length; i += 1) mixed[i]! += through[i]! * (opening - how.wall.level);
  const seen = smoothed(mixed, width, height, blur);
  const white = how.deep === true ? 65_535 : 255;
  const levels = how.deep === true ? new Uint16Array(seen.length) : new Uint8Array(seen.length);
  for (let i = 0; i < seen.length; i += 1) {
    const light = 1 - falls * (((i % width) / width + Math.floor(i / width) / height) / 2);
    const value = (seen[i]! * light + noise * random.normal()) * (white / 255);
    levels[i] = Math.max(0, Math.min(white, Math.round(value)));
  }
  return { width, height, levels, white };
};

export const smoothed = (values: Float64Array, width: number, height: number, sd: number): Float64Array => {
  if (sd === 0) return values;
  const reach = Math.ceil(5 * sd);
  const kernel = Array.from({ length: 2 * reach + 1 }, (_, i) =>
    Math.exp(-((i - reach) ** 2) / (2 * sd * sd)),
  );
  const sum = kernel.reduce((a, b) => a + b, 0);
  const across = new Float64Array(values.length);
  const down = new Float64Array(values.length);
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1) {
      let total = 0;
      for (let k = -reach; k <= reach; k += 1)
        total += kernel[k + reach]! * values[y * width + Math.min(width - 1, Math.max(0, x + k))]!;
      across[y * width + x] = total / sum;
    }
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1) {
      let total = 0;
      for (let k = -reach; k <= reach; k += 1)
        total += kernel[k + reach]! * across[Math.min(height - 1, Math.max(0, y + k)) * width + x]!;
      down[y * width + x] = total / sum;
    }
  return down;
};
