import { describe, expect, test } from 'vitest';
import { jobOf, least, messageOf } from './message-of.js';

describe('Readings, marks and witness points that are none are refused', () => {
  test.each<[what: string, text: string, message: string, files?: Record<string, string>]>([
    [
      'decimal commas between separating commas',
      'drawing: a\nreadings:\n  A: [112,42, 96,10]',
      'jobs/fern.yaml:3:6 (readings.A) readings.A is a list of 4 values; expected [x, y] in mm, or a list of such readings. Write two numbers with decimal points: a comma separates the numbers.',
    ],
    [
      'half a reading',
      'drawing: a\nreadings: {A: [1]}',
      'jobs/fern.yaml:2:15 (readings.A) readings.A is a list of one value; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a bare number for a reading',
      'drawing: a\nreadings: {A: 5}',
      'jobs/fern.yaml:2:15 (readings.A) readings.A is 5; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a mapping for a reading',
      'drawing: a\nreadings: {A: {x: 1, y: 2}}',
      'jobs/fern.yaml:2:15 (readings.A) readings.A is a mapping; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a mark without its reading',
      'drawing: a\nreadings: {A: }',
      'jobs/fern.yaml:2:15 (readings.A) readings.A is empty; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a mark without even a colon',
      'drawing: a\nreadings: {A}',
      'jobs/fern.yaml:2:12 (readings.A) readings.A is empty; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'an empty list of readings',
      'drawing: a\nreadings: {A: []}',
      'jobs/fern.yaml:2:15 (readings.A) readings.A is an empty list; expected [x, y] in mm, or a list of such readings. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a number among repeated readings',
      'drawing: a\nreadings: {A: [[1, 2], 3]}',
      'jobs/fern.yaml:2:24 (readings.A[2]) readings.A[2] is 3; expected two numbers [x, y] in mm. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'three numbers among repeated readings',
      'drawing: a\nreadings: {A: [[1, 2], [1, 2, 3]]}',
      'jobs/fern.yaml:2:24 (readings.A[2]) readings.A[2] is a list of 3 values; expected two numbers [x, y] in mm. Write two numbers with decimal points: a comma separates the numbers.',
    ],
    [
      'a decimal comma under dashes',
      'drawing: a\nreadings:\n  A:\n    - 12,5\n    - 13,5',
      'jobs/fern.yaml:4:7 (readings.A[1]) readings.A[1] is "12,5"; expected a number in mm. Write the decimal point as a point: 12.5.',
    ],
    [
      'no reading at all',
      'drawing: a\nreadings: {}',
      'jobs/fern.yaml:2:11 (readings) readings is an empty mapping; expected at least one reading. Write "mark: [x, y]" for each mark that was read.',
    ],
    [
      'a list without names',
      'drawing: a\nreadings: [1, 2]',
      'jobs/fern.yaml:2:11 (readings) readings is a list of 2 values; expected a mapping of marks, each with [x, y], or the path of a table. Write the name of its mark before each reading: "A: [112.42, 96.10]".',
    ],
    [
      'nothing behind readings',
      'drawing: a\nreadings:',
      'jobs/fern.yaml:2:10 (readings) readings is empty; expected a mapping of marks, each with [x, y], or the path of a table. Write it behind the colon.',
    ],
    [
      'a table that is not there',
      'drawing: a\nreadings: fern.csv',
      'jobs/fern.yaml:2:11 (readings) no file jobs/fern.csv; expected the table of readings that the job names. Correct the path; it counts from the folder of the job file.',
    ],
    [
      'a fault in the table',
      'drawing: a\nreadings: fern.csv',
      'jobs/fern.csv:3 y is "x"; expected a number in mm. Write digits with a decimal point or comma.',
      { 'fern.csv': 'mark;x;y\nA;1;2\nB;1;x' },
    ],
    [
      'a table in UTF-16',
      'drawing: a\nreadings: fern.csv',
      'jobs/fern.csv a zero byte (byte 2), as in UTF-16 without its mark or in a file that is no text; expected text in UTF-8. Save the file as UTF-8 text and try again.',
      { 'fern.csv': 'A\u0000;\u0000' },
    ],
    [
      'no mark in the list of marks',
      `${least}marks: {}`,
      'jobs/fern.yaml:3:8 (marks) marks is an empty mapping; expected at least one mark. Name the marks, or remove the key to take those of the drawing.',
    ],
    [
      'three numbers for a mark',
      `${least}marks: {A: [1, 2, 3]}`,
      'jobs/fern.yaml:3:12 (marks.A) marks.A is a list of 3 values; expected two numbers [x, y] in mm, or the id of a drawn shape. Write two numbers with decimal points: a comma separates the numbers.',
    ],
    [
      'a mapping for a mark',
      `${least}marks: {A: {at: [1, 2]}}`,
      'jobs/fern.yaml:3:12 (marks.A) marks.A is a mapping; expected two numbers [x, y] in mm, or the id of a drawn shape. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a mark without its place',
      `${least}marks: {A: }`,
      'jobs/fern.yaml:3:12 (marks.A) marks.A is empty; expected two numbers [x, y] in mm, or the id of a drawn shape. Write it behind the colon.',
    ],
    [
      'a list of marks',
      `${least}marks: [A]`,
      'jobs/fern.yaml:3:8 (marks) marks is a list of one value; expected a mapping of marks, each with [x, y] or the id of a shape. Write one "key: value" on each line, indented alike.',
    ],
    [
      'a mapping of witness points',
      `${least}witness: {A: [1, 2]}`,
      'jobs/fern.yaml:3:10 (witness) witness is a mapping; expected a list of {point: ..., reading: [x, y]}. Write - {point: NAME or [x, y], reading: [x, y]} for each witness point, on a line of its own.',
    ],
    [
      'a misspelt key of a witness point',
      `${least}witness: [{point: A, raeding: [1, 2]}]`,
      'jobs/fern.yaml:3:22 (witness[1].raeding) the unknown key "raeding" in witness[1]; expected point, reading or direction. Did you mean "reading"?',
    ],
    [
      'a witness point without its reading',
      `${least}witness: [{point: A}]`,
      'jobs/fern.yaml:3:11 (witness[1]) no key "reading" in witness[1]; expected this key here. Write {point: NAME or [x, y], reading: [x, y]} for each witness point.',
    ],
    [
      'half a witness point',
      `${least}witness: [{point: [1], reading: [1, 2]}]`,
      'jobs/fern.yaml:3:19 (witness[1].point) witness[1].point is a list of one value; expected a design position [x, y] in mm, or the name of a mark or shape. Write two numbers in brackets, as in [112.42, 96.1].',
    ],
    [
      'a bare name for a witness point',
      `${least}witness:\n  - A`,
      'jobs/fern.yaml:4:5 (witness[1]) witness[1] is "A"; expected a mapping with point, reading or direction. Write one "key: value" on each line, indented alike.',
    ],
  ])('%s', (_what, text, message, files) => {
    expect(messageOf(() => jobOf(text, files))).toBe(message);
  });
});
