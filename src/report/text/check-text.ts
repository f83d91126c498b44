/** The verdict for a person at a terminal: 80 x 24 where there are no warnings. */

import type { Doubt } from '../../fit/doubts/doubted.js';
import type { Fit } from '../../fit/fit.js';
import { inWords } from '../../fit/words.js';
import type { Job } from '../../job/job.js';
import type { WarningCode } from '../../job/messages.js';
import { trueToPointer } from '../../marks/frames.js';
import { type AssumptionCode, inUnit } from '../../verdict/advice/assumptions.js';
import { type NextStep, nextStep } from '../../verdict/advice/next-step.js';
import type { UnseenCause } from '../../verdict/advice/unseen.js';
import type { Check, OpeningCheck } from '../../verdict/check-result.js';
import type { Verdict } from '../../verdict/decide.js';
import { verdictOrder } from '../../verdict/explain.js';
import type { CheckReport } from '../json/check-json.js';
import { doubtLines, doubtWord, rimLines, titleLines } from './fit-text.js';
import { type Column, fixed, listed, printable, shellWord, table, wrapped } from './layout.js';
import { bulletLines, warningLines } from './warnings-text.js';

const mostOpenings = 3;

export const verdictWords: Readonly<Record<Verdict, string>> = {
  fits: 'It fits',
  'too-close': 'Too close to call it safe',
  'does-not-fit': 'It does not fit',
};

export const checkText = (job: Job, { check, fit, warnings }: CheckReport): string => {
  const step = nextStep(check, warnings);
  const doubt = step.kind === 'settle' ? step.doubt : undefined;
  return printable([
    ...titleLines(job),
    ...verdictLines(check, doubt),
    ...sizeLines(job, check, fit, doubt !== undefined),
    ...rimLines(fit),
    // Where a reading or the whole placement is probably wrong, one opening is as wrong as the
    // other.
    ...(doubt?.marks.length || doubt?.warnings.some(({ code }) => misplacing.has(code))
      ? []
      : [
          ...hiddenMistake(job, check),
          ...openingLines(job, check),
          ...witnessLines(job, step),
          ...assumptionLines(check),
        ]),
    ...warningLines(warnings.filter((warning) => !doubt?.warnings.includes(warning))),
    '',
    ...nextLines(job, step),
    '',
  ]);
};

/** Doubts of where the whole part lies, whichever mark one looks at. */
const misplacing: ReadonlySet<WarningCode> = new Set(['mirrored', 'likely-slip']);

/** A doubted reading goes before the verdict, which rests on it. */
const verdictLines = (check: Check, doubt: Doubt | undefined): string[] => {
  const word = verdictWords[check.verdict];
  const { explanation, byFigures } = check;
  if (doubt === undefined) return wrapped(`${word}: ${lowerFirst(explanation)}`);
  return [
    ...wrapped(`${doubtWord(doubt)}${restsOn(doubt)}:`),
    ...bulletLines(doubt.warnings.filter(({ code }, i) => i === 0 || code !== 'marks-disagree')),
    ...wrapped(
      `With what is typed now: ${byFigures?.verdict === 'fits' ? 'it would fit' : lowerFirst(word)}; ${lowerFirst((byFigures ?? check).explanation)}`,
    ),
  ];
};

const restsOn = ({ marks, remedies, warnings }: Doubt): string => {
  const { kind } = remedies[0]!;
  if (kind === 'move-part' || warnings[0]!.code === 'open-path-left-out') return '';
  const isOfMarks = kind === 'read-again' || warnings[0]!.code === 'mark-misplaced';
  const what = !isOfMarks ? 'both' : kind === 'read-again' && marks.length === 1 ? 'it' : 'them';
  return `, and the verdict rests on ${what}`;
};

export const lowerFirst = (text: string): string => text.slice(0, 1).toLowerCase() + text.slice(1);

const sizeLines = (job: Job, check: Check, fit: Fit, isDoubted: boolean): string[] => {
  const { clearance, neededClearance, acceptedRisk, cutLoss } = check;
  const asDrawn = job.cut.kind === 'as-drawn';
  const there = `${asDrawn ? 'Allowed deviation' : 'Clearance'} ${fixed(clearance, 2)} mm`;
  if (neededClearance === undefined) return wrapped(`${there}; how much is needed cannot be told.`);
  const share = `at most ${Number((100 * acceptedRisk).toPrecision(3))} of 100`;
  const so = asDrawn ? `${share} exceed it` : `${share} such jobs touch`;
  const assumed = asDrawn ? '' : assumedLengths(job);
  const known =
    check.neededWithKnownSd === undefined || isDoubted
      ? ''
      : ` With a known sd ${fixed(check.neededWithKnownSd, 2)} mm would do: the readings tell it with a redundancy of only ${inWords(Math.round(fit.sd.usedDof!))}.`;
  const loss =
    cutLoss === undefined ? '' : ` Lost motion in the cut takes up to ${fixed(cutLoss, 2)} mm of it.`;
  const edges =
    job.check.edgeSd === undefined
      ? ''
      : ` The edges of the drawing count as known with an sd of ${fixed(job.check.edgeSd, 4)} mm.`;
  return wrapped(
    `${there}; needed ${fixed(neededClearance, 2)} mm, so that ${so}.${known}${loss}${edges}${assumed}`,
  );
};

