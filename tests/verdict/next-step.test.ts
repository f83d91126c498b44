import { readFileSync } from 'node:fs';
import { describe, expect, test } from 'vitest';
import { checkJob, checkText, loadJob, nextStep } from '../../src/internal.js';
import { trueToPointer } from '../../src/marks/frames.js';

const folder = new URL('../../calibration/fern-screen/', import.meta.url);
const file = (path: string): Uint8Array => new Uint8Array(readFileSync(new URL(path, folder)));
const example = readFileSync(new URL('job.yaml', folder), 'utf8');

const stepOf = (change: (text: string) => string) => {
  const loaded = loadJob({ path: 'job.yaml', text: change(example) }, { read: file });
  const done = checkJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  const { check, warnings } = done;
  return { step: nextStep(check, warnings), check, text: checkText(loaded.job, done), loaded };
};

describe('what the operator does next', () => {
  test('a job that fits: the pointer is driven to the points that "reseat check" lists, and then it is cut', () => {
    const { step, text, loaded } = stepOf((t) => t);
    expect(step.kind).toBe('cut');
    expect(step.witness.length).toBeGreaterThanOrEqual(3);
    const onDisplay = trueToPointer(loaded.job.machine);
    const listed = text.split('\n').filter((line) => / (corner|its centre|end) {2,}\[/.test(line));
    expect(listed.length).toBe(step.witness.length);
    step.witness.forEach(({ opening, at }, i) => {
      expect(listed[i]).toContain(opening);
      expect(listed[i]).toContain(onDisplay(at).x.toFixed(2));
    });
  });

  test('a mistyped reading is read again: no advice and no point that rests on it', () => {
    const { step, check, text } = stepOf((t) => t.replace('772.84', '778.24'));
    expect(check.witness.length).toBeGreaterThan(0);
    expect(step.kind === 'settle' && step.doubt.marks).toEqual(['C']);
    expect(step.witness).toEqual([]);
    expect(text).not.toContain('Witness points');
    expect(text).toContain('Next: read again at C');
    expect(text).not.toContain('  or: ');
  });

  test('too small a clearance: what would help, and two points that show whether the placement is true', () => {
    const { step, check } = stepOf((t) => t.replace('clearance: 0.5', 'clearance: 0.1'));
    expect(check.verdict).toBe('too-close');
    expect(step.kind === 'improve' && step.advice).toEqual(check.advice);
    expect(step.witness).toEqual(check.witness.slice(0, 2));
  });
});
