import { describe, expect, test } from 'vitest';
import { type BudgetJob, checkBudget } from './budget-job.js';

const stated = '{reading-sd: 0.05, mark-sd: 0, pointing-sd: 0}';
const job: BudgetJob = { fit: '{reading-sd: 0.05, approach: same}' };
const turnsAt = (code: string, of: BudgetJob = job): number | undefined =>
  checkBudget(of).assumptions!.find((one) => one.code === code)?.turnsAt;

/**
 * mm and shares, with the Monte Carlo standard error of each: an independent simulation of 500,000 draws, clearance 0.3,
 * accepted risk 0.05. Lost motion by what is said of the sides and of the cut: the last figure is of the cut alone.
 */
const lossless = '{cut-reversal: compensated, beam-offset: [3, 4], beam-offset-dots: figures}';
const figures: readonly (readonly [
  what: string,
  code: string,
  job: BudgetJob,
  turnsAt: number,
  error: number,
])[] = [
  ['the sd of the marks', 'mark-sd', job, 0.2074, 0.0002],
  ['a bow', 'bow', job, 0.2967, 0.00009],
  ['a change of size', 'size-change', job, 0.001241, 0.0000004],
  ['a habit of the eye', 'pointing-bias', job, 0.2469, 0.00009],
  ['lost motion, one unknown side, and in the cut', 'lost-motion', job, 0.226, 0.00007],
  [
    'lost motion, one unknown side of the marks, the dots known',
    'lost-motion',
    { ...job, machine: lossless.replace('dots', 'approach: up, beam-offset-dots') },
    0.3572,
    0.0001,
  ],
  [
    'lost motion, sides of marks and dots that may be opposite',
    'lost-motion',
    { ...job, machine: lossless },
    0.1786,
    0.00007,
  ],
  [
    'lost motion in the cut alone',
    'lost-motion',
    { ...job, fit: '{reading-sd: 0.05, approach: up}', machine: '{}' },
    0.4649,
    0.0001,
  ],
];

describe('What a verdict rests on', () => {
  for (const [what, code, of, expected, error] of figures)
    test(`${what} turns the verdict where an independent simulation says`, () => {
      expect(turnsAt(code, of)! / expected).toBeGreaterThan(0.99 - 3 * (error / expected));
      expect(turnsAt(code, of)! / expected).toBeLessThan(1.01 + 3 * (error / expected));
    });

  test('at the value named the verdict turns, within 3 %', () => {
    const fit = (more: string) => `{reading-sd: 0.05, approach: same${more}}`;
    const at: Record<string, (x: number) => BudgetJob> = {
      'mark-sd': (x) => ({ ...job, fit: fit(`, mark-sd: ${x}`) }),
      'pointing-bias': (x) => ({ ...job, fit: fit(`, pointing-bias: ${x}`) }),
      bow: (x) => ({ ...job, check: `{bow: ${x}}` }),
      'size-change': (x) => ({ ...job, check: `{size-change: ${x}}` }),
      'cut-sd': (x) => ({ ...job, check: `{cut-sd: ${x}}` }),
      'kerf-sd': (x) => ({ ...job, check: `{kerf-sd: ${x}}` }),
      'lost-motion': (x) => ({ ...job, machine: `{reversal: [${x}, ${x}]}` }),
    };
    for (const { code, turnsAt: value } of checkBudget(job).assumptions!) {
      expect(checkBudget(at[code]!(0.97 * value!)).neededClearance, code).toBeLessThan(0.3);
      expect(checkBudget(at[code]!(1.03 * value!)).neededClearance, code).toBeGreaterThan(0.3);
    }
  });

  test('beside an sd of the drawn edges the kerf turns the verdict at its own sd, not at that of both', () => {
    const scanned: BudgetJob = { ...job, check: '{edge-sd: 0.03}' };
    const value = turnsAt('kerf-sd', scanned)!;
    const needed = (x: number) =>
      checkBudget({ ...job, check: `{edge-sd: 0.03, kerf-sd: ${x}}` }).neededClearance;
    expect(needed(0.97 * value)).toBeLessThan(0.3);
    expect(needed(1.03 * value)).toBeGreaterThan(0.3);
  });

  test('the nearest one that the readings do not show stands in the verdict, and turns it where it is common practice', () => {
    const sure = checkBudget({
      fit: stated,
      machine: '{reversal: [0, 0]}',
      check: '{cut-sd: 0, kerf-sd: 0, size-change: 0}',
      clearance: 0.5,
    });
    expect(sure.verdict).toBe('fits');
    expect(sure.assumptions!.map(({ code }) => code)).toEqual(['bow']);
    expect(sure.explanation).toMatch(
      /It would not fit if the middle of the panel were bowed by 0\.5\d mm or more/,
    );
    const unsure = checkBudget({ ...job, clearance: 0.12 });
    expect(unsure.neededClearance).toBeLessThan(0.12);
    expect(unsure.verdict).toBe('too-close');
    expect(unsure.objections![0]!.kind).toBe('assumption');
  });

  test('nothing is left of it where everything is stated', () => {
    const all = checkBudget({
      fit: stated,
      machine: '{reversal: [0, 0]}',
      check: '{cut-sd: 0, kerf-sd: 0, size-change: 0, bow: 0}',
    });
    expect(all.verdict).toBe('fits');
    expect(all.assumptions).toEqual([]);
  });
});
