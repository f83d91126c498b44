import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { FitOptions } from '../../src/fit/fit.js';
import { reviewFit } from '../../src/fit/warnings.js';
import type { Point } from '../../src/geometry/point.js';

const lain = ([x, y]: readonly [number, number], i: number): Point => ({
  x: 500 + Math.cos(0.04) * x - Math.sin(0.04) * y + [0.05, -0.04, 0.02, -0.03][i]!,
  y: 300 + Math.sin(0.04) * x + Math.cos(0.04) * y + [-0.02, 0.04, 0.05, -0.05][i]!,
});

const review = (
  marks: readonly (readonly [number, number])[],
  change: (readings: Point[]) => Point[],
  model: FitOptions['model'] = 'rigid',
) => {
  const options: FitOptions = { model, markSd: 0, readingSd: 0.08 };
  const readings = change(marks.map(lain));
  const observations = marks.map(([x, y], k) => ({
    mark: 'ABCD'[k]!,
    design: { x, y },
    readings: [readings[k]!],
  }));
  return reviewFit(observations, options, adjust(observations, options));
};

const swapped =
  (i: number, j: number) =>
  (readings: readonly Point[]): Point[] =>
    readings.map((r, k) => (k === i ? readings[j]! : k === j ? readings[i]! : r));

const rectangle = [
  [25, 25],
  [575, 25],
  [575, 375],
  [25, 375],
] as const;
const uneven = [
  [25, 30],
  [570, 22],
  [540, 378],
  [60, 365],
] as const;
const crossed = (r: Point): Point => ({ x: r.y, y: r.x });

describe('Two mistakes at once', () => {
  it('on a rectangle of marks are not put down to one of them: both ways are told', () => {
    const [first] = review(rectangle, (r) => swapped(0, 1)(r).map(crossed));
    expect(first!.code).toBe('suspect-reading');
    expect(first!.message).toContain('the readings of marks C and D are swapped');
    expect(first!.message).toContain(
      'x and y of all readings are swapped, and the readings of marks A and B are swapped as well',
    );
  });

  it('on other patterns are told as a mirror image with marks swapped, never as one wrong reading', () => {
    for (const [i, j] of [
      [0, 1],
      [0, 2],
      [1, 3],
    ] as const) {
      const [first] = review(uneven, (r) => swapped(i, j)(r).map(crossed));
      expect(first!.code).toBe('mirrored');
    }
  });

  it('do not take the place of one mistake: two marks swapped are named as before', () => {
    const [first] = review(rectangle, swapped(0, 1));
    expect(first).toMatchObject({ code: 'likely-slip', kind: 'swapped', marks: ['A', 'B'] });
  });
});

describe('Readings in centimetres', () => {
  it('are told as such, with the readings in millimetres, and not put down to the drawing', () => {
    const [first] = review(uneven, (r) =>
      r.map((p) => ({ x: Number((p.x / 10).toFixed(2)), y: Number((p.y / 10).toFixed(2)) })),
    );
    expect(first).toMatchObject({ code: 'likely-slip', kind: 'centimetres' });
    expect(first!.message).toContain('the readings are centimetres, not millimetres');
  });
});

describe('Marks nearly on one line under an affine fit', () => {
  it('are told as that, not as a part that changed its size', () => {
    const line = [
      [20, 20],
      [200, 20.3],
      [400, 19.8],
      [580, 20.1],
    ] as const;
    const warnings = review(line, (r) => r, 'affine');
    expect(warnings.map((w) => w.code)).not.toContain('size-changed');
    expect(warnings.find((w) => w.code === 'extrapolation')!.message).toContain('nearly on one line');
    expect(review(uneven, (r) => r, 'affine').map((w) => w.code)).not.toContain('extrapolation');
  });
});
