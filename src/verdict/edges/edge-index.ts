/** An edge made ready for the search of approach.ts: its points in runs of neighbours, each sorted by angle. */

import type { ErrorField } from '../risk/error-field.js';
import { type Edge, edgeBox } from './edge.js';

/** An edge made ready for one field. Point i of `edge` is number `order` of it. */
export interface EdgeIndex {
  /** Normals in run order. */
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  /** n . L_k (p - middle of its run), lever after lever for each point. */
  readonly arms: Float64Array;
  readonly angle: Float64Array;
  /** Index in the edge. */
  readonly order: Int32Array;
  readonly runs: readonly Run[];
  /** Present where the room is not the clearance everywhere. */
  readonly room: RoomScale | undefined;
}

/** Rooms in run order, and clearance over room for the clearance last asked for (`scaleTo`). */
export interface RoomScale {
  readonly gain: Float64Array;
  readonly extra: Float64Array;
  readonly scale: Float64Array;
  largestScale: number;
  /** The clearance `scale` was last filled for, mm. */
  scaledFor: number;
  /** At this clearance, mm, the first point has no room left. */
  readonly floor: number;
}

export interface Run {
  /** Number among the draws' `offsets`, for points of a round edge that was measured. */
  readonly rim?: number;
  readonly start: number;
  readonly end: number;
  /** L_k (middle - centre of the field). */
  readonly leverX: Float64Array;
  readonly leverY: Float64Array;
  readonly middleX: number;
  readonly middleY: number;
  /** Largest distance of a point from the middle, largest |arm| of each lever. */
  readonly radius: number;
  readonly armReach: Float64Array;
  /** First point at or after each of `sectors` equal parts of the angle's range 0..4. */
  readonly sector: Int32Array;
}

const pointsPerRun = 512;
export const sectors = 64;
/** Sectors a run is sorted into at first. */
const fine = 256;

/** The angle of a vector as a number 0..4 that grows with it, without trigonometry. */
export const angleNumber = (x: number, y: number): number => {
  const part = y / (Math.abs(x) + Math.abs(y));
  if (x < 0) return 2 - part;
  return y < 0 ? 4 + part : part;
};

export const indexEdge = (edge: Edge, field: ErrorField): EdgeIndex => indexEdges([edge], field)[0]!;

/**
 * The edges made ready for any field of this model and placement.
 *
 * All of them share a few large arrays, and few functions with long loops fill these: most of a first call's time would
 * go into small arrays and into code that is not compiled yet.
 */
