/** Touches with a known truth: is the covariance that is stated the one that comes out, and is the placement found? */
import { adjust } from '../../src/fit/adjust.js';
import type { FitOptions, Observation } from '../../src/fit/fit.js';
import { jacobianAt, type Placement, placed } from '../../src/fit/solve/placement.js';
import { positionJacobian } from '../../src/fit/solve/position.js';
import { fitMixed } from '../../src/fit/touches/mixed-fit.js';
import { apply, type Matrix } from '../../src/geometry/affine.js';
import type { Path } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { sideOfSpan } from '../../src/geometry/spans/span-side.js';
import type { Model } from '../../src/job/job.js';
import type { TouchEdge } from '../../src/marks/touch-edge.js';
import type { TouchReadings } from '../../src/marks/touches.js';
import { studentQuantile } from '../../src/numeric/distributions.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import {
  along,
  circle,
  edgeOf,
  placement,
  polygon,
  reading,
  spreadShares,
  touchesAlong,
  wavy,
} from '../fit/touch-scenes.js';

const sd = 0.1;

interface Site {
  readonly edge: TouchEdge;
  readonly share: number;
  readonly readings?: number;
}

interface Scene {
  readonly name: string;
  readonly model: Model;
  readonly sites: readonly Site[];
  readonly marks?: readonly Point[];
  readonly markSd?: number;
}

const outline = polygon([0, 0], [500, 20], [560, 330], [30, 300]);
const leaf: Path = {
  closed: true,
  segments: [
    {
      kind: 'cubic',
      from: { x: 150, y: 80 },
      control1: { x: 230, y: 60 },
      control2: { x: 300, y: 150 },
      to: { x: 330, y: 240 },
    },
    {
      kind: 'cubic',
      from: { x: 330, y: 240 },
      control1: { x: 240, y: 230 },
      control2: { x: 160, y: 180 },
      to: { x: 150, y: 80 },
    },
  ],
};
const oval: Path = {
  closed: true,
  segments: [
    {
      kind: 'elliptical-arc',
      centre: { x: 430, y: 120 },
      u: { x: 60, y: 20 },
      v: { x: -10, y: 30 },
      start: 0,
      sweep: 2 * Math.PI,
    },
  ],
};
const holes = [
  { x: 40, y: 40 },
  { x: 480, y: 50 },
  { x: 300, y: 290 },
];

const even = (edge: TouchEdge, count: number, from = 0.07): Site[] =>
  Array.from({ length: count }, (_, i) => ({ edge, share: (from + i / count) % 1 }));

export const scenes = (): Scene[] => {
  const edge = edgeOf('outline', outline);
  const rims = (radius?: 'unknown') =>
    holes.flatMap((centre, i) =>
      even(edgeOf(`hole ${i + 1}`, circle(centre, 4), { hole: true, ...(radius ? { radius } : {}) }), 3),
    );
  const rim = edgeOf('hole', circle(holes[0]!, 4), { hole: true, radius: 'unknown' });
  const curves = [
    ...even(edgeOf('leaf', leaf, { hole: true }), 6),
    ...even(edgeOf('oval', oval, { hole: true }), 5),
  ];
  const round = edgeOf('outline', wavy(createRandom('outline'), 200, 0.1));
  return [
    { name: 'straight edges', model: 'rigid', sites: even(edge, 6) },
    { name: 'rims of known radius', model: 'rigid', sites: rims() },
    { name: 'rims of unknown radius', model: 'rigid', sites: rims('unknown') },
    { name: 'drawn curves', model: 'rigid', sites: curves },
    { name: 'outline of 200 pieces, 8 touches', model: 'rigid', sites: even(round, 8) },
    { name: 'the same, shift only', model: 'shift', sites: even(round, 8) },
    { name: 'the same, similarity', model: 'similarity', sites: even(round, 8) },
    {
      name: 'two marks and three edges',
      model: 'rigid',
      marks: [holes[0]!, holes[1]!],
      sites: even(edge, 3),
    },
    {
      name: 'three marks, a rim, two edges, affine',
      model: 'affine',
      marks: [holes[1]!, holes[2]!, { x: 40, y: 280 }],
      sites: [...even(rim, 4), ...even(edge, 2)],
    },
    {
      name: 'mark-sd 0.08, each read twice',
      model: 'rigid',
      marks: [holes[0]!, holes[1]!],
      markSd: 0.08,
      sites: even(edge, 5).map((site) => ({ ...site, readings: 2 })),
    },
  ];
};

export const truthOf = (model: Model): Matrix => (model === 'shift' ? placement(0) : placement(0.6));
const testPoints = [
  { x: 20, y: 20 },
  { x: 520, y: 300 },
];

