/**
 * Stretches that run along one another. They are found by their nodes: what runs along something has been cut where the
 * common stretch begins and ends. A distance alone does not tell: edges that touch, or nearly do, come within
 * any distance of one another somewhere, and are none the less two.
 */

import { distanceToSpan } from '../spans/span.js';
import { nodeSize, type Stretch, standIn } from './arrangement.js';

/** One edge of the arrangement, with all stretches that are it. */
export interface CommonEdge {
  readonly stretch: Stretch;
  /** Stretches that run the same way, `stretch` among them, and those that run against it. */
  readonly along: readonly Stretch[];
  readonly against: readonly Stretch[];
}

/** The edges in the order of the first stretch of each. */
export const commonEdges = (stretches: readonly Stretch[]): CommonEdge[] => {
  const edges: { stretch: Stretch; along: Stretch[]; against: Stretch[] }[] = [];
  const byEnds = new Map<number, Map<number, number[]>>();
  const othersBetween = (s: Stretch): number[] => {
    const low = Math.min(s.from, s.to);
    const high = Math.max(s.from, s.to);
    let byHigh = byEnds.get(low);
    if (byHigh === undefined) {
      byHigh = new Map();
      byEnds.set(low, byHigh);
    }
    let others = byHigh.get(high);
    if (others === undefined) {
      others = [];
      byHigh.set(high, others);
    }
    return others;
  };
  for (const s of stretches) {
    if (s.from === -1 || s.from === s.to) {
      edges.push({ stretch: s, along: [s], against: [] });
      continue;
    }
    const others = othersBetween(s);
    const twin = others.length === 0 ? undefined : others.find((i) => runAlong(s, edges[i]!.stretch));
    if (twin === undefined) {
      others.push(edges.length);
      edges.push({ stretch: s, along: [s], against: [] });
    } else if (edges[twin]!.stretch.from === s.from) edges[twin]!.along.push(s);
    else edges[twin]!.against.push(s);
  }
  return edges;
};

const runAlong = (s: Stretch, other: Stretch): boolean => {
  const { point } = standIn(s.spans);
  return other.spans.some((span) => distanceToSpan(span, point.x, point.y) < nodeSize);
};
