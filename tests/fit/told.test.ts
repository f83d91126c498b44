/** What a fit tells of single readings, of marks on a line, and in which words. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { collinearWarning } from '../../src/fit/doubts/collinear.js';
import { doubtIn } from '../../src/fit/doubts/doubted.js';
import { grubbsCritical, mostSuspect, referenceDegrees } from '../../src/fit/doubts/suspicion.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { claimedFit, typedStep } from '../../src/fit/solve/last-digit.js';
import { inWords, listed, marksNamed, mm, oneIn, ordinal, turnInWords } from '../../src/fit/words.js';
import type { Warning } from '../../src/job/messages.js';

describe('words for figures', () => {
  it.each([
    [0, '0.00 mm'],
    [0.004, '0.004 mm'],
    [-0.0994, '-0.099 mm'],
    [0.0995, '0.10 mm'],
    [-0.5, '-0.50 mm'],
    [99.994, '99.99 mm'],
    [100, '100.0 mm'],
    [-250.04, '-250.0 mm'],
  ])('%d mm is %s', (value, text) => expect(mm(value)).toBe(text));

  it('lists names as people do', () => {
    expect([[], ['A'], ['A', 'B'], ['A', 'B', 'C']].map((names) => listed(names))).toEqual([
      '',
      'A',
      'A and B',
      'A, B and C',
    ]);
    expect(listed(['A', 'B', 'C'], 'or')).toBe('A, B or C');
    expect(marksNamed(['A'])).toBe('mark A');
    expect(marksNamed(['A', 'C'], 'or')).toBe('marks A or C');
    expect(marksNamed(['witness 1'])).toBe('witness 1');
    expect(marksNamed(['witness 1', 'witness 12'])).toBe('witness 1 and witness 12');
    expect(marksNamed(['A', 'witness 1'])).toBe('marks A and witness 1');
    expect(marksNamed(['my witness 1'])).toBe('mark my witness 1');
    expect(marksNamed(['witness 1b'])).toBe('mark witness 1b');
  });

  it('says which way a turn goes, unless it is none to the digits shown', () => {
    expect(turnInWords(1.7, 2)).toBe('1.70 deg counter-clockwise');
    expect(turnInWords(-0.05, 1)).toMatch(/^0\.1 deg clockwise$/);
    expect([turnInWords(0, 2), turnInWords(-0.004, 2), turnInWords(0.004, 2)]).toEqual([
      '0.00 deg',
      '0.00 deg',
      '0.00 deg',
    ]);
  });

  it('counts', () => {
    expect([0, 3, 10, 11].map(inWords)).toEqual(['no', 'three', 'ten', '11']);
    expect([0, 4, 5].map(ordinal)).toEqual(['first', 'fifth', '6th']);
    expect([0.5, 1 / 12.34, 1 / 99.4, 1 / 149, 1 / 1234, 1e-6, 0.99e-6].map(oneIn)).toEqual([
      '1 in 2',
      '1 in 12',
      '1 in 99',
      '1 in 100',
      '1 in 1,000',
      '1 in 1,000,000',
      'less than 1 in a million',
    ]);
  });
});

describe('the reading that is suspected', () => {
  const fit = (
    w: readonly (readonly [x?: number, y?: number])[],
    redundancy = 5,
    touches?: readonly number[],
  ): Fit =>
    ({
      redundancy,
      marks: w.map(([x, y], i) => ({ mark: 'ABCDEFGH'[i]!, normalized: { x, y } })),
      ...(touches
        ? { touches: touches.map((normalized, i) => ({ touch: `touch ${i + 1}`, normalized })) }
        : {}),
    }) as unknown as Fit;

  it('has the largest normalized residual, of either sign, on either axis, or of a touch', () => {
    expect(mostSuspect(fit([[1, -2], [0.5, 1.9], []]), 'known')).toMatchObject({
      mark: 'A',
      axis: 'y',
      normalized: -2,
    });
    expect(
      mostSuspect(
        fit([
          [1, -2],
          [3, 0],
        ]),
        'known',
      ),
    ).toMatchObject({ mark: 'B', axis: 'x' });
    const touched = mostSuspect(fit([[1, -2]], 5, [0.3, -2.5]), 'known')!;
    expect(touched).toMatchObject({ mark: 'touch 2', normalized: -2.5 });
    expect('axis' in touched).toBe(false);
    expect(mostSuspect(fit([[]]), 'known')).toBeUndefined();
    // Both beyond what a double can tell from never: the larger one.
    expect(
      mostSuspect(
        fit([
          [50, 60],
          [55, 40],
        ]),
        'known',
      ),
    ).toMatchObject({ mark: 'A', axis: 'y', pValue: 0 });
    expect(
      mostSuspect(
        fit([
          [60, 50],
          [40, 60],
        ]),
        'known',
      ),
    ).toMatchObject({ mark: 'A', axis: 'x' });
  });

  it('has the chance of the distribution that its sd comes from', () => {
    const p = (w: number, degrees: 'known' | 'none' | number, redundancy = 5): number =>
      mostSuspect(fit([[w]], redundancy), degrees)!.pValue;
    // Tables of the normal and of Student's distribution, two-sided.
    expect(p(3.2905, 'known')).toBeCloseTo(0.001, 6);
    expect(p(-1.959964, 'known')).toBeCloseTo(0.05, 6);
    expect(p(2.570582, 5)).toBeCloseTo(0.05, 6);
    // Pope's tau of r = 6 at t = 2.570582 with 5: w = t sqrt(r / (r - 1 + t^2)).
    const t = 2.570582;
    expect(p(t * Math.sqrt(6 / (5 + t * t)), 'none', 6)).toBeCloseTo(0.05, 6);
    expect(p(Math.sqrt(6), 'none', 6)).toBe(0);
    expect(p(1, 'none', 1)).toBe(1);
    expect(p(1.2, 'none', 2)).toBeLessThan(1);
  });

  it('goes by what stands behind the sd', () => {
    const degrees = (options: object, scatter = 0) => referenceDegrees(options as FitOptions, scatter);
    expect(degrees({ readingSd: 0.1 }, 4)).toBe('known');
    expect(degrees({ readingSd: 0.1, readingSdDof: 6 }, 4)).toBe(10);
    expect(degrees({}, 4)).toBe(4);
    expect(degrees({})).toBe('none');
  });

  it('among repeats, is one beyond the critical value of Grubbs', () => {
    // NIST/SEMATECH e-Handbook 1.3.5.17.1 (8 values, 5 %): 2.032; three values: 1.1543 (Grubbs 1969, from memory).
    expect(grubbsCritical(8, 0.1)).toBeCloseTo(2.032, 3);
    expect(grubbsCritical(3, 0.1)).toBeCloseTo(1.1531, 3);
    expect(() => grubbsCritical(2, 0.1)).toThrow(RangeError);
  });
});

describe('marks nearly on one line', () => {
  const marks = (points: readonly (readonly [number, number])[]) =>
    points.map(([x, y], i) => ({ mark: 'ABCDEFGH'[i]!, design: { x, y } }) as unknown as Observation);
  const told = (points: readonly (readonly [number, number])[], used?: number) =>
    collinearWarning(marks(points), { sd: used === undefined ? {} : { used } } as unknown as Fit);
  /** The corners of a rectangle 400 long and so wide. */
  const strip = (width: number, turn = 0): [number, number][] =>
    [
      [-200, -width / 2],
      [200, -width / 2],
      [200, width / 2],
      [-200, width / 2],
    ].map(([x, y]) => [
      90 + Math.cos(turn) * x! - Math.sin(turn) * y!,
      40 + Math.sin(turn) * x! + Math.cos(turn) * y!,
    ]);

  it('are told of below a fourteenth of their length, at any angle', () => {
    for (const turn of [0, 0.4, Math.PI / 2, 2.5]) {
      expect(told(strip(28, turn))?.code).toBe('extrapolation');
      expect(told(strip(29, turn))).toBeUndefined();
    }
    const { message, marks: names } = told(strip(20, 0.4))!;
    expect(names).toEqual(['A', 'B', 'C', 'D']);
    expect(message).toContain('within 10.00 mm of it');
    expect(message).not.toContain('one sd');
  });

  it('are told of as well where the size across is known to no more than 0.2 %', () => {
    // Four marks 20 mm to either side: across^2 = 4 x 20^2, so an sd of 0.08 is 0.2 % of it.
    expect(told(strip(40), 0.079)).toBeUndefined();
    expect(told(strip(40), 0.081)!.message).toContain('hold to 0.20 % (one sd)');
    expect(
      told(
        [
          [0, 0],
          [100, 0],
        ],
        5,
      ),
    ).toBeUndefined();
    expect(
      told([
        [0, 0],
        [100, 0],
        [200, 0.1],
      ])?.code,
    ).toBe('extrapolation');
  });
});

