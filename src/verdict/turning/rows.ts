/**
 * The points of all edges as rows, in columns, for each figure goes through all; a large job has a million points, of which
 * some stand for all (alike.ts). Comes in: edges with what is known of them. Goes out: for each row the room left and the sds
 * kept, and the few rows that matter.
 */

import { boxOfPoints } from '../../geometry/point.js';
import { type Edge, edgeBox } from '../edges/edge.js';
import { angleNumber } from '../edges/edge-index.js';
import { edgeVariances } from '../edges/worst-point.js';
import type { Displacement } from '../risk/displacement.js';
import type { ErrorField } from '../risk/error-field.js';
import { addRim } from '../risk/rims.js';
import { type Bounded, hasBounds } from '../risk/vertices.js';
import { AlikeRows } from './alike.js';

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
  /** However many points there are, all are kept: what few rows are held against. */
  readonly keepsAll?: boolean;
}

/** A point of an edge: number `i` of `points`. */
export interface Row {
  readonly points: Edge;
  readonly i: number;
  /** Room less what is known and lost there, mm. */
  readonly left: number;
  readonly unitLoss: number;
  /** Number among the draws' `offsets`; -1 where it is not on a round edge that was measured. */
  readonly offset: number;
}

/** Neighbours whose normals lie in one of so many sectors, and that lie in one of so many parts of the edge, are one row. */
const sectors = 32;
const parts = 8;
/** Losses in the cut told apart, of 1 mm of lost motion: half of it at most. */
const lossSteps = 16;
/** Up to so many points each row is kept. */
export const fewPoints = 100_000;
/** Rows of one sector and quadrant are of a kind. */
const kinds = 4 * (sectors + 1);
const mostOfAKind = 8;
const tiny = 1e-300;

/** Numbers of a row while rows are collected. */
const width = 8;

interface Columns {
  /** All of them, as the points of one edge. */
  readonly points: Edge;
  /** Room less what is known and lost there, mm; what the bounds take at most, mm; variance of the approach, mm^2. */
  readonly left: Float64Array;
  readonly support: Float64Array;
  readonly variance: Float64Array;
  readonly unitLoss: Float64Array;
  readonly bounded: Bounded;
  /** The first row of each edge, and the number of all. */
  readonly starts: Int32Array;
  /** Those that were asked for: what is worked out for a row is found again. */
  readonly asked: Map<number, Row>;
  /** Those of round edges that were measured, and where they begin. */
  readonly onRims: readonly { readonly edge: Edge; readonly first: number }[];
}

/** Of neighbours alike the point that keeps the fewest sds. */
export const rowsOf = (input: RowsInput): Rows => new Rows(collect(input));

export class Rows {
  constructor(private readonly columns: Columns) {}

  /** What bounded errors take at each row at most, mm, and with `inCut` lost motion of 1 mm. */
  takes(bounded: Bounded, inCut: boolean): Float64Array {
    const { points, unitLoss } = this.columns;
    const takes = supports(bounded, points);
    if (inCut) for (let k = 0; k < takes.length; k++) takes[k]! += unitLoss[k]!;
    return takes;
  }

  /** The least value, of those up to `limit`, at which a row that loses `takes` per unit keeps but `sds`. */
  leastValue(takes: Float64Array, sds: number, limit: number): number {
    const { left, support, variance } = this.columns;
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
    const { left, support, variance } = this.columns;
    const sds = new Float64Array(takes.length);
    for (let k = 0; k < sds.length; k++)
      sds[k] = (left[k]! - support[k]! - value * takes[k]!) / Math.sqrt(variance[k]! + tiny);
    return sds;
  }

  /** The sds that each row keeps with other errors. */
  sdsWith(field: ErrorField, bounded: Bounded): Float64Array {
    const sds = this.variances(field);
    const { left, points, ...own } = this.columns;
    const support = bounded === own.bounded ? own.support : supports(bounded, points);
    for (let k = 0; k < sds.length; k++)
      sds[k] = (left[k]! - support[k]!) / Math.sqrt(Math.max(0, sds[k]!) + tiny);
    return sds;
  }

  /** The same points with other errors. */
  with(field: ErrorField, bounded: Bounded): Rows {
    const { columns } = this;
    return new Rows({
      ...columns,
      variance: this.variances(field).map((value) => Math.max(0, value)),
      support: bounded === columns.bounded ? columns.support : supports(bounded, columns.points),
      bounded,
    });
  }

