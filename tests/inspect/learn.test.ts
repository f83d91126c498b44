/** What a profile learns from finished pieces. */
import { describe, expect, it } from 'vitest';
import type { CutError } from '../../src/inspect/cut-error.js';
import { afterLearning, type KnownMachine, learnFrom, type PieceSays } from '../../src/inspect/learn.js';
import { learnInto } from '../../src/inspect/learn-profile.js';
import { exactLimits, judgePieces } from '../../src/inspect/pieces.js';
import { createRandom } from '../../src/numeric/random.js';

const square = (diagonal: readonly number[]): number[][] =>
  diagonal.map((v, i) => diagonal.map((_, j) => (i === j ? v : 0)));
const gapSds = [0.01, 0.01, 1e-4, 1e-4, 0.01];
const fitSd = 0.02;

/** A piece whose cut was out by these, measured with `gapSds`, placed with `fitSd`. */
const piece = (values: readonly number[], more: Partial<PieceSays> = {}): PieceSays => {
  const error: CutError = {
    centre: { x: 0, y: 0 },
    values,
    told: [true, true, true, true, true],
    covariance: square(gapSds.map((v) => v * v)),
    sd: { stated: 0.03, used: 0.03 },
    redundancy: 5,
    residuals: [],
    redundancyNumbers: [],
  };
  const none = square([0, 0, 0, 0, 0]);
  return {
    error,
    predicted: {
      fromFit: square([fitSd ** 2, fitSd ** 2, 0, 0, 0]),
      known: none,
      placing: none,
      bounded: [],
      anyDirection: 0,
    },
    kerf: 0.15,
    offset: [0.1, -0.3],
    sign: 1,
    otherShift: 0,
    otherKerf: 0,
    ...more,
  };
};
const known: KnownMachine = { kerf: 0.15, kerfSd: 0.02, offset: [0.1, -0.3], offsetSd: 0.04, cutSd: 0.03 };

