/**
 * Curves fitted back: stretches that stand for a drawn curve become the fewest arcs that stay within the tolerance, with
 * the error spread evenly over them. Drawn lines and arcs, and sharp corners, stay exactly what they are.
 *
 * Bound: the distance between a stretch and its arc is not sampled. Along a line or an arc the distance from another
 * circle is largest at its ends or on the line of centres, and those points are looked at.
 */
import {
  arcSpan,
  directionInWedge,
  endDirection,
  lineSpan,
  type Ring,
  type Span,
  spanLength,
  spanPoint,
  startDirection,
} from '../geometry/span.js';

/** A turn (radians) from which two spans meet in a corner. */
export const cornerTurn = 0.02;
/** Between two facets of a flattened curve it takes more. */
export const facetTurn = 0.25;
/** An arc fitted back turns by no more than this, so that its ends fix it well. */
const largestTurn = 2.0;

/** The ring with its soft stretches (spans not `drawn`) fitted within `tolerance` mm. */
export const fitBack = (ring: Ring, tolerance: number): Ring => {
  const joined = joinEqualCarriers(ring);
  const n = joined.length;
  const breaks: number[] = [];
  for (let i = 0; i < n; i++) {
    const before = joined[(i + n - 1) % n]!;
    if (isBreak(before, joined[i]!)) breaks.push(i);
  }
  const out: Span[] = [];
  if (breaks.length === 0) breaks.push(sharpestSpan(joined));
  for (let b = 0; b < breaks.length; b++) {
    const from = breaks[b]!;
    const to = breaks[(b + 1) % breaks.length]!;
    const size = to > from ? to - from : to - from + n;
    const run: Span[] = [];
    for (let k = 0; k < size; k++) run.push(joined[(from + k) % n]!);
    if (run.length === 1) out.push(run[0]!);
    else for (const s of evenArcs(run, tolerance)) out.push(s);
  }
  return joinEqualCarriers(out);
};

const isBreak = (p: Span, q: Span): boolean =>
  p.drawn || q.drawn || turnBetween(p, q) > (p.radius === 0 && q.radius === 0 ? facetTurn : cornerTurn);

const turnBetween = (p: Span, q: Span): number => {
  const d = endDirection(p);
  const e = startDirection(q);
  return Math.abs(Math.atan2(d.x * e.y - d.y * e.x, d.x * e.x + d.y * e.y));
};

const sharpestSpan = (ring: Ring): number => {
  let best = 0;
  for (let i = 1; i < ring.length; i++) {
    const radius = ring[i]!.radius || Number.POSITIVE_INFINITY;
    if (radius < (ring[best]!.radius || Number.POSITIVE_INFINITY) * (1 - 1e-9)) best = i;
  }
  return best;
};

/** Neighbouring drawn lines on one carrier become one line, arcs of one circle one arc. */
const joinEqualCarriers = (ring: Ring): Span[] => {
  const out: Span[] = [];
  for (const s of ring) {
    const last = out[out.length - 1];
    const both = last === undefined ? undefined : joinTwo(last, s);
    if (both === undefined) out.push(s);
    else out[out.length - 1] = both;
  }
  while (out.length > 2) {
    const both = joinTwo(out[out.length - 1]!, out[0]!);
    if (both === undefined) break;
    out.pop();
    out[0] = both;
  }
  return out;
};

const joinTwo = (p: Span, q: Span): Span | undefined => {
  if (p.radius === 0 && q.radius === 0) {
    const d = endDirection(p);
    const e = startDirection(q);
    const turn = Math.abs(d.x * e.y - d.y * e.x);
    if (d.x * e.x + d.y * e.y < 0 || turn * Math.min(spanLength(p), spanLength(q)) > 1e-7) return undefined;
    return lineSpan(p.ax, p.ay, q.bx, q.by, p.drawn || q.drawn);
  }
  if (p.radius === 0 || q.radius === 0 || p.drawn !== q.drawn || p.sweep > 0 !== q.sweep > 0)
    return undefined;
  if (Math.abs(p.radius - q.radius) > 1e-7 || Math.hypot(p.cx - q.cx, p.cy - q.cy) > 1e-7) return undefined;
  const sweep = p.sweep + q.sweep;
  if (Math.abs(sweep) > largestTurn) return undefined;
  return { ...p, bx: q.bx, by: q.by, sweep };
};

/** The fewest arcs for a run, found greedily; then the smallest error that still needs no more of them. */
const evenArcs = (run: readonly Span[], tolerance: number): Span[] => {
  let best = longestArcs(run, tolerance);
  let low = 0;
  let high = 1;
  for (let step = 0; step < 4; step++) {
    const middle = (low + high) / 2;
    const tighter = longestArcs(run, tolerance * middle, best.length);
    if (tighter !== undefined && tighter.length <= best.length) {
      best = tighter;
      high = middle;
    } else low = middle;
  }
  return best;
};

