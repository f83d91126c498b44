import { describe, expect, test } from 'vitest';
import type { Observation } from '../../src/fit/fit.js';
import { largestSpread, observationsOf, spreadOf } from '../../src/marks/marks.js';
import { jobOf, messageOf } from '../job/message-of.js';

const marks = new Map([
  ['A', { x: 20, y: 20 }],
  ['B', { x: 580, y: 30 }],
  ['C', { x: 300, y: 380 }],
]);

describe('The observations of a job', () => {
  test('are its readings in their order, in true millimetres of the bed; marks without a reading are left out', () => {
    const job = jobOf(
      'drawing: a\nreadings: {B: [10, 20], A: [[1, 2], [3, 4]]}\nmachine: {axes: y-down, bed-map: {scale: [2, 3]}}',
    );
    const observations: Observation[] = observationsOf(job, marks);
    expect(observations).toEqual([
      { mark: 'B', design: { x: 580, y: 30 }, readings: [{ x: 20, y: -60 }] },
      {
        mark: 'A',
        design: { x: 20, y: 20 },
        readings: [
          { x: 2, y: -6 },
          { x: 6, y: -12 },
        ],
      },
    ]);
  });

  test('have mirrored design positions for a panel on its face, and readings as they are', () => {
    const job = jobOf('drawing: a\nface: down\nreadings: {A: [1, 2]}');
    expect(observationsOf(job, marks)).toEqual([
      { mark: 'A', design: { x: -20, y: 20 }, readings: [{ x: 1, y: 2 }] },
    ]);
  });

  test('end with what the pointer showed at witness points: a mark, a drawn shape or a typed position', () => {
    const job = jobOf(`drawing: a
face: down
readings: {A: [1, 2]}
witness:
  - {point: C, reading: [5, 6]}
  - {point: frond, reading: [[7, 8], [7, 9]]}
  - {point: [100, 50], reading: [9, 10]}
`);
    const shapes = { shapeCentre: (id: string) => (id === 'frond' ? { x: 250, y: 90 } : undefined) };
    expect(observationsOf(job, marks, shapes).slice(1)).toEqual([
      { mark: 'witness 1', design: { x: -300, y: 380 }, readings: [{ x: 5, y: 6 }] },
      {
        mark: 'witness 2',
        design: { x: -250, y: 90 },
        readings: [
          { x: 7, y: 8 },
          { x: 7, y: 9 },
        ],
      },
      { mark: 'witness 3', design: { x: -100, y: 50 }, readings: [{ x: 9, y: 10 }] },
    ]);
  });

  test('never give a witness point the name of a mark', () => {
    const job = jobOf(
      'drawing: a\nreadings: {witness 1: [1, 2]}\nwitness: [{point: [5, 5], reading: [1, 2]}]',
    );
    const names = observationsOf(job, new Map([['witness 1', { x: 0, y: 0 }]])).map(({ mark }) => mark);
    expect(names).toEqual(['witness 1', 'witness 1 (witness)']);
  });

  test.each([
    ['frnod', 'Did you mean "frond"?'],
    ['stem', 'Type its design position instead.'],
  ])('are refused for the witness point %s, which is none', (name, next) => {
    const job = jobOf(
      `drawing: a\nreadings: {A: [1, 2]}\nwitness:\n  - {point: A, reading: [1, 2]}\n  - {point: ${name}, reading: [5, 6]}`,
    );
    const shapes = { shapeCentre: () => undefined, shapeIds: ['frond', 'frame'] };
    expect(messageOf(() => observationsOf(job, marks, shapes))).toBe(
      `jobs/fern.yaml:5:13 (witness[2].point) the witness point "${name}", which is neither a mark nor a drawn shape; expected the name of a mark or shape, or a design position [x, y]. ${next}`,
    );
  });

  test('need resolved marks: a caller who forgot that is told so', () => {
    const job = jobOf('drawing: a\nreadings: {Z: [1, 2]}');
    expect(() => observationsOf(job, marks)).toThrow(
      new RangeError('no mark "Z": resolve the marks of this job first'),
    );
  });
});

describe('The spread of repeated readings', () => {
  test('is nothing for one reading, and the distance of two', () => {
    expect(spreadOf([{ x: 5, y: 6 }])).toBe(0);
    expect(
      spreadOf([
        { x: 5, y: 6 },
        { x: 8, y: 10 },
      ]),
    ).toBe(5);
  });

  test('of more is the diagonal of the box that holds them', () => {
    expect(
      spreadOf([
        { x: 0, y: 1 },
        { x: 3, y: 0 },
        { x: 1, y: 4 },
      ]),
    ).toBe(5);
  });

  test('is largest at the mark whose readings disagree most', () => {
    const at = (...xs: number[]) => xs.map((x) => ({ x, y: 0 }));
    const observations = [
      { mark: 'A', design: { x: 0, y: 0 }, readings: at(1, 1.1) },
      { mark: 'B', design: { x: 0, y: 0 }, readings: at(1, 4, 2) },
      { mark: 'C', design: { x: 0, y: 0 }, readings: at(900) },
    ];
    expect(largestSpread(observations)).toEqual({ mark: 'B', spread: 3 });
    expect(largestSpread(observations.slice(2))).toBeUndefined();
  });
});
