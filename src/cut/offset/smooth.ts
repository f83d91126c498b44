/**
 * Curves fitted back: stretches that stand for a drawn curve become the fewest arcs that stay within the tolerance, with
 * the error spread evenly over them. Drawn lines and arcs, and sharp corners, stay exactly what they are.
 */

import {
  cosineOfTurn,
  lineSpan,
  type Origin,
  origins,
  type Ring,
  type Span,
  sineOfTurn,
  spanLength,
  spanOf,
  turnsLessThan,
} from '../../geometry/spans/span.js';
import { cubed } from '../../numeric/powers.js';
import { withoutShortSpans } from './short-spans.js';
import { largestTurn, SoftRun } from './soft-run.js';

/** A turn (radians) from which two spans meet in a corner. */
export const cornerTurn = 0.02;
/** Between two facets of a flattened curve it takes more. */
export const facetTurn = 0.25;

/**
 * The ring with its soft stretches (spans not drawn as they are) fitted within `tolerance` mm; those without a drawn
 * curve in them within `exactTolerance`.
 */
export const fitBack = (ring: Ring, tolerance: number, exactTolerance: number): Ring => {
  const joined = withTipsTakenUp(joinEqualCarriers(ring), exactTolerance);
  const n = joined.length;
  const breaks = breaksOf(joined, tolerance);
  const out: Span[] = [];
  /** Whether each of them starts where the ring does not bend away from what it stands for: at a break. */
  const exactly: boolean[] = [];
  if (breaks.length === 0) breaks.push(sharpestSpan(joined));
  for (let b = 0; b < breaks.length; b++) {
    const from = breaks[b]!;
    const to = breaks[(b + 1) % breaks.length]!;
    const size = to > from ? to - from : to - from + n;
    const first = out.length;
    const run: Span[] = [];
    for (let k = 0; k < size; k++) run.push(joined[(from + k) % n]!);
    if (run.length === 1) out.push(run[0]!);
    else {
      const exact = run.every((s) => s.origin !== origins.curve);
      for (const s of evenArcs(run, exact ? exactTolerance : tolerance)) out.push(s);
    }
    for (let k = exactly.length; k < out.length; k++) exactly.push(k === first);
  }
  const shorter = withoutShortSpans(out, exactly, {
    shortest: exactTolerance * 1.04,
    atBreaks: tolerance,
    elsewhere: exactTolerance * 0.03,
  });
  return joinEqualCarriers(shorter);
};

const isBreak = (p: Span, q: Span): boolean =>
  p.origin === origins.drawn || q.origin === origins.drawn || isCorner(p, q);

/**
 * Indices of the spans before which the ring may not be fitted across. Of corners within the tolerance along the ring only the
 * sharpest one counts: what lies between them is no edge that could be told from a point.
 */
const breaksOf = (ring: readonly Span[], tolerance: number): number[] => {
  const n = ring.length;
  const breaks: number[] = [];
  /** Of the last break: its cosine, if it is a corner of what may be fitted; and how far along the ring its first corner lies. */
  let cosine: number | undefined;
  let start = 0;
  let travelled = 0;
  for (let i = 0; i < n; i++) {
    const before = ring[(i + n - 1) % n]!;
    const span = ring[i]!;
    if (isBreak(before, span)) {
      const isFixed = before.origin === origins.drawn || span.origin === origins.drawn;
      const own = isFixed ? undefined : cosineOfTurn(before, span);
      const isNear = own !== undefined && cosine !== undefined && travelled - start < tolerance;
      if (!isNear) {
        breaks.push(i);
        start = travelled;
        cosine = own;
      } else if (own < cosine!) {
        breaks[breaks.length - 1] = i;
        cosine = own;
      }
    }
    travelled += spanLength(span);
  }
  return breaks;
};

const isCorner = (p: Span, q: Span): boolean => {
  const facets = p.radius === 0 && q.radius === 0 && p.origin === origins.curve && q.origin === origins.curve;
  return turnsMore(p, q, facets ? facetTurn : cornerTurn);
};

