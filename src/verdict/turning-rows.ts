/**
 * The points of all edges as rows, in columns: a large job has a million of them, and each figure goes through all. Comes
 * in: edges with what is known of them. Goes out: for each row the room left and the sds kept, and the few rows that matter.
 */
import type { Displacement } from './displacement.js';
import { type Edge, edgeBox, roomAt } from './edge.js';
import { angleNumber } from './edge-index.js';
import type { ErrorField } from './error-field.js';
import { addRim } from './rims.js';
import { alongNormal, type Bounded, hasBounds, knownAlong, supportAt } from './vertices.js';
import { edgeVariances } from './worst-point.js';

export interface RowsInput {
  readonly edges: readonly Edge[];
  readonly field: ErrorField;
  readonly clearance: number;
  readonly known: Displacement;
  readonly bounded: Bounded;
  /** What 1 mm of lost motion takes at each point of each edge, mm; absent: nothing. */
  readonly unitLoss?: readonly (Float64Array | undefined)[];
  /** Where the panel may be bowed: so far apart two points of an edge move differently, mm. */
  readonly longest?: number;
}

/** A point of an edge: number `i` of `points`. */
export interface Row {
  readonly points: Edge;
  readonly i: number;
  /** Room less what is known and lost there, mm. */
  readonly left: number;
  readonly unitLoss: number;
  /** The rows of its edge: from the first one to the one behind the last. */
  readonly edge: readonly [start: number, end: number];
  /** Number among the draws' `offsets`; -1 where it is not on a round edge that was measured. */
  readonly offset: number;
}

/** Neighbours whose normals lie in one of so many sectors, and that lie in one of so many parts of the edge, are one row. */
const sectors = 32;
const parts = 8;
/** Losses in the cut told apart, of 1 mm of lost motion: half of it at most. */
const lossSteps = 16;
const mostOfAKind = 8;
const tiny = 1e-300;

/** Columns of a row while rows are collected. */
const columns = 8;

export class Rows {
  readonly count: number;
  /** All of them, as the points of one edge. */
  private readonly points: Edge;
  /** Room less what is known and lost there, mm; what the bounds take at most, mm; variance of the approach, mm^2. */
  private readonly left: Float64Array;
  private readonly support: Float64Array;
  private readonly variance: Float64Array;
  private readonly unitLoss: Float64Array;
  private readonly bounded: Bounded;
  /** The first row of each edge, and the number of all. */
  private readonly starts: Int32Array;
  /** Those of round edges that were measured, and where they begin. */
  private readonly onRims: readonly { readonly edge: Edge; readonly first: number }[];

  constructor(input: RowsInput) {
    const { columnOf, count, starts, onRims } = collect(input);
    this.starts = starts;
    this.count = count;
    this.bounded = input.bounded;
    this.points = {
      id: '',
      x: columnOf(0),
      y: columnOf(1),
      normalX: columnOf(2),
      normalY: columnOf(3),
    };
    this.left = columnOf(4);
    this.support = columnOf(5);
    this.variance = columnOf(6);
    this.unitLoss = columnOf(7);
    const { x, y, normalX, normalY } = this.points;
    this.onRims = onRims.map(({ first, rim }): { edge: Edge; first: number } => {
      const own = (values: Float64Array): Float64Array => values.subarray(first, first + rim.signs.length);
      return {
        first,
        edge: { id: '', x: own(x), y: own(y), normalX: own(normalX), normalY: own(normalY), rim },
      };
    });
  }

  /** What bounded errors take at each row at most, mm, and with `inCut` lost motion of 1 mm. */
  takes(bounded: Bounded, inCut: boolean): Float64Array {
    const takes = supports(bounded, this.points);
    if (inCut) for (let k = 0; k < takes.length; k++) takes[k]! += this.unitLoss[k]!;
    return takes;
  }

  /** The least value, of those up to `limit`, at which a row that loses `takes` per unit keeps but `sds`. */
  leastValue(takes: Float64Array, sds: number, limit: number): number {
    const { left, support, variance } = this;
    let least = limit;
    for (let k = 0; k < takes.length; k++) {
      const take = takes[k]!;
      if (take <= 0) continue;
      const value = Math.max(0, left[k]! - support[k]! - sds * Math.sqrt(variance[k]!)) / take;
      if (value < least) least = value;
    }
    return least;
  }

  /** The sds that each row keeps once it has lost `value` times `takes`. */
  sdsWithout(takes: Float64Array, value: number): Float64Array {
    const { left, support, variance } = this;
    return takes.map((take, k) => (left[k]! - support[k]! - value * take) / Math.sqrt(variance[k]! + tiny));
  }

  /** The sds that each row keeps with other errors. */
  sdsWith(field: ErrorField, bounded: Bounded): Float64Array {
    const sds = this.variances(field);
    const { left } = this;
    const support = bounded === this.bounded ? this.support : supports(bounded, this.points);
    for (let k = 0; k < sds.length; k++)
      sds[k] = (left[k]! - support[k]!) / Math.sqrt(Math.max(0, sds[k]!) + tiny);
    return sds;
  }

  private variances(field: ErrorField): Float64Array {
    const variances = edgeVariances([this.points], field)(this.points);
    for (const { edge, first } of this.onRims) addRim(edge, field, variances.subarray(first));
    return variances;
  }

