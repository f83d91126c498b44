import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type BedCalibration, calibrateBed, skewByHand } from '../../src/calibration/parts/bed.js';
import type { MeasuredLength } from '../../src/calibration/parts/network.js';
import { readRule } from '../../src/calibration/parts/rule.js';
import { updateProfile } from '../../src/calibration/profile.js';
import { readBedData } from '../../src/calibration/tables/read-bed.js';
import { createRandom } from '../../src/numeric/random.js';
import { messageOf } from '../job/message-of.js';
import { lengthsOn, twoRectangles, withErrors } from './bed-rectangles.js';

const bedOf = (lengths: readonly MeasuredLength[]): BedCalibration => {
  const outcome = calibrateBed(lengths);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.bed;
};

const truth = { scale: [1.0004, 0.9998], skew: 0.00035 } as const;

describe('A corner 1 mrad out of square, 400 x 300 (derived: sin g = (d1^2 - d2^2) / (4 W H))', () => {
  const rectangle = [
    [
      { x: 0, y: 0 },
      { x: 400, y: 0 },
      { x: 400, y: 300 },
      { x: 0, y: 300 },
    ],
  ];

  test('has the diagonals 499.759942 and 500.239942', () => {
    const [, , , , rising, falling] = lengthsOn({ scale: [1, 1], skew: 0.001 }, rectangle);
    expect(rising!.length).toBeCloseTo(499.759942, 6);
    expect(falling!.length).toBeCloseTo(500.239942, 6);
  });

  test('is found from the diagonals by hand', () => {
    const skew = skewByHand({ width: 400, height: 300, rising: 499.759942, falling: 500.239942 });
    // Half a unit in the last place of either diagonal is 1e-9 rad.
    expect(skew).toBeCloseTo(0.001, 8);
  });

  test('is found by the adjustment, and the hand formula stands beside it', () => {
    const printed = lengthsOn({ scale: [1, 1], skew: 0 }, rectangle).map((l, i) => ({
      ...l,
      length: [400, 300, 400, 300, 499.759942, 500.239942][i]!,
    }));
    const bed = bedOf(printed);
    expect(bed.skew.value).toBeCloseTo(0.001, 8);
    expect(bed.scale.x.value).toBeCloseTo(1, 8);
    expect(bed.rectangles).toHaveLength(1);
    expect(bed.rectangles[0]!.names).toEqual(['A', 'B', 'C', 'D']);
    expect(bed.rectangles[0]!.skew).toBeCloseTo(0.001, 8);
  });
});

