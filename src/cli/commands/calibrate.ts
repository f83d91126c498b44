/** `reseat calibrate pointer|bed|kerf|beam DATA`, `calibrate sheet -o FILE`, `calibrate drift JOB...` */
import {
  beamForm,
  bedForm,
  bounds,
  calibrate as calibrateMachine,
  calibrationJson,
  calibrationText,
  cautions,
  cautionsText,
  type DriftJob,
  decodeText,
  driftJson,
  driftOf,
  driftText,
  failureText,
  InputError,
  isDate,
  kerfForm,
  layOutSheet,
  type Machine,
  type MachinePart,
  pointerForm,
  readProfileText,
  readRule,
  sheetForm,
  sheetSvg,
  usualSheet,
} from '../../internal.js';
import { readBytes, readRequired } from '../disk.js';
import { type Io, jsonLine, status } from '../io.js';
import { alone } from '../profile-lock.js';
import { startProgress } from '../progress.js';
import { saveAll, type Target, targetFor } from '../save.js';
import { eachJob, statusOf } from './jobs.js';

export interface PartOptions {
  readonly profile: string | undefined;
  readonly date: string | undefined;
  readonly sd: string | undefined;
  readonly rule: string | undefined;
  readonly force: boolean;
  readonly json: boolean;
}

/** Figures in doubt are told but not written, and end the call as wrong input does. */
export const calibratePart = async (
  part: MachinePart,
  data: string,
  options: PartOptions,
  io: Io,
): Promise<number> => {
  const { profile } = options;
  const work = () => measuredPart(part, data, options, io);
  return profile === undefined ? work() : alone(profileTarget(profile, data, io), work);
};

const profileTarget = (path: string, data: string, io: Io): Target =>
  targetFor(io, path, { force: true, inputs: [data], what: 'a machine profile' });

const measuredPart = (part: MachinePart, data: string, options: PartOptions, io: Io): number => {
  const { profile: path, force, json } = options;
  const sd = options.sd === undefined ? undefined : lengthOf('--sd', options.sd);
  const date = path === undefined ? undefined : dateOf(options.date, io);
  const source = { path: data, text: decodeText(readRequired(io, data, 'a file of measurements'), data) };
  const target = path === undefined ? undefined : profileTarget(path, data, io);
  const bytes = path === undefined ? undefined : readBytes(io, path);
  const profile =
    path === undefined ? undefined : { path, ...(bytes ? { text: decodeText(bytes, path) } : {}) };
  const done = calibrateMachine(part, source, {
    ...(profile === undefined ? {} : { profile }),
    ...(date === undefined ? {} : { date }),
    ...(sd === undefined ? {} : { sd }),
    ...(options.rule === undefined ? {} : { rule: readRule(options.rule) }),
    force,
  });
  if (!done.ok) {
    io.stderr.write(`${failureText(data, done.failure, [], 'nothing can be worked out')}\n`);
    return status.noSolution;
  }
  if (target !== undefined && done.updated !== undefined) saveAll([{ target, text: done.updated.text }]);
  io.stdout.write(json ? jsonLine(calibrationJson(done)) : calibrationText(done));
  return done.withheld ? status.wrongInput : status.done;
};

export interface SheetOptions {
  readonly output: string | undefined;
  readonly profile: string | undefined;
  readonly size: string | undefined;
  readonly force: boolean;
}

