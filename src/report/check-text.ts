/** The verdict for a person at a terminal; a screen of 24 lines holds it. */
import type { Job } from '../job/job.js';
import { trueToPointer } from '../marks/frames.js';
import type { Check, OpeningCheck } from '../verdict/check.js';
import type { Verdict } from '../verdict/decide.js';
import type { CheckReport } from './check-json.js';
import { doubtStep, titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, table, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';

const mostOpenings = 3;

const verdicts: Readonly<Record<Verdict, string>> = {
  fits: 'IT FITS.',
  'too-close': 'TOO CLOSE TO PROMISE.',
  'does-not-fit': 'IT DOES NOT FIT.',
};

export const checkText = (job: Job, report: CheckReport): string => {
  const { check, warnings } = report;
  return printable([
    ...titleLines(job),
    ...wrapped(`${verdicts[check.verdict]} ${check.explanation}`),
    ...neededLines(check),
    '',
    ...openingTable(job, check),
    ...witnessTable(job, check),
    ...warningLines(warnings),
    '',
    ...nextLines(job, report),
    '',
  ]);
};

const neededLines = ({ neededClearance, clearance }: Check): string[] =>
  neededClearance === undefined
    ? []
    : wrapped(`Needed clearance: ${fixed(neededClearance, 3)} mm; intended: ${clearance} mm.`);

const openingColumns: readonly Column[] = [
  { title: 'opening', align: 'left', room: 20 },
  { title: 'risk', align: 'right' },
  { title: 'needed', align: 'right' },
  { title: 'margin', align: 'right' },
  { title: 'error', align: 'right' },
  { title: 'worst at x', align: 'right' },
  { title: 'y', align: 'right' },
];

/** The openings in the greatest danger first. */
const openingTable = (job: Job, check: Check): string[] => {
  const onDisplay = trueToPointer(job.machine);
  const danger = (o: OpeningCheck) => o.neededClearance ?? -o.margin;
  const worst = [...check.openings].sort((a, b) => danger(b) - danger(a)).slice(0, mostOpenings);
  const rows = worst.map((o) => {
    const at = o.worstPoint && onDisplay(o.worstPoint);
    return [
      o.id,
      percent(o.risk),
      fixed(o.neededClearance, 3),
      fixed(o.margin, 3),
      fixed(o.predictedError, 3),
      fixed(at?.x, 2),
      fixed(at?.y, 2),
    ];
  });
  const which = rows.length < check.openings.length ? `The ${rows.length} most endangered of ` : 'All ';
  return [`${which}${counted(check.openings.length, 'opening')}, mm:`, ...table(openingColumns, rows)];
};

const percent = (risk: number | undefined): string => {
  if (risk === undefined) return '-';
  if (risk < 5e-5) return '<0.01 %';
  return `${(100 * risk).toFixed(risk < 0.1 ? 2 : 1)} %`;
};

const witnessColumns: readonly Column[] = [
  { title: 'opening', align: 'left', room: 20 },
  { title: 'aim at its', align: 'left' },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'within', align: 'right' },
];

const witnessTable = (job: Job, { witness }: Check): string[] => {
  if (witness.length === 0) return [];
  const onDisplay = trueToPointer(job.machine);
  const rows = witness.map(({ opening, kind, at, allowedMiss }) => {
    const { x, y } = onDisplay(at);
    return [
      opening,
      kind === 'corner' ? 'corner' : 'centre',
      fixed(x, 2),
      fixed(y, 2),
      fixed(allowedMiss, 2),
    ];
  });
  return ['For proof, drive the pointer here; it has to stand over:', ...table(witnessColumns, rows)];
};

const nextLines = (job: Job, { check, warnings }: CheckReport): string[] => {
  const doubt = doubtStep(warnings);
  if (doubt !== undefined) return wrapped(doubt, 'Next: ');
  const [first, ...others] = check.advice;
  if (first !== undefined) {
    return [
      ...wrapped(first.message, 'Next: '),
      ...others.flatMap((advice) => wrapped(advice.message, '  or: ')),
    ];
  }
  return check.verdict === 'fits'
    ? wrapped(`look at the places above, then reseat cut ${job.path} -o FILE.svg (or FILE.dxf).`, 'Next: ')
    : wrapped('make the clearance larger, or read the marks again.', 'Next: ');
};