  private variances(field: ErrorField): Float64Array {
    const { points, onRims } = this.columns;
    const variances = edgeVariances([points], field)(points);
    for (const { edge, first } of onRims) addRim(edge, field, variances.subarray(first));
    return variances;
  }

  /**
   * Of rows that keep no more than `most` sds, and that have like normals and lie in the same quadrant of the part, the
   * nearest ones, nearest first: where those are not touched the others hardly are, for they all move alike.
   */
  nearest(sds: Float64Array, most: number, { centre }: ErrorField): Row[] {
    const { x, y, normalX, normalY } = this.columns.points;
    const counts = new Uint8Array(kinds);
    const chosen = new Int32Array(kinds * mostOfAKind);
    for (let k = 0; k < sds.length; k++) {
      if (!(sds[k]! <= most)) continue;
      const quadrant = (x[k]! >= centre.x ? 1 : 0) + (y[k]! >= centre.y ? 2 : 0);
      keepOfKind(k, 4 * sectorOf(normalX[k]!, normalY[k]!) + quadrant, sds, counts, chosen);
    }
    const numbers: number[] = [];
    for (let kind = 0; kind < kinds; kind++)
      for (let n = 0; n < counts[kind]!; n++) numbers.push(chosen[kind * mostOfAKind + n]!);
    return numbers.sort((a, b) => sds[a]! - sds[b]! || a - b).map((k) => this.row(k));
  }

  /** The rows of the edge that a row lies on: from the first one to the one behind the last. */
  edgeOf({ i }: Row): readonly [start: number, end: number] {
    const { starts } = this.columns;
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
    const { points, left, unitLoss, onRims, asked } = this.columns;
    const before = asked.get(i);
    if (before !== undefined) return before;
    let offset = -1;
    for (const { edge, first } of onRims) {
      const sign = edge.rim!.signs[i - first];
      if (sign !== undefined && sign !== 0) offset = 2 * edge.rim!.number + (sign === 1 ? 0 : 1);
    }
    const row = { points, i, left: left[i]!, unitLoss: unitLoss[i]!, offset };
    asked.set(i, row);
    return row;
  }
}

/** Puts row `k` among the nearest ones of its kind, nearest first, where it belongs to them. */
const keepOfKind = (
  k: number,
  kind: number,
  sds: Float64Array,
  counts: Uint8Array,
  chosen: Int32Array,
): void => {
  const own = sds[k]!;
  const start = kind * mostOfAKind;
  let at = counts[kind]!;
  if (at < mostOfAKind) counts[kind] = at + 1;
  else if (sds[chosen[start + at - 1]!]! <= own) return;
  else at--;
  for (; at > 0 && sds[chosen[start + at - 1]!]! > own; at--) chosen[start + at] = chosen[start + at - 1]!;
  chosen[start + at] = k;
};

/** 0..`sectors` */
const sectorOf = (normalX: number, normalY: number): number =>
  Math.floor((angleNumber(normalX, normalY) * sectors) / 4);

/** In one loop for each of them. */
const supports = ({ generators, anyDirection }: Bounded, points: Edge): Float64Array => {
  const sum = new Float64Array(points.x.length).fill(anyDirection);
  const along = new Float64Array(generators.length === 0 ? 0 : sum.length);
  for (const generator of generators) {
    fillAlong(generator, points, along);
    for (let k = 0; k < sum.length; k++) sum[k]! += Math.abs(along[k]!);
  }
  return sum;
};

/** n . d of a displacement at all points of an edge, mm. */
const fillAlong = (
  { matrix: [a, b, c, d, e, f], bend }: Displacement,
  { x: xs, y: ys, normalX, normalY }: Edge,
  into: Float64Array,
): void => {
  const count = xs.length;
  const alongX = bend?.along.x ?? 0;
  const alongY = bend?.along.y ?? 0;
  const origin = bend?.origin ?? 0;
  const eachX = bend?.each.x ?? 0;
  const eachY = bend?.each.y ?? 0;
  for (let i = 0; i < count; i++) {
    const x = xs[i]!;
    const y = ys[i]!;
    const beside = alongX * x + alongY * y - origin;
    const squared = beside * beside;
    const dx = a * x + c * y + e + eachX * squared;
    const dy = b * x + d * y + f + eachY * squared;
    into[i] = normalX[i]! * dx + normalY[i]! * dy;
  }
};

