import { describe, expect, test } from 'vitest';
import type { Direction, PointerReading } from '../../src/calibration/parts/measurements.js';
import { calibratePointer } from '../../src/calibration/parts/pointer.js';
import { readPointerData } from '../../src/calibration/tables/read-pointer.js';
import { createRandom } from '../../src/numeric/random.js';
import { messageOf } from '../job/message-of.js';

const reading = (mark: string, x: number, y: number, direction?: Direction, line = 1): PointerReading => ({
  mark,
  at: { x, y },
  ...(direction === undefined ? {} : { direction }),
  where: { file: 'pointer.csv', line },
});

describe('Reversal and repeatability in the manner of ISO 230-2 (formula from memory)', () => {
  const up = [2, 3, 1, 2, 2];
  const down = [6, 5, 7, 6, 6];
  const found = calibratePointer(
    [...up.map((x) => reading('P', x, 10 * x, 'up')), ...down.map((x) => reading('P', x, 10 * x, 'down'))],
    'pointer.csv',
  );

  test('up 2 3 1 2 2, down 6 5 7 6 6: reversal -4, R up 2.828, both ways 6.828', () => {
    const { x } = found.reversal!;
    expect(x.mean).toBe(-4);
    expect(x.largest).toEqual({ mark: 'P', value: -4 });
    expect(x.repeatability!.up).toBeCloseTo(2.828, 3);
    expect(x.repeatability!.both).toBeCloseTo(6.828, 3);
  });

  test('is worked out for each axis by itself', () => {
    expect(found.reversal!.y.mean).toBe(-40);
    expect(found.reversal!.y.repeatability!.both).toBeCloseTo(68.28, 2);
    // Millimetres of scatter are no reading of a pointer: nothing is proposed.
    expect(found.reversal!.y.mean).toBe(-40);
    expect(found.proposal.set).toEqual({});
    expect(found.warnings[0]!.code).toBe('unlikely-sd');
  });

  test('takes the largest reversal of several marks with its sign, and their mean', () => {
    const { reversal } = calibratePointer(
      [
        ...[2, 2.1].map((x) => reading('P', x, 0, 'up')),
        ...[1, 1.1].map((x) => reading('P', x, 0, 'down')),
        ...[5, 5.1].map((x) => reading('Q', x, 0, 'up')),
        ...[8, 8.1].map((x) => reading('Q', x, 0, 'down')),
        reading('R', 9, 9, 'up'),
      ],
      'pointer.csv',
    );
    expect(reversal!.x.mean).toBeCloseTo(-1, 12);
    expect(reversal!.x.largest.mark).toBe('Q');
    expect(reversal!.x.largest.value).toBeCloseTo(-3, 12);
  });
});

describe('The sd of a reading', () => {
  test('is pooled within the marks: what lies between them does not count', () => {
    const found = calibratePointer(
      [reading('A', 0, 500), reading('A', 0.3, 500.4), reading('B', 1000, 3), reading('B', 1000.1, 3.2)],
      'pointer.csv',
    );
    // Two readings a distance d apart give d^2 / 2 with one degree of freedom.
    expect(found.x.sd).toBeCloseTo(Math.sqrt((0.3 ** 2 + 0.1 ** 2) / 2 / 2), 10);
    expect(found.both.sd).toBeCloseTo(Math.sqrt((0.3 ** 2 + 0.1 ** 2 + 0.4 ** 2 + 0.2 ** 2) / 2 / 4), 10);
    expect(found.both.degrees).toBe(4);
    expect(found.warnings.map((w) => w.code)).toContain('few-readings');
    expect(found.proposal.set).toEqual({
      'reading-sd': 0.194,
      'reading-sd-dof': 4,
      'display-step': 0.1,
    });
  });

  test('is not blown up by the reversal', () => {
    const found = calibratePointer(
      [0, 0.02, 0.01, 0.5, 0.52, 0.51].map((x, i) => reading('A', x, x, i < 3 ? 'up' : 'down')),
      'pointer.csv',
    );
    expect(found.both.sd).toBeCloseTo(0.01, 10);
    // Once, whether one axis has lost motion or both.
    expect(found.warnings.filter((w) => w.code === 'reversal')).toHaveLength(1);
  });

  test('lies within its 95 % limits in 95 % of trials, and is right on average', () => {
    const random = createRandom('pointer');
    const trials = 3000;
    let held = 0;
    let squares = 0;
    let unbiased = 0;
    for (let trial = 0; trial < trials; trial++) {
      const readings = ['A', 'B', 'C'].flatMap((mark, m) =>
        Array.from({ length: 3 }, () =>
          reading(mark, 100 * m + 0.06 * random.normal(), 50 + 0.06 * random.normal()),
        ),
      );
      const { both } = calibratePointer(readings, 'pointer.csv');
      if (both.low <= 0.06 && 0.06 <= both.high) held += 1;
      squares += both.sd ** 2;
      unbiased += both.unbiased;
    }
    expect(held / trials).toBeGreaterThan(0.94);
    expect(held / trials).toBeLessThan(0.96);
    // sd of the mean of 3000 variances with 12 degrees of freedom: 0.75 %.
    expect(squares / trials / 0.06 ** 2).toBeGreaterThan(0.975);
    expect(squares / trials / 0.06 ** 2).toBeLessThan(1.025);
    expect(unbiased / trials / 0.06).toBeGreaterThan(0.987);
    expect(unbiased / trials / 0.06).toBeLessThan(1.013);
  });

  test('is never claimed to be less than the rounding of the display', () => {
    const same = ['A', 'B'].flatMap((mark) => [1, 2, 3].map(() => reading(mark, 100.5, 20.3)));
    const found = calibratePointer(same, 'pointer.csv');
    expect(found.both.sd).toBe(0);
    expect(found.step).toBe(0.1);
    expect(found.proposal).toEqual({
      part: 'pointer',
      set: { 'reading-sd': 0.0289, 'display-step': 0.1 },
      remove: ['reading-sd-dof'],
    });
    expect(found.warnings[0]!.code).toBe('display-step');
  });

  test('of axes that are not alike is told for the worse', () => {
    const random = createRandom('axes');
    const found = calibratePointer(
      Array.from({ length: 20 }, () => reading('A', 0.3 * random.normal(), 0.03 * random.normal())),
      'pointer.csv',
    );
    expect(found.axesPValue).toBeLessThan(0.001);
    const [warning] = found.warnings.filter((w) => w.code === 'axes-differ');
    expect(warning!.message).toContain('says too little of x');
  });
});

