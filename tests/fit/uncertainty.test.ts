import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { fittedPosition, positionCovariance } from '../../src/fit/solve/position.js';
import { chiSquareCdf, fCdf, studentQuantile } from '../../src/numeric/distributions.js';
import { createRandom } from '../../src/numeric/random.js';

const fitOf = (observations: readonly Observation[], options: Partial<FitOptions> = {}): Fit => {
  const outcome = adjust(observations, { model: 'rigid', markSd: 0, ...options });
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

/** The constructed pattern: sum of squares 0.04 times `size` squared, redundancy 5 for rigid. */
const pattern = (size = 1, repeats: readonly number[] = [0]): Observation[] =>
  [
    [0, 0],
    [400, 0],
    [400, 300],
    [0, 300],
  ].map(([x, y], i) => ({
    mark: 'ABCD'[i]!,
    design: { x: x!, y: y! },
    readings: repeats.map((off) => ({ x: x! + size * (i % 2 === 0 ? 0.1 : -0.1) + off, y: y! })),
  }));

/** Two marks: redundancy 1, SS = (out)^2 / 2. */
const two = (out: number): Observation[] => [
  { mark: 'A', design: { x: 0, y: 0 }, readings: [{ x: 0, y: 0 }] },
  { mark: 'B', design: { x: 400, y: 0 }, readings: [{ x: 400 + out, y: 0 }] },
];

describe('what is known of the readings', () => {
  it('nothing stated, no redundancy: no uncertainty is claimed, nothing is 0', () => {
    const fit = fitOf(two(0), { model: 'similarity' });
    expect(fit.redundancy).toBe(0);
    expect(fit.sd).toEqual({});
    expect(fit.consistency).toBeUndefined();
    expect(fit.covariance).toBeUndefined();
    expect(fit.marks[0]!.normalized).toEqual({});
    expect(fit.marks[0]!.smallestDetectable).toEqual({});
    expect(positionCovariance(fit, { x: 1, y: 1 })).toBeUndefined();
  });

  it('nothing stated, redundancy: estimated from the residuals, with as many degrees of freedom', () => {
    const fit = fitOf(pattern());
    expect(fit.sd).toEqual({
      estimated: expect.closeTo(Math.sqrt(0.04 / 5), 12),
      used: fit.sd.estimated,
      usedDof: 5,
    });
    expect(fit.consistency).toBeUndefined();
  });

  it('stated and known: used as it is, without degrees of freedom, while the marks agree', () => {
    const fit = fitOf(pattern(), { readingSd: 0.1 });
    expect(fit.sd).toEqual({ stated: 0.1, estimated: expect.closeTo(Math.sqrt(0.04 / 5), 12), used: 0.1 });
    expect(fit.consistency!.chiSquare).toBeCloseTo(4, 10);
    expect(fit.consistency!.pValue).toBeCloseTo(1 - chiSquareCdf(4, 5), 10);
    expect(fit.consistency!.consistent).toBe(true);
  });

  it('stated and known without redundancy: used, and nothing to test it with', () => {
    const fit = fitOf(two(0.3), { model: 'similarity', readingSd: 0.1 });
    expect(fit.sd).toEqual({ stated: 0.1, used: 0.1 });
    expect(fit.consistency).toBeUndefined();
    expect(fit.covariance).toBeDefined();
  });

  it('stated and known, but the marks disagree: widened by the residuals, which then have the say (Birge)', () => {
    const fit = fitOf(pattern(5), { readingSd: 0.1 });
    expect(fit.consistency).toMatchObject({ chiSquare: expect.closeTo(100, 8), consistent: false });
    expect(fit.sd.used).toBeCloseTo(0.1 * Math.sqrt(100 / 5), 10);
    expect(fit.sd.usedDof).toBe(5);
    // A mistake must not hide behind the widening it caused: normalized residuals keep the stated sd.
    expect(fit.marks[0]!.normalized.x).toBeCloseTo(0.5 / (0.1 * Math.sqrt(0.66)), 8);
  });

  it('stated with degrees of freedom: pooled with the residuals', () => {
    const fit = fitOf(pattern(), { readingSd: 0.1, readingSdDof: 9 });
    expect(fit.sd.used).toBeCloseTo(Math.sqrt((9 * 0.01 + 0.04) / 14), 12);
    expect(fit.sd.usedDof).toBe(14);
    expect(fit.consistency!.pValue).toBeCloseTo(1 - fCdf(0.04 / 5 / 0.01, 5, 9), 10);
  });

  it('stated with degrees of freedom, no redundancy: used with those degrees', () => {
    expect(fitOf(two(1), { model: 'similarity', readingSd: 0.1, readingSdDof: 9 }).sd).toEqual({
      stated: 0.1,
      statedDof: 9,
      used: expect.closeTo(0.1, 12),
      usedDof: 9,
    });
  });

  it('repeated readings without a stated sd: their scatter and the residuals together', () => {
    // Two readings 0.08 apart in x at each of four marks: scatter 4 x 2 x 0.04^2, degrees 8.
    const fit = fitOf(pattern(0.5, [-0.04, 0.04]));
    const scatter = 4 * 2 * 0.04 ** 2;
    const between = 2 * 4 * 0.05 ** 2;
    expect(fit.redundancy).toBe(5);
    expect(fit.sd.usedDof).toBe(13);
    expect(fit.sd.used).toBeCloseTo(Math.sqrt((scatter + between) / 13), 10);
    expect(fit.sd.estimated).toBeCloseTo(fit.sd.used!, 10);
    expect(fit.consistency!.pValue).toBeCloseTo(1 - fCdf(between / 5 / (scatter / 8), 5, 8), 8);
  });

  it('repeated readings that agree far better than the marks do not make the fit look better', () => {
    const fit = fitOf(pattern(1, [-0.001, 0.001]));
    expect(fit.consistency!.consistent).toBe(false);
    expect(fit.sd.usedDof).toBe(5);
    // The marks' means are out by 0.1 in x, which repeats do not average: rounding and marks, not the noise of a reading.
    expect(fit.covariance![0]![0]).toBeCloseTo(0.04 / 5 / 4, 12);
    expect(fit.sd.used).toBeCloseTo(Math.sqrt(0.04 / 5), 2);
  });

  it('repeated readings that are all equal (a coarse display) claim no sd of 0', () => {
    const fit = fitOf(pattern(1, [0, 0]));
    expect(fit.sd.used).toBeCloseTo(Math.sqrt(0.04 / 5), 8);
    expect(fit.sd.usedDof).toBe(5);
  });

  it('with an error of the marks themselves the pooling is of the variance factor', () => {
    const fit = fitOf(pattern(), { readingSd: 0.06, readingSdDof: 9, markSd: 0.08 });
    // Variance of a mark 0.01 again, so the same factor as for a reading sd of 0.1 alone.
    const factor = (9 + 4) / 14;
    expect(fit.sd.used).toBeCloseTo(0.06 * Math.sqrt(factor), 12);
    expect(fit.covariance![0]![0]).toBeCloseTo((0.01 / 4) * factor, 12);
  });

  it('an estimate below the stated error of the marks is not believed', () => {
    const fit = fitOf(pattern(0.01), { markSd: 0.05 });
    expect(fit.sd.estimated).toBeCloseTo(0.01 * Math.sqrt(0.04 / 5), 12);
    // The rounding of the finest display comes on top.
    expect(fit.sd.used).toBeCloseTo(Math.hypot(0.05, 0.01 / Math.sqrt(12)), 12);
  });

  it('a reading that no other checks has no normalized residual and no detectable mistake', () => {
    const [a, b] = fitOf(two(0.1), { readingSd: 0.1 }).marks;
    expect(a!.redundancy.y).toBeLessThan(1e-9);
    expect(a!.normalized.y).toBeUndefined();
    expect(a!.smallestDetectable.y).toBeUndefined();
    // Along the line the two readings check each other, half each.
    expect(b!.normalized.x).toBeCloseTo(0.05 / (0.1 * Math.sqrt(0.5)), 8);
    expect(b!.smallestDetectable.x).toBeCloseTo((4.1321 * 0.1) / Math.sqrt(0.5), 8);
  });
});

describe('coverage: the claimed uncertainty holds', () => {
  const target = { x: 550, y: -50 };
  const trials = 4000;
  const sigma = 0.1;

  /** Share of simulated jobs in which the target's x error is within the claimed bound. */
  const covered = (
    name: string,
    options: Partial<FitOptions>,
    marks: number,
    repeats = 1,
    probability = 0.95,
  ) => {
    const random = createRandom(name);
    let within = 0;
    for (let k = 0; k < trials; k++) {
      const stated =
        options.readingSdDof === undefined
          ? {}
          : { readingSd: sigma * Math.sqrt(random.chiSquare(options.readingSdDof) / options.readingSdDof) };
      const observations = pattern(0)
        .slice(0, marks)
        .map((o) => ({
          ...o,
          readings: Array.from({ length: repeats }, () => ({
            x: o.design.x + sigma * random.normal(),
            y: o.design.y + sigma * random.normal(),
          })),
        }));
      const fit = fitOf(observations, { ...options, ...stated });
      const error = fittedPosition(fit, target).x - target.x;
      const bound =
        studentQuantile((1 + probability) / 2, fit.sd.usedDof) *
        Math.sqrt(positionCovariance(fit, target)!.xx);
      if (Math.abs(error) <= bound) within++;
    }
    return within / trials;
  };

  // Three binomial sds of 4,000 trials: 0.0103 at 0.95. Widening adds a little coverage where it strikes by chance.
  it.each([
    ['known sd, four marks', { readingSd: sigma }, 4, 1],
    ['known sd, two marks', { readingSd: sigma }, 2, 1],
    ['estimated sd, four marks', {}, 4, 1],
    ['estimated sd, two marks', {}, 2, 1],
    ['sd with 6 degrees, three marks', { readingSdDof: 6 }, 3, 1],
    ['repeated readings alone, four marks', {}, 4, 3],
  ] as const)('%s: 95 % of errors within the bound for 95 %', (name, options, marks, repeats) => {
    const share = covered(name, options, marks, repeats);
    expect(share).toBeGreaterThan(0.95 - 0.0103);
    expect(share).toBeLessThan(0.95 + 0.0103 + 0.005);
  });
});