describe('The map of a bed', () => {
  test('comes out exactly from exact lengths, whatever the bed', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.9, max: 1.1, noNaN: true }),
        fc.double({ min: 0.9, max: 1.1, noNaN: true }),
        fc.double({ min: -0.2, max: 0.2, noNaN: true }),
        (sx, sy, skew) => {
          const bed = bedOf(lengthsOn({ scale: [sx, sy], skew }));
          // The adjustment stops where a step is below 1e-10.
          expect(bed.scale.x.value).toBeCloseTo(sx, 9);
          expect(bed.scale.y.value).toBeCloseTo(sy, 9);
          expect(bed.skew.value).toBeCloseTo(skew, 9);
          for (const rectangle of bed.rectangles) expect(rectangle.skew).toBeCloseTo(skew, 9);
        },
      ),
      { seed: 20261125, numRuns: 100 },
    );
  });

  test('comes out of a display in inches as well, and that is told', () => {
    const bed = bedOf(lengthsOn({ scale: [25.4, 25.4], skew: 0.0003 }));
    expect(bed.scale.x.value).toBeCloseTo(25.4, 8);
    expect(bed.warnings.map((w) => w.code)).toEqual(['unlikely-scale', 'unlikely-scale', 'rule-unstated']);
    expect(bed.warnings[0]!.message).toContain('Inches and millimetres');
  });

  test('does not depend on which end of a length comes first, nor on the order of lengths', () => {
    const random = createRandom('order');
    const lengths = withErrors(lengthsOn(truth), () => 0.05 * random.normal(), 0.05);
    const there = bedOf(lengths);
    const back = bedOf(lengths.map((l) => ({ ...l, from: l.to, to: l.from })).reverse());
    expect(back.skew.value).toBeCloseTo(there.skew.value, 12);
    expect(back.scale.y.value).toBeCloseTo(there.scale.y.value, 12);
    expect(back.skew.sd).toBeCloseTo(there.skew.sd!, 12);
  });

  test('is written with six places of scale and three of a milliradian', () => {
    expect(bedOf(lengthsOn(truth)).proposal).toEqual({
      part: 'bed',
      set: { 'bed-map': { scale: [1.0004, 0.9998], 'skew-mrad': 0.35 } },
      remove: ['bed-map-sd'],
    });
    const { set } = bedOf(lengthsOn(truth).map((l) => ({ ...l, sd: 0.05 }))).proposal;
    const { scale, skew } = bedOf(lengthsOn(truth).map((l) => ({ ...l, sd: 0.05 })));
    expect(set['bed-map-sd']).toEqual({
      scale: [expect.closeTo(scale.x.sd!, 6), expect.closeTo(scale.y.sd!, 6)],
      'skew-mrad': expect.closeTo(1000 * skew.sd!, 4),
    });
  });

  test('claims no uncertainty from three lengths without an sd, and says that nothing checks them', () => {
    const [a, b, , , c] = lengthsOn(truth);
    const bed = bedOf([a!, b!, c!]);
    expect(bed.redundancy).toBe(0);
    expect(bed.skew.sd).toBeUndefined();
    expect(bed.skew.limits).toBeUndefined();
    expect(bed.sd).toEqual({});
    expect(bed.warnings.map((w) => w.code)).toEqual(['no-redundancy']);
    const stated = bedOf([a!, b!, c!].map((l) => ({ ...l, sd: 0.1 })));
    expect(stated.skew.sd).toBeGreaterThan(0);
  });
});

describe('Two rectangles measured with sd 0.05 mm', () => {
  const trials = 250;
  const exact = lengthsOn(truth);
  const coverage = (seed: string, stated: number | undefined): number[] => {
    const random = createRandom(seed);
    const held = [0, 0, 0];
    for (let trial = 0; trial < trials; trial++) {
      const { scale, skew } = bedOf(withErrors(exact, () => 0.05 * random.normal(), stated));
      [scale.x, scale.y, skew].forEach(({ limits }, i) => {
        const value = [...truth.scale, truth.skew][i]!;
        if (limits![0] <= value && value <= limits![1]) held[i]! += 1;
      });
    }
    return held.map((count) => count / trials);
  };

  // The sd of a rate of 95 % over 250 trials is 1.4 %. Where crosses lie true the limits are wider than they need be,
  // for nothing shows that they do.
  test.each([
    ['stated', 0.05],
    ['left to the lengths themselves', undefined],
  ])('hold the truth within the limits stated, at least 95 of 100 times: sd %s', (what, sd) => {
    for (const rate of coverage(`bed ${what}`, sd)) {
      expect(rate).toBeGreaterThan(0.92);
      expect(rate).toBeLessThanOrEqual(1);
    }
  });
});

describe('A length that is wrong', () => {
  test('stands out with a stated sd, and widens the limits', () => {
    const lengths = lengthsOn(truth).map((l, i) => ({
      ...l,
      length: l.length + (i === 4 ? 1 : 0),
      sd: 0.05,
    }));
    const bed = bedOf(lengths);
    expect(bed.warnings.map((w) => w.code)).toEqual(['suspect-reading', 'lengths-disagree', 'rule-unstated']);
    expect(bed.warnings[0]!.message).toContain('A to C was measured as');
    expect(bed.consistency!.consistent).toBe(false);
  });

  test('stands out without one, too', () => {
    const random = createRandom('slip without sd');
    const lengths = withErrors(lengthsOn(truth), () => 0.05 * random.normal());
    const bed = bedOf(lengths.map((l, i) => ({ ...l, length: l.length - (i === 8 ? 5 : 0) })));
    expect(bed.warnings.map((w) => w.code)).toEqual(['suspect-reading', 'lengths-disagree', 'rule-unstated']);
    expect(bed.warnings[0]!.message).toContain('G to H');
  });

  test('is not claimed of clean lengths in more than 1 case in 20', () => {
    const random = createRandom('clean lengths');
    let claimed = 0;
    for (let trial = 0; trial < 200; trial++) {
      const sd = trial % 2 === 0 ? 0.05 : undefined;
      const bed = bedOf(withErrors(lengthsOn(truth), () => 0.05 * random.normal(), sd));
      if (bed.warnings.some((w) => w.code === 'suspect-reading')) claimed += 1;
    }
    expect(claimed).toBeLessThanOrEqual(10);
  });
});

