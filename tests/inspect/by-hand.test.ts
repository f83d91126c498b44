/** Gaps measured on the finished piece, and what they say of its cut. */
import { describe, expect, it } from 'vitest';
import { type ChosenPlaces, choosePlaces } from '../../src/inspect/choose-places.js';
import { clearPlaces } from '../../src/inspect/clear-places.js';
import { frameOf } from '../../src/inspect/inspection.js';
import { inspectable, inspectByHand, placesOf } from '../../src/inspected-job.js';
import { InputError } from '../../src/job/messages.js';
import { createRandom } from '../../src/numeric/random.js';
import { loadJob } from '../../src/reseat.js';
import { errorsOnBed, jobToInspect, studyAgreement, studyLimits } from '../evidence/inspection.js';
import { clearance, jobFiles, jobText, trueGap } from './true-cut.js';

const places = placesOf(jobToInspect()).places;
const errors = { x: 0.12, y: -0.07, turn: 0.0008, size: 0.0004, kerf: 0.05 };
const rows = (off: (i: number) => number = () => 0, of = errors): string =>
  places
    .map(({ opening, drawn }, i) => {
      const at = `${drawn.x.toFixed(3)}, ${drawn.y.toFixed(3)}`;
      return `  - {opening: ${opening}, place: [${at}], mm: ${(trueGap(opening, drawn, clearance, of) + off(i)).toFixed(5)}}`;
    })
    .join('\n');
const inspected = (more: string) => inspectByHand(jobToInspect(jobText(more)));
const messageOf = (work: () => unknown): string => {
  try {
    work();
  } catch (fault) {
    if (fault instanceof InputError) return `${fault.found}; ${fault.expected}. ${fault.next}`;
    throw fault;
  }
  return 'nothing';
};

