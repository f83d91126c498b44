/** Published values for covariance, reliability and the tables behind the tests. Tags as in the titles. */
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import { criticalResidual, detectableShift } from '../../src/fit/assemble.js';
import { grubbsCritical } from '../../src/fit/doubts/suspicion.js';
import type { Fit, Observation } from '../../src/fit/fit.js';
import { unknownsOf } from '../../src/fit/solve/placement.js';
import { positionCovariance } from '../../src/fit/solve/position.js';
import type { Model } from '../../src/job/job.js';
import {
  chiSquareCdf,
  chiSquareQuantile,
  fQuantile,
  normalCdf,
  normalQuantile,
  studentQuantile,
} from '../../src/numeric/distributions.js';
import { createRandom } from '../../src/numeric/random.js';

const near = (value: number, printed: number, places: number): void =>
  expect(Math.abs(value - printed), `got ${value}, expected ${printed}`).toBeLessThanOrEqual(
    0.5000001 * 10 ** -places,
  );

const corners = [
  { x: 0, y: 0 },
  { x: 400, y: 0 },
  { x: 400, y: 300 },
  { x: 0, y: 300 },
];
const target = { x: 500, y: 150 };

const turned = (angle: number, sds?: readonly { x: number; y: number }[]): Observation[] =>
  corners.map((q, i) => ({
    mark: 'ABCD'[i]!,
    design: q,
    readings: [
      { x: Math.cos(angle) * q.x - Math.sin(angle) * q.y, y: Math.sin(angle) * q.x + Math.cos(angle) * q.y },
    ],
    ...(sds === undefined ? {} : { sd: sds[i]! }),
  }));

