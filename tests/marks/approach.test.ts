import { describe, expect, test } from 'vitest';
import { apply } from '../../src/geometry/affine.js';
import { readJob } from '../../src/job/read-job.js';
import { approachWarnings } from '../../src/marks/approach.js';
import { displayToTrue, trueToMachineMatrix, trueToPointer } from '../../src/marks/frames.js';
import { observationsOf } from '../../src/marks/marks.js';
import { unknownOffsetSides, unknownSideOf } from '../../src/marks/sides.js';

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
