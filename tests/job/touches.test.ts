import { describe, expect, it } from 'vitest';
import { InputError } from '../../src/job/messages.js';
import { readJob } from '../../src/job/read/read-job.js';

const read = (text: string) =>
  readJob({ path: 'job.yaml', text: `drawing: a.svg\n${text}` }, { read: () => undefined });

const fault = (text: string): string => {
  try {
    read(text);
  } catch (error) {
    if (!(error instanceof InputError)) throw error;
    const { where, found, expected, next } = error;
    return `${where.line}:${where.column} ${where.element} | ${found} | ${expected} | ${next}`;
  }
  throw new Error('nothing was refused');
};

describe('Touches in a job', () => {
  it('are read with their readings, radius and start, and know where they stand', () => {
    const job = read(
      'touches:\n  - {on: outline, at: [1, 2]}\n  - {on: peg, at: [[3, 4], [5, 6]], radius: unknown, start: [7, 8]}\n  - {on: 01, at: [1, 2], radius: 2.5}',
    );
    expect(job.readings).toEqual([]);
    expect(job.touches).toEqual([
      { on: 'outline', at: [{ x: 1, y: 2 }] },
      {
        on: 'peg',
        at: [
          { x: 3, y: 4 },
          { x: 5, y: 6 },
        ],
        radius: 'unknown',
        start: { x: 7, y: 8 },
      },
      { on: '01', at: [{ x: 1, y: 2 }], radius: 2.5 },
    ]);
    expect(job.positions!.get('touches[2].on')).toMatchObject({ line: 4, column: 10 });
  });

  it('take the place of readings, and without either the readings are missed', () => {
    expect(read('readings: {A: [1, 2]}').touches).toBeUndefined();
    expect(() => read('title: x')).toThrow(/no key "readings"/);
  });

  it.each([
    ['an empty list', 'touches: []', /touches is an empty list \| at least one touch/],
    ['a mapping', 'touches: {on: outline}', /touches is a mapping \| a list of/],
    ['no edge', 'touches: [{at: [1, 2]}]', /no key "on" in touches\[1\]/],
    ['no reading', 'touches: [{on: outline}]', /no key "at" in touches\[1\]/],
    ['a misspelt key', 'touches: [{on: outline, at: [1, 2], radus: 3}]', /Did you mean "radius"\?/],
    ['not a number', 'touches: [{on: outline, at: [.nan, 2]}]', /2:30 touches\[1\].at\[1\] \| .*finite/],
    ['one coordinate', 'touches: [{on: outline, at: [1]}]', /touches\[1\].at is a list of one value/],
    ['no readings at all', 'touches: [{on: outline, at: []}]', /touches\[1\].at is an empty list/],
    ['a radius below zero', 'touches: [{on: a, at: [1, 2], radius: -3}]', /radius is -3 \| .*above 0/],
    [
      'a radius of words',
      'touches: [{on: a, at: [1, 2], radius: large}]',
      /radius is "large" \| a number in mm/,
    ],
    [
      'a start that is a name',
      'touches: [{on: a, at: [1, 2], start: B}]',
      /start is "B" \| a design position/,
    ],
  ])('%s is refused with its place', (_what, text, message) => {
    expect(fault(text)).toMatch(message);
  });
});
