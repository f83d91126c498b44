import { describe, expect, test } from 'vitest';
import type { Point } from '../../src/geometry/point.js';
import { type DrawnMarks, resolveMarks, unreadMarks } from '../../src/marks/resolve-marks.js';
import { jobOf, messageOf } from '../job/message-of.js';

const drawn = (marks: Record<string, Point>, shapes: Record<string, Point> = {}): DrawnMarks => {
  const all = new Map([...Object.entries(marks), ...Object.entries(shapes)]);
  return {
    marks: new Map(Object.entries(marks)),
    shapeCentre: (id) => all.get(id),
    shapeIds: all.keys(),
  };
};
const pegs = drawn(
  { A: { x: 20, y: 20 }, B: { x: 580, y: 20 }, C: { x: 580, y: 380 } },
  { 'peg-hole-2': { x: 300, y: 200 } },
);
const nothing = drawn({});

describe('The marks of a job', () => {
  test('are those of the drawing where the job lists none', () => {
    const job = jobOf('drawing: fern.svg\nreadings: {B: [1, 2], A: [3, 4]}');
    const marks = resolveMarks(job, pegs);
    expect([...marks]).toEqual([...pegs.marks]);
    expect(unreadMarks(job, marks)).toEqual(['C']);
  });

  test('are those of the job where it lists some: typed, or at the centre of a drawn shape', () => {
    const job = jobOf('drawing: a\nmarks: {A: [1, 2], P: peg-hole-2, C: C}\nreadings: {P: [1, 2]}');
    const marks = resolveMarks(job, pegs);
    expect([...marks]).toEqual([
      ['A', { x: 1, y: 2 }],
      ['P', { x: 300, y: 200 }],
      ['C', { x: 580, y: 380 }],
    ]);
    expect(unreadMarks(job, marks)).toEqual(['A', 'C']);
  });

  test.each([
    ['pegs', /lies in the layer "pegs"/],
    ['"not pegs"', /is selected by marks: "not pegs"/],
    ['"stroke: red"', /is selected by marks: "stroke: ?(red|#ff0000)"/],
    ['[pegs, dots]', /is selected by marks: "\[pegs, dots\]"/],
  ])('that the drawing does not have are asked for in the words of the job: %s', (marks, message) => {
    const job = jobOf(`drawing: a\nroles: {marks: ${marks}}\nreadings: {A: [1, 2]}`);
    expect(messageOf(() => resolveMarks(job, nothing))).toMatch(message);
  });

  test('may lie at one place when they are drawn and only one of them was read', () => {
    const twice = drawn({ A: { x: 1, y: 1 }, 'line-2': { x: 1, y: 1 } });
    expect(resolveMarks(jobOf('drawing: a\nreadings: {A: [1, 2]}'), twice).size).toBe(2);
  });

  test('may lie a hundredth of a millimetre apart, but no nearer', () => {
    const marks = (x: number): string =>
      `drawing: a\nmarks: {A: [0, 0], B: [${x}, 0]}\nreadings: {A: [1, 2]}`;
    expect(resolveMarks(jobOf(marks(0.01)), nothing).size).toBe(2);
    expect(messageOf(() => resolveMarks(jobOf(marks(0.0099)), nothing))).toMatch(/at the same place/);
  });

  test('are compared by distance: in one column they are apart', () => {
    const rows = Array.from({ length: 2000 }, (_, i) => `  m${i}: [5, ${i}]`).join('\n');
    const job = jobOf(`drawing: a\nmarks:\n${rows}\nreadings: {m1: [1, 2]}`);
    expect(resolveMarks(job, nothing).size).toBe(2000);
  });

  test.each<[what: string, text: string, drawn: DrawnMarks, message: string]>([
    [
      'there is none anywhere',
      'drawing: fern.svg\nroles: {marks: pegs}\nreadings: {A: [1, 2]}',
      nothing,
      'jobs/fern.yaml:1:10 (drawing) no mark: nothing in fern.svg lies in the layer "pegs"; expected marks in the drawing or in the job. Type their design positions under "marks:", or name their layer under "roles:" as "marks".',
    ],
    [
      'a reading belongs to none of the drawn ones',
      'drawing: a\nreadings:\n  A: [1, 2]\n  Z: [3, 4]',
      pegs,
      'jobs/fern.yaml:4:6 (readings.Z) a reading of the mark "Z", which is not known; expected one of the marks "A", "B", "C". Correct the name, or draw the mark in the marks layer.',
    ],
    [
      'a reading belongs to none of the listed ones',
      'drawing: a\nmarks: {A: [1, 2]}\nreadings: {Z: [3, 4]}',
      pegs,
      'jobs/fern.yaml:3:15 (readings.Z) a reading of the mark "Z", which is not known; expected one of the marks "A". Correct the name, or add the mark under "marks:".',
    ],
    [
      'a reading belongs to a drawn mark that the list of marks leaves out',
      'drawing: a\nmarks: {D: [1, 2]}\nreadings: {D: [0, 0], B: [3, 4]}',
      pegs,
      'jobs/fern.yaml:3:26 (readings.B) a reading of the mark "B", which is drawn but not listed under "marks:"; expected every mark that is read in that list: where there is one, drawn marks count only through it. Add "B: B" to "marks:".',
    ],
    [
      'the mark of a reading is misspelt',
      'drawing: a\nmarks: {peg-left: [1, 2], peg-right: [3, 4]}\nreadings: {peg-rihgt: [3, 4]}',
      nothing,
      'jobs/fern.yaml:3:23 (readings.peg-rihgt) a reading of the mark "peg-rihgt", which is not known; expected one of the marks "peg-left", "peg-right". Did you mean "peg-right"?',
    ],
    [
      'a mark is to be at a shape that is not drawn',
      'drawing: fern.svg\nmarks:\n  A: peghole-2\nreadings: {A: [3, 4]}',
      pegs,
      'jobs/fern.yaml:3:6 (marks.A) mark "A" at the shape "peghole-2", which is not in fern.svg; expected the id of a drawn shape, or a design position [x, y]. Did you mean "peg-hole-2"?',
    ],
    [
      'a mark is to be at a shape like none that is drawn',
      'drawing: fern.svg\nmarks: {A: frond}\nreadings: {A: [3, 4]}',
      pegs,
      'jobs/fern.yaml:2:12 (marks.A) mark "A" at the shape "frond", which is not in fern.svg; expected the id of a drawn shape, or a design position [x, y]. Type the design position instead.',
    ],
    [
      'two typed ones lie at one place',
      'drawing: a\nmarks:\n  B: [20, 20.004]\n  C: [9, 9]\n  A: [20.003, 20]\nreadings: {C: [3, 4]}',
      nothing,
      'jobs/fern.yaml:5:6 (marks.A) the marks "B" and "A" at the same place of the design, (20, 20.004); expected marks at least 0.01 mm apart. Correct the position, or give both readings to one of them as repeated readings.',
    ],
    [
      'two drawn ones at one place were both read',
      'drawing: a\nreadings:\n  A: [1, 2]\n  hole: [3, 4]',
      drawn({ A: { x: 5, y: 6 }, hole: { x: 5, y: 6 } }),
      'jobs/fern.yaml:4:9 (readings.hole) the marks "A" and "hole" at the same place of the design, (5, 6); expected marks at least 0.01 mm apart. Correct the position, or give both readings to one of them as repeated readings.',
    ],
  ])('are refused when %s', (_what, text, drawing, message) => {
    expect(messageOf(() => resolveMarks(jobOf(text), drawing))).toBe(message);
  });

  test('are named in a message up to eight', () => {
    const list = Array.from({ length: 12 }, (_, i) => `m${i}: [${i}, 0]`).join(', ');
    const job = jobOf(`drawing: a\nmarks: {${list}}\nreadings: {hole-left: [1, 2]}`);
    expect(messageOf(() => resolveMarks(job, nothing))).toContain('"m6", "m7" and 4 more. ');
  });

  test('are named with the line of the table that holds the reading', () => {
    const job = jobOf('drawing: a\nreadings: fern.csv', { 'fern.csv': 'mark,x,y\nA,1,2\nA,1,2\nD,3,4\n' });
    expect(messageOf(() => resolveMarks(job, pegs))).toBe(
      'jobs/fern.csv:4 (readings.D) a reading of the mark "D", which is not known; expected one of the marks "A", "B", "C". Correct the name, or draw the mark in the marks layer.',
    );
  });
});
