/**
 * The largest approach over an edge, found without looking at every point of it.
 *
 * The approach at a point is n . d(p), plus half the kerf's error, times clearance over room where those differ
 * (corner-room.ts): it touches when that exceeds the clearance. The points of an edge are kept in runs of neighbours, each run sorted by the
 * angle of its normals. Across a run d differs from its value d0 at the run's middle by little: |d - d0| <= slack.
 * So only points whose normal lies close enough to d0 can be the largest: from the normal nearest to d0 the search
 * goes both ways until n . d0 + slack falls below the best found. The result is exact (where it is negative, and
 * nothing can touch, an upper bound).
 */
import { apply, type Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Draws } from './draws.js';
import { type Edge, type EdgeRoom, edgeBox } from './edge.js';
import type { ErrorField, Lever } from './error-field.js';

/** An edge made ready for one field. Point i of `edge` is number `order` of it. */
export interface EdgeIndex {
  /** Normals in run order. */
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  /** n . L_k (p - middle of its run), lever after lever for each point. */
  readonly arms: Float64Array;
  /** Known approach of each point beyond the middle's, see `systematic`. */
  readonly rest: Float64Array | undefined;
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
  /** At this clearance, mm, the first point has no room left. */
  readonly floor: number;
}

export interface Run {
  readonly start: number;
  readonly end: number;
  /** L_k (middle - centre of the field). */
  readonly leverX: readonly number[];
  readonly leverY: readonly number[];
  /** Largest distance of a point from the middle, largest |arm| of each lever, largest |rest|. */
  readonly radius: number;
  readonly armReach: readonly number[];
  readonly restReach: number;
  /** The known displacement at the middle. */
  readonly knownX: number;
  readonly knownY: number;
  /** First point at or after each of `sectors` equal parts of the angle's range 0..4. */
  readonly sector: Int32Array;
}

const pointsPerRun = 512;
const sectors = 64;

/** The angle of a vector as a number 0..4 that grows with it, without trigonometry. */
const angleNumber = (x: number, y: number): number => {
  const part = y / (Math.abs(x) + Math.abs(y));
  if (x < 0) return 2 - part;
  return y < 0 ? 4 + part : part;
};

/** `systematic`: known displacement of a bed point, mm, whose approach counts in full (remaining.ts). */
export const indexEdge = (edge: Edge, field: ErrorField, systematic?: Matrix): EdgeIndex => {
  const count = edge.x.length;
  const index = {
    normalX: new Float64Array(count),
    normalY: new Float64Array(count),
    arms: new Float64Array(count * field.levers.length),
    rest: systematic === undefined ? undefined : new Float64Array(count),
    angle: new Float64Array(count),
    order: new Int32Array(count),
    runs: [] as Run[],
    room: undefined as RoomScale | undefined,
  };
  const angles = new Float64Array(count);
  for (let i = 0; i < count; i++) angles[i] = angleNumber(edge.normalX[i]!, edge.normalY[i]!);
  const runs = Math.ceil(count / pointsPerRun);
  for (let run = 0; run < runs; run++) {
    const start = Math.floor((run * count) / runs);
    const end = Math.floor(((run + 1) * count) / runs);
    sortByAngle(angles, index.order, start, end);
    for (let at = start; at < end; at++) {
      const i = index.order[at]!;
      index.normalX[at] = edge.normalX[i]!;
      index.normalY[at] = edge.normalY[i]!;
      index.angle[at] = angles[i]!;
    }
    index.runs.push(indexRun(edge, field, systematic, index, start, end));
  }
  if (edge.room !== undefined) index.room = roomInOrder(edge.room, index.order);
  return index;
};

const roomInOrder = (room: EdgeRoom, order: Int32Array): RoomScale => {
  const gain = new Float64Array(order.length);
  const extra = new Float64Array(order.length);
  let floor = 0;
  for (let at = 0; at < order.length; at++) {
    gain[at] = room.gain[order[at]!]!;
    extra[at] = room.extra[order[at]!]!;
    floor = Math.max(floor, -extra[at]! / gain[at]!);
  }
  return { gain, extra, scale: new Float64Array(order.length), largestScale: 1, floor };
};

/**
 * Makes the index ready for a clearance, mm (Infinity too). False when a point has no room at all there: it touches whatever the error.
 */
export const scaleTo = ({ room }: EdgeIndex, clearance: number): boolean => {
  if (room === undefined) return true;
  if (clearance <= room.floor) return false;
  const { gain, extra, scale } = room;
  let largest = 0;
  for (let i = 0; i < scale.length; i++) {
    const value = 1 / (gain[i]! + extra[i]! / clearance);
    scale[i] = value;
    if (value > largest) largest = value;
  }
  room.largestScale = largest;
  return true;
};