describe('gaps that were measured by hand', () => {
  it('give the shift, turn, size and kerf that the cut was out by', () => {
    const { found, error } = inspected(`gap-sd: 0.02\ngaps:\n${rows()}`)!;
    const [x, y, turn, size, kerf] = found.map(({ value }) => value!);
    const [trueX, trueY] = errorsOnBed(jobToInspect(), errors);
    // What is left is of third order in the errors.
    expect(Math.abs(x! - trueX!)).toBeLessThan(1e-4);
    expect(Math.abs(y! - trueY!)).toBeLessThan(1e-4);
    expect(turn).toBeCloseTo(0.0008, 5);
    expect(size).toBeCloseTo(0.0004, 5);
    expect(kerf).toBeCloseTo(0.05, 4);
    expect(error.redundancy).toBe(places.length - 5);
  });

  it('tell of one below 0 also where the adjustment takes it for a wide error of measuring', () => {
    const none = { x: 0, y: 0, turn: 0, size: 0, kerf: 0 };
    const { warnings, least } = inspected(`gap-sd: 0.3\ngaps:\n${rows((i) => (i === 0 ? -0.53 : 0), none)}`)!;
    expect(Math.min(...least.map(({ gap }) => gap))).toBeGreaterThan(0);
    expect(warnings.find(({ code }) => code === 'edge-crossed')!.message).toMatch(/by 0\.030 mm/);
  });

  it('give the least gap of each opening where it really is', () => {
    const { least } = inspected(`gap-sd: 0.02\ngaps:\n${rows()}`)!;
    const round = least.find(({ opening }) => opening === 'round')!;
    // Radii of 12 and 12.5 + what kerf and size add, centres apart by what shift and turn make there.
    const [dx, dy] = [0.12 - 0.0004 * 71.5 + 0.0008 * 36.5, -0.07 - 0.0004 * 36.5 - 0.0008 * 71.5];
    expect(round.gap).toBeCloseTo(0.5 + 0.025 + 0.0004 * 12.5 - Math.hypot(dx, dy), 3);
  });

  it('have limits that hold: 500 cuts of known errors, gap-sd stated or estimated', () => {
    for (const { held } of studyLimits(500, 'test')) {
      for (const share of held) {
        expect(share).toBeGreaterThanOrEqual(0.93);
        expect(share).toBeLessThanOrEqual(0.97);
      }
    }
  });

  it('lie in the prediction as often as they should where the stated sds are true', () => {
    const { below05, below50 } = studyAgreement(100, 'test');
    // 100 cuts: 5 and 50 expected, three standard deviations to either side.
    expect(below05).toBeLessThanOrEqual(0.115);
    expect(Math.abs(below50 - 0.5)).toBeLessThan(0.15);
  });

  it('that contradict their stated sd widen it, and say so', () => {
    const { error, warnings } = inspected(`gap-sd: 0.005\ngaps:\n${rows((i) => (i % 2 ? 0.04 : -0.04))}`)!;
    expect(error.sd.used).toBeGreaterThan(0.02);
    expect(error.sd.dof).toBe(places.length - 5);
    expect(warnings.map(({ code }) => code)).toContain('gaps-disagree');
  });

  it('of which one was misread name that one', () => {
    const { suspect, gaps } = inspected(`gap-sd: 0.02\ngaps:\n${rows((i) => (i === 6 ? 0.3 : 0))}`)!;
    expect(suspect).toBe(6);
    expect(gaps[6]!.place.opening).toBe(places[6]!.opening);
  });

  it('tell nothing of size and turn where they are all round one hole, and say so', () => {
    const more = Array.from({ length: 8 }, (_, k) => {
      const [x, y] = [30 + 12 * Math.cos(k), 30 + 12 * Math.sin(k)];
      return `  - {opening: round, place: [${x.toFixed(4)}, ${y.toFixed(4)}], mm: ${trueGap('round', { x, y }, clearance, { ...errors, turn: 0, size: 0 }).toFixed(4)}}`;
    }).join('\n');
    const { found } = inspected(`gap-sd: 0.02\ngaps:\n${more}`)!;
    expect(found.map(({ name, value }) => [name, value !== undefined])).toEqual([
      ['x', true],
      ['y', true],
      ['turn', false],
      ['size', false],
      ['kerf', true],
    ]);
    expect(found[4]!.value).toBeCloseTo(0.05, 3);
  });

  it('without a stated sd and without one to spare claim no limits', () => {
    const some = rows()
      .split('\n')
      .filter((_, i) => i % 2 === 0)
      .join('\n');
    const { found, agreement, error } = inspected(`gaps:\n${some}`)!;
    expect(error.sd.used).toBeUndefined();
    expect(found.every(({ limit }) => limit === undefined)).toBe(true);
    expect(agreement).toBeUndefined();
  });

  it('say where the new edge lies across the existing one', () => {
    const { warnings } = inspected(`gap-sd: 0.02\ngaps:\n${rows(() => 0, { ...errors, x: 0.8 })}`)!;
    const crossed = warnings.find(({ code }) => code === 'edge-crossed')!;
    expect(crossed.message).toMatch(/lies across the existing one at \d openings/);
  });

  it('left blank are passed over, and without any the places to measure are named', () => {
    const blank = '  - {opening: round, place: [42, 30], mm: }';
    expect(inspected(`gaps:\n${blank}`)).toBeUndefined();
    expect(inspected(`gap-sd: 0.02\ngaps:\n${rows()}\n${blank}`)!.gaps).toHaveLength(places.length);
  });

  it.each([
    [
      'an opening that there is not',
      'rond, place: [42, 30]',
      /"rond", which is no opening.*Did you mean "round"/,
    ],
    ['a place far from its edge', 'round, place: [50, 30]', /8\.0 mm from the edge of "round"/],
    ['a corner', 'window, place: [60, 20]', /has a corner/],
  ])('at %s are refused', (_name, row, expected) => {
    expect(messageOf(() => inspected(`gaps:\n  - {opening: ${row}, mm: 0.5}`))).toMatch(expected);
  });

  it.each([
    ['a cut as drawn', 'cut: {kind: as-drawn}', /lie on the existing ones/],
    ['loose pieces', 'cut: {kind: inlay}', /lie loose/],
  ])('are refused for %s', (_name, cut, expected) => {
    const text = cut.includes('inlay')
      ? `drawing: panel.svg\n${cut}\n`
      : jobText().replace(/^cut:.*$/m, `${cut}`);
    expect(messageOf(() => inspectable(loadJob({ path: 'j.yaml', text }, jobFiles)))).toMatch(expected);
  });
});

describe('the places to measure', () => {
  it('keep away from corners and from one another', () => {
    expect(places).toHaveLength(10);
    for (const place of places) expect(place.fromCorner ?? 3).toBeGreaterThanOrEqual(3);
    for (const a of places)
      for (const b of places)
        if (a !== b) expect(Math.hypot(a.at.x - b.at.x, a.at.y - b.at.y)).toBeGreaterThan(2);
  });

  it('tell more than the best of 200 choices at random', () => {
    const job = jobToInspect();
    const { centre, reach } = frameOf(job.walk);
    const candidates = clearPlaces(job.walk, clearance, 1, 3);
    const random = createRandom('places');
    const product = ({ sds }: ChosenPlaces): number => sds.reduce<number>((p, sd) => p * (sd ?? 100), 1);
    const atRandom = Array.from({ length: 200 }, () => {
      const some = Array.from({ length: 10 }, () => candidates[random.index(candidates.length)]!);
      return product(choosePlaces(some, 10, centre, reach, 0));
    });
    expect(product(placesOf(job))).toBeLessThan(0.8 * Math.min(...atRandom));
  });

  it('are the same each time', () => {
    expect(placesOf(jobToInspect()).places).toEqual(places);
  });
});
