import { describe, expect, test } from 'vitest';
import { daysBetween, isDate, monthsBetween } from '../../src/job/dates.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobOf, least, messageOf } from './message-of.js';

const profile = (text: string) => readProfileText('bench.yaml', text);

describe('The age of a profile', () => {
  test('is one date for all of it', () => {
    expect(profile('measured: 2026-03-02')).toMatchObject({ measured: '2026-03-02' });
    expect(profile('measured: 2026-03-02').measuredParts).toBeUndefined();
  });

  test('is that of its oldest part where the parts have dates of their own', () => {
    expect(profile('measured: {pointer: 2026-03-02, bed: 2025-11-30}')).toMatchObject({
      measured: '2025-11-30',
      measuredParts: { pointer: '2026-03-02', bed: '2025-11-30' },
    });
  });

  test('is replaced as a whole by a job that states its own', () => {
    const { machine } = jobOf(`${least}machine: {profile: bench.yaml, measured: 2026-05-01}`, {
      'bench.yaml': 'measured: {bed: 2025-11-30}',
    });
    expect(machine.measured).toBe('2026-05-01');
    expect(machine.measuredParts).toBeUndefined();
  });

  test.each([
    [
      'measured: {table: 2026-03-02}',
      'bench.yaml:1:12 (measured.table) the unknown key "table" in measured; expected pointer, bed, kerf or beam. Remove it, or use one of these keys.',
    ],
    [
      'measured: {bed: 2026-02-30}',
      'bench.yaml:1:17 (measured.bed) measured.bed is "2026-02-30"; expected a date such as 2026-03-02. Write year-month-day (ISO 8601).',
    ],
    [
      'measured: {}',
      'bench.yaml:1:11 (measured) measured is an empty mapping; expected a date, or the date of each part. Write the date, or remove the key.',
    ],
  ])('is refused as %s', (text, message) => {
    expect(messageOf(() => profile(text))).toBe(message);
  });
});

describe('Earlier values of a profile', () => {
  test('are read over', () => {
    const history = 'history:\n  - {measured: 2025-01-02, replaced: 2026-03-02, kerf: 0.3, kerf-sd: 0.02}\n';
    expect(profile(`kerf: 0.2\n${history}`).kerf).toBe(0.2);
  });

  test.each([
    [
      'history:\n  - {kerf: -0.3}',
      'bench.yaml:2:12 (history[1].kerf) history[1].kerf is -0.3; expected a number in mm, 0 or more. Correct the number.',
    ],
    [
      'history:\n  - {replaced: yesterday}',
      'bench.yaml:2:16 (history[1].replaced) history[1].replaced is "yesterday"; expected a date such as 2026-03-02. Write year-month-day (ISO 8601).',
    ],
    [
      'history: {kerf: 0.3}',
      'bench.yaml:1:10 (history) history is a mapping; expected a list of earlier values, each with the date they were replaced. Write the values in brackets: [ ... ].',
    ],
  ])('must be sound: %s', (text, message) => {
    expect(messageOf(() => profile(text))).toBe(message);
  });
});

describe('The format of a profile', () => {
  test('is 1, said or not', () => {
    expect(profile('format: 1\nkerf: 0.2').kerf).toBe(0.2);
  });

  test('of a newer version is refused before the keys that are not known here', () => {
    expect(messageOf(() => profile('lens: 50\nformat: 2'))).toBe(
      'bench.yaml:2:9 (format) format 2: the profile was written by a newer version; expected format 1. Install the newer version to use this profile. It was left as it is.',
    );
  });
});

describe('Dates', () => {
  test.each(['2026-02-29', '2026-13-01', '2026-00-10', '2026-1-2', 'today', '2026-04-31', '2026-01-00'])(
    '%s is none',
    (text) => expect(isDate(text)).toBe(false),
  );

  test('of a job are when its readings were taken', () => {
    expect(jobOf(`${least}date: 2024-02-29`).date).toBe('2024-02-29');
  });

  test.each([
    ['2025-01-31', '2025-02-28', 0, 28],
    ['2025-01-31', '2025-03-31', 2, 59],
    ['2024-11-25', '2026-11-24', 23, 729],
    ['2026-11-25', '2026-10-01', 0, -55],
  ])('from %s to %s: %i whole months, %i days', (from, to, months, days) => {
    expect(monthsBetween(from, to)).toBe(months);
    expect(daysBetween(from, to)).toBe(days);
  });
});

describe('A habit of the eye', () => {
  const files = { 'bench.yaml': 'pointing-bias: 0.08' };
  const fitOf = (text: string) => jobOf(`${least}machine: bench.yaml\n${text}`, files).fit;

  test('is taken from the profile', () => {
    expect(fitOf('')).toMatchObject({ pointingBias: 0.08 });
  });

  test('that the job states, as a bound or as an sd, takes the place of the whole', () => {
    expect(fitOf('fit: {pointing-bias: 0}').pointingBias).toBe(0);
    const stated = fitOf('fit: {pointing-sd: 0.03}');
    expect(stated.pointingSd).toBe(0.03);
    expect(stated.pointingBias).toBeUndefined();
    const own = jobOf(`${least}machine: {profile: bench.yaml, pointing-sd: 0.05}`, files);
    expect(own.fit.pointingSd).toBe(0.05);
    expect(own.fit.pointingBias).toBeUndefined();
    expect(own.check.cutSd).toBeCloseTo(0.05, 12);
  });
});