/** Where the edge bounds material: across it the drawn position strays. */
const normalAt = (edge: TouchEdge, at: Point): Point => {
  const side = sideOfSpan(edge.index.spans[edge.index.nearest(at.x, at.y)]!, at.x, at.y);
  return { x: side.normalX, y: side.normalY };
};

export const readScene = (
  scene: Scene,
  truth: Matrix,
  random: RandomSource,
): { observations: Observation[]; touches: TouchReadings[] } => {
  const markSd = scene.markSd ?? 0;
  const observations = (scene.marks ?? []).map((design, i): Observation => {
    const strayed = { x: design.x + markSd * random.normal(), y: design.y + markSd * random.normal() };
    const count = markSd > 0 ? 2 : 1;
    return {
      mark: `M${i + 1}`,
      design,
      readings: Array.from({ length: count }, () => reading(truth, strayed, random, sd)),
    };
  });
  const touches = scene.sites.map(({ edge, share, readings = 1 }, i): TouchReadings => {
    const at = along(edge, share);
    const n = normalAt(edge, at);
    const off = markSd * random.normal();
    const strayed = { x: at.x + off * n.x, y: at.y + off * n.y };
    return {
      touch: `touch ${i + 1} on ${edge.name}`,
      edge,
      readings: Array.from({ length: readings }, () => reading(truth, strayed, random, sd)),
    };
  });
  return { observations, touches };
};

/** The placement and its covariance: with marks by `adjust`; without from a start at the truth. */
const fitScene = (
  scene: Scene,
  truth: Matrix,
  observations: readonly Observation[],
  touches: readonly TouchReadings[],
): { at: (q: Point) => Point; rows: (q: Point) => { x: number[]; y: number[] }; covariance: number[][] } => {
  if (observations.length > 1) {
    const options: FitOptions = { model: scene.model, readingSd: sd, markSd: scene.markSd ?? 0 };
    const outcome = adjust(observations, options, touches);
    if (!outcome.ok) throw new Error(`${scene.name}: ${outcome.failure.reason}`);
    const { fit } = outcome;
    // A fit whose residuals happen to be large widens its covariance; what is compared here is the one before that.
    const widened = (fit.sd.used! / sd) ** 2;
    return {
      at: (q) => apply(fit.matrix, q),
      rows: (q) => positionJacobian(fit, q),
      covariance: fit.covariance!.map((row) => row.map((v) => v / widened)),
    };
  }
  const centre = { x: 250, y: 160 };
  const [a, b, c, d] = truth;
  const start: Placement = { model: scene.model, centre, anchor: apply(truth, centre), linear: [a, b, c, d] };
  const pairs = touches.map(({ edge, readings }) => ({
    edge,
    to: readings,
    sd: sd / Math.sqrt(readings.length),
  }));
  const fitted = fitMixed(scene.model, { marks: [], touches: pairs }, start);
  if (!fitted.ok) throw new Error(`${scene.name}: ${fitted.why}`);
  return {
    at: (q) => placed(fitted.placement, q),
    rows: (q) => jacobianAt(fitted.placement, q),
    covariance: fitted.solved.cofactor.map((row) => [...row]),
  };
};

export interface CovarianceResult {
  readonly name: string;
  /** Observed over stated variance of the position, least and largest over both axes of all test points. */
  readonly least: number;
  readonly largest: number;
  /** Observed minus stated correlation of any two of them, the largest. */
  readonly correlation: number;
  /** Mean error over its own standard error, the largest. */
  readonly bias: number;
}

export const studyCovariance = (scene: Scene, trials: number, seed: string): CovarianceResult => {
  const random = createRandom(`${seed} ${scene.name}`);
  const truth = truthOf(scene.model);
  const size = 2 * testPoints.length;
  const stated = matrixOfZeros(size);
  const observed = matrixOfZeros(size);
  const mean = new Array<number>(size).fill(0);
  for (let trial = 0; trial < trials; trial++) {
    const { observations, touches } = readScene(scene, truth, random);
    const { at, rows, covariance } = fitScene(scene, truth, observations, touches);
    const errors = testPoints.flatMap((q) => {
      const fitted = at(q);
      const real = apply(truth, q);
      return [fitted.x - real.x, fitted.y - real.y];
    });
    const jacobian = testPoints.flatMap((q) => {
      const { x, y } = rows(q);
      return [x, y];
    });
    for (let i = 0; i < size; i++) {
      mean[i]! += errors[i]! / trials;
      for (let j = 0; j < size; j++) {
        observed[i]![j]! += (errors[i]! * errors[j]!) / trials;
        stated[i]![j]! += propagated(jacobian[i]!, covariance, jacobian[j]!) / trials;
      }
    }
  }
  const ratios = mean.map((_, i) => observed[i]![i]! / stated[i]![i]!);
  let correlation = 0;
  for (let i = 0; i < size; i++)
    for (let j = 0; j < i; j++)
      correlation = Math.max(
        correlation,
        Math.abs(correlationOf(observed, i, j) - correlationOf(stated, i, j)),
      );
  return {
    name: scene.name,
    least: Math.min(...ratios),
    largest: Math.max(...ratios),
    correlation,
    bias: Math.max(...mean.map((m, i) => Math.abs(m) / Math.sqrt(stated[i]![i]! / trials))),
  };
};

