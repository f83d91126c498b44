import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { unknownsOf } from '../../src/fit/solve/placement.js';
import { fittedPosition, positionCovariance, positionJacobian } from '../../src/fit/solve/position.js';
import { apply, compose, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Model } from '../../src/job/job.js';
import { createRandom } from '../../src/numeric/random.js';

const models: readonly Model[] = ['shift', 'rigid', 'similarity', 'affine'];

/** Up to eight marks on a bed, read with noise through a turned and slightly stretched placement. */
const jobOf = (
  seed: number,
  count: number,
  more: { uneven?: boolean; repeats?: boolean } = {},
): Observation[] => {
  const random = createRandom(`job ${seed}`);
  const truth = compose(translation(1000 * random.uniform(), 500), rotation(6.3 * random.uniform()));
  return Array.from({ length: count }, (_, i) => {
    const design = { x: 900 * random.uniform(), y: 600 * random.uniform() };
    const at = apply(truth, { x: design.x * 1.0004, y: design.y * 0.9998 });
    const readings = Array.from({ length: more.repeats ? 1 + random.index(3) : 1 }, () => ({
      x: at.x + 0.1 * random.normal(),
      y: at.y + 0.1 * random.normal(),
    }));
    const sd = { x: 0.02 + 0.3 * random.uniform(), y: 0.02 + 0.3 * random.uniform() };
    return { mark: `M${i}`, design, readings, ...(more.uneven ? { sd } : {}) };
  });
};

