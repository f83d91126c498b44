/** Whether a machine has drifted, as text and as JSON. */
import type { Drift } from '../calibration/drift.js';
import type { Warning } from '../job/messages.js';
import { estimate } from './json/calibration-json.js';
import { chance } from './text/calibration-tables.js';
import { counted, fixed, printable, signed, table, wrapped } from './text/layout.js';
import { warningLines } from './text/warnings-text.js';

/** A size as what it comes to over a metre. */
const perMetre = (relative: number | undefined): number | undefined =>
  relative === undefined ? undefined : 1000 * relative;

export const driftText = (drift: Drift): string => {
  const { jobs, silent, size } = drift;
  return printable([
    ...(size === undefined ? ['No job says anything about sizes.'] : wrapped(verdict(drift))),
    ...(jobs.length === 0
      ? []
      : [
          '',
          'Sizes through the profile, mm too long over a metre:',
          ...table(
            [
              { title: 'job', align: 'left', room: 22 },
              { title: 'date', align: 'left' },
              { title: 'marks', align: 'right' },
              { title: 'span', align: 'right' },
              { title: 'too long', align: 'right' },
              { title: '95 % from', align: 'right' },
              { title: 'to', align: 'right' },
            ],
            jobs.map(({ path, date, marks, span, size: own }) => [
              path,
              date ?? '-',
              String(marks),
              fixed(span, 0),
              signed(perMetre(own.value - 1), 2),
              signed(perMetre(own.limits === undefined ? undefined : own.limits[0] - 1), 2),
              signed(perMetre(own.limits === undefined ? undefined : own.limits[1] - 1), 2),
            ]),
          ),
        ]),
    ...silent.flatMap(({ path, reason }) => wrapped(`${path}: ${reason}`, '  - ')),
    ...warningLines(drift.warnings),
    '',
    ...wrapped(
      'This counts the drawn positions of marks as true. Marks that the same machine made by the same display, lying the same way, hide what it does wrong.',
    ),
    '',
  ]);
};

const verdict = ({ jobs, size, agreement, perYear, drifted }: Drift): string => {
  const { value, limits } = size!;
  const range = `${signed(perMetre(limits![0] - 1), 2)} to ${signed(perMetre(limits![1] - 1), 2)} mm over a metre (95 %)`;
  const told = [
    drifted
      ? `Sizes do not agree with the profile: by ${counted(jobs.length, 'job')} parts come out ${signed(perMetre(value - 1), 2)} mm over a metre, ${range}.`
      : `No drift shows in ${counted(jobs.length, 'job')}: parts come out ${range}.`,
  ];
  if (agreement !== undefined) {
    told.push(
      `The jobs ${agreement.consistent ? 'agree' : 'disagree'} with each other (by chance: ${chance(agreement.pValue)}).`,
    );
  }
  if (perYear?.limits !== undefined) {
    told.push(
      `Change per year: ${signed(perMetre(perYear.value), 2)} mm over a metre (95 %: ${signed(perMetre(perYear.limits[0]), 2)} to ${signed(perMetre(perYear.limits[1]), 2)}).`,
    );
  } else if (jobs.length > 2) {
    told.push('Three jobs with different dates (date: in the job file) would show a change with time.');
  }
  return told.join(' ');
};

export interface DriftJson {
  calibration: 'drift';
  size: ReturnType<typeof estimate> | null;
  drifted: boolean;
  agreement: { chiSquare: number; pValue: number; consistent: boolean } | null;
  perYear: ReturnType<typeof estimate> | null;
  jobs: {
    job: string;
    date: string | null;
    marks: number;
    span: number;
    size: ReturnType<typeof estimate>;
  }[];
  silent: { job: string; reason: string }[];
  warnings: Warning[];
}

export const driftJson = ({
  jobs,
  silent,
  size,
  agreement,
  perYear,
  drifted,
  warnings,
}: Drift): DriftJson => ({
  calibration: 'drift',
  size: size === undefined ? null : estimate(size),
  drifted,
  agreement: agreement ?? null,
  perYear: perYear === undefined ? null : estimate(perYear),
  jobs: jobs.map(({ path, date, marks, span, size: own }) => ({
    job: path,
    date: date ?? null,
    marks,
    span,
    size: estimate(own),
  })),
  silent: silent.map(({ path, reason }) => ({ job: path, reason })),
  warnings: [...warnings],
});
