import { describe, expect, test } from 'vitest';
import { calibrateBeam } from '../../src/calibration/parts/beam.js';
import type { BurntDot } from '../../src/calibration/parts/measurements.js';
import { readBeamData } from '../../src/calibration/tables/read-beam.js';
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
    // Dots that agree to the last digit are out by its rounding, all alike.
    expect(found.proposal).toEqual({
      part: 'beam',
      set: { 'beam-offset': [3.5, -1.25], 'beam-offset-sd': 0.017 },
      remove: ['beam-offset-approach', 'beam-offset-dots'],
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
    const trials = 1500;
    let held = 0;
    for (let trial = 0; trial < trials; trial++) {
      const { x } = calibrateBeam(
        dotsWith(() => 0.07 * random.normal()),
        {},
      );
      if (x.limits![0] <= 0.12 && 0.12 <= x.limits![1]) held += 1;
    }
    expect(held / trials).toBeGreaterThan(0.93);
    expect(held / trials).toBeLessThan(0.97);
  });

  test('whose dots scatter no more than readings do is said to be so in 39 of 40 cases', () => {
    const random = createRandom('beam explained');
    const trials = 1500;
    let unexplained = 0;
    for (let trial = 0; trial < trials; trial++) {
      const { againstReading } = calibrateBeam(
        dotsWith(() => 0.06 * random.normal()),
        { readingSd: 0.06 },
      );
      if (!againstReading!.explained) unexplained += 1;
    }
    expect(unexplained / trials).toBeGreaterThan(0.012);
    expect(unexplained / trials).toBeLessThan(0.04);
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

  test('of one dot claims an sd only with that of reading and that of the cut, and nothing checks it', () => {
    const [dot] = dotsWith(() => 0);
    const found = calibrateBeam([dot!], { readingSd: 0.06, cutSd: 0.08 });
    expect(found.x.sd).toBeCloseTo(0.1, 12);
    expect(found.warnings.map((w) => w.code)).toContain('no-redundancy');
    expect(calibrateBeam([dot!], { readingSd: 0.06 }).x.sd).toBeUndefined();
  });

  test('names a dot that was read wrong', () => {
    const random = createRandom('beam slip');
    const dots = dotsWith(() => 0.05 * random.normal()).map((d, i) =>
      i === 2 ? { ...d, readings: [{ x: d.readings[0]!.x + 1, y: d.readings[0]!.y }] } : d,
    );
    expect(calibrateBeam(dots, {}).warnings[0]).toMatchObject({ code: 'suspect-reading', marks: ['D3'] });
  });
});

describe('Dots and the side they were read from', () => {
  const up = { x: 'up', y: 'up' } as const;
  const down = { x: 'down', y: 'down' } as const;
  const burnt = (directions: readonly (typeof up | typeof down)[]): BurntDot[] =>
    dotsWith(() => 0).map((dot, i) => ({
      ...dot,
      burnt: 'figure',
      directions: [directions[i % directions.length]!],
    }));

  test('from one side: the profile says which, and that small figures were burnt', () => {
    const { proposal, warnings } = calibrateBeam(burnt([up]), {});
    expect(proposal.set).toMatchObject({ 'beam-offset-approach': 'up', 'beam-offset-dots': 'figures' });
    expect(warnings).toEqual([]);
    const pulses = burnt([{ x: 'up', y: 'down' } as never]).map((d) => ({ ...d, burnt: down }) as BurntDot);
    expect(calibrateBeam(pulses, {}).proposal.set).toMatchObject({
      'beam-offset-approach': ['up', 'down'],
      'beam-offset-dots': 'down',
    });
  });

  test('from varying sides: brought together by the reversal of the profile, asked about without one', () => {
    const dots = burnt([up, down]).map((d) => {
      const side = d.directions![0]!.x === 'up' ? 0.1 : -0.1;
      return { ...d, readings: d.readings.map((r) => ({ x: r.x + side, y: r.y + side })) };
    });
    const known = calibrateBeam(dots, { reversal: [0.2, 0.2] });
    expect(known.x.value).toBeCloseTo(0.12, 9);
    expect(known.spread!.sd).toBeLessThan(1e-9);
    expect(known.proposal.set['beam-offset-approach']).toBe('both');
    const unknown = calibrateBeam(dots, {});
    expect(unknown.warnings.map((w) => w.code)).toEqual(['dots-unstated']);
    expect(unknown.proposal.remove).toContain('beam-offset-approach');
  });

  test('are asked about where nobody says; a word that is no side is refused', () => {
    expect(
      calibrateBeam(
        dotsWith(() => 0),
        {},
      ).warnings.map((w) => w.code),
    ).toEqual(['dots-unstated', 'dots-unstated']);
    const read = (cells: string) =>
      readBeamData({
        path: 'b.csv',
        text: `dot,x,y,read-x,read-y,direction,burnt\nD1,1,2,1.1,2.1,${cells}\n`,
      });
    expect(read('up/down,figure').dots[0]).toMatchObject({
      directions: [{ x: 'up', y: 'down' }],
      burnt: 'figure',
    });
    expect(messageOf(() => read('left,figure'))).toContain('direction is "left"; expected up, down');
    expect(messageOf(() => read('up,spot'))).toContain('burnt is "spot"; expected figure, up, down');
  });
});

