import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { calibrateBed } from '../../src/calibration/parts/bed.js';
import { mistakesIn } from '../../src/calibration/parts/bed-mistakes.js';
import { calibrateKerf } from '../../src/calibration/parts/kerf.js';
import { kerfMistakes } from '../../src/calibration/parts/kerf-mistakes.js';
import type { KerfMeasurement } from '../../src/calibration/parts/measurements.js';
import type { MeasuredLength } from '../../src/calibration/parts/network.js';
import type { Point } from '../../src/geometry/point.js';

const where = { file: 'bed.csv' };
const measured = (
  from: Point,
  to: Point,
  length = Math.hypot(to.x - from.x, to.y - from.y),
): MeasuredLength => ({
  from,
  to,
  length,
  where,
});
/** Four sides and two diagonals of an upright rectangle, its ends in any order. */
const rectangle = (x: number, y: number, w: number, h: number, turned = false): MeasuredLength[] => {
  const [a, b, c, d] = [
    { x, y },
    { x: x + w, y },
    { x: x + w, y: y + h },
    { x, y: y + h },
  ] as [Point, Point, Point, Point];
  const diagonals = turned ? [measured(c, a), measured(b, d)] : [measured(a, c), measured(d, b)];
  return [measured(a, b), measured(b, c), measured(c, d), measured(d, a), ...diagonals];
};
const sum = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0);

describe('mistakes that a table of lengths may hold', () => {
  const kinds = (lengths: readonly MeasuredLength[]) => {
    const all = mistakesIn(lengths);
    const exchanged = all.flatMap(({ what, ...rest }) =>
      what.kind === 'exchanged' ? [{ ...rest, what }] : [],
    );
    return {
      all,
      single: all.filter(({ what }) => what.kind === 'wrong'),
      diagonals: exchanged.filter(({ what }) => what.diagonals),
      others: exchanged.filter(({ what }) => !what.diagonals),
    };
  };

  it('are one wrong length, or two in each other’s rows; diagonals of one rectangle most of all', () => {
    for (const turned of [false, true]) {
      const lengths = [...rectangle(10, 20, 400, 300, turned), ...rectangle(500, 20, 300, 200)];
      const { single, diagonals, others } = kinds(lengths);
      expect(single.map(({ enters }) => enters.join(''))).toEqual(
        lengths.map((_, i) => `${'0'.repeat(i)}1${'0'.repeat(11 - i)}`),
      );
      expect(diagonals.map(({ what }) => what.lengths)).toEqual([
        [lengths[4], lengths[5]],
        [lengths[10], lengths[11]],
      ]);
      expect(others).toHaveLength((12 * 11) / 2 - 2);
      // Beliefs beside 1 for no mistake: together as much, however many there are.
      expect(sum(single.map(({ prior }) => prior))).toBeCloseTo(0.05, 12);
      expect(sum(diagonals.map(({ prior }) => prior))).toBeCloseTo(0.1, 12);
      expect(sum(others.map(({ prior }) => prior))).toBeCloseTo((0.01 * 64) / 66, 12);
    }
  });

  it('a length measured again, or there and back, is not exchanged with itself as a diagonal', () => {
    const [a, c] = [
      { x: 0, y: 0 },
      { x: 400, y: 300 },
    ];
    expect(kinds([measured(a, c), measured(a, c)]).diagonals).toEqual([]);
    expect(kinds([measured(a, c), measured(c, a)]).diagonals).toEqual([]);
  });

  it('put right, two exchanged lengths are what they were', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: 50, max: 900, noNaN: true }), { minLength: 6, maxLength: 6 }),
        (true_) => {
          const lengths = rectangle(0, 0, 400, 300).map((one, i) => ({ ...one, length: true_[i]! }));
          for (const { what, enters, isKnown } of mistakesIn(lengths)) {
            if (what.kind !== 'exchanged') continue;
            expect(isKnown).toBe(true);
            const right = lengths.map(({ length }, i) => length - enters[i]!);
            const [i, j] = what.lengths.map((one) => lengths.indexOf(one)) as [number, number];
            const expected = [...true_];
            [expected[i], expected[j]] = [true_[j]!, true_[i]!];
            right.forEach((value, k) => {
              expect(value).toBeCloseTo(expected[k]!, 9);
            });
          }
        },
      ),
      { seed: 20261201, numRuns: 20 },
    );
  });

  it('are looked for among up to 40 lengths; beyond, only single ones', () => {
    const many = (count: number) =>
      Array.from({ length: count }, (_, i) => measured({ x: i, y: 0 }, { x: i, y: 500 + i }));
    expect(kinds(many(40)).others).toHaveLength(780);
    expect(kinds(many(41)).others).toHaveLength(0);
    expect(kinds(many(41)).single).toHaveLength(41);
  });

  it.each([
    [10, 'Centimetres'],
    [0.1, 'Centimetres'],
    [25.4, 'Inches'],
    [1 / 25.4, 'Inches'],
    [1.3, 'steps per millimetre'],
  ])('a display whose unit is %d mm is told with its likely cause', (unit, cause) => {
    const lengths = rectangle(0, 0, 400, 300).map((one) => ({ ...one, length: one.length * unit }));
    const outcome = calibrateBed(lengths);
    const warnings = outcome.ok ? outcome.bed.warnings : [];
    const told = warnings.filter(({ code }) => code === 'unlikely-scale');
    expect(told).toHaveLength(2);
    for (const { message } of told) expect(message).toContain(cause);
  });
});

