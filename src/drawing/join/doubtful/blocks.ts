/** Which lines of a network can lie on a closed way together. */

/**
 * The blocks (biconnected components) of a graph with parallel edges; edges from a node to itself
 * are left out. Two edges lie in the same block exactly when some closed way without repetition
 * runs through both. An edge by itself is a block that lies on no closed way. (Hopcroft & Tarjan,
 * Communications of the ACM 16(6), 1973; here without recursion.)
 *
 * @param from, to the nodes of each edge, counted from 0 to `nodes` - 1
 * @param roots gets for each block the first node of its network
 * @returns the edges of each block
 */
export const blocksOf = (
  nodes: number,
  from: Int32Array,
  to: Int32Array,
  roots: number[] = [],
): number[][] => {
  const { first, incident } = incidence(nodes, from, to);
  const found = new Int32Array(nodes);
  const low = new Int32Array(nodes);
  const cursor = first.slice(0, nodes);
  const entered = new Int32Array(nodes).fill(-1);
  const blocks: number[][] = [];
  const edges: number[] = [];
  let time = 0;
  for (let root = 0; root < nodes; root += 1) {
    if (found[root] !== 0) continue;
    time += 1;
    found[root] = low[root] = time;
    const stack = [root];
    while (stack.length > 0) {
      const node = stack[stack.length - 1]!;
      if (cursor[node]! < first[node + 1]!) {
        const edge = incident[cursor[node]!]!;
        cursor[node]! += 1;
        if (edge === entered[node]) continue;
        const other = from[edge] === node ? to[edge]! : from[edge]!;
        if (found[other] === 0) {
          edges.push(edge);
          time += 1;
          found[other] = low[other] = time;
          entered[other] = edge;
          stack.push(other);
        } else if (found[other]! < found[node]!) {
          edges.push(edge);
          low[node] = Math.min(low[node]!, found[other]!);
        }
        continue;
      }
      stack.pop();
      const parent = stack[stack.length - 1];
      if (parent === undefined) continue;
      low[parent] = Math.min(low[parent]!, low[node]!);
      if (low[node]! < found[parent]!) continue;
      const start = edges.lastIndexOf(entered[node]!);
      blocks.push(edges.splice(start));
      roots.push(root);
    }
  }
  return blocks;
};

/**
 * The edges at each node, one node after another; an edge from a node to itself is not among them.
 */
export const incidence = (
  nodes: number,
  from: Int32Array,
  to: Int32Array,
): { readonly first: Int32Array; readonly incident: Int32Array } => {
  const first = new Int32Array(nodes + 1);
  for (let e = 0; e < from.length; e += 1) {
    if (from[e] === to[e]) continue;
    first[from[e]! + 1]! += 1;
    first[to[e]! + 1]! += 1;
  }
  for (let i = 0; i < nodes; i += 1) first[i + 1]! += first[i]!;
  const incident = new Int32Array(first[nodes]!);
  const next = first.slice(0, nodes);
  for (let e = 0; e < from.length; e += 1) {
    if (from[e] === to[e]) continue;
    for (const node of [from[e]!, to[e]!]) {
      incident[next[node]!] = e;
      next[node]! += 1;
    }
  }
  return { first, incident };
};

/** Networks that are one ring and nothing else, in columns. */
export interface SeparateRings {
  readonly count: number;
  /** The first node of each. */
  readonly roots: Int32Array;
  /** The edges of ring `k`, end to end, stand from `starts[k]` to `starts[k + 1]` - 1. */
  readonly starts: Int32Array;
  readonly edges: Int32Array;
}

/**
 * The networks that are a single ring, edges from a node to itself aside, in the order of their
 * first nodes: what most drawings of loose lines are made of, found without a search for blocks.
 */
export const separateRings = (nodes: number, from: Int32Array, to: Int32Array): SeparateRings => {
  const { first, incident } = incidence(nodes, from, to);
  const seen = new Uint8Array(nodes);
  const edges = new Int32Array(from.length);
  const roots = new Int32Array(nodes);
  const starts = new Int32Array(nodes + 1);
  let count = 0;
  let start = 0;
  for (let root = 0; root < nodes; root += 1) {
    if (seen[root] === 1) continue;
    let end = start;
    let node = root;
    // A node that was seen on another way does not lie on a ring.
    while (seen[node] === 0 && first[node + 1]! - first[node]! === 2) {
      seen[node] = 1;
      const one = incident[first[node]!]!;
      const edge = end > start && one === edges[end - 1] ? incident[first[node]! + 1]! : one;
      edges[end] = edge;
      end += 1;
      node = from[edge] === node ? to[edge]! : from[edge]!;
    }
    if (node !== root || end - start < 2) continue;
    roots[count] = root;
    count += 1;
    starts[count] = end;
    start = end;
  }
  return { count, roots, starts, edges };
};

/**
 * The edges of the networks in which there is a closed way, edges from a node to itself aside: a
 * network from which every edge goes when those with a loose end are taken away one after the other
 * has none.
 */
export const onWaysRound = (nodes: number, from: Int32Array, to: Int32Array): Int32Array => {
  const { first, incident } = incidence(nodes, from, to);
  const left = new Int32Array(nodes);
  const gone = new Uint8Array(from.length);
  for (let node = 0; node < nodes; node += 1) left[node] = first[node + 1]! - first[node]!;
  for (let start = 0; start < nodes; start += 1) {
    for (let node = start; left[node] === 1; ) {
      let at = first[node]!;
      while (gone[incident[at]!] === 1) at += 1;
      const edge = incident[at]!;
      gone[edge] = 1;
      left[node] = 0;
      node = from[edge] === node ? to[edge]! : from[edge]!;
      left[node]! -= 1;
    }
  }
  // What is left draws in what hangs on it.
  const drawn = new Uint8Array(nodes);
  const waiting: number[] = [];
  for (let node = 0; node < nodes; node += 1) {
    if (left[node] === 0) continue;
    drawn[node] = 1;
    waiting.push(node);
  }
  for (let node = waiting.pop(); node !== undefined; node = waiting.pop()) {
    for (let at = first[node]!; at < first[node + 1]!; at += 1) {
      const edge = incident[at]!;
      gone[edge] = 0;
      const other = from[edge] === node ? to[edge]! : from[edge]!;
      if (drawn[other] === 1) continue;
      drawn[other] = 1;
      waiting.push(other);
    }
  }
  let count = 0;
  const edges = new Int32Array(from.length);
  for (let e = 0; e < from.length; e += 1) {
    if (gone[e] === 1 || from[e] === to[e]) continue;
    edges[count] = e;
    count += 1;
  }
  return edges.subarray(0, count);
};