describe('what is in doubt', () => {
  const warning = (code: string, marks: readonly string[], ...remedies: readonly object[]): Warning =>
    ({ code, message: '', marks, remedies }) as unknown as Warning;
  const again = (...marks: readonly string[]) => ({
    kind: 'read-again',
    step: `read again at ${marks.join()}`,
    marks,
  });
  const change = { kind: 'change-job', step: 'write axes: y-up' };

  it('is nothing where no warning has a remedy', () => {
    expect(doubtIn([])).toBeUndefined();
    expect(doubtIn([{ code: 'kerf', message: '' } as never, warning('x', ['A'])])).toBeUndefined();
  });

  it('are the marks of all that raised it, and the remedies of the first cause alone, readings read again in one go', () => {
    const doubt = doubtIn([
      warning('none', ['Z']),
      warning('suspect', ['A'], again('A'), change),
      warning('other', ['C', 'A'], change),
      warning('suspect', ['B'], again('B')),
    ])!;
    expect(doubt.marks).toEqual(['A', 'C', 'B']);
    expect(doubt.warnings.map(({ code }) => code)).toEqual(['suspect', 'other', 'suspect']);
    expect(doubt.remedies).toEqual([
      { kind: 'read-again', step: 'read again at A and B', marks: ['A', 'B'] },
      change,
    ]);
    expect(doubtIn([warning('suspect', ['A'], change, again('A'))])!.remedies).toEqual([change, again('A')]);
  });
});

