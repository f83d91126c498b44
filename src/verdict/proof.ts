/**
 * What a proven job is, in one place: the error fits its clearance by the figures, and nothing objects. Whatever asks
 * (verdict, exit status, note in a cut file, page) asks here.
 */

import { type Doubt, doubtIn } from '../fit/doubts/doubted.js';
import type { Fit } from '../fit/fit.js';
import { displayStepOf } from '../fit/options.js';
import { varianceOfMean } from '../fit/solve/display-step.js';
import { listed, marksNamed, mm } from '../fit/words.js';
import type { Job } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { Advice } from './advice/advice.js';
import type { Check } from './check-result.js';
import { hasBound } from './edges/line-edges.js';
import type { Objection } from './objection.js';

/**
 * @param warnings of the job, its fit and its cut
 * @param further objections that other steps found, such as assumptions that turn the verdict
 * @returns the weightiest first; empty: a verdict of `fits` is proven
 */
export const objectionsTo = (
  fit: Fit,
  warnings: readonly Warning[],
  further: readonly Objection[] = [],
): Objection[] => {
  const doubt = doubtIn(warnings);
  const objections: Objection[] = further.filter(({ kind }) => kind === 'spoiled');
  if (doubt !== undefined) {
    objections.unshift({ kind: 'doubt', reason: doubtReason(doubt), advice: doubt.remedies.map(asAdvice) });
  } else if (fit.consistency?.consistent === false) {
    objections.push({
      kind: 'contradiction',
      reason: 'The readings disagree more than their stated sd allows.',
    });
  }
  if (fit.redundancy === 0 && fit.unplaced !== true) objections.push(unchecked(fit));
  const unsaid = warnings.find((warning) => warning.unsaid !== undefined)?.unsaid;
  if (unsaid !== undefined && doubt === undefined)
    objections.push({
      kind: 'unsaid',
      reason: unsaid.reason,
      advice: [...unsaid.remedies.map(asAdvice), readWitness],
    });
  return [...objections, ...further.filter(({ kind }) => kind !== 'spoiled')];
};

const readWitness: Advice = {
  kind: 'further-reading',
  message:
    'Drive the pointer to a witness point and type what the display shows there under "witness:": it tells the one from the other.',
};

const doubtReason = (doubt: Doubt): string => {
  const { marks, remedies } = doubt;
  if (
    remedies[0]!.kind === 'move-part' ||
    ['mark-misplaced', 'open-path-left-out'].includes(doubt.warnings[0]!.code)
  )
    return doubt.warnings[0]!.message;
  if (remedies[0]!.kind === 'read-again' && marks.length > 0)
    return `${marks.length === 1 ? 'A reading is' : 'Readings are'} in doubt, at ${listed(marks)}.`;
  return 'The readings contradict what the job says.';
};

const asAdvice = ({ kind, step, set, marks }: Doubt['remedies'][number]): Advice => ({
  kind,
  message: `${step.replace(/^./, (c) => c.toUpperCase())}.`,
  ...(set === undefined ? {} : { set }),
  ...(marks === undefined ? {} : { marks }),
});

const unchecked = ({ marks, touches }: Fit): Objection => {
  const names = marks.map(({ mark }) => mark);
  const at = touches === undefined ? marksNamed(names) : 'any place';
  return {
    kind: 'unchecked',
    reason: `Nothing checks the readings: a mistake of any size at ${at} would not show.`,
    advice: [
      {
        kind: 'further-reading',
        message: `Read one more ${touches === undefined ? 'mark' : 'mark or touch'}: it checks the others.`,
      },
    ],
  };
};

