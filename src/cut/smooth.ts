/**
 * Curves fitted back: stretches that stand for a drawn curve become the fewest arcs that stay within the tolerance, with
 * the error spread evenly over them. Drawn lines and arcs, and sharp corners, stay exactly what they are.
 */
import { endDirection, lineSpan, type Ring, Span, spanLength, startDirection } from '../geometry/span.js';
import { largestTurn, SoftRun } from './soft-run.js';

/** A turn (radians) from which two spans meet in a corner. */
export const cornerTurn = 0.02;
/** Between two facets of a flattened curve it takes more. */
export const facetTurn = 0.25;
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
  p.drawn || q.drawn || turnsMore(p, q, p.radius === 0 && q.radius === 0 ? facetTurn : cornerTurn);

/** Whether the direction changes by more than `turn` radians (below a quarter) from p to q. */
const turnsMore = (p: Span, q: Span, turn: number): boolean => {
  const d = endDirection(p);
  const e = startDirection(q);
  return d.x * e.x + d.y * e.y < 0 || Math.abs(d.x * e.y - d.y * e.x) > Math.sin(turn);
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
  return new Span(p.ax, p.ay, q.bx, q.by, p.radius, p.cx, p.cy, sweep, p.drawn);
};

const run = new SoftRun();

/** The fewest arcs for a run; then, with no more of them, a smaller error spread over all. */
const evenArcs = (spans: readonly Span[], tolerance: number): readonly Span[] => {
  run.load(spans);
  let best = run.longestArcs(tolerance, spans.length)!;
  // The error of an arc grows with the cube of its length; the last one of the greedy choice is what is left over.
  const share = best.sizes[best.sizes.length - 1]! / Math.max(...best.sizes);
  const least = ((best.arcs.length - 1 + share) / best.arcs.length) ** 3;
  for (const part of [least * 1.05, least + (1 - least) * 0.4]) {
    const tighter = part < 0.95 ? run.longestArcs(tolerance * part, best.arcs.length) : undefined;
    if (tighter !== undefined) {
      best = tighter;
      break;
    }
  }
  return best.arcs;
};
