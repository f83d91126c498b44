/** Whether figures that fit prove anything; the words that the verdict, the cut file and the page take from there. */

import { describe, expect, it } from 'vitest';
import type { Finding } from '../../src/cut/findings/finding.js';
import type { Fit } from '../../src/fit/fit.js';
import type { Job } from '../../src/job/job.js';
import type { Warning } from '../../src/job/messages.js';
import { readJob } from '../../src/job/read/read-job.js';
import type { Check } from '../../src/verdict/check-result.js';
import { extrapolationWarnings } from '../../src/verdict/extrapolation.js';
import type { Objection } from '../../src/verdict/objection.js';
import { grossContradiction, objectionsTo, whyUnproven, withObjections } from '../../src/verdict/proof.js';
import { spoiledBy } from '../../src/verdict/spoiled.js';

const mark = (name: string, x = 0, y = 0, readings = 1) => ({ mark: name, residual: { x, y }, readings });
const fit = (parts: object = {}): Fit =>
  ({ marks: [mark('A'), mark('B')], redundancy: 1, ...parts }) as unknown as Fit;
const kinds = (objections: readonly Objection[]): string[] => objections.map(({ kind }) => kind);

const readAgain = (name: string): Warning => ({
  code: 'suspect-reading',
  message: `${name} lies off.`,
  marks: [name],
  remedies: [{ kind: 'read-again', step: `read again at ${name}`, marks: [name] }],
});
const assumption: Objection = { kind: 'assumption', reason: 'Nobody stated kerf-sd.' };
const spoiled: Objection = { kind: 'spoiled', reason: 'The piece splits.', openings: ['leaf'] };

describe('what objects to figures that fit', () => {
  it('nothing: readings that check each other, agree, and leave no doubt', () => {
    expect(objectionsTo(fit(), [])).toEqual([]);
    expect(
      objectionsTo(fit({ consistency: { consistent: true } }), [{ code: 'kerf-wide', message: '' } as never]),
    ).toEqual([]);
  });

  it('readings that no other reading checks, with what to read', () => {
    const [one, ...more] = objectionsTo(fit({ redundancy: 0 }), []);
    expect(more).toEqual([]);
    expect(one).toMatchObject({
      kind: 'unchecked',
      reason: 'Nothing checks the readings: a mistake of any size at marks A and B would not show.',
      advice: [{ kind: 'further-reading', message: 'Read one more mark: it checks the others.' }],
    });
    const [touched] = objectionsTo(fit({ redundancy: 0, touches: [] }), []);
    expect(touched!.reason).toContain('at any place would not show');
    expect(touched!.advice![0]!.message).toBe('Read one more mark or touch: it checks the others.');
    expect(objectionsTo(fit({ redundancy: 0, unplaced: true }), [])).toEqual([]);
  });

  it('readings that disagree more than their sd allows, unless a reading in doubt explains it', () => {
    const torn = fit({ consistency: { consistent: false } });
    expect(kinds(objectionsTo(torn, []))).toEqual(['contradiction']);
    expect(kinds(objectionsTo(torn, [readAgain('A')]))).toEqual(['doubt']);
  });

  it('a reading in doubt, first of all, with what settles it as a sentence', () => {
    const [doubt, ...more] = objectionsTo(fit({ redundancy: 0 }), [readAgain('A')], [assumption, spoiled]);
    expect(doubt).toMatchObject({
      kind: 'doubt',
      reason: 'A reading is in doubt, at A.',
      advice: [{ kind: 'read-again', message: 'Read again at A.', marks: ['A'] }],
    });
    expect(kinds(more)).toEqual(['spoiled', 'unchecked', 'assumption']);
    const [both] = objectionsTo(fit(), [readAgain('A'), readAgain('B')]);
    expect(both!.reason).toBe('Readings are in doubt, at A and B.');
    expect(both!.advice).toEqual([
      { kind: 'read-again', message: 'Read again at A and B.', marks: ['A', 'B'] },
    ]);
  });

  it('a contradiction with the job, and what lies beside it, in words of their own', () => {
    const warned = (code: string, kind: string, marks?: readonly string[]): string =>
      objectionsTo(fit(), [
        { code, message: 'Told so.', ...(marks ? { marks } : {}), remedies: [{ kind, step: 'x' }] } as never,
      ])[0]!.reason;
    expect(warned('likely-slip', 'change-job', ['A'])).toBe('The readings contradict what the job says.');
    expect(warned('likely-slip', 'read-again')).toBe('The readings contradict what the job says.');
    for (const code of ['mark-misplaced', 'open-path-left-out'])
      expect(warned(code, 'change-job')).toBe('Told so.');
    expect(warned('off-bed', 'move-part')).toBe('Told so.');
  });

  it('what nobody says and no reading tells, unless a doubt comes before it', () => {
    const unsaid: Warning = {
      code: 'axes-unsaid',
      message: '',
      unsaid: {
        reason: 'Nothing says which way y counts.',
        remedies: [{ kind: 'change-job', step: 'write axes: y-up' }],
      },
    } as never;
    const [one] = objectionsTo(fit(), [unsaid]);
    expect(one).toMatchObject({ kind: 'unsaid', reason: 'Nothing says which way y counts.' });
    expect(one!.advice!.map(({ kind }) => kind)).toEqual(['change-job', 'further-reading']);
    expect(one!.advice![0]!.message).toBe('Write axes: y-up.');
    expect(kinds(objectionsTo(fit(), [unsaid, readAgain('A')]))).toEqual(['doubt']);
  });

  it('a cut that spoils the piece goes before what is unchecked and assumed', () => {
    expect(kinds(objectionsTo(fit({ redundancy: 0 }), [], [assumption, spoiled]))).toEqual([
      'spoiled',
      'unchecked',
      'assumption',
    ]);
  });
});

