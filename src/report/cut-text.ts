/** A cut for a person at a terminal. */
import type { CutResult } from '../cut/cut.js';
import type { Fit } from '../fit/fit.js';
import { decompose } from '../geometry/affine.js';
import { emptyBox, joinBoxes } from '../geometry/point.js';
import type { Job } from '../job/job.js';
import type { CutReport } from './cut-json.js';
import { filmLines } from './film-report.js';
import { degrees } from './fit-json.js';
import { titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, table, wrapped } from './layout.js';
import { readPoints } from './read-points.js';
import { warningLines } from './warnings-text.js';

const mostLands = 5;

export const cutText = (job: Job, output: string, { cut, film, fit, warnings }: CutReport): string =>
  printable([
    ...titleLines(job),
    ...wrapped(summary(job, output, cut)),
    ...extentLines(cut),
    ...wrapped(fitLine(fit)),
    ...landTable(cut),
    ...(film === undefined ? [] : filmLines(film)),
    ...warningLines(warnings),
    '',
  ]);

const summary = (job: Job, output: string, cut: CutResult): string => {
  const metres = cut.paths.reduce((sum, path) => sum + path.length, 0) / 1000;
  const openings = new Set(cut.paths.flatMap((path) => path.openings)).size;
  const { kind, clearance, kerf, tolerance } = job.cut;
  const edge =
    kind === 'opening'
      ? `new edges ${clearance} mm outside the existing ones`
      : `infills ${clearance} mm smaller all round than their openings`;
  return `${output}: ${counted(cut.paths.length, 'path')} for ${counted(openings, 'opening')}, ${fixed(metres, 2)} m to cut; ${edge}, kerf ${kerf} mm, true to ${tolerance} mm.`;
};

const extentLines = (cut: CutResult): string[] => {
  const box = cut.paths.reduce((all, path) => joinBoxes(all, path.box), emptyBox);
  const span = (low: number, high: number) => `${fixed(low, 1)} to ${fixed(high, 1)}`;
  return [`On the display: x ${span(box.minX, box.maxX)}, y ${span(box.minY, box.maxY)} mm.`];
};

const fitLine = (fit: Fit): string => {
  const turn = degrees(decompose(fit.matrix).rotation);
  const checked =
    fit.redundancy === 0
      ? 'nothing checks the readings'
      : `the readings agree to ${fixed(fit.rms, 3)} mm rms`;
  return `Placed by a ${fit.model} fit to ${readPoints(fit)}, turned by ${fixed(turn, 3)} deg; ${checked}.`;
};

const landColumns: readonly Column[] = [
  { title: 'thin land between', align: 'left', room: 24 },
  { title: 'and', align: 'left', room: 24 },
  { title: 'width', align: 'right' },
  { title: 'at x', align: 'right' },
  { title: 'y', align: 'right' },
];

const landTable = (cut: CutResult): string[] => {
  if (cut.thinLands.length === 0) return [];
  const thinnest = [...cut.thinLands].sort((a, b) => a.width - b.width);
  const rows = thinnest
    .slice(0, mostLands)
    .map(({ between, width, at }) => [...between, fixed(width, 2), fixed(at.x, 1), fixed(at.y, 1)]);
  const rest = thinnest.length - rows.length;
  return [
    '',
    ...table(landColumns, rows),
    ...(rest > 0 ? [`  and ${rest} more (--json lists them all)`] : []),
  ];
};

/**
 * What belongs beside every cut file. Chlorine and hydrogen chloride from PVC, reflecting metal: common knowledge of
 * the trade; laser safety: IEC 60825-1, machines that process with lasers: ISO 11553-1.
 */
export const cautions: readonly string[] = [
  'Run the file once with the beam off and watch where the pointer goes.',
  'Stay with a running laser, with the extraction on and a fire extinguisher at hand.',
  "Never laser-cut PVC or vinyl film: it gives off chlorine and hydrogen chloride, which harm you and eat the machine. The film's safety data sheet says what it is.",
  'Bright metal leaf and foil throw the beam back.',
  "The machine's manual, local rules and a qualified person come before this tool (IEC 60825-1, ISO 11553-1).",
];

export const cautionsText = (): string =>
  printable(['Before the beam is on:', ...cautions.flatMap((c) => wrapped(c, '  - ')), '']);
