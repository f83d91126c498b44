import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { FitOptions } from '../../src/fit/fit.js';
import { reviewFit } from '../../src/fit/warnings.js';
import type { Point } from '../../src/geometry/point.js';
import { twoCauseStudy } from '../evidence/two-causes.js';

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

  it('do not take the place of one mistake: two marks swapped are named for a part that lies as drawn', () => {
    const [first] = review(rectangle, swapped(0, 1));
    expect(first).toMatchObject({ code: 'likely-slip', kind: 'swapped', marks: ['A', 'B'] });
    expect(first!.message).toMatch(
      /^If the part lies face up, turned by 2 degrees, the readings of marks A and B are swapped\./,
    );
    expect(first!.message).toContain(
      'what fits as well: the part lies face down, and the readings of marks C and D are swapped as well',
    );
    expect(first!.remedies![0]!.step).toBe('read again at A, B, C and D, one after the other by name');
    expect(review(uneven, swapped(0, 1))[0]!.message).toMatch(/^Probably the readings of marks A and B/);
  });

  it('with figures that are negative throughout offer no single mistake', () => {
    const [first] = review(rectangle, (r) => swapped(0, 1)(r).map((p) => ({ x: -p.x, y: p.y })));
    expect(first!.code).toBe('suspect-reading');
    expect(first!.suggested).toBeUndefined();
    expect(first!.message).toContain('the readings of marks C and D are swapped (the part then lies');
    expect(first!.message).toContain(
      'the machine counts x the other way, and the readings of marks A and B are swapped as well',
    );
    expect(first!.message).toContain('look how the part lies, and on which face');
  });

  it('on the diagonals of a rectangle are not a part of another size', () => {
    const warnings = review(rectangle, (r) => swapped(0, 2)(r).map(crossed));
    expect(warnings.map((w) => w.code)).not.toContain('size-changed');
    expect(warnings[0]!.message).toContain(
      'x and y of all readings are swapped, and the readings of marks A and C, or of marks B and D, are swapped as well',
    );
  });

  it.each(['rectangle', 'square', 'irregular'] as const)(
    'are never put down to one of them, whatever they are: %s pattern of marks',
    (pattern) => {
      const { counts, examples } = twoCauseStudy({ trials: 144, seed: 'small', pattern });
      expect(counts.wrong, examples.wrong.join('\n')).toBe(0);
      // Two diagonal marks of a square swapped are its mirror image: its readings are in order.
      expect(counts.nothing + counts.other).toBeLessThanOrEqual(pattern === 'square' ? 48 : 1);
    },
  );
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
  const along = [20, 200, 400, 580] as const;
  const within = (width: number) =>
    along.map((x, k) => [x, 20 + width * [0.5, -0.3, 0.1, -0.5][k]!] as const);

  it.each([0.2, 0.5, 2, 8, 15, 30])(
    'are told as that, with what to do, and never as a part that changed its size: %f mm wide',
    (width) => {
      const warnings = review(within(width), (r) => r, 'affine');
      // Marks on a line are their own mirror image.
      expect(warnings.map((w) => w.code).filter((c) => c !== 'ambiguous-pattern')).toEqual(['extrapolation']);
      expect(warnings[0]!.message).toContain('nearly on one line');
      expect(warnings[0]!.message).toMatch(/hold to [\d.]+ % \(one sd\).*Read a mark well off the line/);
    },
  );

  it('do not hide two marks swapped', () => {
    expect(review(within(2), swapped(1, 2), 'affine').map((w) => w.code)).toContain('likely-slip');
  });

  it('nor are marks told so that hold the panel across as well', () => {
    expect(review(uneven, (r) => r, 'affine').map((w) => w.code)).not.toContain('extrapolation');
  });
});
