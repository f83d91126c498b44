/**
 * A rough placement drawn to the nearest edges: from anywhere, quickly, rigid or shift only. It looks for starts; what
 * is claimed of a fit comes from mixed-fit.ts.
 */
import type { Point } from '../../geometry/point.js';
import { nearestOnSpan } from '../../geometry/spans/span-distance.js';
import { sideOfSpan } from '../../geometry/spans/span-side.js';
import { type Placement, turnOf } from '../solve/placement.js';
import type { MixedReadings } from './mixed-fit.js';

/** The readings' middle p lies at `at` of the design, and the part is turned by `turn` about it. */
export interface Pose {
  readonly turn: number;
  readonly at: Point;
}

export interface RoughFit {
  readonly pose: Pose;
  /** Sum of (distance / sd)^2. */
  readonly cost: number;
}

/** Readings about their middle; a mark's is its mean. */
export interface RoughReadings {
  readonly middle: Point;
  readonly marks: readonly { readonly x: number; readonly y: number; readonly from: Point; sd: number }[];
  readonly touches: readonly { readonly x: number; readonly y: number; readonly pair: number; sd: number }[];
  readonly edges: MixedReadings['touches'];
  /** Largest distance of a reading from the middle, mm; at least 1. */
  readonly reach: number;
}

export const roughReadings = ({ marks, touches }: MixedReadings): RoughReadings => {
  const points = [...marks.map((m) => m.to), ...touches.map((t) => t.to[0]!)];
  const middle = {
    x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
    y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
  };
  return {
    middle,
    marks: marks.map(({ from, to, sd }) => ({
      x: to.x - middle.x,
      y: to.y - middle.y,
      from,
      sd: Math.sqrt(sd.x * sd.y),
    })),
    touches: touches.map(({ to, sd }, pair) => ({
      x: to[0]!.x - middle.x,
      y: to[0]!.y - middle.y,
      pair,
      sd,
    })),
    edges: touches,
    reach: Math.max(1, ...points.map((p) => Math.hypot(p.x - middle.x, p.y - middle.y))),
  };
};

export const placementOfPose = ({ turn, at }: Pose, { middle }: RoughReadings): Placement => ({
  model: 'rigid',
  centre: at,
  anchor: middle,
  linear: turnOf(turn),
});

/** How far two poses put the readings apart, mm, at most. */
export const apart = (a: Pose, b: Pose, reach: number): number =>
  Math.hypot(a.at.x - b.at.x, a.at.y - b.at.y) + 2 * reach * Math.abs(Math.sin((a.turn - b.turn) / 2));

/** `cost` of a pose; stops as soon as it passes `most`. */
export const costOf = (pose: Pose, readings: RoughReadings, most = Number.POSITIVE_INFINITY): number => {
  const c = Math.cos(pose.turn);
  const s = Math.sin(pose.turn);
  let cost = 0;
  for (const { x, y, from, sd } of readings.marks) {
    const qx = pose.at.x + c * x + s * y - from.x;
    const qy = pose.at.y - s * x + c * y - from.y;
    cost += (qx * qx + qy * qy) / (sd * sd);
  }
  for (const { x, y, pair, sd } of readings.touches) {
    if (cost > most) return cost;
    const { index, setBack } = readings.edges[pair]!.edge;
    const away = index.distance(pose.at.x + c * x + s * y, pose.at.y - s * x + c * y);
    const off = Math.max(0, away - setBack);
    cost += (off * off) / (sd * sd);
  }
  return cost;
};

const mostSteps = 60;

/** Levenberg's and Marquardt's damped steps, each touch drawn to what is nearest to it at each step. */
export const drawnIn = (start: Pose, readings: RoughReadings, turns: boolean): RoughFit => {
  let pose = start;
  let { normal, cost } = equations(pose, readings);
  let damping = 1e-3;
  for (let step = 0; step < mostSteps; step++) {
    const change = solved(normal, damping, turns, readings.reach);
    if (change === undefined) break;
    const next = {
      turn: pose.turn + change.turn,
      at: { x: pose.at.x + change.x, y: pose.at.y + change.y },
    };
    const then = equations(next, readings);
    const moved = Math.hypot(change.x, change.y) + readings.reach * Math.abs(change.turn);
    if (then.cost <= cost) {
      const gained = cost - then.cost;
      pose = next;
      ({ normal, cost } = then);
      damping = Math.max(1e-9, damping / 5);
      if (moved < 1e-6 || gained < 1e-9 * cost) break;
    } else {
      damping *= 8;
      if (moved < 1e-6 || damping > 1e9) break;
    }
  }
  return { pose, cost };
};