export const indexEdges = (edges: readonly Edge[], field: ErrorField): readonly EdgeIndex[] => {
  const size = field.levers.length;
  const levers = Float64Array.from(field.levers.flat());
  const counts = edges.map((edge) => edge.x.length);
  const total = counts.reduce((sum, count) => sum + count, 0);
  const angles = new Float64Array(Math.max(0, ...counts));
  const starts = new Int32Array(fine + 2);
  const numbers = new Float64Array(total * (3 + size));
  const order = new Int32Array(total);
  const partsOf = (count: number): number => Math.ceil(count / pointsPerRun);
  const sectorStarts = new Int32Array(sectors * counts.reduce((sum, count) => sum + partsOf(count), 0));
  const roomy = edges.reduce((sum, edge) => sum + (edge.room === undefined ? 0 : edge.x.length), 0);
  const rooms = new Float64Array(3 * roomy);
  let used = 0;
  let ordered = 0;
  let sectored = 0;
  let roomed = 0;
  return edges.map((edge, e) => {
    const count = counts[e]!;
    const take = (width: number): Float64Array => {
      used += width * count;
      return numbers.subarray(used - width * count, used);
    };
    const runs: Run[] = [];
    const index = {
      normalX: take(1),
      normalY: take(1),
      arms: take(size),
      angle: take(1),
      order: order.subarray(ordered, ordered + count),
      runs,
      room: undefined as RoomScale | undefined,
    };
    ordered += count;
    const parts = partsOf(count);
    for (let part = 0; part < parts; part++) {
      const start = Math.floor((part * count) / parts);
      const end = Math.floor(((part + 1) * count) / parts);
      sortByAngle(edge, angles, starts, index.order, start, end);
      const sector = sectorStarts.subarray(sectored, sectored + sectors);
      sectored += sectors;
      runs.push(indexRun(edge, field, levers, angles, index, sector, start, end));
    }
    if (field.rims !== undefined && edge.rim !== undefined) {
      // An edge that is a rim in part is searched as both: never less than the largest approach.
      const { number, sides } = edge.rim;
      const plain = runs.splice(0);
      for (const side of sides) {
        for (const run of plain)
          runs.push(side === 0 ? run : { ...run, rim: 2 * number + (side === 1 ? 0 : 1) });
      }
    }
    if (edge.room !== undefined) {
      const gain = rooms.subarray(roomed, roomed + count);
      const extra = rooms.subarray(roomed + count, roomed + 2 * count);
      const scale = rooms.subarray(roomed + 2 * count, roomed + 3 * count);
      roomed += 3 * count;
      const floor = fillRoom(edge.room.gain, edge.room.extra, index.order, gain, extra);
      index.room = { gain, extra, scale, largestScale: 1, scaledFor: Number.NaN, floor };
    }
    return index;
  });
};

/** Rooms in run order; returns the floor. */
const fillRoom = (
  ownGain: Float64Array,
  ownExtra: Float64Array,
  order: Int32Array,
  gain: Float64Array,
  extra: Float64Array,
): number => {
  let floor = 0;
  for (let at = 0; at < order.length; at++) {
    const i = order[at]!;
    const g = ownGain[i]!;
    const e = ownExtra[i]!;
    gain[at] = g;
    extra[at] = e;
    if (e < 0 && -e > floor * g) floor = -e / g;
  }
  return floor;
};

/**
 * Makes the index ready for a clearance, mm (Infinity too). False when a point has no room at all there: it touches whatever the error.
 */
export const scaleTo = ({ room }: EdgeIndex, clearance: number): boolean => {
  if (room === undefined) return true;
  if (clearance <= room.floor) return false;
  if (clearance === room.scaledFor) return true;
  room.scaledFor = clearance;
  room.largestScale = fillScale(room.gain, room.extra, room.scale, 1 / clearance);
  return true;
};

const fillScale = (
  gain: Float64Array,
  extra: Float64Array,
  scale: Float64Array,
  perClearance: number,
): number => {
  let largest = 0;
  for (let i = 0; i < scale.length; i++) {
    const value = 1 / (gain[i]! + extra[i]! * perClearance);
    scale[i] = value;
    if (value > largest) largest = value;
  }
  return largest;
};

/** Fills what belongs to the sorted points start..end-1. */
const indexRun = (
  edge: Edge,
  { centre }: ErrorField,
  levers: Float64Array,
  angles: Float64Array,
  index: EdgeIndex,
  sector: Int32Array,
  start: number,
  end: number,
): Run => {
  const { x, y } = edge;
  const { order, normalX, normalY, angle, arms } = index;
  const size = levers.length / 4;
  inOrder(edge.normalX, order, normalX, start, end);
  inOrder(edge.normalY, order, normalY, start, end);
  inOrder(angles, order, angle, start, end);
  fillSectors(angle, sector, start, end);
  const { minX, minY, maxX, maxY } = edgeBox(edge, start, end);
  const middleX = (minX + maxX) / 2;
  const middleY = (minY + maxY) / 2;
  const armReach = new Float64Array(size);
  const leverX = new Float64Array(size);
  const leverY = new Float64Array(size);
  for (let k = 0; k < size; k++) {
    const lever = levers.subarray(4 * k, 4 * k + 4);
    armReach[k] = fillArms(x, y, lever, middleX, middleY, index, arms, size, k, start, end);
    leverX[k] = lever[0]! * (middleX - centre.x) + lever[1]! * (middleY - centre.y);
    leverY[k] = lever[2]! * (middleX - centre.x) + lever[3]! * (middleY - centre.y);
  }
  const radius = largestDistance(x, y, middleX, middleY, start, end);
  return { start, end, leverX, leverY, middleX, middleY, radius, armReach, sector };
};