describe('a profile that learns from finished pieces', () => {
  it('comes to the true kerf, offset and scatter, piece by piece', () => {
    const random = createRandom('learn');
    const truth = { kerf: 0.17, offset: [0.13, -0.28], kerfSd: 0.012, cutSd: 0.05 } as const;
    let now = known;
    for (let i = 0; i < 300; i += 1) {
      const cutWith = { kerf: now.kerf!, offset: now.offset! };
      const shift = (k: 0 | 1): number =>
        truth.offset[k] -
        cutWith.offset[k] +
        truth.cutSd * random.normal() +
        Math.hypot(fitSd, gapSds[k]!) * random.normal();
      const kerf = truth.kerf - cutWith.kerf + Math.hypot(truth.kerfSd, gapSds[4]!) * random.normal();
      now = afterLearning(now, learnFrom(now, piece([shift(0), shift(1), 0, 0, kerf], cutWith), true));
    }
    expect(now.kerf).toBeCloseTo(truth.kerf, 2);
    expect(now.offset![0]).toBeCloseTo(truth.offset[0], 1);
    expect(Math.abs(now.offset![1] - truth.offset[1])).toBeLessThan(4 * now.offsetSd!);
    expect(now.kerfSd! / truth.kerfSd).toBeGreaterThan(0.8);
    expect(now.kerfSd! / truth.kerfSd).toBeLessThan(1.5);
    expect(now.cutSd! / truth.cutSd).toBeGreaterThan(0.85);
    expect(now.cutSd! / truth.cutSd).toBeLessThan(1.25);
    expect(now.kerfDof).toBeGreaterThan(20);
    expect(now.cutSdDof).toBeGreaterThan(100);
    expect(now.offsetSd).toBeLessThan(0.006);
  });

  it('takes the mean by weights: a piece as sure as what was known counts half', () => {
    const sd = Math.hypot(0.01, fitSd, 0.03);
    const [, offset] = learnFrom({ ...known, offsetSd: sd }, piece([0.04, 0, 0, 0, 0]));
    expect(offset!.after![0]).toBeCloseTo(0.12, 6);
    expect(offset!.afterSd).toBeCloseTo(sd / Math.SQRT2, 6);
  });

  it('leaves out what contradicts it, unless it is forced', () => {
    const far = piece([0.4, 0, 0, 0, 0.15]);
    const outcomes = (force: boolean) =>
      learnFrom(known, far, force).map(({ key, outcome }) => [key, outcome]);
    expect(outcomes(false)).toEqual([
      ['kerf', 'contradicts'],
      ['beam-offset', 'contradicts'],
    ]);
    expect(outcomes(true).every(([, outcome]) => outcome === 'folded')).toBe(true);
  });

  it('of pieces that agree leaves out no more than one in a hundred', () => {
    const random = createRandom('agree');
    let left = 0;
    for (let i = 0; i < 2000; i += 1) {
      const shift = () => Math.hypot(0.01, fitSd, 0.03, 0.04) * random.normal();
      const kerf = Math.hypot(0.01, 0.02) * random.normal();
      const figures = learnFrom({ ...known, kerfDof: 1e6 }, piece([shift(), shift(), 0, 0, kerf]));
      left += figures.filter(({ outcome }) => outcome === 'contradicts').length;
    }
    // 4,000 figures: 40 expected, 4 standard deviations to either side.
    expect(left).toBeGreaterThan(15);
    expect(left).toBeLessThan(65);
  });

  it('without an sd to weigh by is left as it is, and a kerf of the job is not its own', () => {
    const { kerfSd: _k, offsetSd: _o, ...bare } = known;
    expect(learnFrom(bare, piece([0, 0, 0, 0, 0])).map(({ outcome }) => outcome)).toEqual([
      'no-weight',
      'no-weight',
    ]);
    expect(learnFrom(known, piece([0, 0, 0, 0, 0], { kerf: 0.2 }))[0]!.outcome).toBe('other-kerf');
  });

  const text =
    '# ours\nname: bench # the old one\nmeasured: 2026-03-02\nkerf: 0.15 # birch\nkerf-sd: 0.02\nbeam-offset: [0.1, -0.3]\nbeam-offset-sd: 0.04\ncut-sd: 0.03\n';
  const profile = { path: 'bench.yaml', text };
  const says = piece([0.02, 0.01, 0, 0, 0.01]);

  it('keeps its comments, what was there before, and the names of the pieces', () => {
    const first = learnInto(
      profile,
      [{ name: 'a.yaml 2026-11-20', date: '2026-11-20', says }],
      '2026-11-21',
      false,
    );
    expect(first.withheld).toBe(false);
    expect(first.text).toMatch(/^# ours\nname: bench # the old one\n/);
    expect(first.text).toMatch(/kerf: 0\.15\d # birch/);
    expect(first.text).toMatch(/kerf-dof: 1\.\d+/);
    expect(first.text).toMatch(/measured: \{.*kerf: 2026-11-21.*\}/);
    expect(first.text).toMatch(/inspected:\n {2}- a\.yaml 2026-11-20\n/);
    expect(first.text).toMatch(
      /history:\n {2}- measured: 2026-03-02\n {4}replaced: 2026-11-21\n {4}kerf: 0\.15\n/,
    );
    // The same piece again, and one that was cut before, change nothing.
    const changed = { path: 'bench.yaml', text: first.text! };
    const again = learnInto(
      changed,
      [{ name: 'a.yaml 2026-11-20', date: '2026-11-22', says }],
      '2026-11-23',
      false,
    );
    expect([again.text, again.withheld, again.pieces[0]!.left]).toEqual([
      undefined,
      true,
      'it is in the figures already',
    ]);
    const old = learnInto(changed, [{ name: 'b.yaml', date: '2026-11-19', says }], '2026-11-23', false);
    expect([old.text, old.pieces[0]!.left]).toEqual([
      undefined,
      'the profile was changed on 2026-11-21, after it was cut',
    ]);
    expect(
      learnInto(changed, [{ name: 'c.yaml', date: '2026-11-22', says }], '2026-11-23', false).text,
    ).toMatch(/- a\.yaml 2026-11-20\n {2}- c\.yaml\n/);
  });
});

describe('many pieces together', () => {
  it('have the exact limits of a share that are in the tables', () => {
    // C. J. Clopper and E. S. Pearson 1934; 0 of 10: 1 - 0.025^(1/10); 1 of 10 and 5 of 10 as commonly tabled.
    expect(exactLimits(0, 10).high).toBeCloseTo(1 - 0.025 ** 0.1, 10);
    expect(exactLimits(1, 10).low).toBeCloseTo(0.0025, 4);
    expect(exactLimits(1, 10).high).toBeCloseTo(0.445, 3);
    expect(exactLimits(5, 10).low).toBeCloseTo(0.1871, 4);
    expect(exactLimits(5, 10).high).toBeCloseTo(0.8129, 4);
    expect(exactLimits(10, 10).low).toBeCloseTo(0.025 ** 0.1, 10);
  });

  it('tell whether the stated risk, and the stated errors, were true', () => {
    const agreement = { statistic: 20, errors: 5, pValue: 0.00125 };
    const all = Array.from({ length: 20 }, (_, i) => ({
      job: `${i}.yaml`,
      risk: 0.05,
      leastGap: i < 6 ? -0.01 : 0.2,
      agreement,
    }));
    const judged = judgePieces(all);
    expect(judged.touched).toMatchObject({ of: 20, observed: 6 });
    expect(judged.touched.stated).toBeCloseTo(1, 12);
    // 6 or more of 20 at 0.05, from the binomial distribution.
    expect(judged.asMany).toBeCloseTo(3.29e-4, 5);
    expect(judged.size!.ratio).toBeCloseTo(2, 6);
    expect(judged.size!.low).toBeGreaterThan(1.7);
    expect(judgePieces([{ job: 'a', leastGap: 0.1 }]).share).toBeUndefined();
  });
});
