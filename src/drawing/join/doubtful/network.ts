/** Pieces as the edges of a network, and the closed ways in it that leave no choice. */

import { blocksOf, incidence, onWaysRound, type SeparateRings, separateRings } from './blocks.js';
import { type Copies, facesOf } from './faces.js';
import type { Part, Run } from './piece.js';

/** Parts end to end that close: of very many outlines they are made when they are asked for. */
export type Outline = Pick<Run, 'parts'>;

export interface Solved {
  /** Each the only closed way that any of its lines lies on. */
  readonly outlines: readonly Outline[];
  /** Everything else, joined to longer runs where two of them and nothing else meet. */
  readonly rest: readonly Run[];
  /** Places where three or more lines meet that lie on several closed ways. */
  readonly knots: readonly number[];
}

/**
 * A line that lies on exactly one closed way belongs to that outline: in the terms of graphs, a
 * block that is a ring. Lines on no closed way (tails, open chains) stay open. Where a line lies on
 * several closed ways (an edge shared by two outlines and drawn once, say) nothing says which is
 * meant: its whole block stays open, and its junctions are named.
 *
 * Where lines are drawn as often as outlines need them, though, each outline gets its own: see
 * `facesOf`.
 *
 * @param copies further copies of pieces, drawn over them
 * @param encloses whether parts end to end go round something, rather than to and fro on one line
 */
export const solve = (
  runs: readonly Run[],
  copies: Copies,
  encloses: (parts: readonly Part[]) => boolean,
): Solved => {
  let most = 0;
  for (const { from, to } of runs) most = Math.max(most, from, to);
  const numbers = new Int32Array(most + 1).fill(-1);
  const places: number[] = [];
  const numberOf = (place: number): number => {
    if (numbers[place]! < 0) {
      numbers[place] = places.length;
      places.push(place);
    }
    return numbers[place]!;
  };
  const from = Int32Array.from(runs, (run) => numberOf(run.from));
  const to = Int32Array.from(runs, (run) => numberOf(run.to));
  const used = new Uint8Array(runs.length);
  const outlines: Outline[] = [];
  const knots: number[] = [];
  const take = (edges: Iterable<number>, outline: Outline): void => {
    if (!encloses(outline.parts)) return;
    for (const e of edges) used[e] = 1;
    outlines.push(outline);
  };
  for (let e = 0; e < runs.length; e += 1) if (from[e] === to[e]) take([e], runs[e]!);
  const edgesAt: number[][] = [];
  const takeBlock = (block: readonly number[]): void => {
    if (block.length < 2) return;
    const nodes = enterEdges(block, from, to, edgesAt);
    if (nodes.length === block.length) take(block, { parts: ringOf(block, runs, from, to, edgesAt) });
    else {
      const faces = facesOf(
        block.map((e) => runs[e]!),
        copies,
      );
      if (faces === undefined) {
        for (const node of nodes) if (edgesAt[node]!.length > 2) knots.push(places[node]!);
      } else {
        for (const e of block) used[e] = 1;
        for (const parts of faces) outlines.push({ parts });
      }
    }
    for (const node of nodes) edgesAt[node]!.length = 0;
  };
  const rings = separateRings(places.length, from, to);
  const takeRing = (k: number): void => {
    take(
      rings.edges.subarray(rings.starts[k]!, rings.starts[k + 1]!),
      new SeparateRing(runs, from, to, rings, k),
    );
  };
  let next = 0;
  for (const { block, root } of otherBlocks(places.length, from, to, rings)) {
    for (; next < rings.count && rings.roots[next]! < root; next += 1) takeRing(next);
    takeBlock(block);
  }
  for (; next < rings.count; next += 1) takeRing(next);
  return { outlines, rest: joinedRuns(runs, from, to, places, used), knots };
};

/**
 * The blocks of networks that are more than a ring, network by network, each with the first node of
 * its network.
 */
function* otherBlocks(
  nodes: number,
  from: Int32Array,
  to: Int32Array,
  rings: SeparateRings,
): Generator<{ readonly block: readonly number[]; readonly root: number }> {
  const isTaken = new Uint8Array(from.length);
  for (let k = 0; k < rings.starts[rings.count]!; k += 1) isTaken[rings.edges[k]!] = 1;
  const others = onWaysRound(nodes, from, to).filter((e) => isTaken[e] === 0);
  if (others.length === 0) return;
  const roots: number[] = [];
  const blocks = blocksOf(
    nodes,
    others.map((e) => from[e]!),
    others.map((e) => to[e]!),
    roots,
  );
  for (const [i, block] of blocks.entries()) {
    yield { block: block.map((e) => others[e]!), root: roots[i]! };
  }
}

/** A ring of runs, from its first line in the way that is drawn. */
class SeparateRing implements Outline {
  constructor(
    private readonly runs: readonly Run[],
    private readonly from: Int32Array,
    private readonly to: Int32Array,
    private readonly rings: SeparateRings,
    private readonly number: number,
  ) {}