/** What is left of the room at all points of an edge, mm. */
const fillLeft = (edge: Edge, clearance: number, known: Displacement, into: Float64Array): void => {
  const { room, loss } = edge;
  const count = edge.x.length;
  if (known.bend === undefined && known.matrix.every((value) => value === 0)) into.fill(0, 0, count);
  else fillAlong(known, edge, into);
  if (loss !== undefined) for (let i = 0; i < count; i++) into[i]! += loss[i]!;
  if (room === undefined) for (let i = 0; i < count; i++) into[i] = clearance - into[i]!;
  else takeFromRoom(room.gain, room.extra, clearance, into);
};

const takeFromRoom = (
  gain: Float64Array,
  extra: Float64Array,
  clearance: number,
  into: Float64Array,
): void => {
  for (let i = 0; i < gain.length; i++) into[i] = gain[i]! * clearance + extra[i]! - into[i]!;
};

const collect = (input: RowsInput): Columns => {
  const { edges, bounded } = input;
  const prepared = new Prepared(input);
  const kept = keptPoints(input, prepared);
  const onRims: { first: number; rim: NonNullable<Edge['rim']> }[] = [];
  let rows = new Float64Array(width * 4096);
  let count = 0;
  const starts = new Int32Array(edges.length + 1);
  edges.forEach((edge, e) => {
    const { rim } = edge;
    starts[e] = count;
    const own = kept(e);
    if (own === undefined) return;
    for (; width * (count + own.length) > rows.length; ) {
      const larger = new Float64Array(2 * rows.length);
      larger.set(rows);
      rows = larger;
    }
    prepared.fillRows(edge, own, rows, width * count);
    if (rim !== undefined) {
      const signs = Int8Array.from(own, (i) => rim.signs[i]!);
      onRims.push({ first: count, rim: { ...rim, signs } });
    }
    count += own.length;
  });
  starts[edges.length] = count;
  const columnOf = (column: number): Float64Array => {
    const values = new Float64Array(count);
    for (let k = 0; k < count; k++) values[k] = rows[width * k + column]!;
    return values;
  };
  const [x, y, normalX, normalY] = [columnOf(0), columnOf(1), columnOf(2), columnOf(3)];
  return {
    points: { id: '', x, y, normalX, normalY },
    left: columnOf(4),
    support: columnOf(5),
    variance: columnOf(6),
    unitLoss: columnOf(7),
    bounded,
    starts,
    asked: new Map(),
    onRims: onRims.map(({ first, rim }): { edge: Edge; first: number } => {
      const own = (values: Float64Array): Float64Array => values.subarray(first, first + rim.signs.length);
      return {
        first,
        edge: { id: '', x: own(x), y: own(y), normalX: own(normalX), normalY: own(normalY), rim },
      };
    }),
  };
};

/** Numbers of the points of each edge that are kept as rows, lent until the next edge is asked for; undefined for none. */
const keptPoints = (
  { edges, keepsAll = false }: RowsInput,
  prepared: Prepared,
): ((edge: number) => Int32Array | undefined) => {
  const nearest = (e: number): Int32Array => {
    prepared.turnTo(edges[e]!, e);
    return prepared.nearest(edges[e]!);
  };
  if (keepsAll || edges.reduce((sum, { x }) => sum + x.length, 0) <= fewPoints) return nearest;
  const boxes = edges.map((edge) => edgeBox(edge));
  const box = boxOfPoints(
    boxes.flatMap(({ minX, minY, maxX, maxY }) => [
      { x: minX, y: minY },
      { x: maxX, y: maxY },
    ]),
  );
  const alike = new AlikeRows(box, (sectors + 1) * (lossSteps + 1));
  edges.forEach((edge, e) => {
    // A round edge that was measured moves as no other one does.
    if (edge.rim !== undefined) return;
    for (const i of nearest(e)) {
      const sector = sectorOf(edge.normalX[i]!, edge.normalY[i]!);
      alike.offer(
        e,
        i,
        edge.x[i]!,
        edge.y[i]!,
        sector * (lossSteps + 1) + prepared.lossStep(i),
        prepared.sds(i),
      );
    }
  });
  const kept = alike.kept();
  return (e) => {
    if (edges[e]!.rim !== undefined) return nearest(e);
    const own = kept.get(e);
    if (own !== undefined) prepared.turnTo(edges[e]!, e);
    return own;
  };
};

/** What is known at the points of one edge after the other, in arrays that are used again. */
class Prepared {
  private readonly variancesOf: (edge: Edge) => Float64Array;
  private readonly left: Float64Array;
  private readonly places: Float64Array;
  private readonly kept: Int32Array;
  private support: Float64Array;
  private variances: Float64Array;
  private loss: Float64Array | undefined;