const fitOf = (
  observations: readonly Observation[],
  options: Partial<FitOptions> & { model: Model },
): Fit => {
  const outcome = adjust(observations, { markSd: 0, ...options });
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

const failureOf = (observations: readonly Observation[], model: Model): string => {
  const outcome = adjust(observations, { model, markSd: 0, readingSd: 0.1 });
  if (outcome.ok) throw new Error('a fit was found');
  return `${outcome.failure.reason} ${outcome.failure.cure}`;
};

const moved = (m: Matrix, observations: readonly Observation[]): Observation[] =>
  observations.map((o) => ({ ...o, readings: o.readings.map((p) => apply(m, p)) }));

const at = (mark: string, design: Point, ...readings: Point[]): Observation => ({ mark, design, readings });

const seeds = fc.integer({ min: 0, max: 1e9 });
const runs = { seed: 20261125, numRuns: 60 };

describe('laws of the fit', () => {
  it.each(models.filter((m) => m !== 'shift'))(
    '%s: moving the readings rigidly moves the fit alike, residuals turn with it',
    (model) => {
      fc.assert(
        fc.property(seeds, fc.double({ min: -3, max: 3, noNaN: true }), (seed, angle) => {
          const observations = jobOf(seed, 5);
          const move = compose(translation(321, -77), rotation(angle));
          const before = fitOf(observations, { model, readingSd: 0.1 });
          const after = fitOf(moved(move, observations), { model, readingSd: 0.1 });
          for (const q of [
            { x: 0, y: 0 },
            { x: 900, y: 100 },
          ]) {
            const expected = apply(move, fittedPosition(before, q));
            expect(fittedPosition(after, q).x).toBeCloseTo(expected.x, 8);
            expect(fittedPosition(after, q).y).toBeCloseTo(expected.y, 8);
          }
          expect(after.sumOfSquares).toBeCloseTo(before.sumOfSquares, 10);
          const turned = apply(rotation(angle), before.marks[0]!.residual);
          expect(after.marks[0]!.residual.x).toBeCloseTo(turned.x, 9);
          expect(after.marks[0]!.residual.y).toBeCloseTo(turned.y, 9);
        }),
        runs,
      );
    },
  );

  it.each(models)('%s: the order of the marks changes nothing', (model) => {
    fc.assert(
      fc.property(seeds, fc.boolean(), (seed, uneven) => {
        const observations = jobOf(seed, 6, { uneven, repeats: !uneven });
        const before = fitOf(observations, { model, readingSd: 0.1 });
        const after = fitOf([...observations].reverse(), { model, readingSd: 0.1 });
        before.matrix.forEach((value, i) => {
          expect(after.matrix[i]).toBeCloseTo(value, 8);
        });
        expect(after.sd.used).toBeCloseTo(before.sd.used!, 10);
        const q = { x: 10, y: 700 };
        expect(positionCovariance(after, q)!.xy).toBeCloseTo(positionCovariance(before, q)!.xy, 10);
      }),
      runs,
    );
  });

  it.each(models)(
    '%s: redundancy numbers lie in 0..1 and sum to the redundancy, whatever the sds',
    (model) => {
      fc.assert(
        fc.property(seeds, fc.integer({ min: 3, max: 8 }), fc.boolean(), (seed, count, uneven) => {
          const fit = fitOf(jobOf(seed, count, { uneven }), { model });
          const numbers = fit.marks.flatMap((m) => [m.redundancy.x, m.redundancy.y]);
          expect(numbers.reduce((a, b) => a + b, 0)).toBeCloseTo(2 * count - unknownsOf[model], 9);
          expect(fit.redundancy).toBe(2 * count - unknownsOf[model]);
          for (const number of numbers) expect(number >= 0 && number <= 1).toBe(true);
        }),
        runs,
      );
    },
  );

  it('no placement near the fitted one has a smaller weighted sum of squares (rigid, every sd different)', () => {
    fc.assert(
      fc.property(seeds, (seed) => {
        const observations = jobOf(seed, 4, { uneven: true });
        const fit = fitOf(observations, { model: 'rigid' });
        const sum = (m: Matrix) =>
          observations.reduce((total, { design, readings, sd }) => {
            const p = apply(m, design);
            return total + ((readings[0]!.x - p.x) / sd!.x) ** 2 + ((readings[0]!.y - p.y) / sd!.y) ** 2;
          }, 0);
        const best = sum(fit.matrix);
        for (const [x, y, turn] of [
          [1e-4, 0, 0],
          [-1e-4, 0, 0],
          [0, 1e-4, 0],
          [0, -1e-4, 0],
          [0, 0, 1e-6],
          [0, 0, -1e-6],
        ] as const)
          expect(sum(compose(compose(translation(x, y), fit.matrix), rotation(turn)))).toBeGreaterThan(best);
      }),
      runs,
    );
  });

  it('the Jacobian of a position is its derivative by the unknowns', () => {
    // Doubling a reading's shift shows what the unknowns do: refit readings moved by each unknown in turn.
    for (const model of models) {
      const design = [
        { x: 0, y: 0 },
        { x: 400, y: 20 },
        { x: 380, y: 300 },
        { x: -20, y: 280 },
      ];
      const start = design.map((q, i) => at(`M${i}`, q, apply(rotation(model === 'shift' ? 0 : 0.7), q)));
      const fit = fitOf(start, { model, readingSd: 0.1 });
      const q = { x: 130, y: 510 };
      for (let k = 0; k < unknownsOf[model]; k++) {
        const step = k < 2 ? 1e-3 : 1e-6;
        const nudged = start.map((o) => {
          const { x, y } = positionJacobian(fit, o.design);
          const p = o.readings[0]!;
          return at(o.mark, o.design, { x: p.x + step * x[k]!, y: p.y + step * y[k]! });
        });
        const after = fittedPosition(fitOf(nudged, { model, readingSd: 0.1 }), q);
        const before = fittedPosition(fit, q);
        const { x, y } = positionJacobian(fit, q);
        expect((after.x - before.x) / step).toBeCloseTo(x[k]!, k < 2 ? 6 : 2);
        expect((after.y - before.y) / step).toBeCloseTo(y[k]!, k < 2 ? 6 : 2);
      }
    }
  });
});

describe('readings in every condition', () => {
  it('offsets of a million units cost no digits', () => {
    const observations = jobOf(3, 5);
    const near = fitOf(observations, { model: 'rigid' });
    const far = fitOf(
      observations.map((o) => ({
        ...o,
        design: { x: o.design.x + 2 ** 20, y: o.design.y - 2 ** 21 },
        readings: o.readings.map((p) => ({ x: p.x + 2 ** 21, y: p.y + 2 ** 20 })),
      })),
      { model: 'rigid' },
    );
    expect(far.sumOfSquares).toBeCloseTo(near.sumOfSquares, 8);
    far.marks.forEach((m, i) => {
      expect(m.residual.x).toBeCloseTo(near.marks[i]!.residual.x, 8);
    });
    expect(far.covariance![2]![2]! / near.covariance![2]![2]!).toBeCloseTo(1, 6);
  });

  it.each([1e2, 1e4, 1e6])('settles with one reading %d mm off, where residuals dwarf the part', (off) => {
    for (const uneven of [false, true]) {
      const observations = jobOf(8, 4, { uneven }).map((o, i) =>
        i === 2 ? { ...o, readings: [{ x: o.readings[0]!.x + off, y: o.readings[0]!.y }] } : o,
      );
      const outcome = adjust(observations, { model: 'rigid', markSd: 0 });
      expect(outcome.ok).toBe(true);
    }
  });

  it('repeated readings count as their mean with the sd divided by the root of their number', () => {
    const a = at('A', { x: 0, y: 0 }, { x: 10.1, y: 5 }, { x: 9.9, y: 5.2 });
    const rest = [
      at('B', { x: 300, y: 0 }, { x: 310.2, y: 5 }),
      at('C', { x: 0, y: 200 }, { x: 10, y: 204.9 }),
    ];
    const repeated = fitOf([a, ...rest], { model: 'rigid', readingSd: 0.2 });
    const sd = 0.2 / Math.SQRT2;
    const single = fitOf([{ ...at('A', { x: 0, y: 0 }, { x: 10, y: 5.1 }), sd: { x: sd, y: sd } }, ...rest], {
      model: 'rigid',
      readingSd: 0.2,
    });
    expect(repeated.marks[0]!.reading.x).toBeCloseTo(10, 12);
    expect(repeated.marks[0]!.readings).toBe(2);
    expect(repeated.redundancy).toBe(3);
    repeated.matrix.forEach((value, i) => {
      expect(value).toBeCloseTo(single.matrix[i]!, 12);
    });
  });

  it("a mark's own error does not average out over its readings", () => {
    const reading = { x: 5, y: 5 };
    const many = at('A', { x: 0, y: 0 }, ...new Array<Point>(100).fill(reading));
    const fit = fitOf([many], { model: 'shift', readingSd: 0.1, markSd: 0.3 });
    expect(fit.covariance![0]![0]).toBeCloseTo(0.3 ** 2 + 0.1 ** 2 / 100, 12);
  });

  it('one mark far less sure than the rest hardly pulls', () => {
    const sure = { x: 0.01, y: 0.01 };
    const observations = [
      { ...at('A', { x: 0, y: 0 }, { x: 0, y: 0 }), sd: sure },
      { ...at('B', { x: 100, y: 0 }, { x: 100, y: 0 }), sd: sure },
      { ...at('C', { x: 0, y: 100 }, { x: 1, y: 101 }), sd: { x: 100, y: 100 } },
    ];
    const fit = fitOf(observations, { model: 'rigid' });
    expect(Math.abs(fit.matrix[4])).toBeLessThan(1e-6);
    expect(fit.marks[2]!.residual.x).toBeCloseTo(1, 4);
  });
});

describe('a fit without solution is a value with reason and cure', () => {
  const a = at('A', { x: 0, y: 0 }, { x: 5, y: 5 });
  const b = at('B', { x: 100, y: 0 }, { x: 105, y: 5 });
  const c = at('C', { x: 200, y: 0 }, { x: 205, y: 5 });

  it('no marks', () => {
    expect(failureOf([], 'rigid')).toBe(
      'There is no mark with a reading. Read at least two marks for a rigid fit, better one more.',
    );
  });

  it('one mark for a rigid fit', () => {
    expect(failureOf([a], 'rigid')).toBe(
      'A rigid fit needs at least two marks, and only one (A) has a reading. Read another mark far from the first, or use the model shift if the part cannot have turned.',
    );
    expect(adjust([a], { model: 'shift', markSd: 0 }).ok).toBe(true);
  });

  it('two marks for an affine fit', () => {
    expect(failureOf([a, b], 'affine')).toBe(
      'An affine fit needs at least three marks, and only two (A, B) have a reading. Read a third mark off the line through the other two, or use the model rigid.',
    );
  });

  it('marks that coincide in the design or in the readings', () => {
    const same = at('B', { x: 0, y: 0 }, { x: 105, y: 5 });
    expect(failureOf([a, same], 'rigid')).toContain('All marks (A, B) have the same design position');
    expect(failureOf([a, { ...b, readings: a.readings }], 'similarity')).toContain(
      'All marks (A, B) have the same reading',
    );
  });

  it('marks on one line for affine, but not for rigid', () => {
    expect(failureOf([a, b, c], 'affine')).toContain('The marks A, B, C lie on one line');
    expect(adjust([a, b, c], { model: 'rigid', markSd: 0 }).ok).toBe(true);
  });

  it('a square read as its mirror image: no turn is better than another', () => {
    const square = [
      [0, 0],
      [100, 0],
      [100, 100],
      [0, 100],
    ].map(([x, y], i) => at('ABCD'[i]!, { x: x!, y: y! }, { x: -x!, y: y! }));
    expect(failureOf(square, 'rigid')).toBe(
      'The readings fit no better one way round than any other, so nothing tells how the part is turned. Check which reading belongs to which mark, and whether the part lies face down (face: down).',
    );
  });
});

describe('mistakes of the programmer are exceptions', () => {
  const a = at('A', { x: 0, y: 0 }, { x: 5, y: 5 });
  it.each([
    [[at('A', { x: 0, y: 0 }, { x: Number.NaN, y: 5 })], {}, 'mark A holds a coordinate that is not finite'],
    [[at('A', { x: 0, y: 0 })], {}, 'mark A has no reading'],
    [[a], { readingSd: 0 }, 'readingSd is 0, expected a finite number above 0'],
    [[a], { readingSd: 1, readingSdDof: -2 }, 'readingSdDof is -2, expected a finite number above 0'],
    [[a], { markSd: -1 }, 'markSd is -1, expected a finite number of at least 0'],
    [[{ ...a, sd: { x: 1, y: 0 } }], {}, 'sd.y of mark A is 0, expected a finite number above 0'],
    [
      [{ ...a, sd: { x: 1, y: 1 } }, a],
      {},
      'an sd is given for some marks only; the others need a reading-sd',
    ],
  ])('%#', (observations, options, message) => {
    expect(() => adjust(observations, { model: 'shift', markSd: 0, ...options })).toThrow(message);
  });
});
