import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { checkJob, checkText, loadJob } from '../../src/internal.js';

const folder = new URL('../../calibration/fern-screen/', import.meta.url);
const file = (path: string): Uint8Array => new Uint8Array(readFileSync(new URL(path, folder)));
const jobText = readFileSync(new URL('job.yaml', folder), 'utf8');

const screen = (change: (text: string) => string): string[] => {
  const loaded = loadJob({ path: 'fern-screen/job.yaml', text: change(jobText) }, { read: file });
  const done = checkJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  return checkText(loaded.job, done).trimEnd().split('\n');
};

/** Without the table of what the verdict rests on, which comes on top. */
const withoutTable = (lines: readonly string[]): string[] => {
  const from = lines.findIndex((line) => line.startsWith('What the verdict rests on'));
  if (from < 0) return [...lines];
  return [...lines.slice(0, from), ...lines.slice(lines.indexOf('', from) + 1)];
};

describe('the check of the example on a terminal of 80 x 24', () => {
  test('is one screen, and says verdict, worst openings, where to look and what to do', () => {
    const lines = screen((text) => text);
    expect(withoutTable(lines).length).toBeLessThanOrEqual(24);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
    const text = lines.join('\n');
    expect(text).toMatch(/^It fits: /m);
    // The verdict with what it rests on: three lines between the title and the clearance.
    expect(lines.findIndex((line) => line.startsWith('Clearance'))).toBe(6);
    expect(text).toMatch(/^What the verdict rests on/m);
    expect(text).toMatch(
      /^Clearance 0\.50 mm; needed 0\.1\d mm, so that at most 5 of 100 such jobs touch\.$/m,
    );
    expect(text).toMatch(/^Openings that need most/m);
    expect(text).toMatch(/^Witness points/m);
    expect(text).toMatch(/^Next: drive the pointer/m);
    expect(text).not.toMatch(/covariance|jacobian|degrees of freedom|sigma/i);
  });

  test('with too small a clearance it still is, and says how much more would do', () => {
    const lines = screen((text) => text.replace(/clearance: 0\.5\b/, 'clearance: 0.1'));
    expect(withoutTable(lines).length).toBeLessThanOrEqual(24);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
    expect(lines.join('\n')).toMatch(/^Too close to call it safe: /m);
    expect(lines.join('\n')).toMatch(/A clearance of|a clearance of|needed clearance would go/);
    expect(lines.join('\n')).toMatch(/^Witness points/m);
  });

  test.each([
    ['a slip that is found', '[727.84, 731.85]', 'A reading is in doubt', 'it', 'it does not fit'],
    ['one of two marks', '[772.48, 731.85]', 'Readings are in doubt', 'them', 'it would fit'],
  ])(
    'with %s begins with the doubt, and only then says what the verdict would be',
    (_, typed, word, rests, verdict) => {
      const lines = screen((text) => text.replace('[772.84, 731.85]', typed));
      expect(withoutTable(lines).length).toBeLessThanOrEqual(24);
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
      expect(lines[3]).toBe(`${word}, and the verdict rests on ${rests}:`);
      expect(lines[4]).toMatch(/^ {2}- (likely-slip|suspect-reading): /);
      const text = lines.join('\n');
      expect(text).toContain(`\nWith what is typed now: ${verdict}; the new edge touches`);
      expect(text).not.toMatch(/^(It fits|It does not fit|Openings|A mistake of)/m);
      expect(text).toMatch(/\n\nNext: read again at C/);
    },
  );

  test('where readings disagree and none of them stands out, shows what needs most all the same', () => {
    const lines = screen((text) => text.replace(/mark-sd: 0\.03.*/, 'mark-sd: 0.01\n  reading-sd: 0.02'));
    expect(withoutTable(lines).length).toBeLessThanOrEqual(24);
    expect(lines[3]).toBe('Readings are in doubt, and the verdict rests on them:');
    expect(lines[4]).toMatch(/^ {2}- marks-disagree: /);
    expect(lines.join('\n')).toMatch(/^Openings that need most/m);
  });
});
