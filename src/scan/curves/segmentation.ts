/**
 * The fewest lines and arcs that the points of a closed edge allow. Of all ways to divide the points into stretches the one is
 * taken that has the least sum of squares / (2 variance) plus what each stretch costs for its unknowns: J. Rissanen's
 * description length, *Modeling by shortest data description*, Automatica 14 (1978), with logarithms of the number of points as
 * in G. Schwarz, *Estimating the dimension of a model*, Annals of Statistics 6 (1978). All ways are compared by dynamic
 * programming; stretches that can no longer be part of the best are not made longer (R. Killick et al., *Optimal detection of
 * changepoints with a linear computational cost*, JASA 107 (2012)).
 */
import type { EdgePoints } from '../edges/edge-points.js';
import { Moments } from '../picture/moments.js';

/** The points from `from` on, `count` of them, round the end; a whole loop where count is their number. */
export interface Stretch {
  readonly from: number;
  readonly count: number;
  readonly kind: 'line' | 'arc';
}

export interface SegmentationSettings {
  /** Of one point along the normal, times the factor by which neighbours err together; pixels^2. */
  readonly variance: number;
  /** Points at both ends of a stretch that the blur rounds, and that decide nothing. */
  readonly gap: number;
}

/** Cost of a line and of an arc in units of log(points) / 2: two and three unknowns and the place where it ends, and as much again for texture. */
const lineUnknowns = 3.4;
const arcUnknowns = 4.6;
/** A stretch holds no fewer points than these beyond its gaps. */
const leastLine = 4;
const leastArc = 5;

export const segmentation = (
  points: Pick<EdgePoints, 'x' | 'y'>,
  settings: SegmentationSettings,
): Stretch[] => {
  const n = points.x.length;
  const whole = settings;
  const first = divide(points, 0, whole);
  if (first.length <= 1) return first;
  // The first way began anywhere: the second begins where the first one found an end, far from its own beginning.
  const middle = first[first.length >> 1]!;
  const second = divide(points, middle.from % n, whole);
  return second;
};

const divide = (
  { x, y }: Pick<EdgePoints, 'x' | 'y'>,
  start: number,
  { variance, gap }: SegmentationSettings,
): Stretch[] => {
  const n = x.length;
  const every = n < 3000 ? 2 : 3;
  const nodes = Math.floor(n / every);
  // Node k is the point k * every; the last one is the first again, and takes the rest.
  const at = (node: number): number => (node === nodes ? n : node * every);
  const weight = Math.log(Math.max(n, 20)) / 2;
  const ofLine = lineUnknowns * weight;
  const ofArc = arcUnknowns * weight;
  const cost = new Float64Array(nodes + 1).fill(Number.POSITIVE_INFINITY);
  const from = new Int32Array(nodes + 1);
  const isArc = new Uint8Array(nodes + 1);
  cost[0] = 0;
  const moments = new Moments(0, 0);
  const double = 1 / (2 * variance);
  for (let i = 0; i < nodes; i += 1) {
    if (cost[i] === Number.POSITIVE_INFINITY) continue;
    const begin = at(i) + gap;
    let next = begin;
    moments.restart(x[(start + begin) % n]!, y[(start + begin) % n]!);
    let beyond = 0;
    for (let j = i + 1; j <= nodes; j += 1) {
      const end = at(j) - gap;
      while (next < end) {
        const p = (start + next) % n;
        moments.add(x[p]!, y[p]!);
        next += 1;
      }
      if (moments.n < leastLine) continue;
      const free = (at(j) - at(i) - moments.n) / 2;
      const line = moments.lineSquares() * double;
      const withLine = cost[i]! + line + ofLine + free;
      if (withLine < cost[j]!) {
        cost[j] = withLine;
        from[j] = i;
        isArc[j] = 0;
      }
      if (moments.n < leastArc) continue;
      // No arc costs less than nothing: where even that is too much it need not be looked at, but now and then to see an end.
      if (cost[i]! + ofArc + free >= cost[j]! && (j - i) % 8 !== 0) continue;
      // No arc is better than a line by more than all of the line's misfit.
      const arc = line < ofArc - ofLine ? line : moments.circleSquares() * double;
      const withArc = cost[i]! + arc + ofArc + free;
      if (withArc < cost[j]!) {
        cost[j] = withArc;
        from[j] = i;
        isArc[j] = 1;
      }
      // A stretch that costs more than the best way to its end and one more arc is no part of any best way beyond.
      if (cost[i]! + Math.min(arc, line) + free > cost[j]! + 2 * ofArc) {
        beyond += 1;
        if (beyond > 2) break;
      } else beyond = 0;
    }
  }
  const stretches: Stretch[] = [];
  for (let j = nodes; j > 0; j = from[j]!) {
    const i = from[j]!;
    stretches.unshift({
      from: (start + at(i)) % n,
      count: at(j) - at(i),
      kind: isArc[j] === 1 ? 'arc' : 'line',
    });
  }
  return stretches;
};