describe('An outlier among the readings', () => {
  test('is named with its line, and still counted', () => {
    const clean = [0, 0.05, -0.04, 0.02, -0.03, 0.01, 0.04, -0.05];
    const readings = clean.map((d, i) => reading('A', 100 + d, 50 - d, undefined, i + 2));
    const found = calibratePointer([...readings, reading('A', 101, 50, undefined, 10)], 'pointer.csv');
    expect(found.outliers).toHaveLength(1);
    expect(found.outliers[0]).toMatchObject({ mark: 'A', axis: 'x' });
    expect(found.warnings[0]!.message).toContain('(line 10)');
    expect(found.x.sd).toBeGreaterThan(0.3);
  });
});

describe('Readings for the pointer', () => {
  const read = (text: string, path = 'pointer.csv') => readPointerData({ path, text }).readings;
  test('come from a table, a list of rows or the mapping that a job has', () => {
    const table = read('direction;mark;x;y\nUp;A;1,5;2\ndown;A;3;4\n');
    const plain = (rows: PointerReading[]) => rows.map(({ where: _, ...row }) => row);
    expect(plain(table)).toEqual([
      { mark: 'A', at: { x: 1.5, y: 2 }, direction: 'up' },
      { mark: 'A', at: { x: 3, y: 4 }, direction: 'down' },
    ]);
    const rows =
      'readings:\n - {mark: A, x: 1.5, y: 2, direction: up}\n - {mark: A, x: 3, y: 4, direction: down}';
    expect(plain(read(rows, 'p.yaml'))).toEqual(plain(table));
    expect(plain(read('readings:\n  A: {up: [1.5, 2], down: [[3, 4]]}', 'p.yml'))).toEqual(plain(table));
    expect(plain(read('{"readings": {"A": [[1, 2], [3, 4]]}}', 'p.json'))).toEqual([
      { mark: 'A', at: { x: 1, y: 2 } },
      { mark: 'A', at: { x: 3, y: 4 } },
    ]);
  });

  test('left blank in the form are passed over and counted', () => {
    expect(readPointerData({ path: 'p.csv', text: 'mark,x,y\nA,1,2\nB,,\nC,,\n' })).toMatchObject({
      blank: 2,
    });
  });

  test.each([
    [
      'p.csv',
      'mark,x,y\nA,,\n',
      'p.csv a form in which nothing is filled in; expected rows of mark, x, y. Fill in x and y of what you have measured; rows you leave blank are passed over.',
    ],
    [
      'p.csv',
      '',
      'p.csv no row; expected rows of mark, x, y. Fill in x and y of what you have measured; rows you leave blank are passed over.',
    ],
    [
      'p.csv',
      'mark,x,y\nA,1,\n',
      'p.csv:2 (y) no y; expected a number in mm. Fill it in, or remove the row.',
    ],
    [
      'p.csv',
      'mark,x,y\n,1,2\n',
      'p.csv:2 (mark) no mark; expected the name of the mark. Fill it in, or remove the row.',
    ],
    [
      'p.csv',
      'mark,x\nA,1\n',
      'p.csv:1 no column y; expected the columns mark, x, y, and perhaps direction, who. Add it to the first row, and its values.',
    ],
    [
      'p.csv',
      'A,1,2\n',
      'p.csv:1 a first row without the names of the columns; expected the columns mark, x, y, and perhaps direction, who. Begin with the row mark,x,y.',
    ],
    [
      'p.csv',
      'mark,x,y,side\nA,1,2,up\n',
      'p.csv:1 the column "side"; expected the columns mark, x, y, and perhaps direction, who. Remove it; a remark may stand on a line of its own that begins with #.',
    ],
    [
      'p.csv',
      'mark,x,y,y\nA,1,2,2\n',
      'p.csv:1 the column y twice; expected the columns mark, x, y, and perhaps direction, who. Remove one of them.',
    ],
    [
      'p.csv',
      'mark,x,y\nA,1,2,3,4\n',
      'p.csv:2 5 cells; expected 3, one for each column. A decimal comma needs semicolons or tabs between the columns; a remark may stand on a line of its own that begins with #.',
    ],
    [
      'p.csv',
      'mark,x,y,direction\nA,1,2,left\n',
      'p.csv:2 (direction) direction is "left"; expected up or down. Write up where the figures of the display were growing on arrival, down where they were falling.',
    ],
    [
      'p.yaml',
      'readings:\n - {mark: A, x: 1, y: 2, z: 3}',
      'p.yaml:2:26 (readings[1].z) the unknown key "z" in readings[1]; expected mark, x, y, direction or who. Remove it, or use one of these keys.',
    ],
    [
      'p.yaml',
      'marks: {}',
      'p.yaml:1:1 (marks) the unknown key "marks"; expected readings. Remove it, or use one of these keys.',
    ],
    [
      'p.yaml',
      'readings: {A: {up: [1, 2], dwon: [1, 2]}}',
      'p.yaml:1:28 (readings.A.dwon) the unknown key "dwon" in readings.A; expected up or down. Did you mean "down"?',
    ],
    [
      'p.yaml',
      'readings: {}',
      'p.yaml:1:11 (readings) readings is an empty mapping; expected at least one mark. Write "mark: [[x, y], [x, y]]" for each mark that was read.',
    ],
  ])('of %s are refused as %j', (path, text, message) => {
    expect(messageOf(() => read(text, path))).toBe(message);
  });

  test.each([
    [
      'mark,x,y\nA,1,2\nB,3,4\n',
      'p.csv no mark read twice; expected repeated readings of the same marks. Drive away, come back to each mark and read again: five times at each of four marks is a good start.',
    ],
    [
      'mark,x,y,direction\nA,1,2,up\nA,3,4,\n',
      'p.csv:3 a reading without a direction among readings with one; expected up or down for all of them, or for none. Fill in from which side the pointer came, or leave the column out.',
    ],
    [
      'mark,x,y,direction\nA,1,2,up\nA,3,4,up\nB,3,4,down\n',
      'p.csv:2 no mark read from both sides; expected readings up and down at the same marks. Read at least one mark from both sides, or leave the column of directions out.',
    ],
  ])('are no calibration as %j', (text, message) => {
    expect(messageOf(() => calibratePointer(read(text, 'p.csv'), 'p.csv'))).toBe(message);
  });
});

