import { describe, expect, test } from 'vitest';
import { ageWarnings } from '../../src/calibration/age.js';
import { type DriftJob, driftOf } from '../../src/calibration/drift.js';
import { plainMachine } from '../../src/job/read/read-machine.js';
import { createRandom } from '../../src/numeric/random.js';
import { fitJob, loadJob } from '../../src/reseat.js';

const design = [
  { x: 20, y: 20 },
  { x: 580, y: 20 },
  { x: 580, y: 380 },
  { x: 20, y: 380 },
];

/** A panel read on a bed that shows 1 mm as `size`, turned by `turn`. */
const job = (
  path: string,
  size: number,
  error: () => number,
  parts: { date?: string; turn?: number } = {},
): DriftJob => {
  const { date, turn = 0.3 } = parts;
  const [cos, sin] = [size * Math.cos(turn), size * Math.sin(turn)];
  return {
    job: {
      path,
      ...(date === undefined ? {} : { date }),
      fit: { model: 'rigid', modelStated: false, readingSd: 0.06, markSd: 0.03 },
      machine: { ...plainMachine, measured: '2025-01-10' },
    },
    observations: design.map(({ x, y }, i) => ({
      mark: 'ABCD'[i]!,
      design: { x, y },
      readings: [{ x: 300 + cos * x - sin * y + error(), y: 100 + sin * x + cos * y + error() }],
    })),
  };
};

const noise = (seed: string) => {
  const random = createRandom(seed);
  return () => Math.hypot(0.06, 0.03) * random.normal();
};

describe('Sizes of parts through a profile', () => {
  test('that hold are told so, with limits that hold 1 in 95 % of trials', () => {
    const error = noise('steady');
    const trials = 3000;
    let drifted = 0;
    let disagreeing = 0;
    for (let trial = 0; trial < trials; trial++) {
      const found = driftOf([job('a', 1, error), job('b', 1, error), job('c', 1, error)]);
      if (found.drifted) drifted += 1;
      if (!found.agreement!.consistent) disagreeing += 1;
    }
    // Tested at 2.5 %.
    expect(disagreeing / trials).toBeGreaterThan(0.015);
    expect(disagreeing / trials).toBeLessThan(0.035);
    expect(drifted / trials).toBeGreaterThan(0.04);
    expect(drifted / trials).toBeLessThan(0.06);
  });

  test('that are 0.5 mm in a metre off are told to have drifted', () => {
    const error = noise('drifted bed');
    const found = driftOf([1, 2, 3, 4].map((n) => job(`${n}.yaml`, 1.0005, error)));
    expect(found.drifted).toBe(true);
    expect(found.size!.limits![0]).toBeLessThan(1.0005);
    expect(found.size!.limits![1]).toBeGreaterThan(1.0005);
    expect(found.warnings.map((w) => w.code)).toEqual(['drifted']);
    expect(found.warnings[0]!.message).toMatch(/0\.\d\d mm in a metre too long/);
  });

  test('that change with time are told by the year', () => {
    const error = noise('trend');
    const jobs = ['2026-01-01', '2026-04-01', '2026-07-01', '2026-10-01'].map((date, i) =>
      job(date, 1 + 0.0005 * i, error, { date }),
    );
    const { perYear, warnings } = driftOf(jobs);
    expect(perYear!.limits![0]).toBeLessThan(0.002);
    expect(perYear!.limits![1]).toBeGreaterThan(0.002);
    expect(warnings.some((w) => w.message.includes('a year'))).toBe(true);
    expect(driftOf(jobs.slice(0, 2)).perYear).toBeUndefined();
  });

  test('that disagree with each other are a matter of the panels, and widen the limits', () => {
    const error = noise('panels');
    const found = driftOf([job('a', 1.002, error), job('b', 0.998, error), job('c', 1.001, error)]);
    expect(found.drifted).toBe(false);
    expect(found.agreement!.consistent).toBe(false);
    expect(found.warnings.map((w) => w.code)).toEqual(['lengths-disagree']);
  });

  test('cannot be had from two marks without any sd, and the job is named', () => {
    const { job: parts, observations } = job('two.yaml', 1, () => 0);
    const { readingSd: _, ...fit } = parts.fit;
    const found = driftOf([{ job: { ...parts, fit }, observations: observations.slice(0, 2) }]);
    expect(found.size).toBeUndefined();
    expect(found.silent).toEqual([
      {
        path: 'two.yaml',
        reason: 'Nothing tells how good its readings are: state a reading-sd, or read more than two marks.',
      },
    ]);
  });

  test('of a profile that is old are told with its age, on the day that is given', () => {
    const jobs = [job('a', 1, () => 0)];
    expect(driftOf(jobs, '2025-12-31').warnings).toEqual([]);
    expect(driftOf(jobs, '2026-01-10').warnings.map((w) => w.code)).toEqual(['old-profile']);
    expect(driftOf(jobs).warnings).toEqual([]);
  });
});

describe('The age of a profile', () => {
  test('is judged part by part where parts have dates', () => {
    const measuredParts = { pointer: '2025-02-01', bed: '2026-02-01' };
    const [warning] = ageWarnings({ measured: '2025-02-01', measuredParts }, '2026-05-01');
    expect(warning!.message).toContain('(pointer 2025-02-01)');
    expect(ageWarnings({ measured: '2025-02-01', measuredParts }, '2026-01-31')).toEqual([]);
    expect(ageWarnings({}, '2026-01-31')).toEqual([]);
  });
});

describe('A part that comes back another size', () => {
  const warned = (machine: string, grown: number, date = '2026-06-01') => {
    const readings = { A: [0, 0], B: [600, 0], C: [600, 400], D: [0, 400] } as const;
    const lines = Object.entries(readings).map(([name, [x, y]]) => `  ${name}: [${x * grown}, ${y * grown}]`);
    const text = [
      'drawing: panel.svg',
      `date: ${date}`,
      'marks: {A: [0, 0], B: [600, 0], C: [600, 400], D: [0, 400]}',
      'readings:',
      ...lines,
      `machine: ${machine}`,
      'fit: {reading-sd: 0.05}',
    ].join('\n');
    const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
      <g id="openings"><circle id="a" cx="300" cy="200" r="20"/></g><rect id="outline" width="600" height="400"/></svg>`;
    return fitJob(loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) }))
      .warnings;
  };
  const measured = '{measured: {bed: 2026-01-15}, bed-map: {scale: [1.0000, 1.0001], skew-mrad: 0}}';

  test('may lie on a bed that is no longer what its profile says: fit and check say so, and what would tell', () => {
    const [changed] = warned(measured, 1.001).filter((w) => w.code === 'size-changed');
    expect(changed!.message).toContain(
      'Or the machine has drifted since its bed was measured on 2026-01-15: "reseat calibrate drift" with several recent jobs tells which.',
    );
  });

  test('is not put down to a bed that nobody measured, and nothing is said where the size is right', () => {
    const [changed] = warned('{kerf: 0.1}', 1.001).filter((w) => w.code === 'size-changed');
    expect(changed!.message).not.toContain('drifted');
    expect(warned(measured, 1).filter((w) => /drifted/.test(w.message))).toEqual([]);
  });

  test('is told the age of its profile along with it', () => {
    expect(warned(measured, 1, '2027-02-01').map((w) => w.code)).toContain('old-profile');
    expect(warned(measured, 1).map((w) => w.code)).not.toContain('old-profile');
  });
});
