/**
 * The moves of a path on the grid of the numbers that an NC file writes. A control works out an arc
 * from its rounded words, so it is judged by them: whatever they say again has to lie where the
 * path does.
 */
import type { Vertex } from './cut-file.js';

/** A place, or a way from one to another, in whole steps of the last decimal. */
export interface GridPoint {
  readonly x: number;
  readonly y: number;
}

export interface Move {
  readonly to: GridPoint;
  /** From where the arc starts to its centre; undefined: straight. */
  readonly centre?: GridPoint;
  /** Of an arc: true where its angles fall. */
  readonly clockwise?: boolean;
}

export interface Grid {
  /** Steps to the millimetre. */
  readonly steps: number;
  readonly arcs: boolean;
}

/**
 * Many controls reckon in seven digits: about a larger circle they lose the micrometres, and it is
 * nearly straight.
 */
const largestRadius = 10_000;
/** Distance of a chord from its arc where an arc has to be written in straight moves, mm. */
const largestSagitta = 0.001;
/** A flatter arc is its own chord, in steps: rounding moves it by more. */
const flat = 0.5;
/** What the words of an arc may put its middle and the ends of its radii aside by, in steps. */
const allowed = 1;
/** Steps to either side in which a centre is looked for. */
const around = 2;

export const onGrid = ({ x, y }: { readonly x: number; readonly y: number }, { steps }: Grid): GridPoint => ({
  x: Math.round(x * steps),
  y: Math.round(y * steps),
});

/**
 * From the first vertex along the path; `closed` ends where it began. A move that would end where
 * it starts is left out: as an arc it would be a whole circle.
 */
export const movesAlong = (vertices: readonly Vertex[], closed: boolean, grid: Grid): Move[] => {
  const moves: Move[] = [];
  const count = closed ? vertices.length : vertices.length - 1;
  let from = onGrid(vertices[0]!.at, grid);
  for (let i = 0; i < count; i++) {
    const { sweep } = vertices[i]!;
    const end = vertices[(i + 1) % vertices.length]!.at;
    const to = onGrid(end, grid);
    for (const move of sweep === undefined ? [{ to }] : edgeMoves(vertices[i]!, end, sweep, from, grid)) {
      if (move.to.x === from.x && move.to.y === from.y) continue;
      moves.push(move);
      from = move.to;
    }
  }
  return moves;
};

const edgeMoves = (
  { at }: Vertex,
  end: { readonly x: number; readonly y: number },
  sweep: number,
  from: GridPoint,
  grid: Grid,
): Move[] => {
  const to = onGrid(end, grid);
  const chord = Math.hypot(to.x - from.x, to.y - from.y);
  if ((chord / 2) * Math.abs(Math.tan(sweep / 4)) <= flat) return [{ to }];
  const radius = chord / (2 * Math.abs(Math.sin(sweep / 2)));
  const isArc = grid.arcs && radius <= largestRadius * grid.steps;
  const centre = isArc ? centreOnGrid(from, to, sweep) : undefined;
  if (centre !== undefined) return [{ to, centre, clockwise: sweep < 0 }];
  return chords(at, end, sweep).map((p) => ({ to: onGrid(p, grid) }));
};

/** Left of the chord for a counter-clockwise turn. */
const centreOf = (a: GridPoint, b: GridPoint, sweep: number): GridPoint => {
  const away = 0.5 / Math.tan(sweep / 2);
  return { x: (a.x + b.x) / 2 - away * (b.y - a.y), y: (a.y + b.y) / 2 + away * (b.x - a.x) };
};

/**
 * Points along an arc of at most half a turn, its end included, so close that the chords stay near
 * it.
 */
const chords = (a: GridPoint, b: GridPoint, sweep: number): GridPoint[] => {
  const centre = centreOf(a, b, sweep);
  const radius = Math.hypot(a.x - centre.x, a.y - centre.y);
  const start = Math.atan2(a.y - centre.y, a.x - centre.x);
  const turn = 2 * Math.acos(Math.max(0, 1 - largestSagitta / radius));
  const parts = Math.ceil(Math.abs(sweep) / turn);
  return Array.from({ length: parts }, (_, k) => {
    if (k === parts - 1) return b;
    const angle = start + (sweep * (k + 1)) / parts;
    return { x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) };
  });
};

/**
 * The centre, from the start, whose words say the arc again best: both radii alike, since a control
 * refuses or bends an arc whose ends lie at different distances from its centre. Undefined where no
 * words do.
 */
const centreOnGrid = (from: GridPoint, to: GridPoint, sweep: number): GridPoint | undefined => {
  const ideal = centreOf(from, to, sweep);
  const i0 = Math.round(ideal.x - from.x);
  const j0 = Math.round(ideal.y - from.y);
  let best: GridPoint | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (let i = i0 - around; i <= i0 + around; i++) {
    for (let j = j0 - around; j <= j0 + around; j++) {
      const off = errorOf(from, to, sweep, { x: i, y: j });
      if (off >= least) continue;
      least = off;
      best = { x: i, y: j };
    }
  }
  return least <= allowed ? best : undefined;
};

/**
 * How far the middle of the arc that the words say lies from the one that is meant, and its radii
 * apart, in steps.
 */
const errorOf = (from: GridPoint, to: GridPoint, sweep: number, centre: GridPoint): number => {
  const bx = to.x - from.x - centre.x;
  const by = to.y - from.y - centre.y;
  const first = Math.hypot(centre.x, centre.y);
  const second = Math.hypot(bx, by);
  if (first === 0 || second === 0) return Number.POSITIVE_INFINITY;
  // The turn from the one radius to the other, in the sense of the arc.
  const turn = Math.atan2(centre.y * bx - centre.x * by, -centre.x * bx - centre.y * by);
  if (turn > 0 !== sweep > 0) return Number.POSITIVE_INFINITY;
  const radius = (first + second) / 2;
  const angle = Math.atan2(-centre.y, -centre.x) + turn / 2;
  const chordX = (to.x - from.x) / 2;
  const chordY = (to.y - from.y) / 2;
  // The middle of the arc lies to the right of its chord for a counter-clockwise turn.
  const rise = Math.tan(sweep / 4);
  const middleX = chordX + rise * chordY;
  const middleY = chordY - rise * chordX;
  const off = Math.hypot(
    centre.x + radius * Math.cos(angle) - middleX,
    centre.y + radius * Math.sin(angle) - middleY,
  );
  return off + Math.abs(first - second);
};