/**
 * A drawn arc and the short tangents that carry it on to mitred tips become one arc, where one stays within the
 * tolerance of all of them.
 */
const withTipsTakenUp = (ring: Span[], tolerance: number): Span[] => {
  if (!ring.some((s) => s.origin === origins.tip)) return ring;
  // Started at a tip's end, no arc has its tips at both ends of the list.
  const start = ring.findIndex((s, i) => s.origin === origins.tip && isCorner(ring.at(i - 1)!, s));
  const turned = start > 0 ? [...ring.slice(start), ...ring.slice(0, start)] : ring;
  const out: Span[] = [];
  for (let i = 0; i < turned.length; ) {
    const taken = arcWithTips(turned, i, tolerance);
    out.push(taken?.arc ?? turned[i]!);
    i += taken?.size ?? 1;
  }
  return out;
};

/** The arc over a drawn one with the tips before and after it, from ring[i] on; the longer the better. */
const arcWithTips = (
  ring: readonly Span[],
  i: number,
  tolerance: number,
): { arc: Span; size: number } | undefined => {
  const isDrawnArc = (s: Span | undefined): boolean => s?.origin === origins.drawn && s.radius > 0;
  const tipBefore = ring[i]!.origin === origins.tip;
  const last = ring[i + (tipBefore ? 1 : 0)];
  if (!isDrawnArc(last) || (tipBefore && isCorner(ring[i]!, last!))) return undefined;
  const shortest = tipBefore ? 2 : 1;
  const after = ring[i + shortest];
  const tipAfter = after?.origin === origins.tip && !isCorner(last!, after);
  for (const size of tipAfter ? [shortest + 1, shortest] : [shortest]) {
    if (size === 1) continue;
    run.load(ring.slice(i, i + size));
    const whole = run.longestArcs(tolerance, 1);
    if (whole !== undefined) return { arc: whole.arcs[0]!.withOrigin(origins.drawn), size };
  }
  return undefined;
};

/** Whether the direction changes by more than `turn` radians (below a quarter) from p to q. */
const turnsMore = (p: Span, q: Span, turn: number): boolean => !turnsLessThan(p, q, Math.sin(turn));

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
    const turn = Math.abs(sineOfTurn(p, q));
    if (cosineOfTurn(p, q) < 0 || turn * Math.min(spanLength(p), spanLength(q)) > 1e-7) return undefined;
    return lineSpan(p.ax, p.ay, q.bx, q.by, moreFixed(p.origin, q.origin));
  }
  if (p.radius === 0 || q.radius === 0 || p.origin !== q.origin || p.sweep > 0 !== q.sweep > 0)
    return undefined;
  if (Math.abs(p.radius - q.radius) > 1e-7 || Math.hypot(p.cx - q.cx, p.cy - q.cy) > 1e-7) return undefined;
  const sweep = p.sweep + q.sweep;
  if (Math.abs(sweep) > largestTurn) return undefined;
  return spanOf(p.ax, p.ay, q.bx, q.by, p.radius, p.cx, p.cy, sweep, p.origin);
};

const moreFixed = (p: Origin, q: Origin): Origin =>
  p === origins.drawn || q === origins.drawn ? origins.drawn : p === origins.tip ? p : q;

const run = new SoftRun();

/** The fewest arcs for a run; then, with no more of them, a smaller error spread over all. */
const evenArcs = (spans: readonly Span[], tolerance: number): readonly Span[] => {
  run.load(spans);
  let best = run.longestArcs(tolerance, spans.length)!;
  // The error of an arc grows with the cube of its length; the last one of the greedy choice is what is left over.
  const share = best.sizes[best.sizes.length - 1]! / Math.max(...best.sizes);
  const least = cubed((best.arcs.length - 1 + share) / best.arcs.length);
  for (const part of [least * 1.05, least + (1 - least) * 0.4]) {
    const tighter = part < 0.95 ? run.longestArcs(tolerance * part, best.arcs.length) : undefined;
    if (tighter !== undefined) {
      best = tighter;
      break;
    }
  }
  return best.arcs;
};
