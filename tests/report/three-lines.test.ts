/** The verdict with the assumption that turns it, as the terminal prints it at 80 columns. */

import { describe, expect, test } from 'vitest';
import { lowerFirst, verdictWords } from '../../src/report/text/check-text.js';
import { wrapped } from '../../src/report/text/layout.js';
import { type Assumption, restsOn, turningAssumptions } from '../../src/verdict/advice/assumptions.js';
import type { Check } from '../../src/verdict/check-result.js';
import { withObjections } from '../../src/verdict/proof.js';
import { checkBudget } from '../verdict/budget-job.js';

const check = checkBudget({ fit: '{approach: same}', clearance: 1.2 });
const stated = checkBudget({ fit: '{reading-sd: 0.05, approach: same}', clearance: 0.5 });
const all = [...check.assumptions!, ...stated.assumptions!];
const codes = [...new Set(all.map(({ code }) => code))];

const linesOf = ({ verdict, explanation }: Pick<Check, 'verdict' | 'explanation'>): string[] =>
  wrapped(`${verdictWords[verdict]}: ${lowerFirst(explanation)}`);

/** The longest words that a share takes. */
const chance =
  'The new edge touches an existing edge somewhere in fewer than 1 of 10,000 such jobs; 0.05 of 100 are accepted.';
const turning = (code: string, turnsAt: number): Assumption => {
  const { atMost: _, ...one } = all.find((each) => each.code === code)!;
  return { ...one, turnsAt, controlled: false, usual: 1000 };
};

describe('The verdict and its worst assumption', () => {
  test('name every assumption there is', () => {
    expect(codes.sort()).toEqual(
      [
        'bow',
        'cut-sd',
        'kerf-sd',
        'lost-motion',
        'mark-sd',
        'pointing-bias',
        'reading-sd',
        'size-change',
      ].sort(),
    );
  });

  for (const code of codes)
    test(`stand in three lines of 80 columns: ${code}`, () => {
      // Words break at other places for other figures.
      for (const turnsAt of code === 'size-change' ? [0.00123, 0.0123] : [0.12, 12.34]) {
        const one = turning(code, turnsAt);
        const fits = linesOf({ verdict: 'fits', explanation: `${chance} ${restsOn([one])}` });
        const open = withObjections(
          { ...stated, verdict: 'fits', explanation: chance },
          turningAssumptions([one]),
        );
        for (const lines of [fits, linesOf(open)]) {
          expect(lines.length, lines.join('\n')).toBeLessThanOrEqual(3);
          for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
        }
        expect(open.verdict).toBe('too-close');
        expect(open.explanation).toContain('It would not fit if');
        expect(open.explanation).toContain('Otherwise the new edge touches in fewer than');
      }
    });
});
