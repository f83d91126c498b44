import { describe, expect, test } from 'vitest';
import { mirrorX } from '../../src/geometry/affine.js';
import { transformPath } from '../../src/geometry/curve.js';
import { InputError } from '../../src/job/messages.js';
import { checkOf, fitOf, panelMarks, readingsOf, turned, twoOpenings } from './jobs.js';
import { polygonPath, rectangle, rectanglePoints, shapeOf } from './shapes.js';

describe('the verdict on a job', () => {
  test('turns from does-not-fit over too-close to fits as the clearance grows, at the needed clearance', () => {
    const { neededClearance } = checkOf();
    const at = (clearance: number) => checkOf({ cut: { clearance } });
    expect(at(0).verdict).toBe('does-not-fit');
    expect(at(0).explanation).toContain('The clearance is 0');
    expect(at(0.01).verdict).toBe('does-not-fit');
    expect(at(0.7 * neededClearance!).verdict).toBe('too-close');
    expect(at(0.999 * neededClearance!).verdict).toBe('too-close');
    expect(at(1.001 * neededClearance!).verdict).toBe('fits');
    expect(at(1.001 * neededClearance!).advice).toEqual([]);
  });

  test('is given for each opening too, and the job is never better than its worst opening', () => {
    const check = checkOf({ cut: { clearance: 0.125 } });
    expect(check.openings.map((o) => [o.id, o.verdict])).toEqual([
      ['near', 'fits'],
      ['far', 'too-close'],
    ]);
    expect(check.verdict).toBe('too-close');
    const far = check.openings[1]!;
    expect(far.worstPoint).toBeDefined();
    expect(far.predictedError).toBeGreaterThan(0.04);
  });

  test('a panel on its face is judged as the mirrored drawing', () => {
    const marks = panelMarks.map((p) => ({ x: -p.x, y: p.y }));
    const faceDown = checkOf({ observations: readingsOf({ marks }), rest: { face: 'down' } });
    const mirrored = twoOpenings.map((s) => ({ ...s, paths: s.paths.map((p) => transformPath(mirrorX, p)) }));
    const drawnSo = checkOf({ observations: readingsOf({ marks }), openings: mirrored });
    expect(faceDown.risk).toBeCloseTo(drawnSo.risk!, 9);
    expect(faceDown.openings.map((o) => o.worstPoint)).toEqual(drawnSo.openings.map((o) => o.worstPoint));
  });

  test('an inlay of the same opening is as risky where nothing but the fit errs', () => {
    const opening = checkOf({ cut: { clearance: 0.12 } });
    const inlay = checkOf({ cut: { clearance: 0.12, kind: 'inlay' } });
    // Opposite normals, and the error is as likely one way as the other.
    expect(inlay.risk! / opening.risk!).toBeCloseTo(1, 2);
  });

  test('machine and kerf make it worse', () => {
    const base = checkOf();
    expect(checkOf({ check: { cutSd: 0.05 } }).neededClearance).toBeGreaterThan(1.1 * base.neededClearance!);
    expect(checkOf({ check: { kerfSd: 0.1 } }).neededClearance).toBeGreaterThan(1.1 * base.neededClearance!);
  });

  test('openings without a closed path are left out; a job of only such is refused', () => {
    const open = shapeOf('slit', [{ ...polygonPath(rectanglePoints(0, 0, 10, 10)), closed: false }]);
    expect(checkOf({ openings: [open, ...twoOpenings] }).openings.map((o) => o.id)).toEqual(['near', 'far']);
    expect(() => checkOf({ openings: [open] })).toThrow(InputError);
    expect(() => checkOf({ openings: [open] })).toThrow('no closed path among 1 openings');
  });

  test('numbers out of range are a mistake of the caller', () => {
    expect(() => checkOf({ check: { acceptedRisk: 0 } })).toThrow(RangeError);
    expect(() => checkOf({ check: { acceptedRisk: 1 } })).toThrow('acceptedRisk is 1');
    expect(() => checkOf({ check: { cutSd: -0.1 } })).toThrow('cutSd is -0.1');
    expect(() => checkOf({ cut: { clearance: Number.NaN } })).toThrow('clearance is NaN');
  });
});

