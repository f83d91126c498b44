import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Stated } from '../../src/fit/doubts/remedies.js';
import type { FitOptions, Observation } from '../../src/fit/fit.js';
import { type ReviewContext, reviewFit } from '../../src/fit/warnings.js';
import { apply, compose, type Matrix, rotation, scaling, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Warning } from '../../src/job/messages.js';

const irregular = [
  { x: 25, y: 30 },
  { x: 570, y: 22 },
  { x: 540, y: 378 },
  { x: 60, y: 365 },
];
/** Reading errors of a small clean job, mm: chi-square of the rigid fit with an sd of 0.08 near its middle. */
const errors = [
  { x: 0.05, y: -0.06 },
  { x: -0.09, y: 0.04 },
  { x: 0.06, y: 0.1 },
  { x: -0.03, y: -0.07 },
];
const usual = compose(translation(200, 150), rotation(0.06));

const round2 = (p: Point): Point => ({ x: Number(p.x.toFixed(2)), y: Number(p.y.toFixed(2)) });

const job = (placement: Matrix = usual, design: readonly Point[] = irregular, repeats = 1): Observation[] =>
  design.map((q, i) => {
    const p = apply(placement, q);
    return {
      mark: 'ABCD'[i]!,
      design: q,
      readings: Array.from({ length: repeats }, (_, k) => {
        const e = errors[(i + k) % 4]!;
        return round2({ x: p.x + e.x, y: p.y + e.y });
      }),
    };
  });

const altered = (
  observations: readonly Observation[],
  mark: string,
  change: (p: Point) => Point,
  reading = 0,
): Observation[] =>
  observations.map((o) =>
    o.mark === mark ? { ...o, readings: o.readings.map((p, k) => (k === reading ? change(p) : p)) } : o,
  );

const stated: Stated = {
  face: 'up',
  axes: 'y-up',
  axesAssumed: true,
  toWrite: (key, value) => `${key}: ${value}`,
};

const review = (
  observations: readonly Observation[],
  more: Partial<FitOptions> = {},
  context?: ReviewContext,
): Warning[] => {
  const options: FitOptions = { model: 'rigid', markSd: 0, readingSd: 0.08, ...more };
  return reviewFit(observations, options, adjust(observations, options), context);
};

const unstated = (observations: readonly Observation[], model: FitOptions['model'] = 'rigid'): Warning[] =>
  reviewFit(observations, { model, markSd: 0 }, adjust(observations, { model, markSd: 0 }));

const codes = (warnings: readonly Warning[]) => warnings.map((w) => w.code);
const only = (warnings: readonly Warning[], code: Warning['code']): Warning => {
  const found = warnings.filter((w) => w.code === code);
  expect(found, JSON.stringify(warnings, undefined, 1)).toHaveLength(1);
  return found[0]!;
};

describe('a clean job', () => {
  it('with a stated sd and marks that form no regular pattern raises no warning', () => {
    expect(review(job())).toEqual([]);
    expect(review(job(usual, irregular.slice(0, 3)))).toEqual([]);
  });

  it('without marks there is nothing to say', () => {
    expect(review([])).toEqual([]);
  });
});

describe('no redundancy, no check', () => {
  it.each([
    ['affine', 3, 'Three marks and an affine fit', 'A fourth mark, far from the others'],
    ['similarity', 2, 'Two marks and a similarity fit', 'A third mark, far from the others'],
    ['shift', 1, 'One mark and a shift fit', 'A second mark, far from the first'],
  ] as const)(
    '%s on %d marks says that a mistake cannot be known and what would give a check',
    (model, count, start, cure) => {
      const warning = only(review(job(usual, irregular.slice(0, count)), { model }), 'no-redundancy');
      expect(warning.message).toBe(
        `${start}: every residual is zero whatever went wrong, so a mistake in a reading cannot be known. ${cure}, would give a check; a repeated reading would not.`,
      );
    },
  );

  it('a slip is not guessed at either', () => {
    const swapped = altered(job(usual, irregular.slice(0, 3)), 'A', () => ({ x: 20, y: 700 }));
    expect(codes(review(swapped, { model: 'affine' }))).not.toContain('likely-slip');
  });
});