  get parts(): readonly Part[] {
    const { runs, from, to } = this;
    const { edges, starts } = this.rings;
    const start = starts[this.number]!;
    const size = starts[this.number + 1]! - start;
    let first = 0;
    for (let k = 1; k < size; k += 1) if (this.orderAt(start + k) < this.orderAt(start + first)) first = k;
    const edge = edges[start + first]!;
    const after = edges[start + ((first + 1) % size)]!;
    const step = from[after] === to[edge] || to[after] === to[edge] ? 1 : size - 1;
    const parts: Part[] = [];
    let node = from[edge]!;
    for (let k = 0, at = first; k < size; k += 1, at = (at + step) % size) {
      const next = edges[start + at]!;
      const forward = from[next] === node;
      append(parts, runs[next]!, forward);
      node = forward ? to[next]! : from[next]!;
    }
    return parts;
  }

  private orderAt(place: number): number {
    return this.runs[this.rings.edges[place]!]!.parts[0]!.piece.order;
  }
}

/** Enters the edges of a block at each of its nodes. */
const enterEdges = (
  block: readonly number[],
  from: Int32Array,
  to: Int32Array,
  edgesAt: number[][],
): number[] => {
  const nodes: number[] = [];
  for (const e of block) {
    for (const node of [from[e]!, to[e]!]) {
      const edges = edgesAt[node];
      if (edges === undefined || edges.length === 0) {
        nodes.push(node);
        edgesAt[node] = [e];
      } else edges.push(e);
    }
  }
  return nodes;
};

/** The edges of a ring, in order, from its first line in the way that is drawn. */
const ringOf = (
  block: readonly number[],
  runs: readonly Run[],
  from: Int32Array,
  to: Int32Array,
  edgesAt: readonly (readonly number[])[],
): Part[] => {
  let first = block[0]!;
  for (const e of block) if (runs[e]!.parts[0]!.piece.order < runs[first]!.parts[0]!.piece.order) first = e;
  const parts: Part[] = [];
  let edge = first;
  let node = from[first]!;
  do {
    const forward = from[edge] === node;
    append(parts, runs[edge]!, forward);
    node = forward ? to[edge]! : from[edge]!;
    const [one, other] = edgesAt[node]!;
    edge = one === edge ? other! : one!;
  } while (edge !== first);
  return parts;
};

const append = (parts: Part[], run: Run, forward: boolean): void => {
  if (forward) for (const part of run.parts) parts.push(part);
  else for (const part of turnedRound(run.parts)) parts.push(part);
};

const turnedRound = (parts: readonly Part[]): Part[] =>
  [...parts].reverse().map(({ piece, backward }) => ({ piece, backward: !backward }));

/** Runs that are not used, joined where two of them meet and no third line does. */
const joinedRuns = (
  runs: readonly Run[],
  from: Int32Array,
  to: Int32Array,
  places: readonly number[],
  used: Uint8Array,
): Run[] => {
  const { first, incident } = incidence(places.length, from, to);
  const loops = new Uint8Array(places.length);
  for (let e = 0; e < runs.length; e += 1) if (from[e] === to[e]) loops[from[e]!] = 1;
  const next = (edge: number, node: number): number | undefined => {
    if (first[node + 1]! - first[node]! !== 2 || loops[node] === 1) return undefined;
    const [one, other] = [incident[first[node]!]!, incident[first[node]! + 1]!];
    const following = one === edge ? other : one;
    return used[following] === 1 ? undefined : following;
  };
  const joined: Run[] = [];
  const seen = used.slice();
  for (let e = 0; e < runs.length; e += 1) {
    if (seen[e] === 1) continue;
    seen[e] = 1;
    if (next(e, to[e]!) === undefined && next(e, from[e]!) === undefined) {
      joined.push(runs[e]!);
      continue;
    }
    const walk = (start: number): { edges: { edge: number; forward: boolean }[]; end: number } => {
      const edges: { edge: number; forward: boolean }[] = [];
      let edge = e;
      let node = start;
      for (;;) {
        const following = next(edge, node);
        if (following === undefined || seen[following] === 1) return { edges, end: node };
        seen[following] = 1;
        const forward = from[following] === node;
        edges.push({ edge: following, forward });
        node = forward ? to[following]! : from[following]!;
        edge = following;
      }
    };
    const ahead = walk(to[e]!);
    const behind = from[e] === to[e] ? { edges: [], end: from[e]! } : walk(from[e]!);
    const parts: Part[] = [];
    for (const { edge, forward } of behind.edges.reverse()) append(parts, runs[edge]!, !forward);
    append(parts, runs[e]!, true);
    for (const { edge, forward } of ahead.edges) append(parts, runs[edge]!, forward);
    joined.push(inDrawnOrder({ parts, from: places[behind.end]!, to: places[ahead.end]! }));
  }
  return joined;
};

/** Its earliest line runs as it was drawn. */
const inDrawnOrder = (run: Run): Run => {
  let first = run.parts[0]!;
  for (const part of run.parts) if (part.piece.order < first.piece.order) first = part;
  return first.backward ? { parts: turnedRound(run.parts), from: run.to, to: run.from } : run;
};
