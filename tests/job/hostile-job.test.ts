import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { InputError } from '../../src/job/messages.js';
import { jobOf, least, messageOf } from './message-of.js';

describe('A hostile job file ends in one message', () => {
  test.each([
    ['brackets', '['],
    ['braces', '{'],
    ['dashes', '- '],
    ['question marks', '? '],
    ['colons', ': '],
  ])('when %s are nested twelve thousand times', (_what, opener) => {
    const message = messageOf(() => jobOf(opener.repeat(12_000)));
    expect(message).toMatch(
      /^jobs\/fern.yaml:1:\d+ more than 40 values nested in each other; expected at most that many\. Check the brackets and dashes before this place\.$/,
    );
  });

  test('when keys are nested by indentation', () => {
    const text = Array.from({ length: 300 }, (_, depth) => `${' '.repeat(depth)}a:\n`).join('');
    expect(messageOf(() => jobOf(text))).toMatch(/^jobs\/fern.yaml:42:42 more than 40 values nested/);
  });

  test('when aliases multiply themselves', () => {
    const bomb = Array.from(
      { length: 9 },
      (_, i) => `  l${i + 1}: &l${i + 1} [${`*l${i}, `.repeat(9)}*l${i}]`,
    );
    const text = `drawing: a\nreadings:\n  l0: &l0 [1, 2]\n${bomb.join('\n')}\n`;
    expect(messageOf(() => jobOf(text))).toBe(
      'jobs/fern.yaml:5:12 (readings.l2[1]) readings.l2[1] is a list of 10 values; expected two numbers [x, y] in mm. Write two numbers with decimal points: a comma separates the numbers.',
    );
  });

  test('when more than a hundred aliases are used', () => {
    const readings = Array.from({ length: 101 }, (_, i) => `  m${i}: *p\n`).join('');
    expect(messageOf(() => jobOf(`drawing: a\nreadings:\n  p: &p [1, 2]\n${readings}`))).toBe(
      'jobs/fern.yaml:104:9 more than 100 aliases; expected at most that many. Write the values out.',
    );
  });

  test('when an alias stands inside its own anchor', () => {
    expect(messageOf(() => jobOf('drawing: a\nreadings: {A: &a [*a, *a]}'))).toBe(
      'jobs/fern.yaml:2:19 (readings.A[1][1]) readings.A[1][1] is a list of 2 values; expected a number in mm. Write one number behind the colon, or remove the key.',
    );
  });

  test('when it is longer than any job', () => {
    expect(messageOf(() => jobOf(`${least}# ${'fern '.repeat(100_000)}`))).toBe(
      'jobs/fern.yaml 500042 characters; expected at most 500000. Put long lists of readings into a CSV file and name it behind "readings".',
    );
  });

  test('after any few changes of its letters: it is read or refused with a place in the file', () => {
    const text = `title: Fern
drawing: fern.svg
marks: {A: [20, 20], B: hole}
readings:
  A: [112.42, 96.10]
  B: [[671.93, 104.82], [671.90, 104.86]]
machine: {profile: bed.yaml, axes: y-down, bed-map: {scale: [1, 1.0002]}}
fit: {reading-sd: 0.08, reading-sd-dof: 9}
cut: {clearance: 0.5, corners: round}
witness:
  - {point: A, reading: [1, 2]}
`;
    const change = fc.record({
      at: fc.nat({ max: text.length }),
      remove: fc.nat({ max: 3 }),
      insert: fc.string({ unit: fc.constantFrom(...' \t\n:-[]{},&*!|>\'"%@#?.0159eAé\u0000'), maxLength: 2 }),
    });
    let refused = 0;
    let read = 0;
    fc.assert(
      fc.property(fc.array(change, { minLength: 1, maxLength: 3 }), (changes) => {
        let changed = text;
        for (const { at, remove, insert } of changes) {
          changed = changed.slice(0, at) + insert + changed.slice(at + remove);
        }
        try {
          const job = jobOf(changed, { 'bed.yaml': 'size: [1200, 900]' });
          read += 1;
          for (const { at } of job.readings)
            for (const { x, y } of at) expect(Number.isFinite(x + y)).toBe(true);
        } catch (error) {
          if (!(error instanceof InputError)) throw error;
          refused += 1;
          expect(error.where.file).toMatch(/^jobs\//);
          expect(error.found.length + error.expected.length + error.next.length).toBeLessThan(600);
          expect(`${error.message}${error.next}`).not.toMatch(/[\n\r\t]|undefined|\[object/);
          expect(error.next).toMatch(/[.?]$/);
        }
      }),
      { seed: 20261125, numRuns: 600 },
    );
    expect(refused).toBeGreaterThan(200);
    expect(read).toBeGreaterThan(30);
  });
});