/** Writes the drawing, its printable form and the tables to fill in, all of them or none. */
export const calibrationSheet = (options: SheetOptions, io: Io): number => {
  const { output, profile, force } = options;
  if (output === undefined || !/[^/\\]\.svg$/i.test(output)) {
    throw new InputError({
      found: output === undefined ? 'no place for the sheet' : `-o ${output}`,
      expected: '-o and the name of an SVG file',
      next: 'Add -o sheet.svg; its forms are written beside it.',
    });
  }
  const machine: Pick<Machine, 'axes' | 'name' | 'size'> =
    profile === undefined
      ? { axes: 'y-up' }
      : readProfileText(profile, decodeText(readRequired(io, profile, 'a machine profile'), profile));
  const size = options.size === undefined ? (machine.size ?? usualSheet) : sizeOf(options.size);
  if (machine.size && (size[0] > machine.size[0] || size[1] > machine.size[1])) {
    throw new InputError({
      found: `--size ${size[0]},${size[1]}`,
      expected: `at most the bed, ${machine.size[0]} x ${machine.size[1]} mm`,
      next: 'Use a smaller area, or correct "size" of the machine.',
    });
  }
  const sheet = layOutSheet(size, machine.axes);
  const stem = output.replace(/\.svg$/i, '');
  const remarks = [
    'Calibration sheet of reseat; display coordinates, one unit is one millimetre.',
    'Group "score" marks the surface only, group "cut" goes through. Cut it as it is, without kerf correction.',
    ...cautions,
  ];
  const files = [
    { path: output, what: 'the drawing to cut', text: sheetSvg(sheet, machine, remarks) },
    {
      path: `${stem}-form.svg`,
      what: 'a form to print, A4',
      text: sheetForm(sheet, machine, nameOf(output), cautions),
    },
    { path: `${stem}-pointer.csv`, what: 'to fill in for "reseat calibrate pointer"', text: pointerForm() },
    {
      path: `${stem}-bed.csv`,
      what: 'to fill in for "reseat calibrate bed"',
      text: bedForm(sheet, machine.axes),
    },
    { path: `${stem}-kerf.csv`, what: 'to fill in for "reseat calibrate kerf"', text: kerfForm(sheet) },
    {
      path: `${stem}-beam.csv`,
      what: 'to fill in for "reseat calibrate beam"',
      text: beamForm(sheet, machine.axes),
    },
  ];
  const inputs = profile === undefined ? [] : [profile];
  saveAll(
    files.map(({ path, text }) => ({
      target: targetFor(io, path, { force, inputs, what: 'a calibration sheet' }),
      text,
    })),
  );
  const width = Math.max(...files.map((f) => f.path.length));
  const written = files.map(({ path, what }) => `  ${path.padEnd(width)}  ${what}`);
  io.stdout.write(
    [
      `A calibration sheet of ${size[0]} x ${size[1]} mm, to be cut where the display begins:`,
      ...written,
      '',
      'The form says what to measure in which order.',
      '',
      cautionsText(),
    ].join('\n'),
  );
  return status.done;
};

export interface DriftOptions {
  readonly date: string | undefined;
  readonly json: boolean;
}

export const calibrationDrift = async (
  jobs: readonly string[],
  options: DriftOptions,
  io: Io,
): Promise<number> => {
  const date = options.date === undefined ? io.today : dateOf(options.date, io);
  const progress = startProgress(io.stderr);
  const outcomes = await eachJob<DriftJob>(io, jobs, progress, 'reading', ({ loaded }) => ({
    result: loaded,
  }));
  await progress.end();
  const failed = statusOf(outcomes);
  if (failed !== status.done) return failed;
  const drift = driftOf(
    outcomes.flatMap((o) => ('result' in o ? [o.result] : [])),
    date,
  );
  io.stdout.write(options.json ? jsonLine(driftJson(drift)) : driftText(drift));
  return drift.size === undefined ? status.noSolution : status.done;
};

const nameOf = (path: string): string => path.replace(/^.*[/\\]/, '');

const dateOf = (written: string | undefined, io: Io): string => {
  const date = written ?? io.today;
  if (date !== undefined && isDate(date)) return date;
  throw new InputError({
    found: date === undefined ? 'no date' : `--date ${date}`,
    expected: 'the day of the measurement, such as 2026-03-02',
    next: 'Write --date year-month-day (ISO 8601).',
  });
};

const lengthOf = (flag: '--sd' | '--size', written: string): number => {
  const value = /^\d*\.?\d+$|^\d+\.$/.test(written) ? Number(written) : Number.NaN;
  // An area that is too small is refused by the sheet, which says how large it has to be.
  const { atLeast, atMost } = flag === '--size' ? { ...bounds[flag], atLeast: 1 } : bounds[flag];
  if (value >= atLeast && value <= atMost) return value;
  throw new InputError({
    found: `${flag} ${written}`,
    expected: `a number in mm, from ${atLeast} to ${atMost}`,
    next: 'Write the bare number, with a decimal point.',
  });
};

const sizeOf = (written: string): [number, number] => {
  const [width, height, ...more] = written.split(/[,x]/).map((part) => lengthOf('--size', part.trim()));
  if (width !== undefined && height !== undefined && more.length === 0) return [width, height];
  throw new InputError({
    found: `--size ${written}`,
    expected: 'width and height in mm',
    next: 'Write it as in --size 600,400.',
  });
};
