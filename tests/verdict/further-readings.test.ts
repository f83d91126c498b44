import { expect, test } from 'vitest';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { positionCovariance } from '../../src/fit/solve/position.js';
import { apply, type Matrix, translation } from '../../src/geometry/affine.js';
import {
  readingVariance,
  withKnownSd,
  withNewMark,
  withSecondReading,
} from '../../src/verdict/advice/further-readings.js';
import { fitOf, readingsOf, turned } from './jobs.js';

/** Position by position: the unknowns of the two fits turn about different centres. */
const expectSameCovariance = (foretold: Fit, really: Fit) => {
  for (const p of [
    { x: 0, y: 0 },
    { x: 700, y: 50 },
    { x: 250, y: 400 },
  ]) {
    const one = positionCovariance(foretold, p)!;
    const other = positionCovariance(really, p)!;
    const scale = other.xx + other.yy;
    for (const entry of ['xx', 'xy', 'yy'] as const) {
      expect(one[entry] / scale).toBeCloseTo(other[entry] / scale, 8);
    }
  }
};

const models = ['shift', 'rigid', 'similarity', 'affine'] as const;

const truthOf = (model: (typeof models)[number]): Matrix =>
  model === 'shift' ? translation(30, 40) : turned;

test('a second reading brings what the fit with that reading has', () => {
  for (const model of models) {
    const options: FitOptions = { model, readingSd: 0.1, markSd: 0.05 };
    const observations = readingsOf({ truth: truthOf(model) });
    const fit = fitOf(observations, options);
    const variance = readingVariance(fit, observations, options)!;
    const again = observations.map(
      (o, i): Observation => (i === 1 ? { ...o, readings: [...o.readings, ...o.readings] } : o),
    );
    const really = fitOf(again, options);
    expectSameCovariance(withSecondReading(fit, 1, variance), really);
  }
});

test('a further mark brings what the fit with that mark has', () => {
  for (const model of models) {
    const options: FitOptions = { model, readingSd: 0.1, markSd: 0.05 };
    const observations = readingsOf({ truth: truthOf(model) });
    const fit = fitOf(observations, options);
    const variance = readingVariance(fit, observations, options)!;
    const design = { x: 900, y: 150 };
    const really = fitOf(
      [...observations, { mark: 'E', design, readings: [apply(truthOf(model), design)] }],
      options,
    );
    expectSameCovariance(withNewMark(fit, design, variance), really);
  }
});

test('an estimated sd gains two degrees of freedom with every reading, and none are left once it is stated', () => {
  const observations = readingsOf({ errors: 0.1 });
  const options: FitOptions = { model: 'rigid', markSd: 0 };
  const fit = fitOf(observations, options);
  const variance = readingVariance(fit, observations, options)!;
  expect(fit.sd.usedDof).toBe(5);
  expect(withSecondReading(fit, 0, variance).sd.usedDof).toBe(7);
  expect(withNewMark(fit, { x: 0, y: 0 }, variance).sd.usedDof).toBe(7);
  expect(withKnownSd(fit).sd.usedDof).toBeUndefined();
  expect(withKnownSd(fit).sd.used).toBe(fit.sd.used);
});
