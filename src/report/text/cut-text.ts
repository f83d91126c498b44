/** A cut for a person at a terminal. */

import type { CutResult } from '../../cut/cut.js';
import { pageBegin } from '../../drawing/write/cut-file.js';
import { doubtIn } from '../../fit/doubts/doubted.js';
import type { Fit } from '../../fit/fit.js';
import { turnInWords } from '../../fit/words.js';
import { decompose } from '../../geometry/affine.js';
import { emptyBox, joinBoxes } from '../../geometry/point.js';
import { cautions } from '../../job/cautions.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import type { Check } from '../../verdict/check-result.js';
import { boundToWrite, hasBound } from '../../verdict/edges/line-edges.js';
import { filmLines } from '../film-report.js';
import type { CutReport } from '../json/cut-json.js';
import { degrees } from '../json/fit-json.js';
import { lowerFirst, verdictWords } from './check-text.js';
import { doubtWord, doubtWords, rimLines, titleLines } from './fit-text.js';
import { type Column, counted, fixed, printable, shellWord, table, wrapped } from './layout.js';
import { readPoints, withArticle } from './read-points.js';
import { warningLines } from './warnings-text.js';

const mostLands = 5;

export const cutText = (job: Job, output: string, { cut, film, check, fit, warnings }: CutReport): string =>
  printable([
    ...titleLines(job),
    ...wrapped(summary(job, output, cut)),
    ...extentLines(cut, job, output),
    ...wrapped(fitLine(fit)),
    ...rimLines(fit),
    ...landTable(cut),
    ...(film === undefined ? [] : filmLines(film)),
    ...warningLines(warnings),
    '',
    ...verdictLines(job, check, warnings),
  ]);

/**
 * The last word: a cut that is not proven is written all the same, and must not pass for one that
 * is.
 */
const verdictLines = (job: Job, check: Check | undefined, warnings: readonly Warning[]): string[] => {
  const command = `      reseat check ${shellWord(job.path)}`;
  const doubt = doubtIn(warnings);
  if (doubt !== undefined)
    return [...wrapped(`NOT PROVEN, ${lowerFirst(doubtWord(doubt))}: ${doubtWords(doubt)}`), ''];
  if (check === undefined) {
    if (!hasBound(job)) {
      const why = `NOT PROVEN: the job does not say how far the cut may lie off the drawn line. Write ${boundToWrite(job)}, or what your piece allows for 0.2 mm, and see whether the error fits into that:`;
      return [...wrapped(why), command, ''];
    }
    return [
      ...wrapped(
        'NOT PROVEN yet: a drawing as large as this is not checked along with the cut. See whether the error fits:',
      ),
      command,
      '',
    ];
  }
  if (check.verdict !== 'fits') {
    const why = `NOT PROVEN: ${lowerFirst(verdictWords[check.verdict])}, ${lowerFirst(check.explanation)}`;
    return [...wrapped(why), 'Do not cut before you know what would help:', command, ''];
  }
  if (check.witness.length === 0) return [...wrapped(`It fits: ${lowerFirst(check.explanation)}`), ''];
  return [
    ...wrapped(`It fits: ${lowerFirst(check.explanation)} Where to look for proof before the cut:`),
    command,
    '',
  ];
};

const summary = (job: Job, output: string, cut: CutResult): string => {
  const metres = cut.paths.reduce((sum, path) => sum + path.length, 0) / 1000;
  const openings = new Set(cut.paths.flatMap((path) => path.openings)).size;
  const { kind, clearance, kerf, tolerance } = job.cut;
  if (kind === 'as-drawn') {
    const open = cut.paths.filter((path) => path.open).length;
    const lines = open === 0 ? '' : open === cut.paths.length ? ', open' : `, ${open} of them open`;
    return `${output}: ${counted(cut.paths.length, 'path')}${lines}, ${fixed(metres, 2)} m to cut as drawn, without clearance or kerf, true to ${tolerance} mm; marks are left out.`;
  }
  const edge =
    kind === 'opening'
      ? `new edges ${clearance} mm outside the existing ones`
      : `inlays ${clearance} mm smaller all round than their openings`;
  return `${output}: ${counted(cut.paths.length, 'path')} for ${counted(openings, 'opening')}, ${fixed(metres, 2)} m to cut; ${edge}, kerf ${kerf} mm, true to ${tolerance} mm.`;
};

/**
 * `output` ends in the format, as a file's name or "standard output, SVG". Where the paths lie, and
 * how the file is to be loaded; an SVG page begins at the bed's origin, or at negative coordinates.
 */
const extentLines = (cut: CutResult, { machine }: Job, output: string): string[] => {
  const box = cut.paths.reduce((all, path) => joinBoxes(all, path.box), emptyBox);
  const span = (low: number, high: number) => `${fixed(low, 1)} to ${fixed(high, 1)}`;
  const corner = `${machine.axes === 'y-up' ? 'lower' : 'upper'} left corner`;
  const begin = pageBegin(box);
  const at = begin.x === 0 && begin.y === 0 ? '0, 0' : `${fixed(begin.x, 3)}, ${fixed(begin.y, 3)}`;
  const load = /\bsvg$/i.test(output)
    ? `, its ${corner} at the display's ${at}`
    : ': its coordinates are those of the display';
  return wrapped(
    `On the display: x ${span(box.minX, box.maxX)}, y ${span(box.minY, box.maxY)} mm. Load it without scaling or centring${load}.`,
  );
};

const fitLine = (fit: Fit): string => {
  if (fit.unplaced) return 'Cut where they are drawn, from a board of their own: nothing was placed.';
  const turn = degrees(decompose(fit.matrix).rotation);
  const checked =
    fit.redundancy === 0
      ? 'nothing checks the readings'
      : `the readings agree to ${fixed(fit.rms, 3)} mm rms`;
  return `Placed by ${withArticle(fit.model)} fit to ${readPoints(fit)}, turned by ${turnInWords(turn, 3)}; ${checked}.`;
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

export const cautionsText = (): string =>
  printable(['Before the beam is on:', ...cautions.flatMap((c) => wrapped(c, '  - ')), '']);
