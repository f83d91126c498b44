/** The fit for a person at a terminal. */
import { type Doubt, doubtIn } from '../../fit/doubts/doubted.js';
import type { Fit, FittedTouch } from '../../fit/fit.js';
import { displayStepOf } from '../../fit/options.js';
import { turnInWords } from '../../fit/words.js';
import { decompose } from '../../geometry/affine.js';
import type { Job, Model } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { trueToPointer } from '../../marks/frames.js';
import { boundToWrite, hasBound } from '../../verdict/edges/line-edges.js';
import { neededName } from '../../verdict/explain.js';
import { degrees } from '../json/fit-json.js';
import { type Column, counted, fixed, printable, shellWord, signed, table, wrapped } from './layout.js';
import { warningLines } from './warnings-text.js';

/** Marks with larger residuals first where there are more than a screen holds. */
const mostMarks = 12;

const models: Readonly<Record<Model, string>> = {
  shift: 'shift only',
  rigid: 'rigid: shift and turn',
  similarity: 'similarity: shift, turn and one scale',
  affine: 'affine: shift, turn, two scales and a lean',
};

export const fitText = (job: Job, fit: Fit, warnings: readonly Warning[]): string =>
  printable([
    ...titleLines(job),
    ...placementLines(job, fit),
    '',
    ...(fit.marks.length === 0 ? [] : [...markTable(job, fit), '']),
    ...(fit.touches === undefined ? [] : [...touchTable(job, fit, fit.touches), '']),
    ...wrapped([agreement(fit), ...stepOf(job, fit)].join(' ')),
    ...warningLines(warnings),
    '',
    ...nextLines(job, warnings),
    '',
  ]);

export const titleLines = (job: Job): string[] => [
  ...wrapped(job.path),
  ...(job.title === undefined ? [] : wrapped(job.title)),
  '',
];

/** Where the part lies, in the words of the shop. */
const placementLines = (job: Job, fit: Fit): string[] => {
  const { rotation, scale, shear } = decompose(fit.matrix);
  const turn = degrees(rotation);
  const rows = [
    ...wrapped(`Where the part lies (${models[fit.model]}${job.face === 'down' ? '; on its face' : ''}):`),
    `  turned   ${turnInWords(turn, 4)}`,
    `  shifted  ${fixed(fit.matrix[4], 3)} mm in x, ${fixed(fit.matrix[5], 3)} mm in y (true bed mm)`,
  ];
  const mirrored = scale[1] < 0 ? ', mirrored' : '';
  if (fit.model === 'similarity') rows.push(`  scaled   ${fixed(scale[0], 6)}`);
  if (fit.model === 'affine') {
    rows.push(`  scaled   ${fixed(scale[0], 6)} along x, ${fixed(Math.abs(scale[1]), 6)} along y${mirrored}`);
    rows.push(`  leaning  ${signed(degrees(shear), 4)} deg from square`);
  }
  return rows;
};

const markColumns: readonly Column[] = [
  { title: 'mark', align: 'left', room: 16 },
  { title: 'n', align: 'right' },
  { title: 'reading x', align: 'right' },
  { title: 'reading y', align: 'right' },
  { title: 'residual x', align: 'right' },
  { title: 'residual y', align: 'right' },
  { title: 'distance', align: 'right' },
];

const markTable = (job: Job, fit: Fit): string[] => {
  const onDisplay = trueToPointer(job.machine);
  const distance = (i: number) => Math.hypot(fit.marks[i]!.residual.x, fit.marks[i]!.residual.y);
  let shown = fit.marks.map((_, i) => i);
  const rest = shown.length - mostMarks;
  if (rest > 0) shown = shown.sort((i, j) => distance(j) - distance(i)).slice(0, mostMarks);
  const rows = shown.map((i) => {
    const mark = fit.marks[i]!;
    const reading = onDisplay(mark.reading);
    return [
      mark.mark,
      String(mark.readings),
      fixed(reading.x, 3),
      fixed(reading.y, 3),
      signed(mark.residual.x, 3),
      signed(mark.residual.y, 3),
      fixed(distance(i), 3),
    ];
  });
  return [
    'Readings (n of them at each mark) and how far each is from the fit, mm:',
    ...table(markColumns, rows),
    ...(rest > 0 ? [`  and ${counted(rest, 'mark')} with smaller residuals`] : []),
  ];
};

const touchColumns: readonly Column[] = [
  { title: 'touch', align: 'right' },
  { title: 'on', align: 'left', room: 18 },
  { title: 'n', align: 'right' },
  { title: 'reading x', align: 'right' },
  { title: 'reading y', align: 'right' },
  { title: 'from edge', align: 'right' },
];

const touchTable = (job: Job, fit: Fit, touches: readonly FittedTouch[]): string[] => {
  const onDisplay = trueToPointer(job.machine);
  const size = (i: number) => Math.abs(touches[i]!.residual);
  let shown = touches.map((_, i) => i);
  const rest = shown.length - mostMarks;
  if (rest > 0) shown = shown.sort((i, j) => size(j) - size(i)).slice(0, mostMarks);
  const rows = shown.map((i) => {
    const { on, readings, reading, residual } = touches[i]!;
    const at = onDisplay(reading);
    return [String(i + 1), on, String(readings), fixed(at.x, 3), fixed(at.y, 3), signed(residual, 3)];
  });
  return [
    'Touches and how far each is from its edge (+ into the material), mm:',
    ...table(touchColumns, rows),
    ...(rest > 0 ? [`  and ${counted(rest, 'touch', 'touches')} with smaller residuals`] : []),
    ...rimLines(fit),
  ];
};