describe('readings that agree to the last digit of the display', () => {
  const fit = (residuals: readonly number[], sd: object, touches: readonly number[] = []): Fit =>
    ({
      sd,
      covariance: [[1]],
      marks: residuals.map((x, i) => ({ residual: i % 2 === 0 ? { x, y: 0 } : { x: 0, y: x } })),
      touches: touches.map((residual) => ({ residual })),
    }) as unknown as Fit;
  const claims = (...of: Parameters<typeof fit>): boolean =>
    claimedFit(fit(...of), 0.01).covariance !== undefined;

  it('claim no uncertainty: rounding alone explains them', () => {
    const sd = { used: 0.003, usedDof: 4 };
    expect(claims([0.002, -0.005], sd)).toBe(false);
    expect(claimedFit(fit([0.002], sd), 0.01).sd).toEqual({});
    expect(claims([0.002, -0.0051], sd)).toBe(true);
    expect(claims([0.0051], sd)).toBe(true);
    expect(claims([0.001], sd, [-0.0051])).toBe(true);
    expect(claims([0.001], sd, [-0.005])).toBe(false);
    expect(claims([0.001], { used: 0.0051 })).toBe(true);
    expect(claims([0.001], { used: 0.005 })).toBe(false);
    expect(claims([0.001], { used: 0.003, stated: 0.003 })).toBe(true);
    expect(claims([0.001], {})).toBe(true);
  });

  it('the last digit is the finest that was typed', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 4 }), (decimals) => {
        const step = 10 ** -decimals;
        expect(
          typedStep([
            { x: 12, y: 3 },
            { x: Number((7 * step).toFixed(decimals)), y: 1 },
          ]),
        ).toBeCloseTo(step, 12);
      }),
      { seed: 20261201, numRuns: 10 },
    );
  });
});