describe('x and y of a reading exchanged', () => {
  const sound = [
    ...[0.01, -0.02, 0.02].map((d, i) => reading('A', 20.1 + d, 20.4 - d / 2, 'up', 2 + i)),
    ...[0.02, 0, -0.01].map((d, i) => reading('A', 20.16 + d, 20.43 + d, 'down', 5 + i)),
    ...[0.01, 0.02, -0.02].map((d, i) => reading('B', 580.3 - d, 20.2 + d, 'up', 8 + i)),
    ...[0, -0.01, 0.02].map((d, i) => reading('B', 580.37 + d, 20.22 + d, 'down', 11 + i)),
  ];
  const exchanged = (line: number) =>
    sound.map((r) => (r.where.line === line ? { ...r, at: { x: r.at.y, y: r.at.x } } : r));
  const told = (readings: readonly PointerReading[]) =>
    calibratePointer(readings, 'pointer.csv').warnings.filter(({ code }) => code === 'columns-exchanged');

  test('is told of no table without any', () => {
    expect(told(sound)).toEqual([]);
  });

  test('is told with its line where it is off by half a metre', () => {
    expect(told(exchanged(9))[0]!.message).toMatch(/mark B \(line 9\) has its x and y exchanged/);
  });

  test('is told with its line where it is off by a third of a millimetre', () => {
    expect(told(exchanged(6))[0]!.message).toMatch(/mark A \(line 6\) (probably )?has its x and y exchanged/);
  });

  test('of one of two readings nothing tells which: both lines are named', () => {
    const two = exchanged(6).filter(({ where: { line } }) => line !== 7);
    expect(told(two)[0]!.message).toMatch(
      /nothing tells which: of mark A \(line [56]\), of mark A \(line [56]\)/,
    );
  });
});
