/** Pieces as the edges of a network, and the closed ways in it that leave no choice. */
import { blocksOf, incidence, loneRings, onWaysRound } from './blocks.js';
import { type Copies, facesOf } from './faces.js';
import type { Part } from './piece.js';

/** Parts end to end, from place to place. */
export interface Run {
  readonly parts: readonly Part[];
  readonly from: number;
  readonly to: number;
}

export interface Solved {
  /** Each the only closed way that any of its lines lies on. */
  readonly outlines: readonly (readonly Part[])[];
  /** Everything else, joined to longer runs where two of them and nothing else meet. */
  readonly rest: readonly Run[];
  /** Places where three or more lines meet that lie on several closed ways. */
  readonly knots: readonly number[];
}

/**
 * A line that lies on exactly one closed way belongs to that outline: in the terms of graphs, a block that is a ring. Lines
 * on no closed way (tails, open chains) stay open. Where a line lies on several closed ways (an edge shared by two outlines
 * and drawn once, say) nothing says which is meant: its whole block stays open, and its junctions are named.
 *
 * Where lines are drawn as often as outlines need them, though, each outline gets its own: see `facesOf`.
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
  const outlines: (readonly Part[])[] = [];
  const knots: number[] = [];
  const take = (edges: readonly number[], parts: readonly Part[]): void => {
    if (!encloses(parts)) return;
    for (const e of edges) used[e] = 1;
    outlines.push(parts);
  };
  for (let e = 0; e < runs.length; e += 1) if (from[e] === to[e]) take([e], runs[e]!.parts);
  const seats: number[][] = [];
  const takeBlock = (block: readonly number[]): void => {
    if (block.length < 2) return;
    const nodes = seat(block, from, to, seats);
    if (nodes.length === block.length) take(block, ringOf(block, runs, from, to, seats));
    else {
      const faces = facesOf(
        block.map((e) => runs[e]!),
        copies,
      );
      if (faces === undefined) {
        for (const node of nodes) if (seats[node]!.length > 2) knots.push(places[node]!);
      } else {
        for (const e of block) used[e] = 1;
        outlines.push(...faces);
      }
    }
    for (const node of nodes) seats[node]!.length = 0;
  };
  for (const block of blocksInOrder(places.length, from, to)) takeBlock(block);
  return { outlines, rest: joinedRuns(runs, from, to, places, used), knots };
};

/** Every block, network by network; only networks that are more than a ring are searched for them. */
function* blocksInOrder(nodes: number, from: Int32Array, to: Int32Array): Generator<readonly number[]> {
  const rings = loneRings(nodes, from, to);
  const isTaken = new Uint8Array(from.length);
  for (const { edges } of rings) for (const e of edges) isTaken[e] = 1;
  const others = onWaysRound(nodes, from, to).filter((e) => isTaken[e] === 0);
  const roots: number[] = [];
  const blocks =
    others.length === 0
      ? []
      : blocksOf(
          nodes,
          others.map((e) => from[e]!),
          others.map((e) => to[e]!),
          roots,
        );
  let next = 0;
  for (const [i, block] of blocks.entries()) {
    for (; next < rings.length && rings[next]!.root < roots[i]!; next += 1) yield rings[next]!.edges;
    yield block.map((e) => others[e]!);
  }
  for (; next < rings.length; next += 1) yield rings[next]!.edges;
}

/** Enters the edges of a block at each of its nodes. */
const seat = (block: readonly number[], from: Int32Array, to: Int32Array, seats: number[][]): number[] => {
  const nodes: number[] = [];
  for (const e of block) {
    for (const node of [from[e]!, to[e]!]) {
      const edges = seats[node];
      if (edges === undefined || edges.length === 0) {
        nodes.push(node);
        seats[node] = [e];
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
  seats: readonly (readonly number[])[],
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
    const [one, other] = seats[node]!;
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
