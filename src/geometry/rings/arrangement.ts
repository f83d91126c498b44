/** Chains of spans cut where they meet one another, and linked again to rings. */
import Flatbush from 'flatbush';
import type { Point } from '../point.js';
import {
  distanceToSpan,
  type Ring,
  type Span,
  spanLength,
  spanPart,
  spanPoint,
  turnsLessThan,
  writeHoldingBox,
} from '../spans/span.js';
import { meetings } from '../spans/span-intersection.js';
import { sharpestLeft } from './around-node.js';

/** Spans end to end. `tag` travels with them: which opening they came from. */
export interface Chain {
  readonly spans: readonly Span[];
  readonly closed: boolean;
  readonly tag: number;
}

/** A run of spans that meets nothing between its ends. */
export interface Stretch {
  readonly spans: readonly Span[];
  readonly tag: number;
  /** Index of the chain it was cut from. */
  readonly chain: number;
  /** Nodes where it starts and ends; both -1 for a closed chain that meets nothing. */
  readonly from: number;
  readonly to: number;
}

/** Nodes within this distance (mm) are one node. */
export const nodeSize = 8e-7;
/** Up to this many blocks of spans every pair is looked at; above it an index finds the pairs. */
const bruteForce = 64;

interface Cut {
  readonly at: number;
  readonly point: Point;
}

/** Where spans are cut, in columns: a ring that meets itself everywhere has millions of these. */
class Cuts {
  private readonly spans: number[] = [];
  private readonly fractions: number[] = [];
  private readonly x: number[] = [];
  private readonly y: number[] = [];
  private starts = new Int32Array(0);
  private order = this.starts;

  note(span: number, at: number, x: number, y: number): void {
    this.spans.push(span);
    this.fractions.push(at);
    this.x.push(x);
    this.y.push(y);
  }

  /** Sorts them by their spans, of which there are so many; once, when all are noted. */
  finish(spans: number): void {
    this.starts = new Int32Array(spans + 1);
    for (const span of this.spans) this.starts[span + 1]!++;
    for (let i = 0; i < spans; i++) this.starts[i + 1]! += this.starts[i]!;
    const next = this.starts.slice();
    this.order = new Int32Array(this.spans.length);
    for (let k = 0; k < this.spans.length; k++) this.order[next[this.spans[k]!]!++] = k;
  }

  has(span: number): boolean {
    return this.starts[span + 1]! > this.starts[span]!;
  }

  /** Those of a span from its start on. */
  of(span: number): Cut[] {
    const own = Array.from(this.order.subarray(this.starts[span]!, this.starts[span + 1]!));
    return own
      .sort((i, j) => this.fractions[i]! - this.fractions[j]!)
      .map((k) => ({ at: this.fractions[k]!, point: { x: this.x[k]!, y: this.y[k]! } }));
  }
}

/** Cuts every chain wherever it meets itself or another. */
export const cutAtMeetings = (chains: readonly Chain[]): Stretch[] => {
  const spans: Span[] = [];
  const chainOf: number[] = [];
  const first: number[] = [];
  for (let c = 0; c < chains.length; c++) {
    first.push(spans.length);
    for (const s of chains[c]!.spans) {
      spans.push(s);
      chainOf.push(c);
    }
  }
  const cuts = new Cuts();
  forEachNearPair(spans, (i, j) => {
    const c = chainOf[i]!;
    const size = chains[c]!.spans.length;
    const sameChain = c === chainOf[j];
    const next =
      sameChain && (j === i + 1 || (chains[c]!.closed && size > 2 && i === first[c] && j === i + size - 1));
    const wraps = next && j !== i + 1;
    const pair = sameChain && chains[c]!.closed && size === 2;
    const p = spans[wraps ? j : i]!;
    const q = spans[wraps ? i : j]!;
    if ((next || pair) && turnsLessThan(p, q, smoothSine)) return;
    for (const m of meetings(p, q)) {
      if (next && m.s === 1 && m.t === 0) continue;
      if (pair && ((m.s === 1 && m.t === 0) || (m.s === 0 && m.t === 1))) continue;
      cuts.note(wraps ? j : i, m.s, m.x, m.y);
      cuts.note(wraps ? i : j, m.t, m.x, m.y);
    }
  });
  cuts.finish(spans.length);
  const nodes = new NodeFinder();
  const stretches: Stretch[] = [];
  for (let c = 0; c < chains.length; c++) cutChain(chains[c]!, c, first[c]!, cuts, nodes, stretches);
  return stretches;
};

