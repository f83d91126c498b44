import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { calibrateKerf } from '../../src/calibration/parts/kerf.js';
import { readKerfData } from '../../src/calibration/tables/read-kerf.js';
import { createRandom } from '../../src/numeric/random.js';
import { messageOf } from '../job/message-of.js';

const kerfOf = (text: string, sd?: number) => {
  const { measurements } = readKerfData({ path: 'kerf.csv', text }, sd);
  return calibrateKerf(measurements, 'kerf.csv');
};

describe('The kerf', () => {
  test.each([
    ['20 strips drawn 10 mm that measure 196 mm', 'kind,count,drawn,measured\nstrips,20,10,196\n'],
    ['a slot drawn 5 mm that measures 5.2 mm', 'kind,drawn,measured\ngap,5,5.2\n'],
    ['one pass that leaves a gap of 0.2 mm', 'kind,drawn,measured\ngap,0,0.2\n'],
    ['6 slots drawn 5 mm that measure 31.2 mm', 'kind,count,drawn,measured\ngap,6,5,31.2\n'],
    ['a hole of 40.2 mm and its piece of 39.8 mm', 'kind,hole,piece\npair,40.2,39.8\n'],
  ])('of 0.2 mm shows as %s', (_what, text) => {
    const { kerf, redundancy } = kerfOf(text);
    expect(kerf.value).toBeCloseTo(0.2, 10);
    expect(kerf.sd).toBeUndefined();
    expect(redundancy).toBe(0);
  });

  test('is the same from what any kerf leaves, by every way of measuring it', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.02, max: 6, noNaN: true }),
        fc.double({ min: 8, max: 60, noNaN: true }),
        fc.integer({ min: 1, max: 50 }),
        (k, w, n) => {
          const text = `kind,count,drawn,measured,hole,piece
strips,${n},${w},${n * (w - k)},,
gap,${n},${w},${n * (w + k)},,
pair,,,,${w + k},${w - k}
`;
          const { kerf, measurements } = kerfOf(text);
          for (const m of measurements) expect(m.kerf).toBeCloseTo(k, 9);
          expect(kerf.value).toBeCloseTo(k, 9);
        },
      ),
      { seed: 20261125, numRuns: 100 },
    );
  });

  test('is known n times better from n strips than the caliper measures', () => {
    const { kerf, proposal } = kerfOf('kind,count,drawn,measured,sd\nstrips,20,10,196,0.1\n');
    expect(kerf.sd).toBeCloseTo(0.005, 12);
    // One cut says nothing of the next: no kerf-sd.
    expect(proposal.set).toEqual({ kerf: 0.2 });
    expect(kerfOf('kind,hole,piece\npair,40.2,39.8\n', 0.02).kerf.sd).toBeCloseTo(0.02 / Math.SQRT2, 12);
  });

  test('leaves an earlier kerf-sd behind where it has none itself', () => {
    expect(kerfOf('kind,drawn,measured\ngap,5,5.2\n').proposal).toEqual({
      part: 'kerf',
      set: { kerf: 0.2 },
      remove: ['kerf-sd', 'kerf-dof'],
    });
  });

  test('that changes from cut to cut is told from errors of measuring, and kerf-sd counts the change', () => {
    const random = createRandom('kerf by cut');
    const rows = Array.from({ length: 12 }, (_, i) => {
      const kerf = 0.3 + 0.04 * random.normal();
      return [1, 2].map(() => `gap,5,${(5 + kerf + 0.01 * random.normal()).toFixed(3)},slot ${i}`).join('\n');
    });
    const { passSd, kerfSd, warnings } = kerfOf(`kind,drawn,measured,cut\n${rows.join('\n')}\n`, 0.01);
    // Half of a pass on each side of a slot: one pass varies by the root of two more.
    expect(passSd!.limits[0]).toBeGreaterThan(0);
    expect(passSd!.limits[1]).toBeGreaterThan(0.04 * Math.SQRT2);
    expect(kerfSd!).toBeGreaterThan(0.04);
    expect(warnings).toEqual([]);
  });

  test('that scatters no more than the caliper does is said not to be told from it', () => {
    const { passSd } = kerfOf(
      'kind,count,drawn,measured\nstrips,10,10,97.99\ngap,1,5,5.21\ngap,1,5,5.18\ngap,1,5,5.20\n',
      0.02,
    );
    expect(passSd!.limits[0]).toBe(0);
  });

  test('by strips that were not pressed together is doubted, and so is one of miscounted strips', () => {
    const rest = 'gap,,5,5.21\ngap,,5,5.19\ngap,,5,5.2\ngap,,5,5.2\n';
    const loose = kerfOf(`kind,count,drawn,measured\nstrips,10,10,99.0\n${rest}`, 0.02);
    expect(loose.warnings[0]!.code).toBe('suspect-reading');
    expect(loose.warnings[0]!.message).toContain('not pressed together');
    const counted = kerfOf(`kind,count,drawn,measured\nstrips,11,10,98.0\n${rest}`, 0.02);
    expect(counted.warnings[0]!.message).toContain('there are 10 strips in line 2, counted as 11');
  });

  test('with a kerf-sd as large as itself is not proposed', () => {
    const { proposal, warnings } = kerfOf(
      'kind,drawn,measured\ngap,5,5.02\ngap,5,5.9\ngap,5,5.4\ngap,5,5.01\n',
    );
    expect(proposal.set).toEqual({});
    expect(warnings.map((w) => w.code)).toContain('unlikely-sd');
  });
});

