import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { apply, compose, determinant } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Machine } from '../../src/job/job.js';
import {
  displayToTrue,
  displayToTrueMatrix,
  faceMatrix,
  trueToMachineMatrix,
  trueToPointer,
  trueToPointerMatrix,
} from '../../src/marks/frames.js';

const plain: Machine = { axes: 'y-up', bedMap: { scale: [1, 1], skew: 0 }, beamOffset: { x: 0, y: 0 } };

const expectNear = (found: Point, expected: Point, within = 1e-9): void => {
  expect(Math.abs(found.x - expected.x)).toBeLessThanOrEqual(within);
  expect(Math.abs(found.y - expected.y)).toBeLessThanOrEqual(within);
};

const machines = fc.record({
  axes: fc.constantFrom<Machine['axes']>('y-up', 'y-down'),
  bedMap: fc.record({
    scale: fc.tuple(
      fc.double({ min: 0.9, max: 1.1, noNaN: true }),
      fc.double({ min: 0.9, max: 1.1, noNaN: true }),
    ),
    skew: fc.double({ min: -0.1, max: 0.1, noNaN: true }),
  }),
  beamOffset: fc.record({
    x: fc.double({ min: -50, max: 50, noNaN: true }),
    y: fc.double({ min: -50, max: 50, noNaN: true }),
  }),
});
const points = fc.record({
  x: fc.double({ min: -3000, max: 3000, noNaN: true }),
  y: fc.double({ min: -3000, max: 3000, noNaN: true }),
});
const runs = { seed: 20261125, numRuns: 500 };

describe('From the display to the bed', () => {
  test('nothing changes on a machine of which nothing is known', () => {
    expect(displayToTrue(plain)({ x: 12.5, y: -3 })).toEqual({ x: 12.5, y: -3 });
    expect(apply(trueToMachineMatrix(plain), { x: 12.5, y: -3 })).toEqual({ x: 12.5, y: -3 });
  });

  test('a display that counts y downwards is turned', () => {
    expect(displayToTrue({ ...plain, axes: 'y-down' })({ x: 10, y: 20 })).toEqual({ x: 10, y: -20 });
  });

  test('each axis has its scale', () => {
    const machine: Machine = { ...plain, bedMap: { scale: [1.001, 0.998], skew: 0 } };
    expectNear(displayToTrue(machine)({ x: 600, y: 400 }), { x: 600.6, y: 399.2 });
  });

  test('a positive skew leans the y axis counter-clockwise, to the left', () => {
    const machine: Machine = { ...plain, bedMap: { scale: [1, 1], skew: 0.002 } };
    const up = displayToTrue(machine)({ x: 0, y: 300 });
    expectNear(up, { x: -300 * Math.sin(0.002), y: 300 * Math.cos(0.002) });
    expect(up.x).toBeLessThan(-0.59);
    expect(Math.atan2(up.y, up.x)).toBeCloseTo(Math.PI / 2 + 0.002, 12);
  });

  // check-values 6: a square with its corner 1 mrad out, 400 x 300 mm, has diagonals of 500.239942 and 499.759942 mm
  // (derived). A y axis that leans away from x makes the diagonal from the origin the shorter one.
  test('a square drawn on a bed that leans by 1 mrad has the diagonals of the check value', () => {
    const machine: Machine = { ...plain, bedMap: { scale: [1, 1], skew: 0.001 } };
    const toTrue = displayToTrue(machine);
    const between = (a: Point, b: Point): number => Math.hypot(a.x - b.x, a.y - b.y);
    const rising = between(toTrue({ x: 0, y: 0 }), toTrue({ x: 400, y: 300 }));
    const falling = between(toTrue({ x: 400, y: 0 }), toTrue({ x: 0, y: 300 }));
    expect(rising).toBeCloseTo(499.759942, 6);
    expect(falling).toBeCloseTo(500.239942, 6);
  });

  test('what the display shows is turned first and mapped then', () => {
    const machine: Machine = { ...plain, axes: 'y-down', bedMap: { scale: [1.1, 0.9], skew: 0.1 } };
    const expected = { x: 1.1 * 50 + 0.9 * 70 * Math.sin(0.1), y: -0.9 * 70 * Math.cos(0.1) };
    expectNear(displayToTrue(machine)({ x: 50, y: 70 }), expected);
  });

  test('and back with the pointer ends where it began, on every machine', () => {
    fc.assert(
      fc.property(machines, points, (machine, p) => {
        expectNear(trueToPointer(machine)(displayToTrue(machine)(p)), p);
        expectNear(displayToTrue(machine)(trueToPointer(machine)(p)), p);
        expectNear(apply(compose(trueToPointerMatrix(machine), displayToTrueMatrix(machine)), p), p);
      }),
      runs,
    );
  });

  test('a machine whose y axis counts downwards mirrors, another does not', () => {
    fc.assert(
      fc.property(machines, (machine) => {
        const sign = machine.axes === 'y-down' ? -1 : 1;
        expect(Math.sign(determinant(displayToTrueMatrix(machine)))).toBe(sign);
        expect(Math.sign(determinant(trueToMachineMatrix(machine)))).toBe(sign);
      }),
      runs,
    );
  });
});

describe('From the bed to the machine', () => {
  test('a machine sent to a position burns at that position plus the beam offset', () => {
    const machine: Machine = { ...plain, beamOffset: { x: 0.12, y: -0.31 } };
    expectNear(apply(trueToMachineMatrix(machine), { x: 100, y: 50 }), { x: 99.88, y: 50.31 });
  });

  test('the beam offset is measured along the display, also where y counts downwards', () => {
    const machine: Machine = { ...plain, axes: 'y-down', beamOffset: { x: 0.12, y: -0.31 } };
    expectNear(apply(trueToMachineMatrix(machine), { x: 100, y: -50 }), { x: 99.88, y: 50.31 });
  });

  test('the beam meets the wanted point on every machine', () => {
    fc.assert(
      fc.property(machines, points, (machine, wanted) => {
        const sent = apply(trueToMachineMatrix(machine), wanted);
        const burnt = displayToTrue(machine)({
          x: sent.x + machine.beamOffset.x,
          y: sent.y + machine.beamOffset.y,
        });
        expectNear(burnt, wanted);
      }),
      runs,
    );
  });

  test('the same point read by a display with y up and one with y down is one point of the bed', () => {
    fc.assert(
      fc.property(machines, points, ({ bedMap, beamOffset }, p) => {
        const up = displayToTrue({ axes: 'y-up', bedMap })(p);
        const down = displayToTrue({ axes: 'y-down', bedMap })({ x: p.x, y: -p.y });
        expectNear(up, down);
        const mirrored = { x: beamOffset.x, y: -beamOffset.y };
        const sentUp = apply(trueToMachineMatrix({ axes: 'y-up', bedMap, beamOffset }), up);
        const sentDown = apply(trueToMachineMatrix({ axes: 'y-down', bedMap, beamOffset: mirrored }), down);
        expectNear({ x: sentUp.x, y: -sentUp.y }, sentDown);
      }),
      runs,
    );
  });
});

test('A panel lying on its face is mirrored left to right, one lying face up is not', () => {
  expect(apply(faceMatrix('down'), { x: 30, y: 40 })).toEqual({ x: -30, y: 40 });
  expect(apply(faceMatrix('up'), { x: 30, y: 40 })).toEqual({ x: 30, y: 40 });
});