/** Spans that meet at a smaller turn meet nowhere else. */
const smoothSine = 1e-5;

/** Room for boxes, used again by the next call: thousands of rings ask in turn. */
let buffer = new Float64Array(0);
const boxBuffer = (boxes: number): Float64Array => {
  if (buffer.length < 4 * boxes) buffer = new Float64Array(8 * boxes);
  return buffer;
};

/**
 * Calls `visit(i, j)` with i < j for every two spans whose boxes meet. Neighbours in a chain lie near one another, so
 * the boxes of eight in a row are compared first.
 */
const forEachNearPair = (spans: readonly Span[], visit: (i: number, j: number) => void): void => {
  const n = spans.length;
  const reach = 1e-6;
  const block = 8;
  const blocks = Math.ceil(n / block);
  // Of box i: minX, minY, maxX and maxY, from box[4 i] on.
  const box = boxBuffer(n + blocks);
  for (let i = 0; i < n; i++) {
    writeHoldingBox(spans[i]!, reach, box, 4 * i);
  }
  for (let b = 0; b < blocks; b++) {
    const end = Math.min(n, (b + 1) * block);
    let lowX = Number.POSITIVE_INFINITY;
    let lowY = Number.POSITIVE_INFINITY;
    let highX = Number.NEGATIVE_INFINITY;
    let highY = Number.NEGATIVE_INFINITY;
    for (let i = b * block; i < end; i++) {
      if (box[4 * i]! < lowX) lowX = box[4 * i]!;
      if (box[4 * i + 1]! < lowY) lowY = box[4 * i + 1]!;
      if (box[4 * i + 2]! > highX) highX = box[4 * i + 2]!;
      if (box[4 * i + 3]! > highY) highY = box[4 * i + 3]!;
    }
    const k = 4 * (n + b);
    box[k] = lowX;
    box[k + 1] = lowY;
    box[k + 2] = highX;
    box[k + 3] = highY;
  }
  const meet = (i: number, j: number): boolean =>
    box[4 * i]! <= box[4 * j + 2]! &&
    box[4 * j]! <= box[4 * i + 2]! &&
    box[4 * i + 1]! <= box[4 * j + 3]! &&
    box[4 * j + 1]! <= box[4 * i + 3]!;
  const visitBlocks = (a: number, b: number): void => {
    const endA = Math.min(n, (a + 1) * block);
    const endB = Math.min(n, (b + 1) * block);
    for (let i = a * block; i < endA; i++) {
      if (!meet(i, n + b)) continue;
      for (let j = Math.max(b * block, i + 1); j < endB; j++) if (meet(i, j)) visit(i, j);
    }
  };
  if (blocks <= bruteForce) {
    for (let a = 0; a < blocks; a++) {
      for (let b = a; b < blocks; b++) if (meet(n + a, n + b)) visitBlocks(a, b);
    }
    return;
  }
  const index = new Flatbush(blocks);
  for (let k = 4 * n; k < 4 * (n + blocks); k += 4) index.add(box[k]!, box[k + 1]!, box[k + 2]!, box[k + 3]!);
  index.finish();
  for (let a = 0; a < blocks; a++) {
    const k = 4 * (n + a);
    const hits = index.search(box[k]!, box[k + 1]!, box[k + 2]!, box[k + 3]!, (b) => b >= a);
    // The index returns its hits in an order of its own; sorted, the result does not depend on it.
    for (const b of hits.sort((s, t) => s - t)) visitBlocks(a, b);
  }
};