describe('A kerf below zero is refused with its likely cause', () => {
  test.each([
    [
      'kind,count,drawn,measured\nstrips,20,10,206\n',
      'kerf.csv:2 20 strips of 10 mm that measure 206 mm together: a kerf of -0.300 mm; expected a kerf above zero, for every cut removes material. Count the strips again, press them together without dust or burr between them, and check that the file was cut along the drawn lines, without kerf correction.',
    ],
    [
      'kind,drawn,measured\ngap,5,4.8\n',
      'kerf.csv:2 a gap drawn 5 mm that measures 4.8 mm: a kerf of -0.200 mm; expected a kerf above zero, for every cut removes material. Measure the gap, not the tooth beside it, and check that the file was cut along the drawn lines, without kerf correction.',
    ],
    [
      'kind,hole,piece\npair,39.8,40.2\n',
      'kerf.csv:2 a hole of 39.8 mm and a piece of 40.2 mm: a kerf of -0.200 mm; expected a kerf above zero, for every cut removes material. The piece cannot be larger than its hole: the two are probably exchanged, or not measured along the same line.',
    ],
  ])('%j', (text, message) => {
    expect(messageOf(() => kerfOf(text))).toBe(message);
  });

  test('and one that cannot be told from zero sends knives to the profile by hand', () => {
    expect(messageOf(() => kerfOf('kind,drawn,measured,sd\ngap,5,4.99,0.02\n'))).toBe(
      'kerf.csv a kerf of -0.010 mm with an sd of 0.020 mm, not to be told from zero; expected a kerf above zero. For a knife write kerf: 0 into the profile by hand. Otherwise measure more strips at once: the error is shared among them.',
    );
  });
});

describe('Measurements of the kerf', () => {
  test.each([
    [
      'kind,drawn,measured\nstrip,5,4.8\n',
      'kerf.csv:2 (kind) kind is "strip"; expected strips, gap or pair. Did you mean strips?',
    ],
    [
      'kind,count,drawn,measured\nstrips,2.5,5,4.8\n',
      'kerf.csv:2 (count) count is 2.5; expected a whole number. Count them again.',
    ],
    [
      'kind,drawn,measured,hole,piece\ngap,5,5.2,4,\n',
      'kerf.csv:2 (hole) hole in a row of gap; expected count, drawn and measured. Move it to its column, or correct the kind.',
    ],
    [
      'kind,drawn,hole,piece\npair,5,5.2,4\n',
      'kerf.csv:2 (drawn) drawn in a row of pair; expected hole and piece. Move it to its column, or correct the kind.',
    ],
    [
      'kind,hole,piece\npair,5.2,\n',
      'kerf.csv:2 (piece) no piece; expected a number in mm, above 0. Fill it in, or remove the row.',
    ],
    [
      'kind,drawn,measured\ngap,5,-5\n',
      'kerf.csv:2 (measured) measured is -5; expected a number in mm, above 0. Correct the number.',
    ],
    [
      'kind,drawn,measured,sd\ngap,5,5.1,0.1\ngap,5,5.1,\n',
      'kerf.csv:3 a measurement without an sd among measurements with one; expected an sd for all of them, or for none. Fill it in, or give --sd for the rows that state none.',
    ],
  ])('are refused as %j', (text, message) => {
    expect(messageOf(() => kerfOf(text))).toBe(message);
  });

  test('may stand in YAML, with keys left empty as cells are left blank', () => {
    const text =
      'measurements:\n  - {kind: strips, count: 20, drawn: 10, measured: 196}\n  - {kind: pair, hole:, piece:}\n';
    const { measurements, blank } = readKerfData({ path: 'kerf.yaml', text });
    expect(measurements).toHaveLength(1);
    expect(blank).toBe(1);
  });
});