const fitOf = (observations: Observation[], model: Model, readingSd?: number): Fit => {
  const outcome = adjust(observations, {
    model,
    markSd: 0,
    ...(readingSd === undefined ? {} : { readingSd }),
  });
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

describe('Fitzpatrick, West & Maurer 1998, expected sizes (in two dimensions derived; recomputed)', () => {
  const thirty = Math.PI / 6;

  it.each([
    ['shift', 0.07071],
    ['rigid', 0.09274],
    ['similarity', 0.11045],
    ['affine', 0.12747],
  ] as const)('rms error of the target under %s is %d', (model, printed) => {
    // A shift cannot follow the turn; its covariance does not depend on it.
    const readings = turned(model === 'shift' ? 0 : thirty);
    const covariance = positionCovariance(fitOf(readings, model, 0.1), target)!;
    // A whole unit of the last digit: the affine value, sqrt(.01625) = .127475, is printed cut off.
    expect(Math.abs(Math.sqrt(covariance.xx + covariance.yy) - printed)).toBeLessThan(1e-5);
  });

  it('the formulas behind them hold exactly for the unturned pattern', () => {
    const spread = 4 * (200 ** 2 + 150 ** 2);
    const arm = { x: 300, y: 0 };
    const expected = {
      shift: { xx: 1 / 4, xy: 0, yy: 1 / 4 },
      rigid: {
        xx: 1 / 4 + arm.y ** 2 / spread,
        xy: -(arm.x * arm.y) / spread,
        yy: 1 / 4 + arm.x ** 2 / spread,
      },
      similarity: { xx: 1 / 4 + arm.x ** 2 / spread, xy: 0, yy: 1 / 4 + arm.x ** 2 / spread },
      affine: {
        xx: 1 / 4 + arm.x ** 2 / (4 * 200 ** 2),
        xy: 0,
        yy: 1 / 4 + arm.x ** 2 / (4 * 200 ** 2),
      },
    };
    for (const model of ['shift', 'rigid', 'similarity', 'affine'] as const) {
      const covariance = positionCovariance(fitOf(turned(0), model, 0.1), target)!;
      for (const key of ['xx', 'xy', 'yy'] as const)
        expect(covariance[key] / 0.01).toBeCloseTo(expected[model][key], 12);
    }
  });

  it('random readings scatter as the covariance says (rigid, 4,000 trials)', () => {
    const random = createRandom('fitzpatrick');
    const exact = turned(thirty);
    let squares = 0;
    let sums = 0;
    const trials = 4000;
    for (let k = 0; k < trials; k++) {
      const fit = fitOf(
        exact.map((o) => ({
          ...o,
          readings: o.readings.map((p) => ({
            x: p.x + 0.1 * random.normal(),
            y: p.y + 0.1 * random.normal(),
          })),
        })),
        'rigid',
        0.1,
      );
      const [a, b, c, d, e, f] = fit.matrix;
      const x = a * target.x + c * target.y + e;
      const y = b * target.x + d * target.y + f;
      squares += (x - (Math.cos(thirty) * 500 - Math.sin(thirty) * 150)) ** 2;
      squares += (y - (Math.sin(thirty) * 500 + Math.cos(thirty) * 150)) ** 2;
      sums += fit.sumOfSquares;
    }
    // Relative sd of a variance from 2 x 4,000 values is 1.6 %; E[sum of squares] = (2 N - p) sigma^2.
    expect(Math.abs(squares / trials / 0.09274 ** 2 - 1)).toBeLessThan(0.06);
    expect(Math.abs(sums / trials / (5 * 0.01) - 1)).toBeLessThan(0.04);
  });

  it('redundancy numbers of unrotated rigid: .66 on every x reading, .59 on every y', () => {
    for (const mark of fitOf(turned(0), 'rigid', 0.1).marks) {
      near(mark.redundancy.x, 0.66, 12);
      near(mark.redundancy.y, 0.59, 12);
    }
  });

  it.each(['shift', 'rigid', 'similarity', 'affine'] as const)(
    '%s: redundancy numbers sum to 2 N - p',
    (model) => {
      const fit = fitOf(turned(thirty), model, 0.1);
      const sum = fit.marks.reduce((total, m) => total + m.redundancy.x + m.redundancy.y, 0);
      expect(sum).toBeCloseTo(8 - unknownsOf[model], 12);
    },
  );

  it('different sds along the machine axes: rigid weighted covariance at the target', () => {
    const sds = [
      { x: 0.05, y: 0.05 },
      { x: 0.05, y: 0.1 },
      { x: 0.2, y: 0.2 },
      { x: 0.2, y: 0.05 },
    ];
    const covariance = positionCovariance(fitOf(turned(thirty, sds), 'rigid'), target)!;
    near(covariance.xx, 0.00328634, 8);
    near(covariance.xy, -0.00303077, 8);
    near(covariance.yy, 0.00543468, 8);
  });
});

describe('Baarda 1968, data snooping (formula seen, recomputed)', () => {
  it('alpha .001, power .80: critical value 3.2905, delta0 4.1321', () => {
    near(normalQuantile(0.9995), criticalResidual, 4);
    near(normalQuantile(0.9995) + normalQuantile(0.8), detectableShift, 4);
  });

  it('a mistake of the smallest detectable size is found in eight of ten cases (2,000 trials)', () => {
    const random = createRandom('baarda');
    const clean = turned(0.2);
    const size = fitOf(clean, 'rigid', 0.1).marks[1]!.smallestDetectable.y!;
    let found = 0;
    for (let k = 0; k < 2000; k++) {
      const observations = clean.map((o, i) => ({
        ...o,
        readings: o.readings.map((p) => ({
          x: p.x + 0.1 * random.normal(),
          y: p.y + 0.1 * random.normal() + (i === 1 ? size : 0),
        })),
      }));
      if (Math.abs(fitOf(observations, 'rigid', 0.1).marks[1]!.normalized.y!) > criticalResidual) found++;
    }
    // Three binomial sds of 2,000 trials: 0.027.
    expect(Math.abs(found / 2000 - 0.8)).toBeLessThan(0.027);
  });
});

describe('table values (NIST/SEMATECH e-Handbook, memory; the rest recomputed)', () => {
  it('chi-square, Student, F', () => {
    near(chiSquareQuantile(0.95, 2), 5.991, 3);
    near(studentQuantile(0.975, 3), 3.182, 3);
    near(fQuantile(0.95, 1, 2), 18.513, 3);
  });

  it('95 % radius of a round two-dimensional normal distribution: 2.44775 sigma', () => {
    near(Math.sqrt(chiSquareQuantile(0.95, 2)), 2.44775, 5);
    expect(chiSquareCdf(2.44775 ** 2, 2)).toBeCloseTo(0.95, 6);
  });

  it("Grubbs' two-sided 5 % for three to ten readings", () => {
    const printed = [1.1543, 1.4813, 1.715, 1.8871, 2.02, 2.1266, 2.215, 2.29];
    printed.forEach((value, i) => {
      near(grubbsCritical(3 + i, 0.05), value, 4);
    });
  });

  it('JCGM 106:2012, a measured value near its limit: conformity probability .9192 (inputs memory)', () => {
    near(normalCdf((-5.4 - -5.47) / 0.05), 0.9192, 4);
  });
});