/** Lengths that the cut is made with though nobody stated them. */
const assumedLengths = ({ positions, cut, machine }: Job): string => {
  const isStated = (key: string): boolean => positions === undefined || positions.has(key);
  const lengths = [
    ...(isStated('cut.clearance') ? [] : [`the clearance of ${cut.clearance} mm`]),
    ...(isStated('cut.kerf') || machine.kerf !== undefined ? [] : [`a kerf of ${cut.kerf}`]),
  ];
  if (lengths.length === 0) return '';
  return ` Not stated: ${lengths.join(' and ')}; write ${lengths.length > 1 ? 'them' : 'it'} under "cut:".`;
};

/** A probability as people read it; small ones are not told more exactly than they are known. */
const percent = (p: number | undefined): string => {
  if (p === undefined) return '-';
  const value = 100 * p;
  if (value < 0.01) return '< 0.01 %';
  if (value > 99.95) return '> 99.9 %';
  return `${value < 0.1 ? value.toFixed(2) : value < 9.95 ? value.toFixed(1) : value.toFixed(0)} %`;
};

const openingColumns = (asDrawn: boolean): readonly Column[] => [
  { title: asDrawn ? 'line' : 'opening', align: 'left', room: 22 },
  { title: 'verdict', align: 'left' },
  { title: 'risk', align: 'right' },
  { title: 'needs mm', align: 'right' },
  { title: 'worst at x', align: 'right' },
  { title: 'y', align: 'right' },
];

const openingLines = (job: Job, check: Check): string[] => {
  // Nothing can be said of any of them: the verdict's sentence has told why.
  const isUntold = (o: OpeningCheck): boolean => o.risk === undefined && o.neededClearance === undefined;
  if (check.verdict === 'too-close' && check.openings.every(isUntold)) return [];
  const onDisplay = trueToPointer(job.machine);
  const asDrawn = job.cut.kind === 'as-drawn';
  const size = (o: OpeningCheck) => o.neededClearance ?? check.clearance - o.margin;
  // What makes the verdict goes first: tips and necks, and openings that the cut spoils, may need
  // less than others.
  const rank = ({ verdict }: OpeningCheck): number => verdictOrder.indexOf(verdict);
  const sorted = [...check.openings].sort((a, b) => rank(b) - rank(a) || size(b) - size(a));
  const rows = sorted.slice(0, mostOpenings).map((o) => {
    const at = o.worstPoint === undefined ? undefined : onDisplay(o.worstPoint);
    return [o.id, o.verdict, percent(o.risk), fixed(o.neededClearance, 2), fixed(at?.x, 2), fixed(at?.y, 2)];
  });
  const rest = check.openings.length - rows.length;
  return [
    '',
    rest > 0
      ? `${asDrawn ? 'Lines' : 'Openings'} that need most (${rest} more need less):`
      : asDrawn
        ? 'Lines:'
        : 'Openings:',
    ...table(openingColumns(asDrawn), rows),
  ];
};

const assumptionColumns: readonly Column[] = [
  { title: 'not stated', align: 'left', room: 22 },
  { title: 'taken as', align: 'right' },
  { title: 'turns at', align: 'right' },
  { title: 'usual', align: 'right' },
  { title: 'state it as', align: 'left' },
];

/** Beyond so many times what is usual hardly anybody needs to know. */
const worthALine = 3;

const keys: Readonly<Record<AssumptionCode, string>> = {
  'mark-sd': 'fit: mark-sd',
  'reading-sd': 'fit: reading-sd',
  bow: 'check: bow, or read the middle',
  'size-change': 'check: size-change',
  'lost-motion': 'machine: reversal',
  'cut-sd': 'check: cut-sd',
  'kerf-sd': 'check: kerf-sd',
  'pointing-bias': 'fit: pointing-bias',
};

/**
 * Those that the readings do not control, and that turn the verdict within reach; the others are
 * counted.
 */
