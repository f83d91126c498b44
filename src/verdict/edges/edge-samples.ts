/** A closed path as a chain of points with directions of travel, close enough together for a bound on the turn. */
import { apply, type Matrix } from '../../geometry/affine.js';
import {
  type Cubic,
  derivativeAt,
  type EllipticalArc,
  type Path,
  positionAt,
  type Segment,
  transformSegment,
} from '../../geometry/curve.js';
import { cross, dot, length, type Point, subtract, unit } from '../../geometry/point.js';

/** x, y, direction x, direction y of each point: a unit vector along the path. Flat, for there are many. */
export type EdgeChain = Float64Array;

export const fieldsOfChain = 4;

/** Chains one after the other in a few large arrays: thousands of small ones keep the collector of garbage busy. */
export class ChainStore {
  private numbers: Float64Array;
  private start = 0;
  private end = 0;

  /** @param expected about how many numbers will come */
  constructor(expected = 256) {
    this.numbers = new Float64Array(expected);
  }

  /** Adds a point to the chain at hand. */
  push(x: number, y: number, directionX: number, directionY: number): void {
    if (this.end + fieldsOfChain > this.numbers.length) this.more();
    const { numbers, end } = this;
    numbers[end] = x;
    numbers[end + 1] = y;
    numbers[end + 2] = directionX;
    numbers[end + 3] = directionY;
    this.end = end + fieldsOfChain;
  }

  /** Numbers in the chain at hand. */
  get length(): number {
    return this.end - this.start;
  }

  /** The chain at hand; the next point begins another one. */
  take(): EdgeChain {
    const chain = this.numbers.subarray(this.start, this.end);
    this.start = this.end;
    return chain;
  }

  private more(): void {
    const own = this.numbers.subarray(this.start, this.end);
    const larger = new Float64Array(
      Math.max(Math.min(2 * this.numbers.length, largestBlock), 2 * own.length),
    );
    larger.set(own);
    this.numbers = larger;
    this.start = 0;
    this.end = own.length;
  }
}

const largestBlock = 1 << 17;

/** One point of a path with the direction of travel there (a unit vector). */
interface EdgeSample {
  readonly at: Point;
  readonly direction: Point;
}

/** Halving stops here: only a cusp, where the direction jumps, ever gets so far. */
const deepest = 14;
/** A leg of a control polygon shorter than this (mm) has no direction of its own. */
const noLength = 1e-9;

/**
 * How close together samples lie. Between two of them a constraint n . (shift + L p) is a mixture of theirs but for
 * what the normal turns by and for how unevenly it turns.
 */
export interface Fineness {
  /** Largest turn from one sample to the next, radians. */
  readonly turn: number;
  /** Largest difference of n p' (all four products) from the mixture that has the same n, mm. */
  readonly arm: number;
}

/**
 * Samples along a closed path placed by `matrix`, in order: both ends of every segment, and between them as many as `fineness` asks for.
 * Larger turns left over are corners and cusps.
 */
export const samplePath = (
  path: Path,
  matrix: Matrix,
  fineness: Fineness,
  into = new ChainStore(),
): EdgeChain => {
  for (const s of path.segments) {
    if (s.kind === 'line') {
      const from = apply(matrix, s.from);
      const to = apply(matrix, s.to);
      addLine(from.x, from.y, to.x, to.y, into);
    } else sampleSegment(transformSegment(matrix, s), fineness, into);
  }
  return into.take();
};

/**
 * The same points with more between them where two neighbours of one straight line or even curve lie farther apart than
 * `longest`, mm: a panel that is bowed moves the middle of a line farther than its ends.
 *
 * @param turn between two neighbours on a curve, radians; what turns more is a corner
 * @returns the chain, and for each of its points the number of the given one that it follows
 */
export const withPointsBetween = (
  chain: EdgeChain,
  longest: number,
  turn: number,
  closed = true,
): { readonly chain: EdgeChain; readonly from: readonly number[] } => {
  const dense = new ChainStore(2 * chain.length);
  const from: number[] = [];
  const least = Math.cos(turn);
  const count = chain.length / fieldsOfChain;
  for (let i = 0; i < count; i++) {
    const at = fieldsOfChain * i;
    const next = i === count - 1 ? 0 : at + fieldsOfChain;
    const [x, y, dx, dy] = [chain[at]!, chain[at + 1]!, chain[at + 2]!, chain[at + 3]!];
    dense.push(x, y, dx, dy);
    from.push(i);
    const [toX, toY] = [chain[next]! - x, chain[next + 1]! - y];
    const [turnX, turnY] = [chain[next + 2]! - dx, chain[next + 3]! - dy];
    const size = Math.hypot(toX, toY);
    const isOpenEnd = !closed && i === count - 1;
    if (size <= longest || isOpenEnd || dx * (dx + turnX) + dy * (dy + turnY) < least) continue;
    const steps = Math.ceil(size / longest);
    for (let k = 1; k < steps; k++) {
      const t = k / steps;
      const direction = unit({ x: dx + t * turnX, y: dy + t * turnY });
      push({ at: { x: x + t * toX, y: y + t * toY }, direction }, dense);
      from.push(i);
    }
  }
  return { chain: dense.take(), from };
};