describe('the stated sd against the marks', () => {
  it('marks that disagree are told, with the sd that is used from there on', () => {
    const warning = only(review(job(), { readingSd: 0.02 }), 'marks-disagree');
    expect(warning.message).toMatch(
      /^The marks disagree \d\.\d times as much as an sd of 0\.020 mm explains \(by chance: .*\)\. From here on an sd of 0\.\d+ mm is used, known from five checks only\.$/,
    );
  });

  it('a shift fit of a turned part says that a turn would help', () => {
    expect(only(review(job(), { model: 'shift' }), 'marks-disagree').message).toContain(
      'With a turn allowed (model rigid) they agree better.',
    );
  });

  it('two marks that disagree: a third would tell which', () => {
    const two = altered(job(usual, irregular.slice(0, 2)), 'B', (p) => ({ x: p.x + 0.6, y: p.y }));
    expect(only(review(two), 'marks-disagree').message).toContain(
      'One more mark would tell which of them is wrong.',
    );
  });

  it('no stated sd: what was estimated, and from how much', () => {
    expect(only(unstated(job()), 'sd-assumed').message).toMatch(
      /^No reading-sd is stated: 0\.\d+ mm per axis was estimated from the residuals \(five degrees of freedom\)\. State reading-sd/,
    );
    expect(only(unstated(job(usual, irregular.slice(0, 2))), 'sd-assumed').message).toContain(
      '(one degree of freedom, which is hardly a measurement)',
    );
    expect(only(unstated(job(usual, irregular.slice(0, 2)), 'similarity'), 'sd-assumed').message).toBe(
      'No reading-sd is stated and the readings leave nothing to estimate it from: no uncertainty can be claimed. State reading-sd, from the machine profile or from repeated readings.',
    );
  });
});

describe('a changed size', () => {
  const grown = (by: number) => compose(usual, scaling(1 + by, 1 + by));

  it('is told in millimetres over the marks, with its sds, and what the fit does with it', () => {
    const warning = only(review(job(grown(0.0008))), 'size-changed');
    expect(warning.message).toMatch(
      /^The panel came back 0\.[45]\d mm longer over 622 mm \(\d\.\d sd\); wood does that\. The rigid fit leaves it out; the model similarity would follow it\.$/,
    );
    expect(codes(review(job(grown(0.0008))))).not.toContain('suspect-reading');
    expect(only(review(job(grown(-0.0008)), { model: 'similarity' }), 'size-changed').message).toMatch(
      /shorter over 622 mm .*The fit follows it\.$/,
    );
  });

  it('of more than any sheet changes is a mistake, even where no residual shows it', () => {
    const two = job(grown(0.05), irregular.slice(0, 2));
    expect(only(review(two, { model: 'similarity' }), 'size-changed').message).toContain(
      'no sheet does that',
    );
    const sheared = job(compose(usual, [1, 0, 0.04, 1, 0, 0]), irregular.slice(0, 3));
    expect(only(review(sheared, { model: 'affine' }), 'size-changed').message).toContain('of square by');
  });

  it('by the ratio of two units names the unit, and what would put it right', () => {
    const said = (ratio: number) => only(review(job(grown(ratio - 1))), 'size-changed').message;
    expect(said(96 / 25.4)).toContain(
      '3.780 times as large is a drawing in mm that was read in px: "units: mm" would put it right; if it is not that, a reading',
    );
    expect(said(4 / 3)).toContain('"dpi: 72" would put it right');
    expect(said(1 / 25.4)).toContain('a drawing in mm that was read in inches');
    expect(said(1.5)).not.toContain('would put it right');
  });

  it('in one direction only, or a bed out of square, is told from the affine fit', () => {
    const warning = only(review(job(compose(usual, [1.002, 0, 0, 0.998, 0, 0]))), 'size-changed');
    expect(warning.message).toContain('is not the shape it was');
    expect(warning.message).toContain('The model affine would follow it.');
  });
});

