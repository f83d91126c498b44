import { describe, expect, test } from 'vitest';
import { loadPlan, planJob } from '../../src/reseat.js';
import { checkBudget, panel, patterns } from '../verdict/budget-job.js';

/** What the marks that are there are worth, mm, in the words of a plan. */
const predicted = (fit: string, machine: string, drawing = panel, check = '{}'): number => {
  const typed = Object.entries(patterns.K4).map(([name, at]) => `${name}: [${at.join(', ')}]`);
  const text = `drawing: panel.svg
marks: {${typed.join(', ')}}
machine: ${machine}
fit: ${fit}
check: ${check}
cut: {kind: opening, clearance: 0.3, corners: mitre, kerf: 0}
plan: {marks: 2, grid: 20}
`;
  const loaded = loadPlan({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) });
  return planJob(loaded).present!.jobNeededClearance!;
};

const lost = (more: string): string =>
  `{axes: y-up, reversal: [0.1, 0.06], beam-offset: [3, 4], cut-reversal: compensated${more}}`;
const known = ', beam-offset-approach: up, beam-offset-dots: figures';

/** By an independent simulation of the job's errors (numpy, 500,000 draws; standard error 0.0002 at most). */
const figures = [
  ['marks from one unknown side', '{reading-sd: 0.05, approach: same}', lost(known), 0.1121],
  ['marks from any side', '{reading-sd: 0.05, approach: either}', lost(known), 0.1121],
  ['known sides', '{reading-sd: 0.05, approach: up}', lost(known), 0.0704],
  ['lost motion in the cut', '{reading-sd: 0.05}', '{axes: y-up, cut-reversal: [0.1, 0.06]}', 0.1125],
  ['a habit of the eye', '{reading-sd: 0.05, pointing-bias: 0.1}', '{axes: y-up}', 0.1541],
] as const;

describe('A plan counts what more marks do not help, as the verdict will', () => {
  for (const [what, fit, machine, needed] of figures)
    test(what, () => {
      expect(predicted(fit, machine) / needed).toBeGreaterThan(0.98);
      expect(predicted(fit, machine) / needed).toBeLessThan(1.02);
    });

  test('sides of the dots that nobody says, on top of those of the marks', () => {
    const fit = '{reading-sd: 0.05, approach: same}';
    expect(predicted(fit, lost(''))).toBeGreaterThan(predicted(fit, lost(known)) + 0.05);
  });

  test('drawn edges that are known with an sd, as the drawing or the job says it', () => {
    const fit = '{reading-sd: 0.05}';
    const scanned = panel.replace('<svg ', '<svg data-edge-sd="0.03" ');
    const { neededClearance } = checkBudget({ fit, check: '{edge-sd: 0.03}' });
    const axes = '{axes: y-up}';
    expect(predicted(fit, axes, scanned) / neededClearance!).toBeCloseTo(1, 2);
    expect(predicted(fit, axes, panel, '{edge-sd: 0.03}')).toBe(predicted(fit, axes, scanned));
  });
});