const matrixOfZeros = (size: number): number[][] =>
  Array.from({ length: size }, () => new Array<number>(size).fill(0));

const correlationOf = (m: readonly (readonly number[])[], i: number, j: number): number =>
  m[i]![j]! / Math.sqrt(m[i]![i]! * m[j]![j]!);

const propagated = (
  a: readonly number[],
  covariance: readonly (readonly number[])[],
  b: readonly number[],
): number => {
  let sum = 0;
  for (let i = 0; i < a.length; i++)
    for (let j = 0; j < b.length; j++) sum += a[i]! * covariance[i]![j]! * b[j]!;
  return sum;
};

/** Share of the jobs without any stated sd in which the 95 % limits (Student-t) hold the true place. */
export const studyLimits = (trials: number, seed: string): number => {
  const random = createRandom(`${seed} limits`);
  const scene = scenes().find((s) => s.name === 'two marks and three edges')!;
  const truth = truthOf('rigid');
  let held = 0;
  for (let trial = 0; trial < trials; trial++) {
    const { observations, touches } = readScene(scene, truth, random);
    const outcome = adjust(observations, { model: 'rigid', markSd: 0 }, touches);
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    const { fit } = outcome;
    const q = testPoints[1]!;
    const { x } = positionJacobian(fit, q);
    const limit =
      studentQuantile(0.975, fit.sd.usedDof!) * Math.sqrt(propagated(x, fit.covariance! as number[][], x));
    if (Math.abs(apply(fit.matrix, q).x - apply(truth, q).x) <= limit) held++;
  }
  return held / trials;
};

export interface OutlineResult {
  readonly name: string;
  readonly trials: number;
  /** Placed within 1 mm everywhere. */
  readonly right: number;
  /** Placed elsewhere without a word. */
  readonly wrong: number;
  /** Refused, with what would decide it. */
  readonly told: number;
}

/** Outlines that lie one way only, and such as lie in several. */
export const outlines: Readonly<Record<string, (random: RandomSource) => Path>> = {
  'wavy, 200 pieces': (random) => wavy(random, 200, 0.1),
  'nearly an ellipse, 200 pieces': (random) => wavy(random, 200, 0.02),
  'four unequal sides': () => outline,
  'a step': () => polygon([0, 0], [600, 0], [600, 150], [250, 150], [250, 400], [0, 400]),
  rectangle: () => polygon([0, 0], [600, 0], [600, 400], [0, 400]),
  square: () => polygon([0, 0], [400, 0], [400, 400], [0, 400]),
  disc: () => circle({ x: 0, y: 0 }, 250),
  'disc of 200 pieces': (random) => wavy(random, 200, 0),
};
export const irregular = Object.keys(outlines).slice(0, 4);
export const regular = ['rectangle', 'square', 'disc'];

/** 8 touches at places of chance, any turn. */
export const studyOutline = (name: string, trials: number, seed: string): OutlineResult => {
  const random = createRandom(`${seed} ${name}`);
  let right = 0;
  let wrong = 0;
  let told = 0;
  for (let trial = 0; trial < trials; trial++) {
    const path = outlines[name]!(random);
    const edge = edgeOf('outline', path);
    const truth = placement(2 * Math.PI * random.uniform());
    const touches = touchesAlong(edge, spreadShares(8, random), (at) => reading(truth, at, random, sd));
    const outcome = adjust([], { model: 'rigid', readingSd: sd, markSd: 0 }, touches);
    if (!outcome.ok) told++;
    else {
      const off = Math.max(
        ...[0, 0.25, 0.5, 0.75].map((share) => {
          const q = along(edge, share);
          const fitted = apply(outcome.fit.matrix, q);
          const real = apply(truth, q);
          return Math.hypot(fitted.x - real.x, fitted.y - real.y);
        }),
      );
      if (off < 1) right++;
      else wrong++;
    }
  }
  return { name, trials, right, wrong, told };
};
