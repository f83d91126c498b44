/** Published values for the models of a fit. Tags: seen, memory, recomputed (see DEVELOPERS.md). */
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { decompose } from '../../src/geometry/affine.js';
import type { Model } from '../../src/job/job.js';

type Four = readonly [fromX: number, fromY: number, toX: number, toY: number];

const observed = (rows: readonly Four[], sds?: readonly (readonly [number, number])[]): Observation[] =>
  rows.map(([fromX, fromY, toX, toY], i) => ({
    mark: 'ABCDEFGH'[i]!,
    design: { x: fromX, y: fromY },
    readings: [{ x: toX, y: toY }],
    ...(sds === undefined ? {} : { sd: { x: sds[i]![0], y: sds[i]![1] } }),
  }));

const fitted = (
  rows: readonly Four[],
  model: Model,
  more: Partial<FitOptions> = {},
  sds?: readonly (readonly [number, number])[],
): Fit => {
  const outcome = adjust(observed(rows, sds), { model, markSd: 0, ...more });
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

/** Equal to the last of `places` printed decimals. */
const near = (value: number, printed: number, places: number): void =>
  expect(Math.abs(value - printed), `got ${value}, expected ${printed}`).toBeLessThanOrEqual(
    0.5000001 * 10 ** -places,
  );

describe('S. Umeyama, IEEE Trans. PAMI 13(4), 1991, numerical example (seen, recomputed)', () => {
  const rows: Four[] = [
    [0, 0, 0, 0],
    [1, 0, -1, 0],
    [0, 2, 0, 2],
  ];

  it('similarity: a rotation is enforced although the points are mirrored', () => {
    const fit = fitted(rows, 'similarity');
    const scale = Math.sqrt(13) / 5;
    const [a, b, c, d, e, f] = fit.matrix;
    near(a / scale, 0.83205, 5);
    near(b / scale, -0.5547, 5);
    near(c / scale, 0.5547, 5);
    near(d / scale, 0.83205, 5);
    near(Math.hypot(a, b), 0.7211102551, 10);
    near(e, -0.8, 12);
    near(f, 0.4, 12);
    near(fit.sumOfSquares, 1.6, 12);
  });

  it('scale fixed at 1: the same rotation', () => {
    const fit = fitted(rows, 'rigid');
    const [a, b, , , e, f] = fit.matrix;
    near(a, 0.83205, 5);
    near(b, -0.5547, 5);
    near(e, -0.980484, 6);
    near(f, 0.296867, 6);
    near(fit.sumOfSquares, 1.859265, 6);
  });

  it('reflection allowed: nothing is left over', () => {
    expect(fitted(rows, 'affine').sumOfSquares).toBeLessThan(1e-28);
  });
});

describe('Ghilani & Wolf, Adjustment Computations, example 18.1 (attribution memory; data seen; recomputed)', () => {
  const rows: Four[] = [
    [121.622, -128.066, 1049422.4, 51089.2],
    [141.228, 187.718, 1049413.95, 49659.3],
    [175.802, 135.728, 1049244.95, 49884.95],
  ];

  it('conformal transformation of three control points with offsets of a million units', () => {
    const fit = fitted(rows, 'similarity');
    const [a, b, c, d, e, f] = fit.matrix;
    near(a, -4.51249, 5);
    near(b, -0.25371, 5);
    near(c, 0.25371, 5);
    near(d, -4.51249, 5);
    near(e, 1050003.715, 3);
    near(f, 50542.131, 3);
    const { rotation, scale } = decompose(fit.matrix);
    near(scale[0], 4.51962, 5);
    const seconds = (((rotation * 180) / Math.PI + 360) % 360) * 3600;
    near(seconds, (183 * 60 + 13) * 60 + 5.0, 1);
    const computedMinusGiven = fit.marks.map((m) => [-m.residual.x, -m.residual.y]);
    const printed = [
      [0.0038, -0.0291],
      [0.1009, -0.0767],
      [-0.1047, 0.1059],
    ];
    printed.forEach((pair, i) => {
      near(computedMinusGiven[i]![0]!, pair[0]!, 4);
      near(computedMinusGiven[i]![1]!, pair[1]!, 4);
    });
    near(fit.sumOfSquares, 0.0390995, 7);
    expect(fit.redundancy).toBe(2);
    near(fit.sd.estimated!, 0.13982, 6);
  });

  it('the sds of its parameters, s_a = s_b = 0.000576 and s_Tx = s_Ty = 0.12259', () => {
    const fit = fitted(rows, 'similarity');
    // The unknowns are relative turn and size about the marks' centre: s_a = scale x their sd, and Tx, Ty are the
    // image of the design's origin.
    const [size] = decompose(fit.matrix).scale;
    const variance = fit.covariance![3]![3]!;
    near(size * Math.sqrt(variance), 0.000576, 6);
    near(size * Math.sqrt(fit.covariance![2]![2]!), 0.000576, 6);
    const reach = Math.hypot(fit.centre.x, fit.centre.y) * size;
    near(Math.sqrt(fit.covariance![0]![0]! + reach ** 2 * variance), 0.12259, 5);
  });
});

describe('Ghilani & Wolf, example 18.2, four fiducials (data memory; recomputed)', () => {
  const rows: Four[] = [
    [0.764, 5.96, -113, 0.003],
    [5.062, 10.541, 0.001, 112.993],
    [9.663, 6.243, 112.998, 0.003],
    [5.35, 1.654, 0.001, -112.999],
  ];
  const sds = [
    [0.104, 0.112],
    [0.096, 0.12],
    [0.112, 0.088],
    [0.096, 0.104],
  ] as const;

  it('affine with weights 1 / sd^2', () => {
    const [a, b, c, d, e, f] = fitted(rows, 'affine', {}, sds).matrix;
    near(a, 25.37152, 5);
    near(c, 0.8222, 5);
    near(e, -137.1827, 4);
    near(b, -0.80994, 5);
    near(d, 25.40166, 5);
    near(f, -150.7227, 4);
  });

  it('affine without weights', () => {
    const fit = fitted(rows, 'affine');
    const [a, b, c, d, e, f] = fit.matrix;
    near(a, 25.3697, 5);
    near(c, 0.82213, 5);
    near(e, -137.1844, 4);
    near(b, -0.80788, 5);
    near(d, 25.40331, 5);
    near(f, -150.7387, 4);
    near(fit.sd.estimated!, 0.15209, 5);
  });
});

describe('a constructed pattern with exact answers (recomputed; follows from the normal equations)', () => {
  const exact: Four[] = [
    [0, 0, 50, 20],
    [400, 0, 370, 260],
    [400, 300, 190, 500],
    [0, 300, -130, 260],
  ];
  const disturbed = exact.map(([x, y, u, v], i): Four => [x, y, u + (i % 2 === 0 ? 0.1 : -0.1), v]);

  it.each([
    ['rigid', 0.0894427],
    ['similarity', 0.1],
    ['affine', 0.1414214],
  ] as const)('%s: the parameters do not move, S0 = %d', (model, s0) => {
    const fit = fitted(disturbed, model);
    [0.8, 0.6, -0.6, 0.8, 50, 20].forEach((value, i) => {
      expect(fit.matrix[i]).toBeCloseTo(value, 12);
    });
    near(fit.sumOfSquares, 0.04, 12);
    near(fit.sd.estimated!, s0, 7);
  });

  it('two marks, rigid: the sum of squares is half the square of what the distance is out, with redundancy 1', () => {
    for (const out of [0.02, -0.3, 5]) {
      const fit = fitted(
        [
          [0, 0, 50, 20],
          [400, 0, 50 + 0.8 * (400 + out), 20 + 0.6 * (400 + out)],
        ],
        'rigid',
      );
      expect(fit.redundancy).toBe(1);
      expect(fit.sumOfSquares).toBeCloseTo(out ** 2 / 2, 12);
    }
  });
});