/** The radii that are cut and judged from, where they are not the drawn ones. */
export const rimLines = ({ rims = [] }: Fit): string[] =>
  rims.map(({ on, radius, sd, stated, expectedRadius }) => {
    const known = stated ? ', as stated' : sd === undefined ? '' : `, sd ${fixed(sd, 3)} mm`;
    return `  Radius of ${on}: ${fixed(radius, 3)} mm${known}; drawn as ${fixed(expectedRadius, 3)} mm.`;
  });

/** Where the display's rounding is a good part of what is left over; nothing for a fine display. */
const stepOf = (job: Job, fit: Fit): string[] => {
  const { step, from } = displayStepOf(job) ?? { step: 0, from: 'stated' };
  if (fit.sd.used === undefined || step < fit.sd.used) return [];
  const source = from === 'found' ? 'as all readings show' : 'as stated';
  return [
    `The display counts in steps of ${Number(step.toPrecision(3))} mm, ${source}; their rounding is in that sd.`,
  ];
};

/** The one line that says how well the readings agree, and how much that is worth. */
const agreement = (fit: Fit): string => {
  if (fit.redundancy === 0) {
    return `The ${fit.unknowns} unknowns take all ${fit.unknowns} coordinates: nothing is left over to check the readings by.`;
  }
  const size = `The readings agree to ${fixed(fit.rms, 3)} mm (rms of distances, x and y together), with a redundancy of ${fit.redundancy}.`;
  const { stated, statedDof, estimated, used, usedDof } = fit.sd;
  const { consistency } = fit;
  const sentences = [size];
  if (consistency !== undefined) {
    const dof = statedDof === undefined ? '' : ` (${degreesOfFreedom(statedDof)})`;
    const source =
      stated === undefined
        ? 'The scatter of repeated readings'
        : `The stated sd of ${fixed(stated, 3)} mm${dof}`;
    const verdict = consistency.consistent ? 'accounts for that' : 'does not account for that';
    sentences.push(`${source} ${verdict}, p ${probability(consistency.pValue)}.`);
  } else if (stated === undefined && estimated !== undefined) {
    sentences.push(
      `No sd is stated; estimated from these residuals it is ${fixed(estimated, 3)} mm per axis.`,
    );
  }
  if (used !== undefined && (stated === undefined || Math.abs(used - stated) >= 5e-4)) {
    const dof = usedDof === undefined ? '' : ` with ${degreesOfFreedom(usedDof)}`;
    sentences.push(`Used from here on: ${fixed(used, 3)} mm${dof}.`);
  }
  return sentences.join(' ');
};

const probability = (p: number): string => (p < 0.001 ? '< 0.001' : `= ${p.toFixed(p < 0.1 ? 3 : 2)}`);

/** What is in doubt, in a clause. */
export const doubtWord = ({ marks, remedies, warnings }: Doubt): string => {
  if (warnings[0]!.code === 'mark-misplaced') return 'Positions of marks are in doubt';
  if (warnings[0]!.code === 'open-path-left-out') return 'A path does not close';
  switch (remedies[0]!.kind) {
    case 'read-again':
      return marks.length === 1 ? 'A reading is in doubt' : 'Readings are in doubt';
    case 'move-part':
      return 'Paths lie off the bed';
    default:
      return 'The readings contradict the job';
  }
};

/** The first thing to do about it, as a clause: `read again at A and B`. */
export const firstStep = ({ remedies }: Doubt): string => remedies[0]!.step;

/** The same as a sentence, with what to do then. */
export const doubtWords = (doubt: Doubt): string => {
  const then = doubt.remedies[0]!.kind === 'read-again' ? ', correct the job file and' : ', and';
  return `${firstStep(doubt)}${then} run this command again. Cut nothing before that.`;
};

/** What to do next where something is in doubt: one step, and what else it may have been. */
export const doubtLines = (doubt: Doubt): string[] => [
  ...wrapped(doubtWords(doubt), 'Next: '),
  ...doubt.remedies.slice(1).flatMap(({ step }) => wrapped(`${step}.`, '  or: ')),
];

/** A command stands on a line of its own, to be copied. */
const nextLines = (job: Job, warnings: readonly Warning[]): string[] => {
  const doubt = doubtIn(warnings);
  if (doubt !== undefined) return doubtLines(doubt);
  if (warnings.some((w) => w.code === 'no-redundancy')) {
    return wrapped(
      'read one more mark, or touch an edge that you know on the part, before you cut.',
      'Next: ',
    );
  }
  const see = hasBound(job)
    ? `see whether the error fits the ${neededName(job.cut.kind === 'as-drawn')}:`
    : `write ${boundToWrite(job)} into the job, or what your piece allows for 0.2 mm, and see whether the error fits into that:`;
  return [...wrapped(see, 'Next: '), `      reseat check ${shellWord(job.path)}`];
};

const degreesOfFreedom = (dof: number): string => {
  const figure = fixed(dof, 0);
  return `${figure} ${figure === '1' ? 'degree' : 'degrees'} of freedom`;
};