describe('mistakes that measurements of a kerf may hold', () => {
  const kerf = 0.2;
  const line = { file: 'kerf.csv', line: 2 };
  const strips = (count: number, counted = count): KerfMeasurement => ({
    kind: 'strips',
    count: counted,
    drawn: 10,
    measured: count * (10 - kerf),
    where: line,
  });
  const gap = (count: number, counted = count): KerfMeasurement => ({
    kind: 'gap',
    count: counted,
    drawn: 5,
    measured: count * (5 + kerf),
    where: line,
  });
  const pair: KerfMeasurement = { kind: 'pair', hole: 30.2, piece: 29.8, where: line };
  /** What a row says of so many kerfs, less those kerfs: nothing without a mistake. */
  const excess = (m: KerfMeasurement): number => {
    if (m.kind === 'pair') return m.hole - m.piece - 2 * kerf;
    const all = m.kind === 'strips' ? m.count * m.drawn - m.measured : m.measured - m.count * m.drawn;
    return all - m.count * kerf;
  };

  it.each([
    ['strips', strips],
    ['gap', gap],
  ] as const)('%s counted one too many or one too few leave what the mistake enters', (_kind, of) => {
    for (const by of [-1, 1]) {
      const rows = [of(10, 10 + by), pair];
      const mistake = kerfMistakes(rows, [0, 1], kerf).find(
        ({ what }) => what.kind === 'miscounted' && what.count === 10,
      )!;
      expect(mistake.isKnown).toBe(true);
      expect(mistake.enters[0]).toBeCloseTo(excess(rows[0]!), 9);
      expect(mistake.enters[1]).toBe(0);
    }
  });

  it('of one cut are miscounted together, and a single piece and a pair are not', () => {
    const rows = [strips(10), strips(10), strips(8), strips(1), pair];
    const counted = kerfMistakes(rows, [0, 0, 1, 2, 3], kerf).filter(
      ({ what }) => what.kind === 'miscounted',
    );
    expect(counted.map(({ enters }) => enters.map((v) => (v === 0 ? 0 : 1)).join(''))).toEqual([
      '11000',
      '11000',
      '00100',
      '00100',
    ]);
    expect(sum(counted.map(({ prior }) => prior))).toBeCloseTo(0.02, 12);
  });

  it('strips that were not pressed together look wider by each gap, where other rows can tell', () => {
    const gaps = (rows: readonly KerfMeasurement[]) =>
      kerfMistakes(
        rows,
        rows.map((_, i) => i),
        kerf,
      ).filter(({ what }) => what.kind === 'not-pressed');
    const [mistake] = gaps([strips(10), strips(1), pair]);
    expect(mistake).toMatchObject({ prior: 0.2, positive: true });
    const wider = { ...strips(10), measured: 10 * (10 - kerf) + 9 * 0.05 } as KerfMeasurement;
    expect(mistake!.enters[0]! * 0.05).toBeCloseTo(excess(wider), 9);
    expect(mistake!.enters.slice(1).map((v) => v + 0)).toEqual([0, 0]);
    expect(gaps([strips(10), strips(8)])).toEqual([]);
    expect(gaps([strips(1), pair])).toEqual([]);
  });

  it('an sd far below the step that figures were read to has the rounding added to it', () => {
    const csd = (sd: number, rows: number): number => {
      const all = Array.from({ length: rows }, (_, i): KerfMeasurement => {
        const drawn = 5 + i;
        return { kind: 'gap', count: 1, drawn, measured: drawn + 0.2, sd, cut: 'a', where: line };
      });
      return calibrateKerf(all, 'kerf.csv').measurements[0]!.sd!;
    };
    // Steps of 0.1 mm or more show in four figures: 0.1 / sqrt(12), JCGM 100:2008, 4.3.7.
    expect(csd(0.001, 4)).toBeGreaterThan(0.1 / Math.sqrt(12));
    expect(csd(0.001, 4)).toBeCloseTo(Math.hypot(0.001, csd(0.0001, 4)), 6);
    expect(csd(0.001, 3)).toBeCloseTo(0.001, 9);
    expect(csd(1, 4)).toBeCloseTo(1, 9);
  });
});