describe('a verdict that something objects to', () => {
  const opening = (id: string, verdict: string) => ({ id, verdict });
  const check = (verdict: string, parts: object = {}): Check =>
    ({
      verdict,
      risk: 0.001,
      explanation: 'The cut touches an existing edge somewhere in 1 of 1,000 jobs.',
      openings: [opening('moon', 'fits'), opening('leaf', 'fits'), opening('slot', 'too-close')],
      advice: [{ kind: 'own', message: 'Own advice.' }],
      ...parts,
    }) as unknown as Check;
  const verdicts = ({ openings }: Check): string[] => openings.map(({ verdict }) => verdict);

  it('is as it was where nothing objects', () => {
    const before = check('fits');
    expect(withObjections(before, [])).toBe(before);
  });

  it('is never fits, and keeps what the figures say', () => {
    const after = withObjections(check('fits'), [assumption]);
    expect(after.verdict).toBe('too-close');
    expect(verdicts(after)).toEqual(['too-close', 'too-close', 'too-close']);
    expect(after.explanation).toBe('Nobody stated kerf-sd. Otherwise the cut touches in 1 of 1,000 jobs.');
    expect(after.byFigures).toEqual({ verdict: 'fits', explanation: check('fits').explanation });
    expect(after.objections).toEqual([assumption]);
    for (const verdict of ['too-close', 'does-not-fit'])
      expect(withObjections(check(verdict), [assumption]).verdict).toBe(verdict);
    expect(
      withObjections(check('fits', { proviso: 'By assumption:', explanation: 'By assumption: The rest.' }), [
        assumption,
      ]).explanation,
    ).toBe('Nobody stated kerf-sd. Otherwise the rest.');
  });

  it('is does-not-fit where the cut spoils the piece, for the openings that do; the others may fit', () => {
    const after = withObjections(check('fits'), [spoiled]);
    expect(after.verdict).toBe('does-not-fit');
    expect(verdicts(after)).toEqual(['fits', 'does-not-fit', 'too-close']);
    expect(verdicts(withObjections(check('fits'), [spoiled, assumption]))).toEqual([
      'too-close',
      'does-not-fit',
      'too-close',
    ]);
    expect(after.explanation).toBe(
      'The piece splits. Apart from that it would fit: the cut touches an existing edge somewhere in 1 of 1,000 jobs.',
    );
    expect(withObjections(check('too-close'), [spoiled]).explanation).toMatch(
      /^The piece splits\. By the figures: the/,
    );
  });

  it('has the advice on the objection first; of a doubt that alone', () => {
    const advised = (kind: Objection['kind'], parts: object = {}): string[] =>
      withObjections(check('fits', parts), [
        { kind, reason: '', advice: [{ kind: 'read-again', message: 'Settle it.' }] },
      ]).advice.map(({ message }) => message);
    expect(advised('doubt')).toEqual(['Settle it.']);
    expect(advised('unchecked')).toEqual(['Settle it.', 'Own advice.']);
    // A missing sd has to be stated in any case.
    expect(advised('unchecked', { risk: undefined })).toEqual(['Own advice.', 'Settle it.']);
  });

  it('says in the cut file why it is not proven', () => {
    const job = readJob(
      {
        path: 'j',
        text: 'drawing: a\nmarks: {A: [0, 0]}\nreadings: {A: [0, 0]}\ncut: {clearance: 0.5, kerf: 0.1}\n',
      },
      { read: () => undefined },
    );
    const drawn = { ...job, cut: { kind: 'as-drawn' } } as unknown as Job;
    expect(whyUnproven(job, undefined)).toMatch(/as large as this is not checked along with the cut/);
    expect(whyUnproven(drawn, undefined)).toMatch(/does not say how far the cut may lie off/);
    expect(whyUnproven({ ...drawn, check: { ...job.check, allowedDeviation: 0.2 } }, undefined)).toMatch(
      /as large/,
    );
    expect(whyUnproven(job, check('fits'))).toBeUndefined();
    expect(whyUnproven(job, check('does-not-fit'))).toBe(`It does not fit. ${check('fits').explanation}`);
    expect(whyUnproven(job, withObjections(check('fits'), [assumption]))).toBe(
      'Too close to call it safe. Nobody stated kerf-sd.',
    );
    const doubted = withObjections(check('fits'), objectionsTo(fit(), [readAgain('A')]));
    expect(whyUnproven(job, doubted)).toBe(
      'Too close to call it safe. A reading is in doubt, at A. Read again at A.',
    );
  });
});