/** Whether two neighbours of a closed chain lie farther apart than `longest`, mm. */
export const hasLongSteps = (chain: EdgeChain, longest: number): boolean => {
  const n = chain.length;
  for (let at = 0, before = n - fieldsOfChain; at < n; before = at, at += fieldsOfChain) {
    const x = chain[at]! - chain[before]!;
    const y = chain[at + 1]! - chain[before + 1]!;
    if (x * x + y * y > longest * longest) return true;
  }
  return false;
};

const push = ({ at, direction }: EdgeSample, into: ChainStore): void => {
  into.push(at.x, at.y, direction.x, direction.y);
};

const addLine = (ax: number, ay: number, bx: number, by: number, into: ChainStore): void => {
  const x = bx - ax;
  const y = by - ay;
  const size = Math.sqrt(x * x + y * y);
  if (size <= noLength) return;
  into.push(ax, ay, x / size, y / size);
  into.push(bx, by, x / size, y / size);
};

/** Appends the samples of one segment, both ends included. */
export const sampleSegment = (s: Segment, fineness: Fineness, into: ChainStore): void => {
  switch (s.kind) {
    case 'line':
      addLine(s.from.x, s.from.y, s.to.x, s.to.y, into);
      return;
    case 'arc': {
      if (s.radius <= noLength || s.sweep === 0) return;
      const steps = Math.max(1, Math.ceil(Math.abs(s.sweep) / fineness.turn));
      const speed = s.radius * s.sweep;
      for (let i = 0; i <= steps; i++) {
        const angle = s.start + (i / steps) * s.sweep;
        const c = Math.cos(angle);
        const w = Math.sin(angle);
        const [x, y] = [-speed * w, speed * c];
        const size = Math.sqrt(x * x + y * y);
        into.push(s.centre.x + s.radius * c, s.centre.y + s.radius * w, x / size, y / size);
      }
      return;
    }
    case 'elliptical-arc':
      sampleEllipse(s, fineness, into);
      return;
    case 'cubic':
      sampleCubic(s, fineness, into);
  }
};

const sampleAt = (s: Segment, t: number): EdgeSample => ({
  at: positionAt(s, t),
  direction: unit(derivativeAt(s, t)),
});

const sampleEllipse = (s: EllipticalArc, fineness: Fineness, into: ChainStore): void => {
  if (s.sweep === 0 || length(s.u) + length(s.v) <= noLength) return;
  // Within a quarter turn of the parameter the direction turns by less than half a turn, so the angle between two
  // directions is the turn between them.
  const quarters = Math.max(1, Math.ceil(Math.abs(s.sweep) / (Math.PI / 2)));
  const halve = (t0: number, a: EdgeSample, t1: number, b: EdgeSample, depth: number): void => {
    const t = (t0 + t1) / 2;
    const middle = sampleAt(s, t);
    const turn = Math.abs(turnBetween(a.direction, b.direction));
    if (depth >= deepest || (turn <= fineness.turn && isMixture(a, middle, b, fineness.arm))) {
      push(b, into);
      return;
    }
    halve(t0, a, t, middle, depth + 1);
    halve(t, middle, t1, b, depth + 1);
  };
  let previous = sampleAt(s, 0);
  push(previous, into);
  for (let i = 1; i <= quarters; i++) {
    const next = sampleAt(s, i / quarters);
    halve((i - 1) / quarters, previous, i / quarters, next, 0);
    previous = next;
  }
};

const sampleCubic = (s: Cubic, fineness: Fineness, into: ChainStore): void => {
  const first = firstDirection(s.from, s.control1, s.control2, s.to);
  const last = firstDirection(s.to, s.control2, s.control1, s.from);
  if (first === undefined || last === undefined) return;
  push({ at: s.from, direction: first }, into);
  const { from, control1, control2, to } = s;
  halveCubic(
    [from.x, from.y, control1.x, control1.y, control2.x, control2.y, to.x, to.y],
    first.x,
    first.y,
    -last.x,
    -last.y,
    fineness,
    Math.tan(Math.min(fineness.turn, 1.5)),
    0,
    into,
  );
};

