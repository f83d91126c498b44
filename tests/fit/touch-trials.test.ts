/** Small versions of the studies in tests/evidence; their long runs are in summary.md there. */
import { expect, it } from 'vitest';
import {
  irregular,
  regular,
  scenes,
  studyCovariance,
  studyLimits,
  studyOutline,
} from '../evidence/touches.js';

const trials = 300;
/** Four standard deviations of a variance from that many trials, its relative size sqrt(2 / trials). */
const allowed = 4 * Math.sqrt(2 / trials);

it.each(scenes().map((scene) => [scene.name, scene] as const))(
  'the covariance that is stated comes out in trials: %s',
  (_name, scene) => {
    const { least, largest, correlation, bias } = studyCovariance(scene, trials, 'tests');
    expect(least).toBeGreaterThan(1 - allowed);
    expect(largest).toBeLessThan(1 + allowed);
    expect(correlation).toBeLessThan(4 / Math.sqrt(trials));
    expect(bias).toBeLessThan(4);
  },
);

it('limits of Student-t hold the true place in 95 of 100 jobs whose sd was never stated', () => {
  expect(Math.abs(studyLimits(trials, 'tests') - 0.95)).toBeLessThan(4 * Math.sqrt((0.95 * 0.05) / trials));
});

it.each(irregular)('an outline that lies one way only is placed from any turn: %s', (name) => {
  expect(studyOutline(name, 12, 'tests')).toMatchObject({ right: 12, wrong: 0 });
});

it.each(regular)('an outline that lies in several ways is never placed: %s', (name) => {
  expect(studyOutline(name, 5, 'tests')).toMatchObject({ right: 0, wrong: 0, told: 5 });
});
