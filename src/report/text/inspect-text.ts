/** An inspection for a person at a terminal. */
import type { ChosenPlaces } from '../../inspect/choose-places.js';
import { type ErrorName, errorNames } from '../../inspect/cut-error.js';
import type { FoundError, Inspection } from '../../inspect/inspection.js';
import type { Job } from '../../job/job.js';
import { displaySign, type InspectReport } from '../json/inspect-json.js';
import { titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, signed, table, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';
import { yamlName } from './yaml-name.js';

/** Gaps and openings that are shown one by one. */
const mostRows = 20;

/** What each error is called, its unit, and what it is multiplied by to be in that unit. */
const words: { readonly [name in ErrorName]: readonly [what: string, factor: number, decimals: number] } = {
  x: ['shift in x, mm', 1, 3],
  y: ['shift in y, mm', 1, 3],
  turn: ['turn, mrad', 1000, 3],
  size: ['size, mm per metre', 1000, 3],
  kerf: ['kerf, mm', 1, 3],
};

export const inspectText = (report: InspectReport): string => {
  const { job, scan, inspection, places, warnings } = report;
  return printable([
    ...titleLines(job),
    ...(inspection === undefined
      ? placeLines(report, places)
      : inspectionLines(job, inspection, scan, report)),
    ...warningLines(warnings),
    '',
  ]);
};

const placeColumns: readonly Column[] = [
  { title: 'opening', align: 'left', room: 24 },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'the gap lies', align: 'left' },
];

const placeLines = ({ job, expected }: InspectReport, places: ChosenPlaces | undefined): string[] => {
  if (places === undefined || places.places.length === 0)
    return wrapped('No edge of this job has a side that is long enough to measure a gap at.');
  const sd = job.gapSd ?? supposedSd;
  const rows = places.places.map(({ opening, drawn, normal }) => [
    opening,
    fixed(drawn.x, 1),
    fixed(drawn.y, 1),
    directionWord(normal),
  ]);
  const told = errorNames.map((name, k) => {
    const [what, factor, decimals] = words[name];
    const of = places.sds[k];
    return `${what.replace(', ', ' ')} ${of === undefined ? 'not told' : fixed(of * sd * factor, decimals)}`;
  });
  const gaps = places.places.map(expected);
  const alike = Math.max(...gaps) - Math.min(...gaps) < 0.0005;
  return [
    ...wrapped(
      `Where to measure the finished piece: ${counted(rows.length, 'gap')} from the existing edge to the new one, square to the edge${alike ? `, each ${fixed(gaps[0], 3)} mm if all is well` : ''}. Places are in mm of the drawing; the direction is as the piece lay on the bed.`,
    ),
    '',
    ...table(placeColumns, rows),
    '',
    ...wrapped(
      `Gaps measured to ${fixed(sd, 3)} mm (${job.gapSd === undefined ? 'supposed; common practice, no source' : 'gap-sd'}) tell the errors of this cut with these sds: ${told.join(', ')}.`,
    ),
    '',
    ...wrapped('Write them into the job, below 0 where the new edge lies across the old one:', 'Next: '),
    '',
    'gaps:',
    ...places.places.map(
      ({ opening, drawn }) =>
        `  - {opening: ${yamlName(opening)}, place: [${fixed(drawn.x, 1)}, ${fixed(drawn.y, 1)}], mm: }`,
    ),
  ];
};

/** mm: a caliper or a graticule read by eye (common practice, no source). */
const supposedSd = 0.03;

/** From the existing edge to the new one, as seen on the bed. */
const directionWord = ({ x, y }: { readonly x: number; readonly y: number }): string => {
  const eighth = Math.round((4 * Math.atan2(y, x)) / Math.PI);
  return (
    {
      0: 'to the right',
      1: 'to the upper right',
      2: 'above',
      3: 'to the upper left',
      4: 'to the left',
      '-1': 'to the lower right',
      '-2': 'below',
      '-3': 'to the lower left',
      '-4': 'to the left',
    } as Readonly<Record<string, string>>
  )[`${eighth}`]!;
};

const errorColumns: readonly Column[] = [
  { title: 'error of the cut', align: 'left' },
  { title: 'found', align: 'right' },
  { title: '95 % limits', align: 'right' },
  { title: 'predicted sd', align: 'right' },
  { title: 'chance', align: 'right' },
];

const inspectionLines = (
  job: Job,
  inspection: Inspection,
  scan: InspectReport['scan'],
  { toDrawing }: InspectReport,
): string[] => {
  const { error, gaps, found } = inspection;
  const { sd } = error;
  const from =
    sd.used === undefined
      ? 'as many gaps as unknowns: no uncertainty can be claimed. State "gap-sd", or measure more'
      : `sd of one ${fixed(sd.used, 4)} mm, ${sd.dof === undefined ? 'as stated' : `estimated with ${counted(Math.round(sd.dof), 'degree')} of freedom`}`;
  const where = scan === undefined ? '' : ` in ${scan.path}`;
  return [
    ...wrapped(`${counted(gaps.length, 'gap')}${where}; ${from}.`),
    '',
    ...table(
      errorColumns,
      found.map((one) => errorRow(job, one)),
    ),
    ...untold(found),
    '',
    ...wrapped(
      'Shift is along the axes of the display, turn counter-clockwise on the bed, kerf that of this cut less the one that was reckoned with. What the existing edges are off by counts as kerf, too.',
    ),
    '',
    ...wrapped(agreementSentence(inspection)),
    '',
    ...leastTable(inspection, toDrawing),
    ...(inspection.source === 'measured' ? ['', ...gapTable(inspection)] : []),
  ];
};