/** Pushes the samples after the start of a cubic given by its four points. In numbers alone: large drawings have millions of samples. */
const halveCubic = (
  points: readonly [number, number, number, number, number, number, number, number],
  startX: number,
  startY: number,
  endX: number,
  endY: number,
  fineness: Fineness,
  tangent: number,
  depth: number,
  into: ChainStore,
): void => {
  const [x0, y0, x1, y1, x2, y2, x3, y3] = points;
  const ax = x0 + 0.5 * (x1 - x0);
  const ay = y0 + 0.5 * (y1 - y0);
  const bx = x1 + 0.5 * (x2 - x1);
  const by = y1 + 0.5 * (y2 - y1);
  const cx = x2 + 0.5 * (x3 - x2);
  const cy = y2 + 0.5 * (y3 - y2);
  const abX = ax + 0.5 * (bx - ax);
  const abY = ay + 0.5 * (by - ay);
  const bcX = bx + 0.5 * (cx - bx);
  const bcY = by + 0.5 * (cy - by);
  const x = abX + 0.5 * (bcX - abX);
  const y = abY + 0.5 * (bcY - abY);
  // At a cusp the legs vanish; the direction just after it stands in.
  let dx = bcX - x;
  let dy = bcY - y;
  if (isNoLength(dx, dy)) {
    dx = cx - x;
    dy = cy - y;
    if (isNoLength(dx, dy)) {
      dx = x3 - x;
      dy = y3 - y;
    }
  }
  const size = Math.sqrt(dx * dx + dy * dy);
  if (size <= noLength) {
    dx = endX;
    dy = endY;
  } else {
    dx /= size;
    dy /= size;
  }
  // The direction stays within the cone of the three legs of the control polygon, so their spread bounds the turn.
  const isFine =
    areLegsWithin(points, fineness.turn, tangent) &&
    isMixture(
      { at: { x: x0, y: y0 }, direction: { x: startX, y: startY } },
      { at: { x, y }, direction: { x: dx, y: dy } },
      { at: { x: x3, y: y3 }, direction: { x: endX, y: endY } },
      fineness.arm,
    );
  if (depth >= deepest || isFine) {
    into.push(x3, y3, endX, endY);
    return;
  }
  const d = depth + 1;
  halveCubic([x0, y0, ax, ay, abX, abY, x, y], startX, startY, dx, dy, fineness, tangent, d, into);
  halveCubic([x, y, bcX, bcY, cx, cy, x3, y3], dx, dy, endX, endY, fineness, tangent, d, into);
};

const isNoLength = (x: number, y: number): boolean => Math.sqrt(x * x + y * y) <= noLength;

/** Whether no two of the three legs of a control polygon, but for those without a length, turn by more than so much. */
const areLegsWithin = (
  [x0, y0, x1, y1, x2, y2, x3, y3]: readonly [number, number, number, number, number, number, number, number],
  turn: number,
  tangent: number,
): boolean => {
  const [ax, ay, bx, by, cx, cy] = [x1 - x0, y1 - y0, x2 - x1, y2 - y1, x3 - x2, y3 - y2];
  const hasA = !isNoLength(ax, ay);
  const hasB = !isNoLength(bx, by);
  const hasC = !isNoLength(cx, cy);
  return (
    !(hasA && hasB && turnsMore(ax, ay, bx, by, turn, tangent)) &&
    !(hasA && hasC && turnsMore(ax, ay, cx, cy, turn, tangent)) &&
    !(hasB && hasC && turnsMore(bx, by, cx, cy, turn, tangent))
  );
};

/** `tangent` of the turn; of one near a quarter turn or above it is not looked at. */
const turnsMore = (
  ax: number,
  ay: number,
  bx: number,
  by: number,
  turn: number,
  tangent: number,
): boolean => {
  const across = ax * by - ay * bx;
  const along = ax * bx + ay * by;
  if (turn >= 1.5) return Math.abs(Math.atan2(across, along)) > turn;
  return along <= 0 || Math.abs(across) > tangent * along;
};

/**
 * True when the middle sample's products n p' differ by at most `arm` from the mixture of the outer two that has the
 * normal of the middle one. Where the normal hardly turns, any mixture will do, and only what lies beyond both counts.
 */
const isMixture = (a: EdgeSample, middle: EdgeSample, b: EdgeSample, arm: number): boolean => {
  const turn = cross(a.direction, b.direction);
  const ax = a.at.x - middle.at.x;
  const ay = a.at.y - middle.at.y;
  const bx = b.at.x - middle.at.x;
  const by = b.at.y - middle.at.y;
  if (Math.abs(turn) < 1e-9) return true;
  // Measured from the middle point its own products vanish.
  const shareA = cross(middle.direction, b.direction) / turn;
  const shareB = cross(a.direction, middle.direction) / turn;
  if (shareA < 0 || shareB < 0) return Math.max(length({ x: ax, y: ay }), length({ x: bx, y: by })) <= arm;
  const nax = shareA * a.direction.y;
  const nay = -shareA * a.direction.x;
  const nbx = shareB * b.direction.y;
  const nby = -shareB * b.direction.x;
  return (
    Math.abs(nax * ax + nbx * bx) <= arm &&
    Math.abs(nax * ay + nbx * by) <= arm &&
    Math.abs(nay * ax + nby * bx) <= arm &&
    Math.abs(nay * ay + nby * by) <= arm
  );
};

/** The direction from `from` to the first of the points that differs from it. */
const firstDirection = (from: Point, ...points: readonly Point[]): Point | undefined => {
  for (const p of points) {
    const leg = subtract(p, from);
    if (length(leg) > noLength) return unit(leg);
  }
  return undefined;
};

/** The angle from a to b, -pi..pi, counter-clockwise positive. */
export const turnBetween = (a: Point, b: Point): number => Math.atan2(cross(a, b), dot(a, b));