function longestArcs(run: readonly Span[], tolerance: number): Span[];
function longestArcs(run: readonly Span[], tolerance: number, atMost: number): Span[] | undefined;
function longestArcs(run: readonly Span[], tolerance: number, atMost = run.length): Span[] | undefined {
  const out: Span[] = [];
  const n = run.length;
  let i = 0;
  while (i < n) {
    if (out.length === atMost) return undefined;
    let good = 1;
    let fit = run[i]!;
    // Double the length while it fits, then halve the interval.
    let bad = n - i + 1;
    for (let size = 2; size < bad; ) {
      const candidate = arcOver(run, i, i + size, tolerance);
      if (candidate === undefined) bad = size;
      else {
        good = size;
        fit = candidate;
        size = Math.min(size * 2, bad === n - i + 1 ? Math.max(n - i, size + 1) : bad);
      }
      if (candidate !== undefined && good === n - i) break;
    }
    while (bad - good > 1) {
      const size = (good + bad) >> 1;
      const candidate = arcOver(run, i, i + size, tolerance);
      if (candidate === undefined) bad = size;
      else {
        good = size;
        fit = candidate;
      }
    }
    out.push(fit);
    i += good;
  }
  return out;
}

/** The arc (or line) over run[from..to) whose largest deviations on both sides are equal; undefined if too far off. */
const arcOver = (run: readonly Span[], from: number, to: number, tolerance: number): Span | undefined => {
  const first = run[from]!;
  const last = run[to - 1]!;
  const chord = Math.hypot(last.bx - first.ax, last.by - first.ay);
  if (chord < 1e-6) return undefined;
  let turn = 0;
  let total = 0;
  for (let k = from; k < to; k++) {
    turn += run[k]!.sweep;
    total += spanLength(run[k]!);
  }
  if (Math.abs(turn) > largestTurn || total > 2 * chord) return undefined;
  // Start from the height over the chord at the middle of the run.
  let rest = total / 2;
  let k = from;
  while (k < to - 1 && rest > spanLength(run[k]!)) rest -= spanLength(run[k++]!);
  const middle = spanPoint(run[k]!, rest / spanLength(run[k]!));
  let height =
    ((middle.x - first.ax) * (last.by - first.ay) - (middle.y - first.ay) * (last.bx - first.ax)) / chord;
  for (let pass = 0; pass < 3; pass++) {
    const sweep = 4 * Math.atan((2 * height) / chord);
    if (Math.abs(sweep) > largestTurn) return undefined;
    const arc = arcSpan(first.ax, first.ay, last.bx, last.by, Math.abs(height) < 1e-8 ? 0 : sweep, false);
    const [low, high] = deviations(arc, run, from, to);
    if (high - low > 2.2 * tolerance) return undefined;
    if (Math.max(high, -low) <= tolerance && (pass > 0 || high + low === 0)) return arc;
    height += (high + low) / 2;
  }
  return undefined;
};

/** Smallest and largest distance of the spans from the arc, positive to the right of its chord. */
const deviations = (arc: Span, run: readonly Span[], from: number, to: number): [number, number] => {
  let low = 0;
  let high = 0;
  const off = arc.radius === 0 ? offLine(arc) : offCircle(arc);
  const see = (x: number, y: number): void => {
    const d = off(x, y);
    if (d < low) low = d;
    if (d > high) high = d;
  };
  for (let k = from; k < to; k++) {
    const s = run[k]!;
    if (k > from) see(s.ax, s.ay);
    if (s.radius !== 0) {
      // Farthest and nearest points lie on the line of centres, or square to the chord when the arc is a line.
      let ux = s.cx - arc.cx;
      let uy = s.cy - arc.cy;
      if (arc.radius === 0) {
        ux = arc.by - arc.ay;
        uy = arc.ax - arc.bx;
      }
      const size = Math.hypot(ux, uy);
      if (size < 1e-12) continue;
      ux *= s.radius / size;
      uy *= s.radius / size;
      if (directionInWedge(s, ux, uy)) see(s.cx + ux, s.cy + uy);
      if (directionInWedge(s, -ux, -uy)) see(s.cx - ux, s.cy - uy);
    } else if (arc.radius !== 0) {
      const dx = s.bx - s.ax;
      const dy = s.by - s.ay;
      const t = ((arc.cx - s.ax) * dx + (arc.cy - s.ay) * dy) / (dx * dx + dy * dy);
      if (t > 0 && t < 1) see(s.ax + t * dx, s.ay + t * dy);
    }
  }
  return [low, high];
};

const offLine = (line: Span): ((x: number, y: number) => number) => {
  const d = startDirection(line);
  return (x, y) => (x - line.ax) * d.y - (y - line.ay) * d.x;
};

const offCircle = (arc: Span): ((x: number, y: number) => number) => {
  const sign = arc.sweep > 0 ? 1 : -1;
  return (x, y) => sign * (Math.sqrt((x - arc.cx) * (x - arc.cx) + (y - arc.cy) * (y - arc.cy)) - arc.radius);
};
