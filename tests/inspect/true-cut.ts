/**
 * A panel of known openings and a cut of known errors, in the drawing's own coordinates: the gap from any place of an edge to the
 * new edge, found as where the ray along the normal meets it. It shares no code with what is tested: new edges are lines and
 * circles, moved as a whole.
 */
import type { RandomSource } from '../../src/numeric/random.js';

export interface TrueErrors {
  /** mm, radians, share, mm of the full kerf; about the centre of the openings' box. */
  readonly x: number;
  readonly y: number;
  readonly turn: number;
  readonly size: number;
  readonly kerf: number;
}

export type Opening =
  | { readonly id: string; readonly circle: readonly [x: number, y: number, r: number] }
  /** Counter-clockwise. */
  | { readonly id: string; readonly polygon: readonly (readonly [x: number, y: number])[] };

const openings: readonly Opening[] = [
  { id: 'round', circle: [30, 30, 12] },
  { id: 'peg', circle: [165, 95, 8] },
  {
    id: 'window',
    polygon: [
      [60, 20],
      [110, 20],
      [110, 50],
      [60, 50],
    ],
  },
  {
    id: 'leaf',
    polygon: [
      [30, 70],
      [75, 80],
      [50, 115],
    ],
  },
  {
    id: 'bar',
    polygon: [
      [100, 75],
      [140, 85],
      [138, 93],
      [98, 83],
    ],
  },
  {
    id: 'blade',
    polygon: [
      [135, 25],
      [185, 20],
      [170, 60],
    ],
  },
];

/** A panel and the clearance of its cut; errors turn and grow about `centre`. */
export interface Piece {
  readonly width: number;
  readonly height: number;
  readonly openings: readonly Opening[];
  readonly centre: { readonly x: number; readonly y: number };
  readonly clearance: number;
}

export const clearance = 0.5;

export const piece: Piece = {
  width: 200,
  height: 130,
  openings,
  centre: { x: (18 + 185) / 2, y: (18 + 115) / 2 },
  clearance,
};

/** Small enough to be rendered hundreds of times. */
export const smallPiece: Piece = {
  width: 38,
  height: 26,
  openings: [
    { id: 'round', circle: [7, 7, 3.5] },
    {
      id: 'window',
      polygon: [
        [15, 3],
        [25, 3],
        [25, 10],
        [15, 10],
      ],
    },
    {
      id: 'leaf',
      polygon: [
        [5, 14],
        [16, 16],
        [9, 23],
      ],
    },
    {
      id: 'bar',
      polygon: [
        [19, 14],
        [34, 17],
        [33.4, 20],
        [18.4, 17],
      ],
    },
    { id: 'peg', circle: [31, 7, 3] },
  ],
  centre: { x: 19, y: 12.5 },
  clearance: 0.5,
};

export const drawingSvg = ({ width, height, openings }: Piece): string => {
  const [right, top] = [width - 1, height - 1];
  const shapes = openings.map((o) =>
    'circle' in o
      ? `<circle id="${o.id}" cx="${o.circle[0]}" cy="${height - o.circle[1]}" r="${o.circle[2]}"/>`
      : `<path id="${o.id}" d="M${o.polygon.map(([x, y]) => `${x},${height - y}`).join('L')}Z"/>`,
  );
  return `<svg xmlns="http://www.w3.org/2000/svg" width="${width}mm" height="${height}mm" viewBox="0 0 ${width} ${height}">
<g id="outline"><rect width="${width}" height="${height}"/></g>
<g id="openings">${shapes.join('')}</g>
<g id="marks"><circle id="A" cx="1" cy="1" r="0.3"/><circle id="B" cx="${right}" cy="1" r="0.3"/><circle id="C" cx="${right}" cy="${top}" r="0.3"/><circle id="D" cx="1" cy="${top}" r="0.3"/></g>
</svg>`;
};

type Centre = { readonly x: number; readonly y: number };

const moved = (
  { x, y, turn, size }: TrueErrors,
  centre: Centre,
  px: number,
  py: number,
): [number, number] => {
  const c = (1 + size) * Math.cos(turn);
  const s = (1 + size) * Math.sin(turn);
  const dx = px - centre.x;
  const dy = py - centre.y;
  return [centre.x + x + c * dx - s * dy, centre.y + y + s * dx + c * dy];
};

/** The new edge of an opening as points, for rendering: mm. */
export const newEdge = (
  opening: Opening,
  clearance: number,
  errors: TrueErrors,
  about: Centre = piece.centre,
):
  | { readonly circle: readonly [number, number, number] }
  | { readonly polygon: readonly [number, number][] } => {
  const out = clearance + errors.kerf / 2;
  if ('circle' in opening) {
    const [x, y, r] = opening.circle;
    return { circle: [...moved(errors, about, x, y), (r + clearance) * (1 + errors.size) + errors.kerf / 2] };
  }
  const { polygon } = opening;
  const n = polygon.length;
  return {
    polygon: polygon.map(([x, y], i) => {
      const [ax, ay] = polygon[(i + n - 1) % n]!;
      const [bx, by] = polygon[(i + 1) % n]!;
      const before = outward(ax, ay, x, y);
      const after = outward(x, y, bx, by);
      // The crossing of both parallels.
      const k = out / (1 + before[0] * after[0] + before[1] * after[1]);
      return moved(errors, about, x + k * (before[0] + after[0]), y + k * (before[1] + after[1]));
    }),
  };
};

