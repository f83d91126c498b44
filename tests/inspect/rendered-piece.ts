/**
 * Scans of a finished piece of known geometry: hole, panel and film by their share of every pixel, exact along the rows and by 16
 * lines down each, then blur, paper, light that falls off, the scanner's gamma, and noise. It shares no code with what is tested.
 */
import { createRandom } from '../../src/numeric/random.js';
import { smoothed } from '../scan/rendered.js';
import { newEdge, type Opening, type Piece, type TrueErrors } from './true-cut.js';

type Pt = readonly [number, number];

export interface PieceScan {
  /** mm */
  readonly width: number;
  readonly height: number;
  /** Pixels to the mm. */
  readonly density: number;
  /** How the piece lies: drawing mm -> picture mm, y up. */
  readonly turn: number;
  readonly x: number;
  readonly y: number;
  readonly seed: string;
  /** Light of hole, panel and film, of 255. */
  readonly tones?: readonly [hole: number, panel: number, film: number];
  readonly blur?: number;
  readonly noise?: number;
  readonly texture?: number;
  readonly falls?: number;
  /** Levels are light to the power 1 / gamma. */
  readonly gamma?: number;
}

const outlineOf = (edge: ReturnType<typeof newEdge>): Pt[] => {
  if ('polygon' in edge) return [...edge.polygon];
  const [x, y, r] = edge.circle;
  const n = 2000;
  // Of the same area as the circle.
  const out = r / Math.sqrt((n / (2 * Math.PI)) * Math.sin((2 * Math.PI) / n));
  return Array.from({ length: n }, (_, k) => [
    x + out * Math.cos((2 * Math.PI * k) / n),
    y + out * Math.sin((2 * Math.PI * k) / n),
  ]);
};

const still: TrueErrors = { x: 0, y: 0, turn: 0, size: 0, kerf: 0 };

export const renderedPiece = (
  piece: Piece,
  errors: TrueErrors,
  how: PieceScan,
): { width: number; height: number; levels: Uint8Array; white: number } => {
  const {
    density,
    seed,
    tones: [hole, panel, film] = [30, 130, 225],
    blur = 0.7,
    noise = 4,
    texture = 4,
    falls = 0.18,
    gamma = 1,
  } = how;
  const width = Math.round(how.width * density);
  const height = Math.round(how.height * density);
  const c = Math.cos(how.turn);
  const s = Math.sin(how.turn);
  const inPicture = ([x, y]: Pt): Pt => [
    (c * x - s * y + how.x) * density,
    height - (s * x + c * y + how.y) * density,
  ];
  const edges = (clearance: number, by: TrueErrors): Pt[][] =>
    piece.openings.map((opening: Opening) =>
      outlineOf(newEdge(opening, clearance, by, piece.centre)).map(inPicture),
    );
  const lines = 16;
  const crossingsOf = (rings: readonly Pt[][]): number[][] => {
    const crossings: number[][] = Array.from({ length: height * lines }, () => []);
    for (const ring of rings)
      ring.forEach(([ax, ay], i) => {
        const [bx, by] = ring[(i + 1) % ring.length]!;
        const from = Math.max(0, Math.ceil(Math.min(ay, by) * lines - 0.5));
        const to = Math.min(height * lines, Math.ceil(Math.max(ay, by) * lines - 0.5));
        for (let k = from; k < to; k += 1)
          crossings[k]!.push(ax + (((k + 0.5) / lines - ay) / (by - ay)) * (bx - ax));
      });
    for (const xs of crossings) xs.sort((a, b) => a - b);
    return crossings;
  };
  const holes = crossingsOf(edges(0, still));
  const films = crossingsOf(edges(piece.clearance, errors));
  const open = new Float64Array(width * height);
  const bare = new Float64Array(width * height);
  const fill = (into: Float64Array, row: number, spans: readonly (readonly [number, number])[]): void => {
    for (const [a, b] of spans) {
      const from = Math.max(0, a);
      const to = Math.min(width, b);
      for (let x = Math.floor(from); x < to; x += 1)
        into[row * width + x]! += (Math.min(to, x + 1) - Math.max(from, x)) / lines;
    }
  };
  const spansOf = (xs: readonly number[]): [number, number][] => {
    const spans: [number, number][] = [];
    for (let j = 0; j + 1 < xs.length; j += 2) spans.push([xs[j]!, xs[j + 1]!]);
    return spans;
  };
  const both = (a: readonly [number, number][], b: readonly [number, number][]): [number, number][] =>
    a.flatMap(([p, q]) =>
      b.flatMap(([r, t]): [number, number][] => {
        const from = Math.max(p, r);
        const to = Math.min(q, t);
        return to > from ? [[from, to]] : [];
      }),
    );
  for (let k = 0; k < height * lines; k += 1) {
    const row = Math.floor(k / lines);
    const notFilm = spansOf(films[k]!);
    fill(bare, row, notFilm);
    fill(open, row, both(spansOf(holes[k]!), notFilm));
  }
  const random = createRandom(`piece ${seed}`);
  const paper = smoothed(
    Float64Array.from(open, () => random.normal()),
    width,
    height,
    1.5,
  );
  const spread = Math.sqrt(paper.reduce((sum, v) => sum + v * v, 0) / paper.length);
  const light = open.map((o, i) => {
    const grain = (texture * paper[i]!) / spread;
    return o * hole + (bare[i]! - o) * (panel + grain) + (1 - bare[i]!) * (film + grain);
  });
  const seen = smoothed(light, width, height, blur);
  const levels = new Uint8Array(seen.length);
  for (let i = 0; i < seen.length; i += 1) {
    const shade = 1 - falls * (((i % width) / width + Math.floor(i / width) / height) / 2);
    const lit = Math.max(0, seen[i]! * shade);
    const value = 255 * (lit / 255) ** (1 / gamma) + noise * random.normal();
    levels[i] = Math.max(0, Math.min(255, Math.round(value)));
  }
  return { width, height, levels, white: 255 };
};
