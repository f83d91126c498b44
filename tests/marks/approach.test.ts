import { describe, expect, test } from 'vitest';
import { apply } from '../../src/geometry/affine.js';
import { readJob } from '../../src/job/read/read-job.js';
import { approachWarnings } from '../../src/marks/approach.js';
import { displayToTrue, trueToMachineMatrix, trueToPointer } from '../../src/marks/frames.js';
import { observationsOf } from '../../src/marks/marks.js';
import { unknownOffsetSides, unknownSideOf } from '../../src/marks/sides.js';
import { loadJob } from '../../src/reseat.js';

const plain = '{reading-sd: 0.03, reversal: [0.02, -0.12]}';
const jobWith = (fit: string, machine = plain, readings = '{A: [0, 0]}') =>
  readJob(
    {
      path: 'job.yaml',
      text: `drawing: a.svg\nmarks: {A: [0, 0], B: [9, 9]}\nreadings: ${readings}\nmachine: ${machine}\nfit: ${fit}\n`,
    },
    { read: () => undefined },
  );

describe('A machine with lost motion', () => {
  test('leaves half of it unknown where nothing says from which side a mark was reached', () => {
    for (const fit of ['{mark-sd: 0.08}', '{approach: either}']) {
      const job = jobWith(fit);
      expect(unknownSideOf(job)).toEqual({ x: 0.01, y: 0.06, alike: [false, false] });
    }
    expect(unknownSideOf(jobWith('{approach: same}'))?.alike).toEqual([true, true]);
    expect(unknownSideOf(jobWith('{approach: [up, either]}'))).toEqual({
      x: 0,
      y: 0.06,
      alike: [false, false],
    });
    expect(unknownSideOf(jobWith('{approach: down}'))).toBeUndefined();
    expect(jobWith('{mark-sd: 0.08}').fit.markSd).toBe(0.08);
  });

  test('is corrected where the side is known: the display runs ahead by half of it with rising figures', () => {
    const { machine } = jobWith('{approach: [up, down]}');
    const at = displayToTrue(machine)({ x: 100, y: 50 });
    expect(at.x).toBeCloseTo(99.99, 12);
    expect(at.y).toBeCloseTo(50 - 0.06, 12);
    expect(trueToPointer(machine)(at).y).toBeCloseTo(50, 12);
    // The beam is sent by the display as it is.
    expect(apply(trueToMachineMatrix(machine), { x: 100, y: 50 })).toEqual({ x: 100, y: 50 });
  });

  test('is corrected reading by reading where each has its own direction', () => {
    const readings =
      '{A: [{at: [1, 2], direction: up}, {at: [1, 2], direction: [down, up]}], B: {at: [10, 11], direction: down}}';
    const job = jobWith('{approach: same}', plain, readings);
    const [a, b] = observationsOf(
      job,
      new Map([
        ['A', { x: 0, y: 0 }],
        ['B', { x: 9, y: 9 }],
      ]),
    );
    expect(a!.side).toBeUndefined();
    expect(a!.readings.map(({ x }) => x)).toEqual([0.99, 1.01]);
    expect(a!.readings[0]!.y).toBeCloseTo(2.06, 12);
    expect(b!.readings[0]!.x).toBeCloseTo(10.01, 12);
    const mixed = jobWith('{approach: up}', plain, '{A: [1, 2], B: {at: [10, 11], direction: down}}');
    const both = observationsOf(
      mixed,
      new Map([
        ['A', { x: 0, y: 0 }],
        ['B', { x: 9, y: 9 }],
      ]),
    );
    expect(both.map(({ readings: [p] }) => p!.x)).toEqual([0.99, 10.01]);
    expect(both.every(({ side }) => side === undefined)).toBe(true);
  });

  test('adds to a beam offset what lies between the sides its dots were burnt and read from', () => {
    const offset = (more: string) =>
      trueToMachineMatrix(jobWith('{}', `{reversal: [0.1, 0.06], beam-offset: [3, 4]${more}}`).machine).slice(
        4,
      );
    expect(offset('')).toEqual([-3, -4]);
    expect(offset(', beam-offset-approach: up, beam-offset-dots: figures')).toEqual([-2.95, -3.97]);
    expect(offset(', beam-offset-approach: up, beam-offset-dots: up')).toEqual([-3, -4]);
    expect(offset(', beam-offset-approach: [down, both], beam-offset-dots: figures')).toEqual([-3.05, -4]);
    const unknown = (more: string) =>
      unknownOffsetSides(jobWith('{}', `{reversal: [0.1, 0.06]${more}}`).machine);
    expect(unknown('')).toEqual([]);
    expect(unknown(', beam-offset: [3, 4]')).toHaveLength(2);
    expect(unknown(', beam-offset: [3, 4], beam-offset-dots: figures')).toEqual([{ x: 0.05, y: 0.03 }]);
  });

  test('leaves of a beam offset unknown what no side is told of, axis by axis', () => {
    const unknown = (reversal: string, more = '') =>
      unknownOffsetSides(jobWith('{}', `{beam-offset: [3, 4]${reversal}${more}}`).machine);
    expect(unknown('')).toEqual([]);
    expect(unknown(', reversal: [0, 0]')).toEqual([]);
    expect(unknown(', reversal: [0.1, 0]')).toEqual([
      { x: 0.05, y: 0 },
      { x: 0.05, y: 0 },
    ]);
    expect(unknown(', reversal: [0, -0.06]')).toEqual([
      { x: 0, y: 0.03 },
      { x: 0, y: 0.03 },
    ]);
    expect(
      unknown(', reversal: [0.1, 0.06]', ', beam-offset-approach: up, beam-offset-dots: figures'),
    ).toEqual([]);
  });

  test('is asked about where nothing says from which side the pointer came, and it matters', () => {
    const codes = (fit: string, machine?: string) =>
      approachWarnings(jobWith(fit, machine)).map((w) => w.code);
    expect(codes('{model: rigid}')).toEqual(['reversal']);
    expect(codes('{approach: same}')).toEqual([]);
    expect(codes('{approach: either}')).toEqual([]);
    expect(codes('{model: rigid}', '{reading-sd: 0.06, reversal: [0.02, 0.01]}')).toEqual([]);
    expect(codes('{model: rigid}', '{reading-sd: 0.06}')).toEqual([]);
    expect(codes('{approach: up}', '{reversal: [0.2, 0.1], beam-offset: [3, 4]}')).toEqual(['reversal']);
  });

  test('is refused in other words', () => {
    expect(() => jobWith('{approach: left}')).toThrow('expected up, down, same or either');
    expect(() => jobWith('{approach: [up, down, up]}')).toThrow('one for each [x, y]');
    expect(() => jobWith('{}', '{cut-reversal: none}')).toThrow('expected compensated');
    expect(() => jobWith('{}', '{beam-offset-dots: both}')).toThrow('expected up, down or figures');
  });
});