describe('The rule', () => {
  const lengths = lengthsOn(truth).map((l) => ({ ...l, sd: 0.05 }));
  const boundOf = (written: string) => {
    const outcome = calibrateBed(lengths, { rule: readRule(written) });
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    return outcome.bed;
  };

  test('of class 2 widens both scales by its bound and leaves the skew alone (2014/32/EU VIII, from memory)', () => {
    const without = bedOf(lengths);
    const bed = boundOf('2');
    // The longest length, 1416 mm, counts as two metres: 0.3 + 2 x 0.2 mm.
    expect(bed.ruleBound! * 1415.98).toBeCloseTo(0.7, 2);
    const half = (e: { limits?: readonly [number, number] }) => (e.limits![1] - e.limits![0]) / 2;
    expect(half(bed.scale.x)).toBeGreaterThan(bed.ruleBound! + 0.8 * half(without.scale.x));
    expect(half(bed.scale.x)).toBeLessThan(bed.ruleBound! + half(without.scale.x));
    expect(half(bed.skew)).toBeCloseTo(half(without.skew), 12);
    expect(without.warnings.map((w) => w.code)).toEqual(['rule-unstated']);
    expect(bed.warnings).toEqual([]);
  });

  test('may be stated by its certificate; anything else is refused', () => {
    expect(boundOf('0.08mm/m').ruleBound).toBeCloseTo(8e-5, 12);
    expect(readRule('II')).toEqual({ class: 2 });
    expect(readRule('1 mm/m')).toEqual({ mmPerMetre: 1 });
    expect(messageOf(() => readRule('good'))).toContain('--rule good; expected the class of the rule');
  });
});

describe('Diagonals that are exchanged', () => {
  test('are named where another rectangle speaks against them, or the profile so far', () => {
    const lengths = lengthsOn({ ...truth, skew: 0.002 }).map((l) => ({ ...l, sd: 0.05 }));
    const [first, second] = [lengths[4]!.length, lengths[5]!.length];
    const wrong = lengths.map((l, i) =>
      i === 4 ? { ...l, length: second } : i === 5 ? { ...l, length: first } : l,
    );
    expect(bedOf(wrong).warnings[0]!.message).toMatch(/diagonals A to C .* and B to D .* are exchanged/);
    const outcome = calibrateBed(wrong.slice(0, 6), { before: { scale: [1.0004, 0.9998], skew: 0.002 } });
    expect(outcome.ok && outcome.bed.warnings.at(-1)!.message).toContain(
      'look whether the two diagonals were exchanged',
    );
  });
});

describe('Lengths that do not determine the map', () => {
  const [bottom, right, top, left, rising] = lengthsOn(truth);
  test.each([
    ['sides only', [bottom!, right!, top!, left!], 'How far the axes are from square does not show'],
    ['all along x', [bottom!, top!, bottom!], 'which leaves the scale of y and the skew undetermined'],
    ['all along y', [right!, left!, left!], 'which leaves the scale of x and the skew undetermined'],
    ['all along one diagonal', [rising!, rising!, rising!], 'which leaves the scales of x and y apart'],
    ['in two directions', [bottom!, rising!, rising!, top!], 'Two directions determine two'],
    ['two of them', [bottom!, right!], 'How far the axes are from square'],
  ])('are a failure with its cure: %s', (_what, lengths, reason) => {
    const outcome = calibrateBed(lengths);
    if (outcome.ok) throw new Error('it was determined');
    expect(outcome.failure.reason).toContain(reason);
    expect(outcome.failure.cure).toContain('both diagonals');
  });
});