  constructor(private readonly input: RowsInput) {
    const { edges, field } = input;
    const most = edges.reduce((all, { x }) => Math.max(all, x.length), 0);
    this.variancesOf = edgeVariances(edges, field);
    this.left = new Float64Array(most);
    this.places = new Float64Array(most);
    this.kept = new Int32Array(most);
    this.support = new Float64Array(most);
    this.variances = this.left;
  }

  turnTo(edge: Edge, number: number): void {
    const { clearance, known, bounded, unitLoss } = this.input;
    this.variances = this.variancesOf(edge);
    this.loss = unitLoss?.[number];
    fillLeft(edge, clearance, known, this.left);
    if (hasBounds(bounded)) this.support = supports(bounded, edge);
  }

  /** Of neighbours alike the point that keeps the fewest sds. */
  nearest(edge: Edge): Int32Array {
    const { left, support, variances, places, kept, loss } = this;
    fillPlaces(edge, this.input.longest ?? Number.POSITIVE_INFINITY, loss, places);
    return kept.subarray(0, keepNearest(edge.x.length, left, support, variances, places, kept));
  }

  sds(i: number): number {
    return sdsOf(this.left[i]!, this.support[i]!, this.variances[i]!);
  }

  lossStep(i: number): number {
    return this.loss === undefined ? 0 : Math.min(lossSteps, Math.round(lossSteps * this.loss[i]!));
  }

  fillRows(edge: Edge, kept: Int32Array, rows: Float64Array, from: number): void {
    fillRows(edge, this.left, this.support, this.variances, this.loss, kept, rows, from);
  }
}

const sdsOf = (left: number, support: number, variance: number): number =>
  (left - support) / Math.sqrt(Math.max(0, variance) + tiny);

/** Numbers that tell apart where on an edge a point lies, and where its normal points. */
const fillPlaces = (
  edge: Edge,
  longest: number,
  loss: Float64Array | undefined,
  into: Float64Array,
): void => {
  const { x, y, normalX, normalY, rim } = edge;
  const { minX, minY, maxX, maxY } = edgeBox(edge);
  const size = Math.max(maxX - minX, maxY - minY, 1e-9);
  const perPart = Math.max(parts / size, 1 / longest);
  const count = Math.floor(size * perPart) + 1;
  for (let i = 0; i < x.length; i++) {
    const sector = sectorOf(normalX[i]!, normalY[i]!);
    const across = Math.floor((x[i]! - minX) * perPart);
    const up = Math.floor((y[i]! - minY) * perPart);
    into[i] = ((sector * count + across) * count + up) * 3 + 1;
  }
  if (rim !== undefined) for (let i = 0; i < x.length; i++) into[i]! += rim.signs[i]!;
  // A corner between two curves loses more in the cut than the curves beside it.
  if (loss !== undefined)
    for (let i = 0; i < x.length; i++) into[i] = into[i]! * lossSteps + Math.round(lossSteps * loss[i]!);
};

/** Numbers of the points kept, of those one after the other at the same place the one with the fewest sds; and how many. */
const keepNearest = (
  points: number,
  left: Float64Array,
  support: Float64Array,
  variances: Float64Array,
  places: Float64Array,
  into: Int32Array,
): number => {
  let count = 0;
  let before = -1;
  let fewest = Number.POSITIVE_INFINITY;
  for (let i = 0; i < points; i++) {
    const sds = sdsOf(left[i]!, support[i]!, variances[i]!);
    const place = places[i]!;
    if (place === before) {
      if (sds >= fewest) continue;
      count--;
    }
    before = place;
    fewest = sds;
    into[count] = i;
    count++;
  }
  return count;
};

const fillRows = (
  { x, y, normalX, normalY }: Edge,
  left: Float64Array,
  support: Float64Array,
  variances: Float64Array,
  loss: Float64Array | undefined,
  kept: Int32Array,
  rows: Float64Array,
  from: number,
): void => {
  for (let k = 0, at = from; k < kept.length; k++, at += width) {
    const i = kept[k]!;
    rows[at] = x[i]!;
    rows[at + 1] = y[i]!;
    rows[at + 2] = normalX[i]!;
    rows[at + 3] = normalY[i]!;
    rows[at + 4] = left[i]!;
    rows[at + 5] = support[i]!;
    rows[at + 6] = Math.max(0, variances[i]!);
    rows[at + 7] = loss === undefined ? 0 : loss[i]!;
  }
};