const indexRun = (
  edge: Edge,
  { levers, centre }: ErrorField,
  systematic: Matrix | undefined,
  index: EdgeIndex,
  start: number,
  end: number,
): Run => {
  const { middle, radius } = middleOf(edge, start, end);
  levers.forEach((lever, k) => {
    fillArms(edge, lever, middle, index, index.arms, levers.length, k, start, end);
  });
  const armReach = levers.map((_, k) => {
    let most = 0;
    for (let at = start; at < end; at++) {
      const arm = Math.abs(index.arms[at * levers.length + k]!);
      if (arm > most) most = arm;
    }
    return most;
  });
  let restReach = 0;
  if (systematic !== undefined && index.rest !== undefined) {
    const [a, b, c, d] = systematic;
    fillArms(edge, [a, c, b, d], middle, index, index.rest, 1, 0, start, end);
    for (let at = start; at < end; at++) restReach = Math.max(restReach, Math.abs(index.rest[at]!));
  }
  const known = systematic === undefined ? { x: 0, y: 0 } : apply(systematic, middle);
  const x = middle.x - centre.x;
  const y = middle.y - centre.y;
  return {
    start,
    end,
    leverX: levers.map(([xx, xy]) => xx * x + xy * y),
    leverY: levers.map(([, , yx, yy]) => yx * x + yy * y),
    radius,
    armReach,
    restReach,
    knownX: known.x,
    knownY: known.y,
    sector: sectorStarts(index.angle, start, end),
  };
};