const inOrder = (
  values: Float64Array,
  order: Int32Array,
  into: Float64Array,
  start: number,
  end: number,
): void => {
  for (let at = start; at < end; at++) into[at] = values[order[at]!]!;
};

const largestDistance = (
  x: Float64Array,
  y: Float64Array,
  middleX: number,
  middleY: number,
  start: number,
  end: number,
): number => {
  let squares = 0;
  for (let i = start; i < end; i++) {
    const dx = x[i]! - middleX;
    const dy = y[i]! - middleY;
    const square = dx * dx + dy * dy;
    if (square > squares) squares = square;
  }
  return Math.sqrt(squares);
};

/** arms[at * stride + offset] = n . lever (p - middle) for the points of a run, in its order; returns the largest size of one. */
const fillArms = (
  edgeX: Float64Array,
  edgeY: Float64Array,
  lever: Float64Array,
  middleX: number,
  middleY: number,
  { order, normalX, normalY }: EdgeIndex,
  arms: Float64Array,
  stride: number,
  offset: number,
  start: number,
  end: number,
): number => {
  const xx = lever[0]!;
  const xy = lever[1]!;
  const yx = lever[2]!;
  const yy = lever[3]!;
  let most = 0;
  for (let at = start; at < end; at++) {
    const i = order[at]!;
    const x = edgeX[i]! - middleX;
    const y = edgeY[i]! - middleY;
    const arm = normalX[at]! * (xx * x + xy * y) + normalY[at]! * (yx * x + yy * y);
    arms[at * stride + offset] = arm;
    if (Math.abs(arm) > most) most = Math.abs(arm);
  }
  return most;
};

const fillSectors = (angle: Float64Array, sector: Int32Array, start: number, end: number): void => {
  let i = start;
  for (let s = 0; s < sectors; s++) {
    while (i < end && angle[i]! < s * (4 / sectors)) i++;
    sector[s] = i;
  }
};

/** Fills angles[start..end) by point, and order[start..end) with start..end-1 by rising angle. `starts` is lent. */
const sortByAngle = (
  { normalX, normalY }: Edge,
  angles: Float64Array,
  starts: Int32Array,
  order: Int32Array,
  start: number,
  end: number,
): void => {
  for (let i = start; i < end; i++) angles[i] = angleNumber(normalX[i]!, normalY[i]!);
  bySector(angles, starts, order, start, end);
  insertInOrder(angles, order, start, end);
};

/** Into fine sectors, by counting. */
const bySector = (
  angles: Float64Array,
  starts: Int32Array,
  order: Int32Array,
  start: number,
  end: number,
): void => {
  starts.fill(0);
  // Just below a whole turn an angle is rounded to 4: sector `fine` is for it.
  for (let i = start; i < end; i++) starts[((angles[i]! * (fine / 4)) | 0) + 1]!++;
  for (let s = 0; s <= fine; s++) starts[s + 1]! += starts[s]!;
  for (let i = start; i < end; i++) order[start + starts[(angles[i]! * (fine / 4)) | 0]!++] = i;
};

const insertInOrder = (angles: Float64Array, order: Int32Array, start: number, end: number): void => {
  for (let k = start + 1; k < end; k++) {
    const i = order[k]!;
    const value = angles[i]!;
    let at = k;
    while (at > start && angles[order[at - 1]!]! > value) {
      order[at] = order[at - 1]!;
      at--;
    }
    order[at] = i;
  }
};