/** Gives near points one number. */
class NodeFinder {
  private readonly x: number[] = [];
  private readonly y: number[] = [];
  /** The first node of each cell; cells that share a key share a list. */
  private readonly first = new Map<number, number>();
  /** The node after each in its list, or -1. */
  private readonly next: number[] = [];

  at({ x, y }: Point): number {
    const lastColumn = cellOf(x + nodeSize);
    const lastRow = cellOf(y + nodeSize);
    for (let column = cellOf(x - nodeSize); column <= lastColumn; column++) {
      for (let row = cellOf(y - nodeSize); row <= lastRow; row++) {
        for (let id = this.first.get(keyOf(column, row)) ?? -1; id >= 0; id = this.next[id]!) {
          if (Math.abs(this.x[id]! - x) + Math.abs(this.y[id]! - y) < nodeSize) return id;
        }
      }
    }
    const id = this.x.length;
    this.x.push(x);
    this.y.push(y);
    this.next.push(-1);
    const key = keyOf(cellOf(x), cellOf(y));
    let last = this.first.get(key);
    if (last === undefined) this.first.set(key, id);
    else {
      while (this.next[last]! >= 0) last = this.next[last]!;
      this.next[last] = id;
    }
    return id;
  }
}

const cellOf = (x: number): number => Math.floor(x / (2 * nodeSize));

/** Small whole numbers, which a map finds fast; large odd factors keep neighbouring cells apart. */
const keyOf = (column: number, row: number): number =>
  (Math.imul(column | 0, 73856093) ^ Math.imul(row | 0, 19349663)) >> 2;

const cutChain = (
  chain: Chain,
  chainIndex: number,
  firstSpan: number,
  cuts: Cuts,
  nodes: NodeFinder,
  into: Stretch[],
): void => {
  let untouched = true;
  for (let k = 0; k < chain.spans.length && untouched; k++) untouched = !cuts.has(firstSpan + k);
  const tag = chain.tag;
  if (untouched && chain.closed) {
    into.push({ spans: chain.spans, tag, chain: chainIndex, from: -1, to: -1 });
    return;
  }
  // Walk the chain once; `run` collects spans since the last node.
  let run: Span[] = [];
  let from: number | undefined;
  const head: Span[] = [];
  const finish = (to: number): void => {
    if (from === undefined) head.push(...run);
    else if (run.length > 0) into.push({ spans: run, tag, chain: chainIndex, from, to });
    run = [];
    from = to;
  };
  const start = chain.spans[0]!;
  if (!chain.closed) from = nodes.at({ x: start.ax, y: start.ay });
  for (let k = 0; k < chain.spans.length; k++) {
    const span = chain.spans[k]!;
    if (!cuts.has(firstSpan + k)) {
      run.push(span);
      continue;
    }
    let at = 0;
    let here: Point | undefined;
    for (const cut of cuts.of(firstSpan + k)) {
      const node = nodes.at(cut.point);
      const end = cut.at === 1 ? undefined : cut.point;
      // A sliver from a node back to itself is swallowed by the node.
      const sliver = node === from && run.length === 0 && (cut.at - at) * spanLength(span) < 4 * nodeSize;
      if (!sliver) {
        if (cut.at > at) run.push(spanPart(span, at, cut.at, here, end));
        finish(node);
      }
      at = cut.at;
      here = cut.at === 0 ? undefined : end;
    }
    if (at < 1) run.push(spanPart(span, at, 1, here));
  }
  if (chain.closed) {
    run.push(...head);
    if (from !== undefined && run.length > 0) {
      const firstNode = nodes.at({ x: run[run.length - 1]!.bx, y: run[run.length - 1]!.by });
      into.push({ spans: run, tag, chain: chainIndex, from, to: firstNode });
    }
  } else {
    const end = chain.spans[chain.spans.length - 1]!;
    finish(nodes.at({ x: end.bx, y: end.by }));
  }
};