describe('a single reading', () => {
  it('that does not fit is traced to its mark, with how far it is off', () => {
    const slipped = altered(job(), 'B', (p) => ({ x: p.x + 31.34, y: p.y - 22.28 }));
    const warning = only(review(slipped), 'suspect-reading');
    expect(warning.marks).toEqual(['B']);
    expect(warning.message).toMatch(
      /^Mark B does not fit the others: it was read 38\.\d\d mm from where they put it\. Read mark B again\.$/,
    );
  });

  it('of two marks only: nothing tells which', () => {
    const two = altered(job(usual, irregular.slice(0, 2)), 'B', (p) => ({ x: p.x + 54.37, y: p.y }));
    const warning = only(review(two), 'suspect-reading');
    expect([...warning.marks!].sort()).toEqual(['A', 'B']);
    expect(warning.message).toContain('nothing tells which');
  });

  it('repeated readings that lie millimetres apart are told, and which does not belong', () => {
    const odd = altered(job(usual, irregular, 3), 'B', (p) => ({ x: p.x + 3, y: p.y }), 1);
    for (const warnings of [review(odd), unstated(odd)]) {
      const warning = only(warnings, 'suspect-reading');
      expect(warning.marks).toEqual(['B']);
      expect(warning.message).toMatch(
        /^The three readings of mark B lie up to [23]\.\d\d mm apart, more than readings of one mark do; the second does not belong to the others\./,
      );
    }
  });

  it('of two repeated readings the other marks tell which is wrong; without them nothing does', () => {
    const odd = altered(job(usual, irregular, 2), 'B', (p) => ({ x: p.x + 3, y: p.y }));
    expect(only(review(odd), 'suspect-reading').message).toContain(
      'the first is the one that does not fit the other marks',
    );
    const alone = altered(job(usual, irregular.slice(0, 1), 2), 'A', (p) => ({ x: p.x + 3, y: p.y }));
    expect(only(review(alone, { model: 'shift' }), 'suspect-reading').message).toContain(
      'nothing tells which of them is wrong',
    );
  });

  it('repeated readings a few hundredths apart are no outliers, however equal the others are', () => {
    const display = job(usual, irregular, 3).map((o) => {
      const p = o.readings[0]!;
      return { ...o, readings: [p, p, { x: p.x + 0.02, y: p.y }] };
    });
    expect(codes(unstated(display))).not.toContain('suspect-reading');
  });
});

