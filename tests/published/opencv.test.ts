/**
 * An independent library: OpenCV (opencv-wasm) against the affine fit. Its results are single precision in effect
 * (about 1e-4 mm on a bed of 3 m was seen); recomputed here on every run.
 */
import { createRequire } from 'node:module';
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Matrix } from '../../src/geometry/affine.js';
import { apply } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';

interface Mat {
  readonly data64F: Float64Array;
  delete(): void;
}
interface OpenCv {
  readonly CV_32FC2: number;
  readonly Mat: new () => Mat;
  matFromArray(rows: number, columns: number, type: number, values: readonly number[]): Mat;
  getAffineTransform(from: Mat, to: Mat): Mat;
  estimateAffine2D(from: Mat, to: Mat, inliers: Mat): Mat;
}

/** The module takes over unhandled rejections of the process; what it added is removed again. */
const loadOpenCv = (): OpenCv => {
  const events = ['unhandledRejection', 'uncaughtException'] as const;
  const before = events.map((event) => process.listeners(event as 'uncaughtException'));
  const { cv } = createRequire(import.meta.url)('opencv-wasm') as { cv: OpenCv };
  events.forEach((event, i) => {
    for (const listener of process.listeners(event as 'uncaughtException'))
      if (!before[i]!.includes(listener)) process.removeListener(event, listener);
  });
  return cv;
};

const cv = loadOpenCv();

const flat = (points: readonly Point[]): number[] => points.flatMap((p) => [p.x, p.y]);

/** OpenCV's 2 x 3 rows [a c e; b d f]. */
const asMatrix = ({ data64F: m }: Mat): Matrix => [m[0]!, m[3]!, m[1]!, m[4]!, m[2]!, m[5]!];

const estimated = (from: readonly Point[], to: readonly Point[]): Matrix => {
  const a = cv.matFromArray(from.length, 1, cv.CV_32FC2, flat(from));
  const b = cv.matFromArray(to.length, 1, cv.CV_32FC2, flat(to));
  const inliers = new cv.Mat();
  const found = from.length === 3 ? cv.getAffineTransform(a, b) : cv.estimateAffine2D(a, b, inliers);
  const matrix = asMatrix(found);
  for (const mat of [a, b, inliers, found]) mat.delete();
  return matrix;
};

const ours = (from: readonly Point[], to: readonly Point[]): Matrix => {
  const outcome = adjust(
    from.map((design, i) => ({ mark: `M${i}`, design, readings: [to[i]!] })),
    { model: 'affine', markSd: 0 },
  );
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit.matrix;
};

const corners: Point[] = [
  { x: 0, y: 0 },
  { x: 3000, y: 0 },
  { x: 3000, y: 2000 },
  { x: 0, y: 2000 },
];

/** The spacing of single-precision numbers at 3,000 mm. */
const singlePrecision = 2.5e-4;

const worstDifference = (a: Matrix, b: Matrix): number =>
  Math.max(...corners.map((q) => Math.hypot(apply(a, q).x - apply(b, q).x, apply(a, q).y - apply(b, q).y)));

describe('OpenCV agrees with the affine fit (recomputed)', () => {
  const random = createRandom('opencv');
  const truth: Matrix = [0.998, 0.052, -0.0505, 1.0012, 105.25, 48.5];
  const points = (count: number): Point[] =>
    Array.from({ length: count }, () => ({ x: 3000 * random.uniform(), y: 2000 * random.uniform() }));

  it('getAffineTransform on three points', () => {
    const from = [
      { x: 20, y: 30 },
      { x: 2950, y: 60 },
      { x: 400, y: 1900 },
    ];
    const to = from.map((q) => apply(truth, q));
    expect(worstDifference(estimated(from, to), ours(from, to))).toBeLessThan(singlePrecision);
  });

  it('estimateAffine2D on twelve points that are all inliers', () => {
    const from = points(12);
    const to = from.map((q) => {
      const p = apply(truth, q);
      return { x: p.x + 0.05 * random.normal(), y: p.y + 0.05 * random.normal() };
    });
    expect(worstDifference(estimated(from, to), ours(from, to))).toBeLessThan(singlePrecision);
  });
});