describe('readings that contradict each other so much that nothing is cut', () => {
  const job = (text: string): Job =>
    readJob(
      { path: 'j', text: `drawing: a\nmarks: {A: [0, 0]}\nreadings: {A: [0.013, 0.027]}\n${text}` },
      { read: () => undefined },
    );
  const stated = job('fit: {reading-sd: 0.03, mark-sd: 0.04}\ncut: {clearance: 0.6, kerf: 0.1}\n');
  const off = (x: number, y: number, of: Job = stated, readings = 1): string | undefined =>
    grossContradiction(fit({ marks: [mark('A', 0.01, 0, readings), mark('B', x, y, readings)] }), of);

  it('lie ten sds off, of the mean of their repeats and of the mark itself', () => {
    // sqrt(0.03^2 + 0.04^2) = 0.05
    expect(off(0.3, 0.39)).toBeUndefined();
    expect(off(0.3, 0.41)).toMatch(
      /^readings that contradict each other: mark B lies 0\.51 mm off .* 10 times the sd of 0\.050 mm$/,
    );
    // Nine repeats: sqrt(0.01^2 + 0.04^2) = 0.0412
    expect(off(0.3, 0.29, stated, 9)).toMatch(/times the sd of 0\.041 mm/);
    expect(off(0.3, 0.27, stated, 9)).toBeUndefined();
  });

  it('lie further off than the clearance, or the deviation that is allowed, where no sd is stated', () => {
    const clear = job('cut: {clearance: 0.6, kerf: 0.1}\n');
    expect(off(0.59, 0, clear)).toBeUndefined();
    expect(off(0, -0.61, clear)).toMatch(
      /mark B lies 0\.61 mm off the fit, more than the clearance of 0\.60 mm/,
    );
    const drawn = job('cut: {kind: as-drawn}\ncheck: {allowed-deviation: 0.2}\n');
    expect(off(0.21, 0, drawn)).toMatch(/more than the allowed deviation of 0\.20 mm/);
    expect(off(0.19, 0, drawn)).toBeUndefined();
    expect(off(5, 0, job('cut: {kind: as-drawn}\n'))).toBeUndefined();
  });

  it('the worst of marks and touches is named, whichever sign it has', () => {
    const touches = [{ touch: 'touch 2 on outline', residual: -0.7, readings: 1 }];
    expect(grossContradiction(fit({ marks: [mark('A', 0.65)], touches }), stated)).toMatch(
      /: touch 2 on outline lies 0\.70/,
    );
    expect(grossContradiction(fit({ marks: [mark('A', 0.75)], touches }), stated)).toMatch(
      /: mark A lies 0\.75/,
    );
    expect(grossContradiction(fit({ marks: [] }), stated)).toBeUndefined();
  });
});