describe('Lengths that cannot be', () => {
  test('of whatever size lead to a map that a profile may state, to a failure or to a message', () => {
    const random = createRandom('senseless lengths');
    const told = { map: 0, failure: 0, message: 0 };
    for (let trial = 0; trial < 500; trial++) {
      const corner = () => ({ x: 100 * random.index(5), y: 100 * random.index(5) });
      const lengths = Array.from({ length: 3 + random.index(8) }, (): MeasuredLength => {
        const from = corner();
        const to = { x: from.x + 1 + random.index(300), y: corner().y };
        return { from, to, length: 10 ** (6 * random.uniform() - 2), where: {} };
      });
      let kind: keyof typeof told = 'message';
      const message = messageOf(() => {
        const outcome = calibrateBed(lengths);
        kind = outcome.ok ? 'map' : 'failure';
        if (!outcome.ok) return;
        updateProfile({ path: 'bench.yaml', text: 'axes: y-up' }, outcome.bed.proposal, '2026-11-25');
      });
      if (kind !== 'message') expect(message).toBe('no error');
      told[kind] += 1;
    }
    expect(told.map).toBeGreaterThan(0);
    expect(told.failure).toBeGreaterThan(100);
  });

  test('break the triangle inequality and are named', () => {
    const lengths = lengthsOn({ scale: [1, 1], skew: 0 }).map((l, i) => ({
      ...l,
      length: i === 4 ? 2416.0 : l.length,
    }));
    expect(messageOf(() => calibrateBed(lengths))).toBe(
      'bed.csv:4 A to C (2416 mm) is longer by 436.00 mm than the way round, A to B (1140 mm) and B to C (840 mm); expected lengths that make a triangle. Measure these three again; one of them is wrong, or stands in the wrong row.',
    );
  });

  test('are not seen in three points on a line that the errors alone make longer', () => {
    const corner = twoRectangles[0]![0]!;
    const point = (x: number) => ({ x: corner.x + x, y: corner.y });
    const line = [
      [0, 500, 500.03],
      [500, 1000, 500.02],
      [0, 1000, 1000.2],
    ].map(
      ([a, b, length]): MeasuredLength => ({
        from: point(a!),
        to: point(b!),
        length: length!,
        sd: 0.05,
        where: {},
      }),
    );
    expect(calibrateBed(line).ok).toBe(false);
    const rest = lengthsOn({ scale: [1, 1], skew: 0 }).map((l) => ({ ...l, sd: 0.05 }));
    expect(calibrateBed([...rest, ...line]).ok).toBe(true);
  });

  test('have an sd for some only', () => {
    const lengths = lengthsOn(truth).map((l, i) => (i === 3 ? l : { ...l, sd: 0.1 }));
    expect(messageOf(() => calibrateBed(lengths))).toContain('a length without an sd among lengths with one');
  });
});

describe('A table of lengths', () => {
  const read = (axes: string, profile?: Parameters<typeof readBedData>[1]) =>
    readBedData(
      { path: 'bed.csv', text: `from-x,from-y,to-x,to-y,length,axes\n25,25,575,375,651.9,${axes}\n` },
      profile,
    ).lengths[0]!;

  test('is turned by the axes that the sheet was made for, so that the skew has its sign', () => {
    expect(read('y-up')).toMatchObject({ from: { y: 25 }, to: { y: 375 } });
    expect(read('y-down')).toMatchObject({ from: { y: -25 }, to: { y: -375 } });
  });

  test('of a sheet for other axes than those of the profile is refused, not read with the other sign', () => {
    const profile = { axes: 'y-down', path: 'bench.yaml' } as const;
    expect(messageOf(() => read('y-up', { profile }))).toContain('axes: y-down, as in bench.yaml');
    expect(read('y-down', { profile }).to.y).toBe(-375);
    expect(messageOf(() => read('up'))).toContain('y-up or y-down');
  });
});