describe('a likely slip is named with marks, kind and the readings as they were meant', () => {
  const meant = job();
  const readingOf = (mark: string) => {
    const p = meant.find((o) => o.mark === mark)!.readings[0]!;
    return [p.x, p.y] as [number, number];
  };

  it('two marks swapped', () => {
    const [b, d] = ['B', 'D'].map((m) => meant.find((o) => o.mark === m)!.readings[0]!);
    const slipped = altered(
      altered(meant, 'B', () => d!),
      'D',
      () => b!,
    );
    const warning = only(review(slipped), 'likely-slip');
    expect(warning).toMatchObject({
      kind: 'swapped',
      marks: ['B', 'D'],
      suggested: { B: readingOf('B'), D: readingOf('D') },
    });
    expect(warning.message).toMatch(
      /^Probably the readings of marks B and D are swapped\. With that put right the marks agree to 0\.\d+ mm rms instead of \d+\.\d mm\. Nothing was changed: correct the job, or read again\.$/,
    );
  });

  it('digits exchanged', () => {
    const [x, y] = readingOf('C');
    const wrong = Number(String(x).replace(/^(\d)(\d)(\d)/, '$1$3$2'));
    const warning = only(review(altered(meant, 'C', (p) => ({ ...p, x: wrong }))), 'likely-slip');
    expect(warning).toMatchObject({ kind: 'digits', marks: ['C'], suggested: { C: [x, y] } });
    expect(warning.message).toContain(`${wrong.toFixed(2)} for ${x.toFixed(2)}`);
  });

  it('a lost decimal point', () => {
    const [x, y] = readingOf('A');
    const warning = only(
      review(altered(meant, 'A', (p) => ({ ...p, y: Math.round(y * 100) }))),
      'likely-slip',
    );
    expect(warning).toMatchObject({ kind: 'decimal-point', marks: ['A'], suggested: { A: [x, y] } });
    expect(warning.message).toContain(
      `with the decimal point lost, ${Math.round(y * 100)} for ${y.toFixed(2)}`,
    );
  });

  it('x and y of one mark', () => {
    const [x, y] = readingOf('D');
    expect(only(review(altered(meant, 'D', () => ({ x: y, y: x }))), 'likely-slip')).toMatchObject({
      kind: 'axes-swapped',
      marks: ['D'],
      suggested: { D: [x, y] },
    });
  });

  it('a sign', () => {
    const [x, y] = readingOf('D');
    expect(only(review(altered(meant, 'D', () => ({ x: -x, y }))), 'likely-slip')).toMatchObject({
      kind: 'sign',
      suggested: { D: [x, y] },
    });
  });

  it('inches, under every model', () => {
    const inches = meant.map((o) => ({
      ...o,
      readings: o.readings.map((p) => ({
        x: Number((p.x / 25.4).toFixed(3)),
        y: Number((p.y / 25.4).toFixed(3)),
      })),
    }));
    for (const model of ['rigid', 'similarity', 'affine'] as const)
      expect(only(review(inches, { model }), 'likely-slip').kind).toBe('inches');
  });

  it('the part face down, under every model, and which way round the job says it lies', () => {
    const mirrored = meant.map((o) => ({ ...o, design: { x: -o.design.x, y: o.design.y } }));
    for (const model of ['rigid', 'similarity', 'affine'] as const) {
      const warning = only(review(mirrored, { model }), 'likely-slip');
      expect(warning.kind).toBe('face-down');
      expect(warning.message).toContain('Probably the part lies face down.');
      expect(warning.suggested).toBeUndefined();
    }
    const turnedBack = only(review(mirrored, {}, { stated: { ...stated, face: 'down' } }), 'likely-slip');
    expect(turnedBack.message).toContain('the part lies face up, though the job says face down');
    expect(turnedBack.message).toContain('set face: up');
  });

  it('a square read as its mirror image has no fit, but the mirror is told', () => {
    const square = [
      { x: 0, y: 0 },
      { x: 100, y: 0 },
      { x: 100, y: 100 },
      { x: 0, y: 100 },
    ];
    const observations = square.map((q, i) => ({
      mark: 'ABCD'[i]!,
      design: q,
      readings: [{ x: 200 - q.x, y: 100 + q.y }],
    }));
    const warnings = review(observations);
    expect(codes(warnings)).toEqual(['mirrored']);
    expect(warnings[0]!.message).toContain('the part lies face down');
  });

  it('half a turn of a nearly symmetric pattern, with the marks taken one for the other', () => {
    const turned = job(compose(translation(800, 650), rotation(Math.PI + 0.05)));
    const asTaken = turned.map((o, i) => ({ ...o, readings: turned[(i + 2) % 4]!.readings }));
    expect(only(review(asTaken), 'likely-slip')).toMatchObject({
      kind: 'half-turn',
      suggested: { A: [turned[0]!.readings[0]!.x, turned[0]!.readings[0]!.y] },
    });
  });

  it('in one of several readings of a mark', () => {
    const twice = job(usual, irregular, 2);
    const p = twice[1]!.readings[1]!;
    const wrong = Number(String(p.x).replace(/^(\d)(\d)(\d)/, '$1$3$2'));
    const warning = only(review(altered(twice, 'B', (q) => ({ ...q, x: wrong }), 1)), 'likely-slip');
    expect(warning).toMatchObject({ kind: 'digits', marks: ['B'], suggested: { B: [p.x, p.y] } });
    expect(warning.message).toContain('x of the second reading of mark B');
  });

  it('speaks of the display: y counted downwards, a bed map in between', () => {
    const toTrue = (p: Point): Point => ({ x: 1.0004 * p.x + 0.0003 * p.y, y: -0.9998 * p.y });
    const typed = new Map(
      meant.map((o) => {
        const p = o.readings[0]!;
        const y = -p.y / 0.9998;
        return [o.mark, [round2({ x: (p.x - 0.0003 * y) / 1.0004, y })]] as const;
      }),
    );
    const right = typed.get('C')![0]!;
    const wrong = { ...right, y: Number(String(right.y).replace(/^-(\d)(\d)(\d)/, '-$1$3$2')) };
    typed.set('C', [wrong]);
    const observations = meant.map((o) => ({ ...o, readings: typed.get(o.mark)!.map(toTrue) }));
    expect(only(review(observations, {}, { typed, toTrue }), 'likely-slip')).toMatchObject({
      kind: 'digits',
      marks: ['C'],
      suggested: { C: [right.x, right.y] },
    });
  });

  it('is not surer than it is: diagonal marks of a rectangle swapped, the part lying across', () => {
    const rectangle = [
      { x: 25, y: 25 },
      { x: 575, y: 25 },
      { x: 575, y: 375 },
      { x: 25, y: 375 },
    ];
    // Turned by a quarter, A for C and B for D explain alike: half a turn apart, and both as likely.
    const across = job(compose(translation(700, 100), rotation(Math.PI / 2)), rectangle);
    const [a, c] = [across[0]!.readings[0]!, across[2]!.readings[0]!];
    const slipped = altered(
      altered(across, 'A', () => c),
      'C',
      () => a,
    );
    const warning = only(review(slipped), 'suspect-reading');
    expect([...warning.marks!].sort()).toEqual(['A', 'B', 'C', 'D']);
    expect(warning.message).toContain('the readings of marks A and C are swapped');
    expect(warning.message).toContain('the readings of marks B and D are swapped');
  });

  it('an arbitrary mistake is not dressed up as a slip of the finger', () => {
    // 31.34 mm: no digit of the reading changed alone gives that.
    expect(codes(review(altered(meant, 'B', (p) => ({ x: p.x + 31.34, y: p.y }))))).toContain(
      'suspect-reading',
    );
  });

  it('typed readings that do not belong to the observations are a mistake of the programmer', () => {
    expect(() => review(meant, {}, { typed: new Map() })).toThrow('mark A has 1 readings but 0 as typed');
  });
});