describe('a cut that spoils the piece', () => {
  const finding = (code: Finding['code'], openings: readonly string[], what?: Finding['what']): Finding => ({
    code,
    openings,
    at: { x: 0, y: 0 },
    ...(what === undefined ? {} : { what }),
  });

  it('objects once for each kind of finding, with its openings once and what to do', () => {
    const found = [
      finding('piece-splits', ['leaf', 'moon']),
      finding('breaks-edge', ['slot']),
      finding('piece-splits', ['moon', 'star']),
      finding('outside-outline', ['far']),
    ];
    const objections = spoiledBy(found, 'opening');
    expect(objections.map(({ openings }) => openings)).toEqual([['slot'], ['leaf', 'moon', 'star']]);
    expect(objections.map(({ advice }) => advice![0]!.message)).toEqual([
      'Make the clearance smaller, or move slot away from the edge in the drawing.',
      'Make the clearance smaller, or make the neck of leaf, moon, star wider in the drawing.',
    ]);
    const many = spoiledBy([finding('breaks-edge', ['a', 'b', 'c', 'd'])], 'opening');
    expect(many[0]!.advice![0]!.message).toContain('move these openings away');
  });

  it('is one for pieces that are cut out, where it may be none for openings', () => {
    const merged = [finding('openings-merged', ['a', 'b'])];
    expect(spoiledBy(merged, 'opening')).toEqual([]);
    expect(spoiledBy(merged, 'inlay')[0]!.advice![0]!.message).toMatch(/^Move a, b apart in the drawing/);
    const gone = (what: Finding['what']) => [finding('opening-vanished', ['a'], what)];
    expect(spoiledBy(gone('opening'), 'opening')).toEqual([]);
    expect(spoiledBy(gone('opening'), 'inlay')[0]!.advice![0]!.message).toMatch(
      /leave a out of the openings/,
    );
    expect(spoiledBy(gone('island'), 'opening')[0]!.advice![0]!.message).toMatch(/material within a wider/);
    expect(spoiledBy(gone('island'), 'inlay')).toEqual([]);
    expect(spoiledBy([finding('falls-loose', ['a'])], 'opening')[0]!.advice![0]!.message).toMatch(
      /more material beside a/,
    );
  });
});

describe('openings far outside the marks', () => {
  const of = (...factors: readonly number[]) =>
    extrapolationWarnings(factors.map((factor, i) => ({ opening: `o${i}`, factor })));

  it('are told from twice the error at the marks on, the worst by name', () => {
    expect(of()).toEqual([]);
    expect(of(1, 1.99)).toEqual([]);
    expect(of(1, 2)[0]!.message).toMatch(
      /^The opening o1 lies so far outside the marks that the error there is 2\.0 times that at the marks\. A mark/,
    );
    expect(of(2.5, 1, 4.26, 3)[0]!.message).toMatch(
      /opening o2 .* 4\.3 times that at the marks \(and 2 more beyond 2 times\)/,
    );
  });
});