  /**
   * Of rows that keep no more than `most` sds, and that have like normals and lie in the same quadrant of the part, the
   * nearest ones, nearest first: where those are not touched the others hardly are, for they all move alike.
   */
  nearest(sds: Float64Array, most: number, { centre }: ErrorField): Row[] {
    const { x, y, normalX, normalY } = this.points;
    const kinds = 4 * (sectors + 1);
    const counts = new Uint8Array(kinds);
    const chosen = new Int32Array(kinds * mostOfAKind);
    for (let k = 0; k < sds.length; k++) {
      const own = sds[k]!;
      if (!(own <= most)) continue;
      const quadrant = (x[k]! >= centre.x ? 1 : 0) + (y[k]! >= centre.y ? 2 : 0);
      const kind = 4 * sectorOf(normalX[k]!, normalY[k]!) + quadrant;
      const start = kind * mostOfAKind;
      let at = counts[kind]!;
      if (at < mostOfAKind) counts[kind]!++;
      else if (sds[chosen[start + at - 1]!]! <= own) continue;
      else at--;
      for (; at > 0 && sds[chosen[start + at - 1]!]! > own; at--)
        chosen[start + at] = chosen[start + at - 1]!;
      chosen[start + at] = k;
    }
    const numbers: number[] = [];
    for (let kind = 0; kind < kinds; kind++)
      for (let n = 0; n < counts[kind]!; n++) numbers.push(chosen[kind * mostOfAKind + n]!);
    return numbers.sort((a, b) => sds[a]! - sds[b]! || a - b).map((k) => this.row(k));
  }

  private edgeOf(i: number): readonly [start: number, end: number] {
    const { starts } = this;
    let low = 0;
    let high = starts.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (starts[middle]! <= i) low = middle;
      else high = middle;
    }
    return [starts[low]!, starts[high]!];
  }

  private row(i: number): Row {
    const { points, left, unitLoss } = this;
    let offset = -1;
    for (const { edge, first } of this.onRims) {
      const sign = edge.rim!.signs[i - first];
      if (sign !== undefined && sign !== 0) offset = 2 * edge.rim!.number + (sign === 1 ? 0 : 1);
    }
    return { points, i, left: left[i]!, unitLoss: unitLoss[i]!, edge: this.edgeOf(i), offset };
  }
}

/** 0..`sectors` */
const sectorOf = (normalX: number, normalY: number): number =>
  Math.floor((angleNumber(normalX, normalY) * sectors) / 4);

/** In one loop for each of them. */
const supports = ({ generators, anyDirection }: Bounded, points: Edge): Float64Array => {
  const sum = new Float64Array(points.x.length).fill(anyDirection);
  for (const generator of generators)
    for (let k = 0; k < sum.length; k++) sum[k]! += Math.abs(alongNormal(generator, points, k));
  return sum;
};

/** Of neighbours alike the point that keeps the fewest sds. */
const collect = ({ edges, field, clearance, known, bounded, unitLoss, longest }: RowsInput) => {
  const variancesOf = edgeVariances(edges, field);
  const isBounded = hasBounds(bounded);
  const onRims: { first: number; rim: NonNullable<Edge['rim']> }[] = [];
  let rows = new Float64Array(columns * 4096);
  let count = 0;
  const starts = new Int32Array(edges.length + 1);
  edges.forEach((edge, e) => {
    const { x, y, normalX, normalY, rim } = edge;
    const variances = variancesOf(edge);
    const placeOf = placesOf(edge, longest);
    const loss = unitLoss?.[e];
    const first = count;
    starts[e] = first;
    const signs: number[] = [];
    let before = -1;
    let fewest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < x.length; i++) {
      const left = roomAt(edge, i, clearance) - knownAlong(known, edge, i);
      const support = isBounded ? supportAt(bounded, edge, i) : 0;
      const variance = Math.max(0, variances[i]!);
      const sds = (left - support) / Math.sqrt(variance + tiny);
      // A corner between two curves loses more in the cut than the curves beside it.
      const place = placeOf(i) * lossSteps + Math.round(lossSteps * (loss?.[i] ?? 0));
      if (place === before) {
        if (sds >= fewest) continue;
        count--;
      }
      before = place;
      fewest = sds;
      if (columns * count === rows.length) {
        const larger = new Float64Array(2 * rows.length);
        larger.set(rows);
        rows = larger;
      }
      const at = columns * count;
      rows[at] = x[i]!;
      rows[at + 1] = y[i]!;
      rows[at + 2] = normalX[i]!;
      rows[at + 3] = normalY[i]!;
      rows[at + 4] = left;
      rows[at + 5] = support;
      rows[at + 6] = variance;
      rows[at + 7] = loss?.[i] ?? 0;
      if (rim !== undefined) signs[count - first] = rim.signs[i]!;
      count++;
    }
    if (rim !== undefined) onRims.push({ first, rim: { ...rim, signs: Int8Array.from(signs) } });
  });
  const columnOf = (column: number): Float64Array => {
    const values = new Float64Array(count);
    for (let k = 0; k < count; k++) values[k] = rows[columns * k + column]!;
    return values;
  };
  starts[edges.length] = count;
  return { columnOf, count, starts, onRims };
};

/** Numbers that tell apart where on an edge a point lies, and where its normal points. */
const placesOf = (edge: Edge, longest = Number.POSITIVE_INFINITY): ((i: number) => number) => {
  const { minX, minY, maxX, maxY } = edgeBox(edge);
  const size = Math.max(maxX - minX, maxY - minY, 1e-9);
  const perPart = Math.max(parts / size, 1 / longest);
  const count = Math.floor(size * perPart) + 1;
  return (i) => {
    const sector = sectorOf(edge.normalX[i]!, edge.normalY[i]!);
    const across = Math.floor((edge.x[i]! - minX) * perPart);
    const up = Math.floor((edge.y[i]! - minY) * perPart);
    return ((sector * count + across) * count + up) * 3 + 1 + (edge.rim?.signs[i] ?? 0);
  };
};