const assumptionLines = ({ assumptions = [] }: Check): string[] => {
  const turning = assumptions.flatMap(({ turnsAt, ...one }) =>
    turnsAt === undefined || one.controlled || turnsAt > worthALine * Math.max(one.usual, one.supposed)
      ? []
      : [{ ...one, turnsAt }],
  );
  if (turning.length === 0) return [];
  const rows = turning.map((one) => [
    one.code,
    one.supposed === 0 ? '0' : inUnit(one.supposed, one),
    inUnit(one.turnsAt, one),
    inUnit(one.usual, one),
    keys[one.code],
  ]);
  const others = assumptions.length - turning.length;
  const more = others === 0 ? '' : ` (${others} more: farther off, or shown by the readings)`;
  return ['', `What the verdict rests on${more}:`, ...table(assumptionColumns, rows)];
};

const witnessColumns: readonly Column[] = [
  { title: 'point of', align: 'left', room: 22 },
  { title: 'where', align: 'left' },
  { title: 'drawn at', align: 'left' },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'may miss by', align: 'right' },
];

/** A job with other things to do first shows none; `--json` gives the points all the same. */
const witnessLines = (job: Job, { witness }: NextStep): string[] => {
  if (witness.length === 0) return [];
  const onDisplay = trueToPointer(job.machine);
  const rows = witness.map((w) => {
    const at = onDisplay(w.at);
    const where = w.kind === 'hole' ? 'its centre' : w.kind;
    const miss = w.allowedMiss === undefined ? '-' : `${fixed(w.allowedMiss, 2)} mm`;
    const drawn = `[${fixed(w.design.x, 2)}, ${fixed(w.design.y, 2)}]`;
    return [w.opening, where, drawn, fixed(at.x, 2), fixed(at.y, 2), miss];
  });
  const there = job.cut.kind === 'as-drawn' ? job.check.allowedDeviation : job.cut.clearance;
  // Within such a miss the fit holds, and the clearance may be touched all the same.
  const isWide = witness.some(({ allowedMiss = 0 }) => there !== undefined && allowedMiss > there);
  const only = isWide ? '; they try only the fit' : '';
  const first = witness[0]?.shows === undefined ? '' : `; ${shown[witness[0].shows]}`;
  return [
    '',
    ...wrapped(`Witness points: where the pointer must stand, beam off${only}${first}:`),
    ...table(witnessColumns, rows),
  ];
};

/** What the marks do not see and the first witness point does. */
const shown: Readonly<Record<UnseenCause, string>> = {
  bow: 'the first shows a bow',
  'size-change': 'the first shows a change of size',
};

/** The mark at which a mistake could hide that costs most. */
const hiddenMistake = (job: Job, { reliability, proviso, objections = [] }: Check): string[] => {
  // The verdict's own sentence has said it.
  if (proviso !== undefined || objections.some(({ kind }) => kind === 'unchecked')) return [];
  const unchecked = reliability.filter((r) => r.smallestDetectable === undefined).map((r) => r.mark);
  if (unchecked.length > 0) {
    const all = unchecked.length === reliability.length;
    const which = !all ? listed(unchecked) : reliability.some((r) => r.touch) ? 'any place' : 'any mark';
    return wrapped(`Nothing checks the reading at ${which}: a mistake there would not show.`);
  }
  const [worst] = [...reliability].sort((a, b) => (b.approach ?? 0) - (a.approach ?? 0));
  if (worst?.approach === undefined || worst.smallestDetectable === undefined) return [];
  const asDrawn = job.cut.kind === 'as-drawn';
  const there = asDrawn ? job.check.allowedDeviation : job.cut.clearance;
  const most = there !== undefined && worst.approach > there ? `, which is only ${there} mm` : '';
  return wrapped(
    `An unseen mistake of ${fixed(worst.smallestDetectable, 2)} mm at ${worst.touch ? '' : 'mark '}${worst.mark} could take ${fixed(worst.approach, 2)} mm of the ${asDrawn ? 'deviation' : 'clearance'}${most}.`,
  );
};

const nextLines = (job: Job, step: NextStep): string[] => {
  if (step.kind === 'settle') return doubtLines(step.doubt);
  if (step.kind === 'cut') {
    const look =
      step.witness.length === 0 ? 'cut:' : 'drive the pointer to the witness points; if it stands there:';
    return [...wrapped(look, 'Next: '), `      reseat cut ${shellWord(job.path)} -o FILE.svg`];
  }
  const [first, ...others] = step.advice;
  if (first === undefined) return wrapped('correct the job file and run this command again.', 'Next: ');
  return [
    ...wrapped(lowerFirst(first.message), 'Next: '),
    ...others.flatMap((a) => wrapped(lowerFirst(a.message), '  or: ')),
  ];
};
