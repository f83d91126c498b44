import { describe, expect, test } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import { positionCovariance } from '../../src/fit/position.js';
import { apply } from '../../src/geometry/affine.js';
import { readJob } from '../../src/job/read-job.js';
import { approachWarnings } from '../../src/marks/approach.js';
import { createRandom } from '../../src/numeric/random.js';

const jobWith = (fit: string, machine = '{reading-sd: 0.03, reversal: [0.02, -0.12]}') =>
  readJob(
    { path: 'job.yaml', text: `drawing: a.svg\nreadings: {A: [0, 0]}\nmachine: ${machine}\nfit: ${fit}\n` },
    { read: () => undefined },
  );

describe('A machine with lost motion', () => {
  test('has half of it counted as an error of every mark, unless the pointer always came from the same side', () => {
    expect(jobWith('{mark-sd: 0.08}').fit.markSd).toBeCloseTo(0.1, 12);
    expect(jobWith('{approach: either}').fit.markSd).toBeCloseTo(0.06, 12);
    expect(jobWith('{approach: same, mark-sd: 0.08}').fit.markSd).toBe(0.08);
  });

  test('is asked about where nothing says from which side the pointer came, and it matters', () => {
    const codes = (fit: string, machine?: string) =>
      approachWarnings(jobWith(fit, machine)).map((w) => w.code);
    expect(codes('{model: rigid}')).toEqual(['reversal']);
    expect(codes('{approach: same}')).toEqual([]);
    expect(codes('{approach: either}')).toEqual([]);
    expect(codes('{model: rigid}', '{reading-sd: 0.06, reversal: [0.02, 0.01]}')).toEqual([]);
    expect(codes('{model: rigid}', '{reading-sd: 0.06}')).toEqual([]);
  });

  test('is refused in other words', () => {
    expect(() => jobWith('{approach: up}')).toThrow('expected same or either');
  });

  test('has the truth within 95 % limits in 95 % of trials or more when marks are read from either side, and not without', () => {
    const random = createRandom('reversal');
    const design = [
      { x: 0, y: 0 },
      { x: 500, y: 0 },
      { x: 500, y: 400 },
      { x: 0, y: 400 },
    ];
    const reversal = 0.12;
    const target = { x: 250, y: 800 };
    const held = { same: 0, either: 0 };
    const trials = 4000;
    for (let trial = 0; trial < trials; trial++) {
      // The side is the same for all readings of a mark, another one by chance at the next; x and y move together.
      const observations = design.map((p, i) => {
        const side = random.uniform() < 0.5 ? 0.5 : -0.5;
        const at = () => ({
          x: p.x + side * reversal + 0.03 * random.normal(),
          y: p.y + side * reversal + 0.03 * random.normal(),
        });
        return { mark: `M${i}`, design: p, readings: [at(), at()] };
      });
      for (const approach of ['same', 'either'] as const) {
        const { fit: options } = jobWith(
          `{approach: ${approach}}`,
          `{reversal: [${reversal}, ${-reversal}]}`,
        );
        const outcome = adjust(observations, { ...options, readingSd: 0.03 });
        if (!outcome.ok) throw new Error(outcome.failure.reason);
        const error = apply(outcome.fit.matrix, target).x - target.x;
        const { xx } = positionCovariance(outcome.fit, target)!;
        // The sd counts as known, unless the residuals have widened it.
        if (Math.abs(error) < 1.96 * Math.sqrt(xx)) held[approach] += 1;
      }
    }
    expect(held.either / trials).toBeGreaterThan(0.94);
    expect(held.same / trials).toBeLessThan(0.9);
  });
});
