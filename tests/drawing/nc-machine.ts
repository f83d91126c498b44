/** A control of its own: it does what the words of an NC file say, and complains where a real one would. */
import type { Arc, Line } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';

export interface Tool {
  readonly on: readonly string[];
  readonly off: readonly string[];
}

export interface Cut {
  readonly feed: number;
  /** Points along it. */
  readonly points: readonly Point[];
  /** The same as curves; an arc has the radius at its start. */
  readonly curves: readonly (Line | Arc)[];
}

export interface Evaluated {
  /** What was cut, from one time the tool was switched on to the time it was switched off. */
  readonly cuts: readonly Cut[];
  /** Largest difference between the radii at both ends of an arc, mm. */
  readonly radiiApart: number;
  readonly arcs: number;
  readonly longestLine: number;
  /** The way of the head with its tool off, mm. */
  readonly travel: number;
}

/** Points along an arc. */
const pointsOnArc = 24;

export const evaluate = (text: string, tool: Tool): Evaluated => {
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new Error('the last line does not end');
  let at: Point | undefined;
  let feed: number | undefined;
  let isOn = false;
  let cut: { feed: number; points: Point[]; curves: (Line | Arc)[] } | undefined;
  const cuts: Cut[] = [];
  const modes = new Set<string>();
  let radiiApart = 0;
  let arcs = 0;
  let travel = 0;
  for (let i = 0; i < lines.length; i++) {
    const line = lines[i]!;
    const follows = (what: readonly string[]) => what.every((one, k) => lines[i + k] === one);
    if (follows(tool.off)) {
      isOn = false;
      cut = undefined;
      i += tool.off.length - 1;
      continue;
    }
    if (follows(tool.on)) {
      isOn = true;
      i += tool.on.length - 1;
      continue;
    }
    if (/^\([ -'*-~]*\)$/.test(line)) continue;
    if (/^G(17|21|90)$/.test(line)) {
      modes.add(line);
      continue;
    }
    const move =
      /^G([0-3]) X(-?\d+\.\d+) Y(-?\d+\.\d+)(?: I(-?\d+\.\d+) J(-?\d+\.\d+))?(?: F(\d+\.\d+))?$/.exec(line);
    if (move === null) throw new Error(`what is this? ${line}`);
    if (modes.size !== 3) throw new Error('a move before millimetres, absolute coordinates and the xy plane');
    if (/(^| )[XYIJ]-0\.0+( |$)/.test(line)) throw new Error(`a minus before nothing: ${line}`);
    const [, g, x, y, ci, cj, f] = move;
    const to = { x: Number(x), y: Number(y) };
    if (f !== undefined) feed = Number(f);
    if ((ci !== undefined) !== (g === '2' || g === '3')) throw new Error(`a centre belongs to arcs: ${line}`);
    if (g === '0') {
      if (isOn) throw new Error('the head travels with its tool on');
      if (at) travel += Math.hypot(to.x - at.x, to.y - at.y);
      at = to;
      continue;
    }
    if (!isOn) throw new Error('a cut with the tool off');
    if (feed === undefined) throw new Error('a cut without a feed');
    if (at === undefined) throw new Error('a cut from nowhere');
    if (cut === undefined) {
      cut = { feed, points: [at], curves: [] };
      cuts.push(cut);
    }
    if (g === '1') {
      cut.points.push(to);
      cut.curves.push({ kind: 'line', from: at, to });
    } else {
      arcs += 1;
      const centre = { x: at.x + Number(ci), y: at.y + Number(cj) };
      const first = Math.hypot(at.x - centre.x, at.y - centre.y);
      const second = Math.hypot(to.x - centre.x, to.y - centre.y);
      radiiApart = Math.max(radiiApart, Math.abs(first - second));
      const start = Math.atan2(at.y - centre.y, at.x - centre.x);
      let sweep = Math.atan2(to.y - centre.y, to.x - centre.x) - start;
      // G3 counts angles up, G2 down; an arc that ends where it starts is a whole circle.
      if (g === '3') while (sweep <= 0) sweep += 2 * Math.PI;
      else while (sweep >= 0) sweep -= 2 * Math.PI;
      cut.curves.push({ kind: 'arc', centre, radius: first, start, sweep });
      for (let k = 1; k <= pointsOnArc; k++) {
        const angle = start + (sweep * k) / pointsOnArc;
        const radius = first + ((second - first) * k) / pointsOnArc;
        cut.points.push({ x: centre.x + radius * Math.cos(angle), y: centre.y + radius * Math.sin(angle) });
      }
    }
    at = to;
  }
  if (isOn) throw new Error('the tool is on at the end');
  return { cuts, radiiApart, arcs, travel, longestLine: Math.max(...lines.map((l) => l.length)) };
};

const distanceToLine = (p: Point, a: Point, b: Point): number => {
  const dx = b.x - a.x;
  const dy = b.y - a.y;
  const squares = dx * dx + dy * dy;
  const t = squares === 0 ? 0 : Math.max(0, Math.min(1, ((p.x - a.x) * dx + (p.y - a.y) * dy) / squares));
  return Math.hypot(p.x - a.x - t * dx, p.y - a.y - t * dy);
};

const onArc = (s: Arc, t: number): Point => ({
  x: s.centre.x + s.radius * Math.cos(s.start + t * s.sweep),
  y: s.centre.y + s.radius * Math.sin(s.start + t * s.sweep),
});

export const distanceTo = (p: Point, s: Line | Arc): number => {
  if (s.kind === 'line') return distanceToLine(p, s.from, s.to);
  const angle = Math.atan2(p.y - s.centre.y, p.x - s.centre.x);
  const turn = 2 * Math.PI;
  const along = (((s.sweep > 0 ? angle - s.start : s.start - angle) % turn) + turn) % turn;
  const ends = [onArc(s, 0), onArc(s, 1)].map((e) => Math.hypot(p.x - e.x, p.y - e.y));
  const beside = Math.abs(Math.hypot(p.x - s.centre.x, p.y - s.centre.y) - s.radius);
  return along <= Math.abs(s.sweep) ? beside : Math.min(...ends);
};

/** Largest distance between what was cut and what was to be cut, both ways round, mm. */
export const missOf = ({ points, curves }: Cut, path: readonly (Line | Arc)[]): number => {
  let miss = 0;
  for (const p of points) miss = Math.max(miss, Math.min(...path.map((s) => distanceTo(p, s))));
  for (const s of path) {
    for (let k = 0; k <= 16; k++) {
      const t = k / 16;
      const p =
        s.kind === 'arc'
          ? onArc(s, t)
          : { x: s.from.x + t * (s.to.x - s.from.x), y: s.from.y + t * (s.to.y - s.from.y) };
      miss = Math.max(miss, Math.min(...curves.map((c) => distanceTo(p, c))));
    }
  }
  return miss;
};
