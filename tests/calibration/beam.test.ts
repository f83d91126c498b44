import { describe, expect, test } from 'vitest';
import { type BurntDot, calibrateBeam } from '../../src/calibration/beam.js';
import { readBeamData } from '../../src/calibration/read-beam.js';
import { apply } from '../../src/geometry/affine.js';
import { trueToMachineMatrix, trueToPointer } from '../../src/marks/frames.js';
import { createRandom } from '../../src/numeric/random.js';
import { messageOf } from '../job/message-of.js';

const places = [
  [100, 100],
  [700, 120],
  [680, 500],
  [90, 520],
  [400, 300],
] as const;

const dotsWith = (error: () => number, offset = { x: 0.12, y: -0.31 }): BurntDot[] =>
  places.map(([x, y], i) => ({
    name: `D${i + 1}`,
    commanded: { x, y },
    readings: [{ x: x + offset.x + error(), y: y + offset.y + error() }],
    where: {},
  }));

describe('The beam offset', () => {
  test('is where the beam burns, seen from the pointer: a path sent through it burns where it is drawn', () => {
    const machine = {
      axes: 'y-down',
      bedMap: { scale: [1.01, 0.98], skew: 0.02 },
      beamOffset: { x: 0, y: 0 },
    } as const;
    const truth = { x: 3.5, y: -1.25 };
    // Physical truth: sent to display position c, the beam burns where the pointer would show c + truth.
    const dots = places.map(
      ([x, y], i): BurntDot => ({
        name: `D${i}`,
        commanded: { x, y },
        readings: [{ x: x + truth.x, y: y + truth.y }],
        where: {},
      }),
    );
    const found = calibrateBeam(dots, {});
    const target = { x: 250, y: -130 };
    const beamOffset = { x: found.x.value, y: found.y.value };
    const sent = apply(trueToMachineMatrix({ ...machine, beamOffset }), target);
    const burnt = { x: sent.x + truth.x, y: sent.y + truth.y };
    const wanted = trueToPointer(machine)(target);
    expect(burnt.x).toBeCloseTo(wanted.x, 9);
    expect(burnt.y).toBeCloseTo(wanted.y, 9);
    // Dots that agree to the last digit say nothing of an sd; one that was there belongs to another offset.
    expect(found.proposal).toEqual({
      part: 'beam',
      set: { 'beam-offset': [3.5, -1.25] },
      remove: ['beam-offset-sd'],
    });
  });

  test('has its sd from the dots, pooled over both axes', () => {
    const errors = [0.1, 0, -0.1, 0, 0, 0.1, 0, -0.1, 0, 0];
    const found = calibrateBeam(
      dotsWith(() => errors.shift()!),
      {},
    );
    expect(found.spread!.degrees).toBe(8);
    expect(found.spread!.sd).toBeCloseTo(Math.sqrt(0.04 / 8), 10);
    expect(found.x.sd).toBeCloseTo(Math.sqrt(0.04 / 8 / 5), 10);
    expect(found.againstReading).toBeUndefined();
  });

  test('lies within its 95 % limits in 95 % of trials', () => {
    const random = createRandom('beam');
    const trials = 4000;
    let held = 0;
    for (let trial = 0; trial < trials; trial++) {
      const { x } = calibrateBeam(
        dotsWith(() => 0.07 * random.normal()),
        {},
      );
      if (x.limits![0] <= 0.12 && 0.12 <= x.limits![1]) held += 1;
    }
    expect(held / trials).toBeGreaterThan(0.94);
    expect(held / trials).toBeLessThan(0.96);
  });

  test('whose dots scatter no more than readings do is said to be so in 39 of 40 cases', () => {
    const random = createRandom('beam explained');
    const trials = 4000;
    let unexplained = 0;
    for (let trial = 0; trial < trials; trial++) {
      const { againstReading } = calibrateBeam(
        dotsWith(() => 0.06 * random.normal()),
        { readingSd: 0.06 },
      );
      if (!againstReading!.explained) unexplained += 1;
    }
    expect(unexplained / trials).toBeGreaterThan(0.018);
    expect(unexplained / trials).toBeLessThan(0.032);
  });

  test('whose dots scatter more leaves a cut-sd', () => {
    const random = createRandom('beam cut');
    const { againstReading, spread } = calibrateBeam(
      dotsWith(() => 0.3 * random.normal()),
      { readingSd: 0.06 },
    );
    expect(againstReading!.explained).toBe(false);
    expect(againstReading!.cutSd).toBeCloseTo(Math.sqrt(spread!.sd ** 2 - 0.06 ** 2), 12);
  });

  test('of one dot is known as well as it was read, and that nothing checks it is said', () => {
    const [dot] = dotsWith(() => 0);
    const found = calibrateBeam([dot!], { readingSd: 0.06 });
    expect(found.x.sd).toBeCloseTo(0.06, 12);
    expect(found.warnings.map((w) => w.code)).toEqual(['no-redundancy']);
    expect(calibrateBeam([dot!], {}).x.sd).toBeUndefined();
  });

  test('names a dot that was read wrong', () => {
    const random = createRandom('beam slip');
    const dots = dotsWith(() => 0.05 * random.normal()).map((d, i) =>
      i === 2 ? { ...d, readings: [{ x: d.readings[0]!.x + 10, y: d.readings[0]!.y }] } : d,
    );
    expect(calibrateBeam(dots, {}).warnings[0]).toMatchObject({ code: 'suspect-reading', marks: ['D3'] });
  });
});

describe('Dots for the beam', () => {
  const read = (text: string) => readBeamData({ path: 'beam.csv', text });
  test('are gathered by name; rows left blank are counted', () => {
    const { dots, blank } = read(
      'dot,x,y,read-x,read-y\nD1,10,20,10.1,20.2\nD2,30,40,,\nD1,10,20,10.2,20.1\n',
    );
    expect(blank).toBe(1);
    expect(dots).toHaveLength(1);
    expect(dots[0]!.readings).toHaveLength(2);
  });

  test('stand in one place each', () => {
    expect(messageOf(() => read('dot,x,y,read-x,read-y\nD1,10,20,10.1,20.2\nD1,10,21,10.2,20.1\n'))).toBe(
      'beam.csv:3 dot D1 at (10, 21) and at (10, 20); expected one commanded position for each dot. Give each dot a name of its own, or correct the position.',
    );
  });
});
