/** Lines cut again as drawn: the points and normals whose deviation has to stay within what is allowed, to either side. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Doubt } from '../../fit/doubts/doubted.js';
import { mm } from '../../fit/words.js';
import type { Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import { type Job, whereInJob } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { lossInCut } from '../risk/cut-loss.js';
import { type Edge, type EdgeSettings, largestArm, largestTurn } from './edge.js';
import { roughSize } from './edge-rings.js';
import {
  ChainStore,
  type EdgeChain,
  fieldsOfChain,
  samplePath,
  turnBetween,
  withPointsBetween,
} from './edge-samples.js';

/** Whether there is anything the error could fit into: for a cut as drawn it has to be stated. */
export const hasBound = (job: Job): boolean =>
  job.cut.kind !== 'as-drawn' || job.check.allowedDeviation !== undefined;

/** What to write into the job, with a length to be replaced by what the piece allows. */
export const boundToWrite = (job: Job): string =>
  job.positions?.has('check')
    ? '"allowed-deviation: 0.2" under "check:"'
    : '"check: {allowed-deviation: 0.2}"';

/**
 * @param needed deviation at the accepted risk, mm; undefined where no uncertainty can be claimed
 * @returns for a job cut as drawn that does not say how far the cut may lie from the line
 */
export const missingBound = (job: Job, doubt: Doubt | undefined, needed: number | undefined): InputError =>
  new InputError({
    found: 'a cut as drawn that does not say how far it may lie off the drawn line',
    expected: `${boundToWrite(job)}, or what your piece allows for 0.2 mm`,
    where: whereInJob(job, 'check'),
    next: `Without it there is no verdict. ${howFarOff(job, doubt, needed)}`,
  });

const howFarOff = ({ check }: Job, doubt: Doubt | undefined, needed: number | undefined): string => {
  if (doubt !== undefined) return 'But first the readings: they are in doubt, and "reseat fit" says which.';
  if (needed === undefined)
    return 'State "fit: {reading-sd: ...}" as well: nothing else tells how far off it may lie.';
  const accepted = Number((100 * check.acceptedRisk).toPrecision(3));
  return `With these readings at most ${accepted} of 100 such jobs lie more than ${mm(needed)} off somewhere.`;
};

/**
 * Lines placed by `matrix` (design after face -> true bed mm), one edge per shape, open paths and closed ones alike.
 * A line that moves by d (no turn) lies nowhere farther from where it was than the largest n . d over these normals n:
 * both normals along a curve, all directions of the outer angle at a corner, and half a turn about an open end.
 */
export const lineEdges = (
  shapes: readonly Shape[],
  matrix: Matrix,
  { cutReversal, longest }: Pick<EdgeSettings, 'cutReversal' | 'longest'> = {},
): Edge[] => {
  const store = new ChainStore();
  return shapes.map(({ id, paths }) => {
    const into: Constraint[] = [];
    for (const path of paths) {
      const plain = samplePath(path, matrix, { turn: largestTurn, arm: largestArm * roughSize(path) }, store);
      const chain =
        longest === undefined ? plain : withPointsBetween(plain, longest, 2 * largestTurn, path.closed).chain;
      if (chain.length > 0) addPath(chain, path.closed, into);
    }
    const column = (of: (c: Constraint) => number): Float64Array => Float64Array.from(into, of);
    return {
      id,
      x: column((c) => c.at.x),
      y: column((c) => c.at.y),
      normalX: column((c) => c.normal.x),
      normalY: column((c) => c.normal.y),
      ...(cutReversal === undefined
        ? {}
        : { loss: column(({ normal }) => lossInCut(cutReversal, normal.x, normal.y, false)) }),
    };
  });
};

interface Constraint {
  readonly at: Point;
  readonly normal: Point;
}

const addPath = (chain: EdgeChain, closed: boolean, into: Constraint[]): void => {
  const count = chain.length / fieldsOfChain;
  const sample = (i: number): { at: Point; direction: Point } => {
    const k = (i % count) * fieldsOfChain;
    return { at: { x: chain[k]!, y: chain[k + 1]! }, direction: { x: chain[k + 2]!, y: chain[k + 3]! } };
  };
  /** Normals from n through the turn, both ends left out. */
  const addFan = (at: Point, n: Point, turn: number): void => {
    const steps = Math.ceil(Math.abs(turn) / largestTurn);
    for (let k = 1; k < steps; k++) into.push({ at, normal: turned(n, (turn * k) / steps) });
  };
  for (let i = 0; i < count; i++) {
    const { at, direction } = sample(i);
    const left = { x: -direction.y, y: direction.x };
    const right = { x: direction.y, y: -direction.x };
    into.push({ at, normal: left }, { at, normal: right });
    const isLast = i === count - 1;
    if (!closed && i === 0) addFan(at, left, Math.PI);
    if (!closed && isLast) {
      addFan(at, right, Math.PI);
      return;
    }
    const next = sample(i + 1);
    const turn = turnBetween(direction, next.direction);
    addFan(next.at, turn > 0 ? right : left, turn);
  }
};

const turned = ({ x, y }: Point, angle: number): Point => {
  const c = Math.cos(angle);
  const s = Math.sin(angle);
  return { x: c * x - s * y, y: s * x + c * y };
};
