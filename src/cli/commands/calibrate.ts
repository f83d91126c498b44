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
  type Machine,
  type MachinePart,
  pointerForm,
  readProfileText,
  readRule,
  sheetDxf,
  sheetForm,
  sheetOnBed,
  sheetSvg,
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
  const sd = options.sd === undefined ? undefined : sdOf(options.sd);
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
  const format = /[^/\\]\.(svg|dxf)$/i.exec(output ?? '')?.[1]?.toLowerCase();
  if (output === undefined || format === undefined) {
    throw new InputError({
      found: output === undefined ? 'no place for the sheet' : `-o ${output}`,
      expected: '-o and the name of an SVG or DXF file',
      next: 'Add -o sheet.svg; its forms are written beside it.',
    });
  }
  const machine: Pick<Machine, 'axes' | 'name' | 'size'> =
    profile === undefined
      ? { axes: 'y-up' }
      : readProfileText(profile, decodeText(readRequired(io, profile, 'a machine profile'), profile));
  const sheet = sheetOnBed(machine, options.size === undefined ? undefined : sizeOf(options.size));
  const { size } = sheet;
  const stem = output.slice(0, -4);
  const drawing = format === 'svg' ? sheetSvg(sheet, machine) : sheetDxf(sheet, machine);
  const files = [
    { path: output, what: 'the drawing to cut', text: drawing },
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

export const dateOf = (written: string | undefined, io: Io): string => {
  const date = written ?? io.today;
  if (date !== undefined && isDate(date)) return date;
  throw new InputError({
    found: date === undefined ? 'no date' : `--date ${date}`,
    expected: 'the day of the measurement, such as 2026-03-02',
    next: 'Write --date year-month-day (ISO 8601).',
  });
};

/** NaN for what is no plain number. */
const numberIn = (written: string): number =>
  /^\d*\.?\d+$|^\d+\.$/.test(written) ? Number(written) : Number.NaN;

const sdOf = (written: string): number => {
  const value = numberIn(written);
  const { atLeast, atMost } = bounds['--sd'];
  if (value >= atLeast && value <= atMost) return value;
  throw new InputError({
    found: `--sd ${written}`,
    expected: `a number in mm, from ${atLeast} to ${atMost}`,
    next: 'Write the bare number, with a decimal point.',
  });
};

/** How small the area may be is for the sheet to say: its two sides need different lengths. */
const sizeOf = (written: string): [number, number] => {
  const [width, height, ...more] = written.split(/[,x]/).map((part) => numberIn(part.trim()));
  const { atMost } = bounds['--size'];
  const isLength = (value: number | undefined): value is number =>
    value !== undefined && value > 0 && value <= atMost;
  if (isLength(width) && isLength(height) && more.length === 0) return [width, height];
  throw new InputError({
    found: `--size ${written}`,
    expected: `width and height in mm, at most ${atMost} each`,
    next: 'Write it as in --size 600,400.',
  });
};