const errorRow = (job: Job, { name, value, limit, predicted, pValue }: FoundError): string[] => {
  const [what, factor, decimals] = words[name];
  const sign = displaySign(job, name);
  const shown = value === undefined ? undefined : sign * value * factor;
  const bound =
    predicted === undefined || predicted.bound === 0 ? '' : ` ±${fixed(predicted.bound * factor, 3)}`;
  return [
    what,
    shown === undefined ? 'not told' : signed(shown, decimals),
    shown === undefined || limit === undefined
      ? '-'
      : `${signed(shown - limit * factor, decimals)} to ${signed(shown + limit * factor, decimals)}`,
    predicted === undefined ? '-' : `${fixed(predicted.sd * factor, decimals)}${bound}`,
    chanceText(pValue),
  ];
};

const chanceText = (p: number | undefined): string =>
  p === undefined ? '-' : p < 0.001 ? '< 0.001' : fixed(p, 3);

const untold = (found: readonly FoundError[]): string[] => {
  const names = found.filter(({ value }) => value === undefined).map(({ name }) => words[name][0]);
  return names.length === 0
    ? []
    : [
        '',
        ...wrapped(
          `These gaps do not tell ${names.map((name) => name.replace(/,.*/, '')).join(', ')}: taken as none. Gaps on other openings, and on sides that look another way, would.`,
        ),
      ];
};

const agreementSentence = ({ agreement, unpredicted }: Inspection): string => {
  if (unpredicted !== undefined) return unpredicted;
  if (agreement === undefined)
    return 'Too little is known of the gaps, or of the readings, to hold one against the other.';
  const { pValue } = agreement;
  const chance = chanceText(pValue);
  return pValue < 0.01
    ? `This is NOT what the job predicted: as much comes by chance in ${chance} of such cuts. Something is larger than stated: the readings, the machine, or the panel moved.`
    : `This lies in what the job predicted (chance of as much: ${chance}).`;
};

const leastColumns: readonly Column[] = [
  { title: 'opening', align: 'left', room: 22 },
  { title: 'least gap', align: 'right' },
  { title: '±', align: 'right' },
  { title: 'at x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'widest', align: 'right' },
  { title: 'seen', align: 'right' },
];

const leastTable = ({ least, clearance }: Inspection, toDrawing: InspectReport['toDrawing']): string[] => {
  const inOrder = [...least].sort((a, b) => a.gap - b.gap);
  const isSeen = least.some(({ seen }) => seen !== undefined);
  const rows = inOrder.slice(0, mostRows).map(({ opening, gap, limit, at, widest, seen }) => {
    const { x, y } = toDrawing(at);
    return [
      opening,
      `${fixed(gap, 3)}${gap < 0 ? ' !' : ''}`,
      fixed(limit, 3),
      fixed(x, 1),
      fixed(y, 1),
      `${fixed(widest, 3)}${widest !== undefined && widest > 2 * clearance ? ' *' : ''}`,
      ...(isSeen ? [fixed(seen?.gap, 3)] : []),
    ];
  });
  const far = least.filter(({ widest }) => widest !== undefined && widest > 2 * clearance).length;
  return [
    ...wrapped('The least gap of each opening, with its place in the drawing, mm:'),
    ...table(isSeen ? leastColumns : leastColumns.slice(0, -1), rows),
    ...(least.length > rows.length ? [`  and ${least.length - rows.length} more (--json lists them)`] : []),
    ...(inOrder.some(({ gap }) => gap < 0) ? ['  !  the new edge lies across the existing one'] : []),
    ...(far > 0 ? ['  *  more than twice the clearance'] : []),
  ];
};

const gapColumns: readonly Column[] = [
  { title: 'gap at', align: 'left', room: 22 },
  { title: 'x', align: 'right' },
  { title: 'y', align: 'right' },
  { title: 'measured', align: 'right' },
  { title: 'adjusted', align: 'right' },
  { title: 'left over', align: 'right' },
];

const gapTable = ({ gaps, suspect }: Inspection): string[] => [
  ...table(
    gapColumns,
    gaps
      .slice(0, 2 * mostRows)
      .map(({ place, gap, adjusted, residual }, i) => [
        `${place.opening}${i === suspect ? ' ?' : ''}`,
        fixed(place.drawn.x, 1),
        fixed(place.drawn.y, 1),
        fixed(gap, 3),
        fixed(adjusted, 3),
        signed(residual, 3),
      ]),
  ),
  ...(gaps.length > 2 * mostRows ? [`  and ${gaps.length - 2 * mostRows} more (--json lists them)`] : []),
];