describe('where no uncertainty can be claimed', () => {
  const observations = readingsOf({ errors: 0.1 }).slice(0, 2);
  // Two marks leave a similarity nothing to spare, and no sd is stated.
  const check = checkOf({ observations, options: { model: 'similarity', readingSd: undefined as never } });

  test('the verdict is never fits, no figure is made up, and it says why', () => {
    expect(check.verdict).toBe('too-close');
    expect(check.risk).toBeUndefined();
    expect(check.neededClearance).toBeUndefined();
    for (const o of check.openings) {
      expect(o.verdict).toBe('too-close');
      expect(o.risk).toBeUndefined();
      expect(o.predictedError).toBeUndefined();
      expect(o.margin).toBe(0.3);
    }
    expect(check.explanation).toContain('How well a reading is known is not stated');
    expect(check.explanation).toContain('without redundancy');
  });

  test('it says what stating an sd would show', () => {
    expect(check.advice.map((a) => a.kind)).toEqual(['state-sd']);
    const known = checkOf({ observations, options: { model: 'similarity', readingSd: 0.1 } });
    expect(check.advice[0]!.message).toContain(`a clearance of ${known.neededClearance!.toFixed(2)} mm`);
  });

  test('readings that agree to the last digit claim no less than the rounding of a fine display', () => {
    const exact = panelMarks.map((design, i) => ({ mark: 'ABCD'[i]!, design, readings: [design] }));
    const fit = fitOf(exact);
    expect(fit.sd.used).toBeCloseTo(0.01 / Math.sqrt(12), 12);
    expect(fit.sd.usedDof).toBe(5);
  });

  test('but what touches already does not fit', () => {
    const touching = checkOf({
      observations,
      options: { model: 'similarity', readingSd: undefined as never },
      cut: { clearance: 0 },
    });
    expect(touching.verdict).toBe('does-not-fit');
  });
});

describe('what to do next', () => {
  const crowded = panelMarks.map((p) => ({ x: 20 + p.x / 6, y: 20 + p.y / 6 }));

  test('a further mark at the far corner is worth most where the marks lie together, and brings what was foretold', () => {
    const observations = readingsOf({ marks: crowded });
    const check = checkOf({ observations, cut: { clearance: 0.2 } });
    const mark = check.advice.find((a) => a.kind === 'new-mark')!;
    expect(mark.message).toContain('the upper right corner of the openings');
    expect(mark.at).toEqual({ x: 550, y: 340 });
    const more = readingsOf({ marks: [...crowded, mark.at!] });
    const really = checkOf({ observations: more, cut: { clearance: 0.2 } });
    expect(really.neededClearance! / mark.neededClearance!).toBeCloseTo(1, 2);
    expect(check.warnings.map((w) => w.code)).toEqual(['extrapolation']);
  });

  test('a second reading that suffices comes before a larger clearance', () => {
    const { neededClearance } = checkOf();
    const check = checkOf({ cut: { clearance: 0.94 * neededClearance! } });
    expect(check.verdict).toBe('too-close');
    expect(check.advice[0]!.neededClearance).toBeLessThanOrEqual(0.94 * neededClearance!);
    expect(['second-reading', 'every-mark-again', 'new-mark']).toContain(check.advice[0]!.kind);
  });

  test('where no reading suffices a larger clearance comes first, and it does fit', () => {
    const check = checkOf({ cut: { clearance: 0.05 } });
    const [first] = check.advice;
    expect(first!.kind).toBe('larger-clearance');
    expect(first!.message).toBe(
      `A clearance of ${first!.neededClearance!.toFixed(2)} mm, ${(first!.neededClearance! - 0.05).toFixed(2)} mm more, would fit.`,
    );
    expect(checkOf({ cut: { clearance: first!.neededClearance! } }).verdict).toBe('fits');
    expect(check.advice.length).toBeLessThanOrEqual(3);
  });

  test('a mark that is drawn but was not read is named', () => {
    const check = checkOf({
      observations: readingsOf().slice(0, 2),
      cut: { clearance: 0.17 },
      rest: { unreadMarks: new Map([['C', panelMarks[2]!]]) },
    });
    const advice = check.advice.find((a) => a.kind === 'unread-mark')!;
    expect(advice.marks).toEqual(['C']);
    const really = checkOf({ observations: readingsOf().slice(0, 3) });
    expect(advice.neededClearance! / really.neededClearance!).toBeCloseTo(1, 2);
  });

  test('two marks that tell their own sd are nearly worthless: the factor is told, and stating the sd comes first', () => {
    const observations = readingsOf({ errors: 0.05, truth: turned, seed: 'two' }).slice(0, 2);
    const options = { readingSd: undefined as never };
    const { neededClearance } = checkOf({ observations, options });
    const check = checkOf({ observations, options, cut: { clearance: neededClearance! / 2 } });
    const factor = check.neededClearance! / check.neededWithKnownSd!;
    expect(factor).toBeGreaterThan(7);
    expect(factor).toBeLessThan(10);
    expect(check.advice[0]!.kind).toBe('state-sd');
  });

  test('pierced edges move the worst point out by half the kerf', () => {
    const plain = checkOf({ openings: [rectangle('r', 480, 300, 70, 40)] });
    const pierced = checkOf({
      openings: [rectangle('r', 480, 300, 70, 40)],
      rest: { pierced: { kerf: 0.2, compensated: false } },
    });
    const moved = Math.hypot(
      pierced.openings[0]!.worstPoint!.x - plain.openings[0]!.worstPoint!.x,
      pierced.openings[0]!.worstPoint!.y - plain.openings[0]!.worstPoint!.y,
    );
    expect(moved).toBeCloseTo(0.1, 9);
  });
});
