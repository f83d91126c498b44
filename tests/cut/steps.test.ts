/** The order of a cut, what hangs together, rims as they were measured: against plain counting. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkBed } from '../../src/cut/bed.js';
import { clustersOfBoxes } from '../../src/cut/clusters.js';
import { asMeasured, judgeRims } from '../../src/cut/measured.js';
import { inCuttingOrder } from '../../src/cut/order.js';
import type { Fit, FittedRim } from '../../src/fit/fit.js';
import type { Segment } from '../../src/geometry/curve.js';
import { type Box, boxCentre } from '../../src/geometry/point.js';
import type { Job } from '../../src/job/job.js';
import { InputError } from '../../src/job/messages.js';
import { circlePath, polygonPath, rectanglePoints, shapeOf } from '../verdict/shapes.js';

const boxAt = (x: number, y: number, size = 1): Box => ({ minX: x, minY: y, maxX: x + size, maxY: y + size });
const places = fc.array(
  fc.record({
    x: fc.integer({ min: 0, max: 40 }),
    y: fc.integer({ min: 0, max: 40 }),
    size: fc.integer({ min: 0, max: 9 }),
  }),
  { minLength: 1, maxLength: 24 },
);
const runs = { seed: 20261201, numRuns: 150 };

describe('the order of a cut', () => {
  const alone = (boxes: readonly Box[]) =>
    inCuttingOrder(
      boxes,
      boxes.map(() => []),
    );

  it('goes to and fro in rows from below', () => {
    const grid = [0, 1, 2].flatMap((row) => [0, 1, 2].map((column) => boxAt(10 * column, 10 * row)));
    expect(alone(grid)).toEqual([0, 1, 2, 5, 4, 3, 6, 7, 8]);
    // Four in one column are two rows of two, each from below upwards.
    expect(alone([3, 1, 0, 2].map((y) => boxAt(5, 10 * y)))).toEqual([2, 1, 3, 0]);
    expect(alone([boxAt(5, 7)])).toEqual([0]);
    // All at one height are one row.
    expect(alone([30, 10, 20, 0].map((x) => boxAt(x, 4)))).toEqual([3, 1, 2, 0]);
  });

  it('takes every path once, whatever the order of the file', () => {
    fc.assert(
      fc.property(places, (all) => {
        const boxes = [
          ...new Map(
            all.map(({ x, y, size }) => [`${2 * x + size} ${2 * y + size}`, boxAt(x, y, size)]),
          ).values(),
        ];
        const centres = (list: readonly Box[]) => alone(list).map((i) => boxCentre(list[i]!));
        expect([...alone(boxes)].sort((a, b) => a - b)).toEqual(boxes.map((_, i) => i));
        expect(centres([...boxes].reverse())).toEqual(centres(boxes));
        // As many rows as paths in a row, about; a later one never begins below the one before.
        const ys = centres(boxes).map(({ y }) => y);
        const height = (Math.max(...ys) - Math.min(...ys)) / Math.max(1, Math.round(Math.sqrt(boxes.length)));
        ys.forEach((y, i) => {
          expect(Math.min(...ys.slice(i), y)).toBeGreaterThanOrEqual(y - height - 1e-9);
        });
      }),
      runs,
    );
  });

  it('takes what lies inside before what lies round it, the innermost first', () => {
    // 0 in 1 in 2, 4 in 3; 2 and 3 side by side.
    const boxes = [boxAt(4, 4), boxAt(3, 3, 4), boxAt(0, 0, 10), boxAt(20, 0, 10), boxAt(24, 4)];
    expect(inCuttingOrder(boxes, [[1, 2], [2], [], [], [3]])).toEqual([0, 1, 2, 4, 3]);
    // Two of the same depth, from the left.
    expect(inCuttingOrder([boxAt(6, 4.5), boxAt(2, 4.5), boxAt(0, 0, 10)], [[2], [2], []])).toEqual([
      1, 0, 2,
    ]);
  });
});

describe('what hangs together', () => {
  it('are boxes that meet, directly or by way of others', () => {
    fc.assert(
      fc.property(places, (all) => {
        const boxes = all.map(({ x, y, size }) => boxAt(x, y, size));
        const meet = (a: Box, b: Box) =>
          a.minX <= b.maxX && b.minX <= a.maxX && a.minY <= b.maxY && b.minY <= a.maxY;
        // Each takes the smallest number of those that it meets, until nothing changes.
        const group = boxes.map((_, i) => i);
        for (let changed = true; changed; ) {
          changed = false;
          boxes.forEach((a, i) => {
            boxes.forEach((b, j) => {
              if (meet(a, b) && group[j]! < group[i]!) {
                group[i] = group[j]!;
                changed = true;
              }
            });
          });
        }
        const expected = [...new Set(group)].map((root) => group.flatMap((g, i) => (g === root ? [i] : [])));
        expect(clustersOfBoxes(boxes)).toEqual(expected);
      }),
      runs,
    );
    expect(clustersOfBoxes([])).toEqual([]);
  });
});

describe('a path beyond the bed', () => {
  const path = (name: string, minX: number) => ({ openings: [name], box: boxAt(minX, 1) });
  const refusal = (paths: Parameters<typeof checkBed>[0], cause?: string): InputError => {
    try {
      checkBed(paths, { size: [100, 80] }, { file: 'j.yaml' }, cause);
    } catch (error) {
      if (error instanceof InputError) return error;
      throw error;
    }
    throw new Error('nothing was refused');
  };

  it('is named where it reaches farthest, with the room that all of them take', () => {
    const { found, next } = refusal([path('a', -3), path('b', -7.123), path('c', 40), path('d', -5)]);
    expect(found).toBe('3 of 4 paths off the bed, b by 7.12 mm; together they take x -7.12 to 41, y 1 to 2');
    expect(next).toMatch(/^Move the part on the bed/);
    expect(refusal([path('a', -3)]).found).toMatch(/^1 of 1 path off/);
  });

  it('is no mistake of the place where the readings are in doubt', () => {
    expect(refusal([path('a', -3)], 'read B again').next).toBe(
      'Read B again; the readings are in doubt, and with them where the part lies.',
    );
  });
});

describe('a rim that was measured', () => {
  const rim = (parts: Partial<FittedRim> = {}): FittedRim =>
    ({
      on: 'peg',
      centre: { x: 10, y: 20 },
      drawnRadius: 5,
      expectedRadius: 5,
      radius: 5.3,
      setBack: 0,
      outside: 1,
      stated: false,
      ...parts,
    }) as unknown as FittedRim;
  const fit = (...rims: readonly FittedRim[]): Fit => ({ rims }) as unknown as Fit;
  const job = { path: 'j.yaml', positions: new Map() } as unknown as Job;
  const radii = (shape: ReturnType<typeof shapeOf>): (number | undefined)[] =>
    shape.paths.flatMap((p) =>
      [...p.segments].map((s: Segment) => (s.kind === 'arc' ? s.radius : undefined)),
    );

  it('is as large as it was found, wherever it is drawn, and nothing else is changed', () => {
    const square = polygonPath(rectanglePoints(0, 0, 40, 40));
    const shapes = [
      shapeOf('peg', [circlePath({ x: 10, y: 20 }, 5)]),
      shapeOf('twice', [square, circlePath({ x: 10.005, y: 20 }, 5.005)]),
      shapeOf('beside', [circlePath({ x: 10.02, y: 20 }, 5)]),
      shapeOf('larger', [circlePath({ x: 10, y: 20 }, 5.02)]),
      shapeOf('square', [square]),
    ];
    const found = asMeasured(shapes, fit(rim()), 'up');
    expect(found.map(radii)).toEqual([
      [5.3],
      [undefined, undefined, undefined, undefined, 5.3],
      [5],
      [5.02],
      Array(4).fill(undefined),
    ]);
    expect(found[4]).toBe(shapes[4]);
    expect(found[2]).toBe(shapes[2]);
    expect(asMeasured(shapes, {} as Fit, 'up')).toBe(shapes);
    // On its face the rim lies at the mirrored place.
    expect(radii(asMeasured(shapes, fit(rim()), 'down')[0]!)).toEqual([5]);
    expect(radii(asMeasured(shapes, fit(rim({ centre: { x: -10, y: 20 } })), 'down')[0]!)).toEqual([5.3]);
    // Half a piercing kerf is in what was measured: it is drawn by as much nearer, a disc by as much farther.
    expect(radii(asMeasured(shapes, fit(rim({ setBack: 0.1 })), 'up')[0]!)[0]).toBeCloseTo(5.2, 12);
    expect(radii(asMeasured(shapes, fit(rim({ setBack: 0.1, outside: -1 })), 'up')[0]!)[0]).toBeCloseTo(
      5.4,
      12,
    );
  });

  it('is believed within a tenth of its radius, a millimetre, or three of its sds', () => {
    const told = (parts: Partial<FittedRim>): string[] =>
      judgeRims(fit(rim(parts)), job).map(({ code }) => code);
    expect([told({ radius: 5.49 }), told({ radius: 5.51 }), told({ radius: 4.49 })]).toEqual([
      [],
      ['rim-differs'],
      ['rim-differs'],
    ]);
    expect([told({ radius: 50.9, expectedRadius: 50 }), told({ radius: 51.1, expectedRadius: 50 })]).toEqual([
      [],
      ['rim-differs'],
    ]);
    expect([told({ radius: 5.8, sd: 0.27 }), told({ radius: 5.8, sd: 0.26 })]).toEqual([[], ['rim-differs']]);
    expect(judgeRims({} as Fit, job)).toEqual([]);
    const message = (parts: Partial<FittedRim>): string =>
      judgeRims(fit(rim({ radius: 6, ...parts })), job)[0]!.message;
    expect(message({})).toMatch(
      /^The rim of peg is found at a radius of 6\.00 mm, where the drawing would have 5\.00 mm/,
    );
    expect(message({ stated: true, sd: 0.1, setBack: 0.1 })).toMatch(
      /is stated at a radius of 6\.00 mm \(sd 0\.10 mm\), where the drawing and the piercing kerf would have/,
    );
  });

  it('no larger than nothing, or than the half kerf that pierced it, is refused', () => {
    const refusal = (parts: Partial<FittedRim>) => () => judgeRims(fit(rim(parts)), job);
    expect(refusal({ radius: -0.1 })).toThrow(
      /radius -0\.10 mm of "peg", from its touches; expected more than 0 mm/,
    );
    expect(refusal({ radius: 0 })).toThrow(InputError);
    expect(refusal({ radius: 0.2, setBack: 0.2, stated: true })).toThrow(
      /as stated; expected more than half of the piercing kerf, 0\.20 mm/,
    );
    expect(refusal({ radius: 0.2, setBack: 0.2, outside: -1 })).not.toThrow();
  });
});