const outward = (ax: number, ay: number, bx: number, by: number): [number, number] => {
  const l = Math.hypot(bx - ax, by - ay);
  return [(by - ay) / l, -(bx - ax) / l];
};

/** From a place of an existing edge, drawing mm, along the normal to the new edge. */
export const trueGap = (
  id: string,
  place: { readonly x: number; readonly y: number },
  clearance: number,
  errors: TrueErrors,
  of: Piece = piece,
): number => {
  const opening = of.openings.find((o) => o.id === id)!;
  const edge = newEdge(opening, clearance, errors, of.centre);
  if ('circle' in opening && 'circle' in edge) {
    const [cx, cy] = opening.circle;
    const l = Math.hypot(place.x - cx, place.y - cy);
    const n = { x: (place.x - cx) / l, y: (place.y - cy) / l };
    const [ex, ey, er] = edge.circle;
    // From the rim itself.
    const dx = cx + opening.circle[2] * n.x - ex;
    const dy = cy + opening.circle[2] * n.y - ey;
    const along = n.x * dx + n.y * dy;
    return -along + Math.sqrt(along * along - dx * dx - dy * dy + er * er);
  }
  if (!('polygon' in opening && 'polygon' in edge)) throw new Error('another kind of edge');
  const sides = opening.polygon.map(
    (a, i) => [a, opening.polygon[(i + 1) % opening.polygon.length]!] as const,
  );
  const offOf = ([[ax, ay], [bx, by]]: (typeof sides)[number]): number => {
    const [nx, ny] = outward(ax, ay, bx, by);
    return Math.abs(nx * (place.x - ax) + ny * (place.y - ay));
  };
  const k = sides.reduce((best, side, i) => (offOf(side) < offOf(sides[best]!) ? i : best), 0);
  const [[ax, ay], [bx, by]] = sides[k]!;
  const [nx, ny] = outward(ax, ay, bx, by);
  const [px, py] = edge.polygon[k]!;
  const [qx, qy] = edge.polygon[(k + 1) % edge.polygon.length]!;
  const [mx, my] = outward(px, py, qx, qy);
  // From the edge itself.
  const off = nx * (place.x - ax) + ny * (place.y - ay);
  const [fx, fy] = [place.x - off * nx, place.y - off * ny];
  return (mx * (px - fx) + my * (py - fy)) / (mx * nx + my * ny);
};

export const randomErrors = (random: RandomSource): TrueErrors => ({
  x: 0.15 * random.normal(),
  y: 0.15 * random.normal(),
  turn: 0.001 * random.normal(),
  size: 0.0005 * random.normal(),
  kerf: 0.05 * random.normal(),
});

/** How the panel lies on the bed, radians. */
export const jobTurn = 0.02;

/** A job of that drawing, turned and moved by (40, 30); with `random` the marks and their readings stray as they are stated to. */
export const jobText = (more = '', random?: RandomSource, of: Piece = piece): string => {
  const c = Math.cos(jobTurn);
  const s = Math.sin(jobTurn);
  const stray = (): number => (random === undefined ? 0 : Math.hypot(0.06, 0.02) * random.normal());
  const at = (x: number, y: number) =>
    `[${(40 + c * x - s * y + stray()).toFixed(4)}, ${(30 + s * x + c * y + stray()).toFixed(4)}]`;
  const [right, top] = [of.width - 1, of.height - 1];
  return `drawing: ${of === piece ? 'panel' : 'small'}.svg
readings: {A: ${at(1, top)}, B: ${at(right, top)}, C: ${at(right, 1)}, D: ${at(1, 1)}}
machine: {axes: y-up}
fit: {reading-sd: 0.06, mark-sd: 0.02}
cut: {clearance: ${of.clearance}, kerf: 0.12}
check: {cut-sd: 0.03, kerf-sd: 0.02}
${more}`;
};

const drawings: Readonly<Record<string, Piece>> = { 'panel.svg': piece, 'small.svg': smallPiece };

/** What a job of these pieces reads, of others by the names of their drawings too. */
export const filesOf = (more: Readonly<Record<string, Piece>> = {}) => ({
  read: (path: string): Uint8Array | undefined => {
    const found = more[path] ?? drawings[path];
    return found === undefined ? undefined : new TextEncoder().encode(drawingSvg(found));
  },
});

export const jobFiles = filesOf();