/** The check with what objects to it: never `fits`, its reason first, and what settles the objection before all advice. */
export const withObjections = (check: Check, objections: readonly Objection[]): Check => {
  const [first] = objections;
  if (first === undefined) return check;
  const { verdict, explanation, openings } = check;
  const own = objections.flatMap(({ advice = [] }) => advice);
  const isDoubted = first.kind === 'doubt';
  const spoiled = objections.filter(({ kind }) => kind === 'spoiled');
  const culprits = new Set(spoiled.flatMap(({ openings: names = [] }) => names));
  const isProven = spoiled.length === objections.length;
  return {
    ...check,
    verdict: spoiled.length > 0 ? 'does-not-fit' : verdict === 'fits' ? 'too-close' : verdict,
    openings: openings.map((o): typeof o => {
      if (culprits.has(o.id)) return { ...o, verdict: 'does-not-fit' };
      return o.verdict === 'fits' && !isProven ? { ...o, verdict: 'too-close' } : o;
    }),
    explanation: [
      ...objections.map(({ reason }) => reason),
      objections.every(({ kind }) => kind === 'assumption')
        ? `Otherwise ${lowerFirst(briefly(check))}`
        : `${verdict === 'fits' ? 'Apart from that it would fit' : 'By the figures'}: ${lowerFirst(explanation)}`,
    ].join(' '),
    byFigures: { verdict, explanation },
    objections,
    // What else would help rests on what is doubted. A missing sd has to be stated in any case.
    advice: isDoubted
      ? own
      : check.risk === undefined
        ? [...check.advice, ...own]
        : [...own, ...check.advice],
  };
};

/** What the figures say, so short that it stands in three lines with the assumption that turns it. */
const briefly = ({ explanation, proviso }: Check): string =>
  (proviso === undefined ? explanation : explanation.slice(proviso.length + 1)).replace(
    ' an existing edge somewhere',
    '',
  );

/**
 * Why a cut is not proven, in sentences that stand for themselves in the file that is written.
 *
 * @param check of the job; absent where nothing is stated that the error could fit into, and for drawings so large
 *   that it is not worked out along with the cut
 * @returns undefined for a proven cut
 */
export const whyUnproven = (job: Job, check: Check | undefined): string | undefined => {
  if (check === undefined)
    return hasBound(job)
      ? 'A drawing as large as this is not checked along with the cut: "reseat check" tells whether the error fits.'
      : 'The job does not say how far the cut may lie off the drawn line.';
  if (check.verdict === 'fits') return undefined;
  const steps = check.objections?.[0]?.kind === 'doubt' ? [check.advice[0]!.message] : [];
  const said = check.verdict === 'does-not-fit' ? 'It does not fit.' : 'Too close to call it safe.';
  return [
    said,
    ...(check.objections ?? []).map(({ reason }) => reason),
    ...steps,
    check.byFigures === undefined ? check.explanation : '',
  ]
    .filter((sentence) => sentence !== '')
    .join(' ');
};

const lowerFirst = (text: string): string => text.slice(0, 1).toLowerCase() + text.slice(1);

/** Residuals this many times the sd of their reading are no noise of any kind. Common practice, no source. */
const grossly = 10;

/**
 * Whether the readings contradict each other so much that no cut should leave the program: a residual beyond ten times
 * the stated sd, or beyond the clearance.
 *
 * @returns what was found, as a clause; undefined where they do not
 */
export const grossContradiction = (
  fit: Fit,
  job: Pick<Job, 'fit' | 'cut' | 'check' | 'readings' | 'touches' | 'witness'>,
): string | undefined => {
  const { cut, check } = job;
  const { readingSd, markSd } = job.fit;
  const clearance = cut.kind === 'as-drawn' ? (check.allowedDeviation ?? 0) : cut.clearance;
  const residuals = [
    ...fit.marks.map((m) => ({ at: `mark ${m.mark}`, n: m.readings, ...sizeOf(m.residual) })),
    ...(fit.touches ?? []).map((t) => ({ at: t.touch, n: t.readings, size: Math.abs(t.residual) })),
  ];
  if (residuals.length === 0) return undefined;
  const { at, size, n } = residuals.reduce((a, b) => (b.size > a.size ? b : a));
  const step = displayStepOf(job)?.step ?? 0;
  const sd =
    readingSd === undefined ? undefined : Math.sqrt(markSd ** 2 + varianceOfMean(readingSd, step, n).whole);
  if (sd !== undefined && size > grossly * sd)
    return `readings that contradict each other: ${at} lies ${mm(size)} off the fit, ${(size / sd).toFixed(0)} times the sd of ${mm(sd)}`;
  if (clearance > 0 && size > clearance)
    return `readings that contradict each other: ${at} lies ${mm(size)} off the fit, more than the ${cut.kind === 'as-drawn' ? 'allowed deviation' : 'clearance'} of ${mm(clearance)}`;
  return undefined;
};

const sizeOf = ({ x, y }: { readonly x: number; readonly y: number }) => ({ size: Math.hypot(x, y) });