describe('A touch and a witness point', () => {
  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100">
<g id="outline"><rect id="edge" width="200" height="100"/></g></svg>`;
  const loadedWith = (touches: string, witness: string, fit = '{}') =>
    loadJob(
      {
        path: 'job.yaml',
        text: `drawing: panel.svg\ntouches: ${touches}\nwitness: ${witness}\nmachine: {axes: y-up, reversal: [0.2, 0.1]}\nfit: ${fit}\n`,
      },
      { read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(drawing) : undefined) },
    );

  test('say from which side they were read, and are corrected by it', () => {
    const { touches, observations } = loadedWith(
      '[{on: outline, at: [10, 20], direction: up}, {on: outline, at: [10, 20], direction: [down, up]}, {on: outline, at: [{at: [10, 20], direction: down}, [10, 20]], direction: up}]',
      '[{point: [0, 0], reading: [5, 6], direction: down}, {point: [200, 0], reading: [5, 6]}]',
    );
    expect(touches.map(({ readings }) => readings.map(({ x, y }) => [x, y]))).toEqual([
      [[9.9, 19.95]],
      [[10.1, 19.95]],
      [
        [10.1, 20.05],
        [9.9, 19.95],
      ],
    ]);
    expect(touches.every(({ side }) => side === undefined)).toBe(true);
    expect(observations[0]!.readings).toEqual([{ x: 5.1, y: 6.05 }]);
    expect(observations[0]!.side).toBeUndefined();
    expect(observations[1]!.readings).toEqual([{ x: 5, y: 6 }]);
    expect(observations[1]!.side).toEqual({ x: 0.1, y: 0.05, alike: [false, false] });
  });

  test('go by their own side where the job states another for the rest', () => {
    const { touches, observations } = loadedWith(
      '[{on: outline, at: [10, 20], direction: down}, {on: outline, at: [10, 20]}]',
      '[{point: [0, 0], reading: [5, 6], direction: down}]',
      '{approach: up}',
    );
    expect(touches.map(({ readings: [p] }) => p!.x)).toEqual([10.1, 9.9]);
    expect(observations[0]!.readings[0]!.x).toBeCloseTo(5.1, 12);
  });

  test('of unknown sides are asked for', () => {
    const sides = (touch: string, witness: string) =>
      loadedWith(
        `[{on: outline, at: [10, 20]${touch}}]`,
        `[{point: [0, 0], reading: [5, 6]${witness}}]`,
      ).warnings.some(({ code }) => code === 'reversal');
    expect(sides('', ', direction: up')).toBe(true);
    expect(sides(', direction: up', '')).toBe(true);
    expect(sides(', direction: up', ', direction: up')).toBe(false);
  });

  test('with a word that is no side are refused', () => {
    expect(() => loadedWith('[{on: outline, at: [10, 20], direction: left}]', '[]')).toThrow(/left/);
  });
});

describe('The side from which the pointer came', () => {
  const codes = (reversal: number) =>
    approachWarnings(jobWith('{mark-sd: 0.03}', `{reading-sd: 0.1, reversal: [${reversal}, 0]}`)).map(
      ({ code }) => code,
    );

  test('is asked for where half the lost motion is half the sd of a reading or more', () => {
    expect(codes(0.101)).toEqual(['reversal']);
    expect(codes(-0.101)).toEqual(['reversal']);
    expect(codes(0.099)).toEqual([]);
  });
});