/** Middle of the box of a run's points, and the largest distance from it. */
const middleOf = (edge: Edge, start: number, end: number): { middle: Point; radius: number } => {
  const { minX, minY, maxX, maxY } = edgeBox(edge, start, end);
  const middle = { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
  let squares = 0;
  for (let i = start; i < end; i++) {
    const x = edge.x[i]! - middle.x;
    const y = edge.y[i]! - middle.y;
    squares = Math.max(squares, x * x + y * y);
  }
  return { middle, radius: Math.sqrt(squares) };
};

/** arms[at * stride + offset] = n . lever (p - middle) for the points of a run, in its order. */
const fillArms = (
  edge: Edge,
  lever: Lever,
  middle: Point,
  { order, normalX, normalY }: EdgeIndex,
  arms: Float64Array,
  stride: number,
  offset: number,
  start: number,
  end: number,
): void => {
  const [xx, xy, yx, yy] = lever;
  for (let at = start; at < end; at++) {
    const i = order[at]!;
    const x = edge.x[i]! - middle.x;
    const y = edge.y[i]! - middle.y;
    arms[at * stride + offset] = normalX[at]! * (xx * x + xy * y) + normalY[at]! * (yx * x + yy * y);
  }
};

/** Fills order[start..end) with start..end-1 by rising angle: into fine sectors first, then by insertion. */
const sortByAngle = (angles: Float64Array, order: Int32Array, start: number, end: number): void => {
  const fine = 256;
  const starts = new Int32Array(fine + 1);
  for (let i = start; i < end; i++) starts[Math.min(fine - 1, ((angles[i]! * fine) / 4) | 0) + 1]!++;
  for (let s = 0; s < fine; s++) starts[s + 1]! += starts[s]!;
  for (let i = start; i < end; i++)
    order[start + starts[Math.min(fine - 1, ((angles[i]! * fine) / 4) | 0)]!++] = i;
  for (let k = start + 1; k < end; k++) {
    const i = order[k]!;
    let at = k;
    while (at > start && angles[order[at - 1]!]! > angles[i]!) {
      order[at] = order[at - 1]!;
      at--;
    }
    order[at] = i;
  }
};

const sectorStarts = (angle: Float64Array, start: number, end: number): Int32Array => {
  const starts = new Int32Array(sectors);
  let i = start;
  for (let s = 0; s < sectors; s++) {
    while (i < end && angle[i]! < (4 * s) / sectors) i++;
    starts[s] = i;
  }
  return starts;
};

/** What a search runs over: the draws with a length for each. */
export interface Search {
  readonly draws: Draws;
  /** Length of each draw, 1 for all when undefined. */
  readonly lengths?: Float64Array;
  /** Factor of the known displacement: 1, or 0 where there is none. */
  readonly known: 0 | 1;
  /** In: what has to be exceeded; out: the largest approach. Infinity leaves a draw out. */
  readonly best: Float64Array;
  /** Out: the point in run order that exceeded `best`, -1 where none did. */
  readonly points?: Int32Array;
}

/**
 * For every draw the largest of  scale x (n . (length x d(p) + known(p)) + length x kerf)  over the points of a run,
 * raised from `best`.
 */
export const raiseApproach = (index: EdgeIndex, run: Run, search: Search): void => {
  const { normalX, normalY, arms, rest, angle, room } = index;
  const { start, end, sector, leverX, leverY, radius } = run;
  const { draws, lengths, known, best, points } = search;
  const { shiftX, shiftY, spread, lever, kerf } = draws;
  const scale = room?.scale;
  const largestScale = room === undefined ? 1 : room.largestScale;
  const size = lever.length;
  const count = end - start;
  const knownX = known * run.knownX;
  const knownY = known * run.knownY;
  const knownSlack = known * run.restReach;
  const [lever0, lever1, lever2, lever3] = lever;
  const [reach0 = 0, reach1 = 0, reach2 = 0, reach3 = 0] = run.armReach;
  for (let j = 0; j < draws.count; j++) {
    const length = lengths === undefined ? 1 : lengths[j]!;
    let x = length * shiftX[j]! + knownX;
    let y = length * shiftY[j]! + knownY;
    let t0 = 0;
    let t1 = 0;
    let t2 = 0;
    let t3 = 0;
    let slack = 0;
    if (size > 0) {
      t0 = length * lever0![j]!;
      x += t0 * leverX[0]!;
      y += t0 * leverY[0]!;
      slack = Math.abs(t0) * reach0;
      if (size > 1) {
        t1 = length * lever1![j]!;
        x += t1 * leverX[1]!;
        y += t1 * leverY[1]!;
        slack += Math.abs(t1) * reach1;
        if (size > 2) {
          t2 = length * lever2![j]!;
          t3 = length * lever3![j]!;
          x += t2 * leverX[2]! + t3 * leverX[3]!;
          y += t2 * leverY[2]! + t3 * leverY[3]!;
          slack += Math.abs(t2) * reach2 + Math.abs(t3) * reach3;
        }
        const bySpread = length * spread[j]! * radius;
        if (bySpread < slack) slack = bySpread;
      }
    }
    const offset = length * kerf[j]!;
    slack += knownSlack + offset;
    let largest = best[j]!;
    let point = -1;
    if ((Math.sqrt(x * x + y * y) + slack) * largestScale > largest) {
      const towards = x === 0 && y === 0 ? 0 : angleNumber(x, y);
      let first = sector[Math.min(sectors - 1, (towards * sectors) / 4) | 0]!;
      while (first < end && angle[first]! < towards) first++;
      let seen = 0;
      for (let i = first === end ? start : first; seen < count; seen++) {
        const along = normalX[i]! * x + normalY[i]! * y;
        if ((along + slack) * largestScale <= largest) break;
        let value = along + offset + atArm(arms, size, i, t0, t1, t2, t3);
        if (rest !== undefined) value += known * rest[i]!;
        if (scale !== undefined) value *= scale[i]!;
        if (value > largest) {
          largest = value;
          point = i;
        }
        if (++i === end) i = start;
      }
      for (let i = first === start ? end - 1 : first - 1; seen < count; seen++) {
        const along = normalX[i]! * x + normalY[i]! * y;
        if ((along + slack) * largestScale <= largest) break;
        let value = along + offset + atArm(arms, size, i, t0, t1, t2, t3);
        if (rest !== undefined) value += known * rest[i]!;
        if (scale !== undefined) value *= scale[i]!;
        if (value > largest) {
          largest = value;
          point = i;
        }
        if (--i < start) i = end - 1;
      }
      best[j] = largest;
    }
    if (points !== undefined) points[j] = point;
  }
};

/** Sum over the levers of t_k times the arm of point i; small, so that it is compiled into the search. */
const atArm = (
  arms: Float64Array,
  size: number,
  i: number,
  t0: number,
  t1: number,
  t2: number,
  t3: number,
): number => {
  if (size === 1) return arms[i]! * t0;
  if (size === 0) return 0;
  const k = size * i;
  const two = arms[k]! * t0 + arms[k + 1]! * t1;
  return size === 2 ? two : two + arms[k + 2]! * t2 + arms[k + 3]! * t3;
};

/** Scaled approach of a point in run order per unit of length of draw j, the kerf's part included. */
export const approachSlope = (index: EdgeIndex, run: Run, draws: Draws, j: number, point: number): number => {
  let x = draws.shiftX[j]!;
  let y = draws.shiftY[j]!;
  let sum = draws.kerf[j]!;
  const size = draws.lever.length;
  for (let k = 0; k < size; k++) {
    const t = draws.lever[k]![j]!;
    x += t * run.leverX[k]!;
    y += t * run.leverY[k]!;
    sum += t * index.arms[point * size + k]!;
  }
  return scaleAt(index, point) * (index.normalX[point]! * x + index.normalY[point]! * y + sum);
};

/** Scaled known approach of a point in run order. */
export const knownPart = (index: EdgeIndex, run: Run, point: number): number =>
  scaleAt(index, point) *
  (index.normalX[point]! * run.knownX + index.normalY[point]! * run.knownY + (index.rest?.[point] ?? 0));

const scaleAt = ({ room }: EdgeIndex, point: number): number => (room === undefined ? 1 : room.scale[point]!);