/** Normal equations by turn, x, y: [tt, tx, ty, xx, xy, yy, t, x, y]. */
type Normal = readonly number[];

const equations = (pose: Pose, readings: RoughReadings): { normal: Normal; cost: number } => {
  const c = Math.cos(pose.turn);
  const s = Math.sin(pose.turn);
  const sums = [0, 0, 0, 0, 0, 0, 0, 0, 0];
  let cost = 0;
  const add = (nx: number, ny: number, arm: number, off: number, sd: number) => {
    const w = 1 / (sd * sd);
    sums[0]! += w * arm * arm;
    sums[1]! += w * arm * nx;
    sums[2]! += w * arm * ny;
    sums[3]! += w * nx * nx;
    sums[4]! += w * nx * ny;
    sums[5]! += w * ny * ny;
    sums[6]! += w * arm * off;
    sums[7]! += w * nx * off;
    sums[8]! += w * ny * off;
    cost += w * off * off;
  };
  for (const { x, y, from, sd } of readings.marks) {
    const vx = c * x + s * y;
    const vy = -s * x + c * y;
    add(1, 0, vy, pose.at.x + vx - from.x, sd);
    add(0, 1, -vx, pose.at.y + vy - from.y, sd);
  }
  for (const { x, y, pair, sd } of readings.touches) {
    const vx = c * x + s * y;
    const vy = -s * x + c * y;
    const { off, nx, ny } = pull(readings.edges[pair]!.edge, pose.at.x + vx, pose.at.y + vy);
    add(nx, ny, nx * vy - ny * vx, off, sd);
  }
  return { normal: sums, cost };
};

/** Distance from the nearest point of the edge with the direction away from it; signed where the edge is set back. */
const pull = (
  { index, material, setBack }: MixedReadings['touches'][number]['edge'],
  x: number,
  y: number,
): { off: number; nx: number; ny: number } => {
  const number = index.nearest(x, y);
  const span = index.spans[number]!;
  const foot = nearestOnSpan(span, x, y);
  const { left, normalX, normalY } = sideOfSpan(span, x, y);
  const sign = left * material[number]! < 0 ? -1 : 1;
  const size = Math.hypot(x - foot.x, y - foot.y);
  if (size < 1e-9) return { off: -setBack, nx: material[number]! * normalX, ny: material[number]! * normalY };
  return { off: sign * size - setBack, nx: (sign * (x - foot.x)) / size, ny: (sign * (y - foot.y)) / size };
};

const solved = (
  [tt, tx, ty, xx, xy, yy, t, x, y]: Normal,
  damping: number,
  turns: boolean,
  reach: number,
): { turn: number; x: number; y: number } | undefined => {
  // Damped alike in mm: the turn by the distance it moves the farthest reading.
  const size = damping * (xx! + yy!);
  const a = xx! + size;
  const d = yy! + size;
  const det = a * d - xy! * xy!;
  if (!(det > 0)) return undefined;
  const inverse = (p: number, q: number) => ({ x: (d * p - xy! * q) / det, y: (a * q - xy! * p) / det });
  const plain = inverse(x!, y!);
  if (!turns) return { turn: 0, x: -plain.x, y: -plain.y };
  const lean = inverse(tx!, ty!);
  const pivot = tt! + size * reach * reach - (tx! * lean.x + ty! * lean.y);
  if (!(pivot > 0)) return undefined;
  const turn = -(t! - (tx! * plain.x + ty! * plain.y)) / pivot;
  return { turn, x: -plain.x - lean.x * turn, y: -plain.y - lean.y * turn };
};