describe('Dots for the beam', () => {
  const read = (text: string) => readBeamData({ path: 'beam.csv', text });

  test('holds for the axes that the sheet was made for: beside a profile with others it is refused', () => {
    const text = 'dot,x,y,read-x,read-y,axes\nP1,90,120,90.3,120.4,y-up\n';
    const source = { path: 'beam.csv', text };
    expect(readBeamData(source, { axes: 'y-up', path: 'bench.yaml' }).axes).toBe('y-up');
    const refusal = messageOf(() => readBeamData(source, { axes: 'y-down', path: 'bench.yaml' }));
    expect(refusal).toContain('a table for axes: y-up');
    expect(refusal).toContain('make the sheet again with --profile bench.yaml');
    const down = { path: 'beam.csv', text: text.replace('y-up', 'y-down') };
    expect(messageOf(() => readBeamData(down, { axes: 'y-up', path: 'bench.yaml' }))).toContain(
      'write axes: y-down into bench.yaml',
    );
    expect(messageOf(() => read(`${text}P2,1,2,3,4,y-down\n`))).toContain('the same axes in all rows');
  });

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

describe('Dots of a sheet made for the other axes', () => {
  const heights = [120, 280, 375, 90, 310];
  const dots = (turn: { x?: number; y?: number }): BurntDot[] =>
    heights.map((y, i) => {
      const x = 80 + 97 * i;
      const noise = 0.02 * ((i % 3) - 1);
      const read = {
        x: turn.x === undefined ? x + 0.3 + noise : turn.x - x + noise,
        y: turn.y === undefined ? y - 0.4 + noise : turn.y - y - noise,
      };
      return { name: `P${i + 1}`, commanded: { x, y }, readings: [read], where: {} };
    });

  test('are told by what was read and sent adding up to the same, and the profile is to be mended, not the rows', () => {
    const found = calibrateBeam(dots({ y: 400.4 }), { readingSd: 0.05, readingSdDof: 20 }, 'y-up');
    expect(found.warnings[0]!.code).toBe('axes-turned');
    expect(found.warnings.map((w) => w.code)).not.toContain('unlikely-sd');
    expect(found.warnings[0]!.message).toContain('read y is 400.4 less sent y');
    expect(found.warnings[0]!.message).toContain('write axes: y-down into the profile');
    expect(found.proposal.set).toEqual({});
    // Nothing is asked of a cut-sd that is no scatter of the cut.
    expect(found.againstReading!.cutSd).toBeUndefined();
    const other = calibrateBeam(dots({ y: 400.4 }), {}, 'y-down').warnings[0]!.message;
    expect(other).toContain('remove axes: y-down from the profile');
  });

  test('are told apart from a sheet that was mirrored or turned, and from dots that merely scatter', () => {
    expect(calibrateBeam(dots({ x: 600 }), {}).warnings[0]!.message).toContain('mirrored when it was cut');
    expect(calibrateBeam(dots({ x: 600, y: 400 }), {}).warnings[0]!.message).toContain('half a turn');
    const astray = dots({}).map((d, i) => (i === 2 ? { ...d, readings: [{ x: 10, y: 20 }] } : d));
    const { warnings } = calibrateBeam(astray, {});
    expect(warnings.map((w) => w.code)).toContain('unlikely-sd');
    expect(warnings.map((w) => w.code)).not.toContain('axes-turned');
  });
});
