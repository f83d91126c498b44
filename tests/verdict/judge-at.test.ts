/** The verdict at another clearance leaves out nothing of what the verdict of that job counts; only its draws are fewer. */
import { expect, test } from 'vitest';
import type { LoadedJob } from '../../src/fit/job/loaded-job.js';
import { checkJob, fitJob, loadJob } from '../../src/reseat.js';
import { judgeAt } from '../../src/verdict/job/judge-job.js';

const panel = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
<g id="outline"><rect id="panel" x="0" y="0" width="600" height="400"/></g>
<g id="openings"><circle id="ring" cx="150" cy="110" r="30"/><rect id="slot" x="270" y="190" width="60" height="20"/></g></svg>`;

const loaded = (clearance: string, { machine, fit, check, readings = exact }: Said): LoadedJob =>
  loadJob(
    {
      path: 'job.yaml',
      text: `drawing: panel.svg
marks: {A: [20, 20], B: [580, 20], C: [580, 380], D: [20, 380]}
readings: ${readings}
machine: ${machine ?? '{axes: y-up, reversal: [0, 0]}'}
fit: ${fit ?? '{reading-sd: 0.05, mark-sd: 0, pointing-sd: 0}'}
cut: {kind: opening, clearance: ${clearance}, kerf: 0}
check: ${check ?? all}
`,
    },
    { read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(panel) : undefined) },
  );

interface Said {
  readonly machine?: string;
  readonly fit?: string;
  readonly check?: string;
  readonly readings?: string;
}

const exact = '{A: [120, 70], B: [680, 70], C: [680, 430], D: [120, 430]}';
const all = '{cut-sd: 0, kerf-sd: 0, bow: 0, size-change: 0}';

const jobs: Readonly<Record<string, Said>> = {
  'an uncertain bed map': {
    machine:
      '{axes: y-up, reversal: [0, 0], bed-map: {scale: [1, 1], skew-mrad: 0}, bed-map-sd: {scale: [0.0003, 0.0003], skew-mrad: 0.3}}',
  },
  'a bow that nobody states': { check: '{cut-sd: 0, kerf-sd: 0, size-change: 0}' },
  'a stated bow': { check: all.replace('bow: 0', 'bow: 0.1') },
  'a coarse display on an unturned panel': {
    fit: '{reading-sd: 0.02, mark-sd: 0, pointing-sd: 0, display-step: 0.1}',
  },
  'nothing stated but the sd of a reading': {
    machine: '{axes: y-up}',
    fit: '{reading-sd: 0.05}',
    check: '{}',
  },
  'readings that contradict each other': {
    readings: '{A: [120, 70], B: [680.7, 70], C: [680, 430], D: [120, 430]}',
  },
};

test.each(Object.entries(jobs))('at another clearance %s counts as it does in the whole check', (_, said) => {
  const asked = loaded('0.35', said);
  const fitted = fitJob(asked);
  if (!fitted.outcome.ok) throw new Error(fitted.outcome.failure.reason);
  const { fit } = fitted.outcome;
  for (const clearance of [0.12, 0.2, 0.6]) {
    const whole = checkJob(loaded(String(clearance), said));
    if (!whole.ok) throw new Error(whole.failure.reason);
    const slid = judgeAt(asked, clearance, fitted, fit, fitted.warnings, []);
    expect(slid.neededClearance! / whole.check.neededClearance!).toBeGreaterThan(0.97);
    expect(slid.neededClearance! / whole.check.neededClearance!).toBeLessThan(1.03);
    expect(slid.verdict).toBe(whole.check.verdict);
    expect(slid.clearance).toBe(clearance);
  }
});
