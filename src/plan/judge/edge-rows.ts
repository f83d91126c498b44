/** Edges of openings as rows of coefficients: the few points of each that can ever be touched first. */
import { positionJacobian } from '../../fit/solve/position.js';
import { identity } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import { type Edge, roomAt } from '../../verdict/edges/edge.js';
import { drawErrors } from '../../verdict/risk/draws.js';
import type { ErrorField } from '../../verdict/risk/error-field.js';

/** Unknowns about `centre`; those that turn or stretch are counted in mm at `reach` from it. */
export interface UnknownsFrame {
  readonly model: Model;
  readonly centre: Point;
  readonly reach: number;
}

/** n . d of a point of an edge as coefficients of the unknowns. */
export const approachRow = ({ model, centre, reach }: UnknownsFrame, at: Point, normal: Point): number[] => {
  const { x, y } = positionJacobian({ model, matrix: identity, centre }, at);
  return x.map((value, k) => (normal.x * value + normal.y * y[k]!) / (k < 2 ? 1 : reach));
};

/**
 * Coefficient rows one after the other, `unknowns` numbers each; where a corner has more room than the clearance, over as
 * many times as much.
 */
export interface EdgeRows {
  readonly id: string;
  readonly rows: Float64Array;
  /** Present where corners have more or less room than the clearance. */
  readonly room?: RowRoom;
}

/** How the rows change with the clearance. */
export interface RowRoom {
  /** Room over clearance of each row at the clearance that it was made for. */
  readonly made: Float64Array;
  readonly gain: Float64Array;
  readonly extra: Float64Array;
  /** At this clearance, mm, the first point of the edge has no room left. */
  readonly floor: number;
}

/** What a row made for one clearance is multiplied by at another, mm. */
export const scaleAt = ({ made, gain, extra }: RowRoom, i: number, clearance: number): number =>
  made[i]! / Math.max(leastRoom, gain[i]! + extra[i]! / clearance);

/** How much more or less a turn may be known than the shift, both at `reach`. */
const relativeSds = [0.2, 0.6, 1.5, 5];
const directionsEach = 64;
/** Of the clearance: where a wide beam leaves a corner next to none, no pattern of marks helps. */
const leastRoom = 0.2;

/**
 * The points of an edge that are the first to be touched for some error, out of some 250 evenly spread ones. Only
 * corners of the hull of the rows can be; those that no direction finds stand out by next to nothing.
 */
export const extremeRows = (edge: Edge, frame: UnknownsFrame, clearance: number): EdgeRows => {
  const count = edge.x.length;
  const all = new Float64Array(count * unknownsIn(frame));
  const unknowns = unknownsIn(frame);
  for (let i = 0; i < count; i++) {
    const at = { x: edge.x[i]!, y: edge.y[i]! };
    const row = approachRow(frame, at, { x: edge.normalX[i]!, y: edge.normalY[i]! });
    const share = roomShare(edge, i, clearance);
    all.set(
      row.map((value) => value / share),
      i * unknowns,
    );
  }
  const directions = directionsFor(unknowns);
  const kept = new Set<number>();
  for (let d = 0; d < directions.length; d += unknowns) {
    let first = 0;
    let last = 0;
    let largest = Number.NEGATIVE_INFINITY;
    let smallest = Number.POSITIVE_INFINITY;
    for (let i = 0; i < count; i++) {
      let value = 0;
      for (let k = 0; k < unknowns; k++) value += all[i * unknowns + k]! * directions[d + k]!;
      if (value > largest) {
        largest = value;
        first = i;
      }
      if (value < smallest) {
        smallest = value;
        last = i;
      }
    }
    if (count > 0) kept.add(first).add(last);
  }
  const order = [...kept].sort((a, b) => a - b);
  const rows = new Float64Array(order.length * unknowns);
  order.forEach((i, at) => {
    rows.set(all.subarray(i * unknowns, (i + 1) * unknowns), at * unknowns);
  });
  const { room } = edge;
  if (room === undefined) return { id: edge.id, rows };
  const { gain, extra } = room;
  return {
    id: edge.id,
    rows,
    room: {
      made: Float64Array.from(order, (i) => roomShare(edge, i, clearance)),
      gain: Float64Array.from(order, (i) => gain[i]!),
      extra: Float64Array.from(order, (i) => extra[i]!),
      floor: extra.reduce((floor, value, i) => Math.max(floor, -value / gain[i]!), 0),
    },
  };
};

/** Room over clearance. */
const roomShare = (edge: Edge, i: number, clearance: number): number =>
  Math.max(leastRoom, roomAt(edge, i, clearance) / clearance);

const unknownsIn = ({ model }: UnknownsFrame): number => approachRowLength[model];
const approachRowLength: Readonly<Record<Model, number>> = { shift: 2, rigid: 3, similarity: 4, affine: 6 };

const known = new Map<number, Float64Array>();

/** One of each two that are opposite. */
const directionsFor = (unknowns: number): Float64Array => {
  const before = known.get(unknowns);
  if (before !== undefined) return before;
  const sets = unknowns === 2 ? [1] : relativeSds;
  const directions = new Float64Array(sets.length * (directionsEach / 2) * unknowns);
  let at = 0;
  for (const relative of sets) {
    const { shiftX, shiftY, lever } = drawErrors(independent(unknowns, relative), directionsEach);
    for (let j = 0; j < directionsEach; j += 2) {
      directions.set([shiftX[j]!, shiftY[j]!, ...lever.map((t) => t[j]!)], at);
      at += unknowns;
    }
  }
  known.set(unknowns, directions);
  return directions;
};

/** A field whose draws are bare directions: independent unknowns, the first two of sd 1. */
export const independent = (unknowns: number, relative: number): ErrorField => ({
  centre: { x: 0, y: 0 },
  levers: Array.from({ length: unknowns - 2 }, () => [0, 0, 0, 0] as const),
  covariance: Array.from({ length: unknowns }, (_, i) =>
    Array.from({ length: unknowns }, (_, j) => (i !== j ? 0 : i < 2 ? 1 : relative ** 2)),
  ),
  cutSd: 0,
  halfKerfSd: 0,
});