/** The middle of the longest span: the point of a stretch that stands for all of it. */
export const standIn = (spans: readonly Span[]): { readonly point: Point; readonly span: Span } => {
  let best = spans[0]!;
  let bestLength = -1;
  for (const s of spans) {
    const size = spanLength(s);
    if (size > bestLength) {
      best = s;
      bestLength = size;
    }
  }
  return { point: spanPoint(best, 0.5), span: best };
};

export interface LinkedRing {
  readonly ring: Ring;
  readonly tags: ReadonlySet<number>;
}

/**
 * Links stretches end to end into rings. Undefined when some node has not as many stretches leaving as arriving: the
 * choice of stretches was not a boundary. Where several leave a node the sharpest left turn is taken (around-node.ts), so
 * that two regions touching at a point stay two.
 */
export const linkStretches = (stretches: readonly Stretch[]): LinkedRing[] | undefined => {
  const kept = withoutOverlaps(stretches);
  const rings: LinkedRing[] = [];
  const leaving = new Map<number, Stretch[]>();
  const balance = new Map<number, number>();
  for (const s of kept) {
    if (s.from === -1) {
      rings.push({ ring: s.spans, tags: new Set([s.tag]) });
      continue;
    }
    if (s.from === s.to && stretchLength(s) < 4 * nodeSize) continue;
    const list = leaving.get(s.from);
    if (list === undefined) leaving.set(s.from, [s]);
    else list.push(s);
    balance.set(s.from, (balance.get(s.from) ?? 0) + 1);
    balance.set(s.to, (balance.get(s.to) ?? 0) - 1);
  }
  for (const b of balance.values()) if (b !== 0) return undefined;
  for (const start of leaving.keys()) {
    for (let list = leaving.get(start)!; list.length > 0; ) {
      const first = list.pop()!;
      const spans: Span[] = [...first.spans];
      const tags = new Set([first.tag]);
      let current = first;
      while (current.to !== first.from) {
        const options = leaving.get(current.to)!;
        const next = takeSharpestLeft(current, options);
        if (next === undefined) return undefined;
        spans.push(...next.spans);
        tags.add(next.tag);
        current = next;
      }
      rings.push({ ring: closeGaps(spans), tags });
    }
  }
  return rings;
};

/**
 * Of stretches that run along one another: two in opposite directions enclose nothing and both go; of two in the same
 * direction one stays.
 */
const withoutOverlaps = (stretches: readonly Stretch[]): readonly Stretch[] => {
  const byEnds = new Map<string, number[]>();
  const dropped = new Set<number>();
  stretches.forEach((s, i) => {
    if (s.from === -1) return;
    const key = `${Math.min(s.from, s.to)} ${Math.max(s.from, s.to)}`;
    const others = byEnds.get(key);
    if (others === undefined) {
      byEnds.set(key, [i]);
      return;
    }
    const { point } = standIn(s.spans);
    const twin = others.find(
      (j) =>
        !dropped.has(j) &&
        s.from !== s.to &&
        stretches[j]!.spans.some((span) => distanceToSpan(span, point.x, point.y) < nodeSize),
    );
    if (twin === undefined) others.push(i);
    else {
      dropped.add(i);
      if (stretches[twin]!.from === s.to) dropped.add(twin);
    }
  });
  return dropped.size === 0 ? stretches : stretches.filter((_, i) => !dropped.has(i));
};

const stretchLength = (s: Stretch): number => s.spans.reduce((sum, span) => sum + spanLength(span), 0);

const takeSharpestLeft = (arriving: Stretch, options: Stretch[]): Stretch | undefined => {
  if (options.length < 2) return options.pop();
  const best = sharpestLeft(
    arriving.spans,
    options.map((option) => option.spans),
  );
  return options.splice(best, 1)[0];
};

/** Makes each span start exactly where the one before ended; the gaps are below the node size. */
const closeGaps = (spans: readonly Span[]): Span[] => {
  const out: Span[] = [];
  let last = spans[spans.length - 1]!;
  for (const s of spans) {
    const next = s.ax === last.bx && s.ay === last.by ? s : s.startingAt(last.bx, last.by);
    out.push(next);
    last = next;
  }
  return out;
};
