/** A panel along the axes, its marks at whole steps of a coarse display: all of them are rounded alike, or none. */
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { runJob } from '../evidence/workshop.js';
import {
  checkStated,
  isCovered,
  laid,
  patterns,
  plain,
  quantile95,
  restStated,
} from '../evidence/workshop-errors.js';
import { neededOf } from './budget-job.js';

const corner = { A: [20, 20], B: [120, 20], C: [20, 120] } as const;

/** By the simulated workshop of the evidence, which knows nothing of how the program reckons. */
const simulated = (marks: typeof patterns.corners | typeof corner, sd: number, jobs: number) => {
  const random = createRandom(`rounded alike ${sd}`);
  const outcomes = Array.from({ length: jobs }, () =>
    runJob(
      random,
      { marks, ...laid(random), turn: 0, sd, step: 0.1 },
      {
        fit: `{reading-sd: ${sd}, ${restStated}}`,
        machine: plain,
        check: checkStated,
        clearance: 0.5,
      },
    ),
  );
  const needed = outcomes.map(({ check }) => check.neededClearance!).sort((a, b) => a - b);
  return {
    covered: outcomes.filter(isCovered).length / jobs,
    ratio: needed[Math.floor(jobs / 2)]! / quantile95(outcomes.map((o) => o.approach)),
  };
};

describe('Marks that the display rounds alike', () => {
  test('near the openings: enough, and at most 1.7 times what is needed', () => {
    for (const sd of [0.02]) {
      const { covered, ratio } = simulated(patterns.corners, sd, 20);
      expect(covered).toBeGreaterThan(0.8);
      expect(ratio).toBeLessThan(1.7);
    }
  }, 180_000);

  test('in one corner: next to a limit each falls to its own side, which turns the panel', () => {
    for (const sd of [0.02]) {
      const { covered, ratio } = simulated(corner, sd, 20);
      expect(covered).toBeGreaterThan(0.8);
      expect(ratio).toBeLessThan(2);
    }
  }, 180_000);

  test('the smaller the noise beside the step, the less it adds to half a step to each side', () => {
    const at = (sd: number): number => neededOf({ fit: `{reading-sd: ${sd}, display-step: 0.1}` })[3]!;
    expect(at(0.0001)).toBeCloseTo(0.05 * Math.SQRT2, 3);
    expect(at(0.02)).toBeGreaterThan(0.05 * Math.SQRT2);
    expect(at(0.02)).toBeLessThan(0.075);
  }, 180_000);
});
