/** The machine of a job: a profile, or an inline mapping that may start from one. */
import { bounds } from '../bounds.js';
import { date } from '../dates.js';
import { decodeText } from '../decode-text.js';
import type { CutReversal } from '../error-kinds.js';
import { besideJob, type Files, whereMissing } from '../files.js';
import { type Machine, type MachinePart, machineParts } from '../job.js';
import { InputError } from '../messages.js';
import {
  entries,
  type Field,
  isList,
  isMapping,
  isWord,
  items,
  knownEntries,
  number,
  pair,
  path,
  point,
  refused,
  required,
  rootField,
  text,
  whereOf,
  word,
} from './fields.js';
import { readNc } from './read-nc.js';
import { readDisplayStep, readSides } from './read-sides.js';

const machineKeys = [
  'name',
  'measured',
  'size',
  'axes',
  'reading-sd',
  'reading-sd-dof',
  'reversal',
  'bed-map',
  'bed-map-sd',
  'beam-offset',
  'beam-offset-sd',
  'beam-offset-approach',
  'beam-offset-dots',
  'cut-reversal',
  'display-step',
  'pointing-sd',
  'pointing-bias',
  'kerf',
  'kerf-sd',
  'kerf-dof',
  'cut-sd',
  'cut-sd-dof',
  'nc',
] as const;

/** What a profile may hold beside what a job may override. */
const profileKeys = ['format', ...machineKeys, 'inspected', 'history'] as const;

/**
 * The form of profiles this program writes; a profile that states none is of this one. A later one
 * is refused.
 */
export const profileFormat = 1;

/** A machine of which nothing is known: display and bed agree. */
export const plainMachine: Machine = {
  axes: 'y-up',
  axesAssumed: true,
  bedMap: { scale: [1, 1], skew: 0 },
  beamOffset: { x: 0, y: 0 },
};

/**
 * `machine: PATH` reads a profile. `machine: {...}` holds profile keys in the job itself, and
 * `profile: PATH` among them names the profile they override:
 *
 *     machine:
 *       profile: ../profiles/workshop.yaml
 *       axes: y-down
 *
 * A `reading-sd` that overrides the profile's leaves the profile's `reading-sd-dof` behind: those
 * degrees of freedom belong to the other figure. So do a `bed-map` and a `beam-offset` with theirs.
 * @throws InputError
 */
export const readMachine = (field: Field, jobPath: string, files: Files): Machine => {
  if (!isMapping(field)) return readProfile(field, jobPath, files);
  const { profile, ...own } = knownEntries(field, ['profile', ...machineKeys]);
  const start = profile ? readProfile(profile, jobPath, files) : plainMachine;
  return withKeys(start, own);
};

const readProfile = (field: Field, jobPath: string, files: Files): Machine => {
  const written = path(field, 'the path of a machine profile, or a mapping', ['ya?ml', 'json']);
  const bytes = files.read(written);
  const file = besideJob(jobPath, written);
  if (!bytes) {
    throw new InputError({
      found: `no file ${file}`,
      expected: 'the machine profile that the job names',
      where: whereOf(field),
      next: whereMissing(files, written, ['yaml', 'yml', 'json'], 'machine'),
    });
  }
  return readProfileText(file, decodeText(bytes, file));
};

/**
 * A machine profile on its own.
 * @throws InputError; for a profile of a later `format` before anything else in it is looked at
 */
export const readProfileText = (file: string, source: string): Machine => {
  const root = rootField(file, source);
  const format = entries(root, 'a mapping with the keys of a machine profile').get('format');
  if (format && number(format, bounds['machine.format']) > profileFormat) {
    throw new InputError({
      found: `format ${number(format)}: the profile was written by a newer version`,
      expected: `format ${profileFormat}`,
      where: whereOf(format),
      next: 'Install the newer version to use this profile. It was left as it is.',
    });
  }
  const { format: _, history, inspected, ...keys } = knownEntries(root, profileKeys);
  if (history) readHistory(history);
  if (inspected) for (const one of items(inspected, 'a list of inspected pieces')) text(one);
  return withKeys(plainMachine, keys);
};

/**
 * Values that were replaced, each entry with the date they were measured (where it is known) and
 * the date they were replaced. They are for people to compare; nothing is computed from them, but
 * what is written there must be sound.
 */
const readHistory = (field: Field): void => {
  for (const item of items(field, 'a list of earlier values, each with the date they were replaced')) {
    const { replaced, ...keys } = knownEntries(item, ['replaced', ...machineKeys]);
    if (replaced) date(replaced);
    withKeys(plainMachine, keys);
  }
};

type MachineFields = { readonly [key in (typeof machineKeys)[number]]?: Field };

const withKeys = (start: Machine, keys: MachineFields): Machine => {
  const {
    readingSdDof: startDof,
    measuredParts: startParts,
    beamOffsetSd: startOffsetSd,
    beamOffsetApproach: startApproach,
    beamOffsetDots: startDots,
    bedMapSd: startMapSd,
    axesAssumed,
    pointingSd: _sd,
    pointingBias: _bias,
    ...others
  } = start;
  const readingSd = keys['reading-sd']
    ? number(keys['reading-sd'], bounds['machine.reading-sd'])
    : start.readingSd;
  // An sd belongs to its own figure, not to one that takes that figure's place.
  const mapSd = keys['bed-map-sd'] ? bedMapSd(keys['bed-map-sd']) : keys['bed-map'] ? undefined : startMapSd;
  const offsetSdField = keys['beam-offset-sd'];
  const offsetSd = offsetSdField
    ? number(offsetSdField, bounds['machine.beam-offset-sd'])
    : keys['beam-offset']
      ? undefined
      : startOffsetSd;
  const approach = keys['beam-offset-approach']
    ? readSides(keys['beam-offset-approach'], 'both')
    : keys['beam-offset']
      ? undefined
      : startApproach;
  const dots = keys['beam-offset-dots']
    ? readSides(keys['beam-offset-dots'], 'figures')
    : keys['beam-offset']
      ? undefined
      : startDots;
  const dofField = keys['reading-sd-dof'];
  const dof = dofField
    ? number(dofField, bounds['machine.reading-sd-dof'])
    : keys['reading-sd']
      ? undefined
      : startDof;
  if (dofField && readingSd === undefined) {
    throw refused(
      dofField,
      '"reading-sd" beside it',
      'State the reading-sd that these degrees of freedom belong to.',
    );
  }
  return {
    ...others,
    ...(keys.name ? { name: text(keys.name) } : {}),
    ...(keys.measured ? measured(keys.measured) : startParts ? { measuredParts: startParts } : {}),
    ...(keys.size ? { size: size(keys.size) } : {}),
    ...(keys.axes ? { axes: word(keys.axes, ['y-up', 'y-down']) } : axesAssumed ? { axesAssumed } : {}),
    ...(readingSd === undefined ? {} : { readingSd }),
    ...(dof === undefined ? {} : { readingSdDof: dof }),
    ...(keys.reversal ? { reversal: reversal(keys.reversal) } : {}),
    ...(keys['bed-map'] ? { bedMap: bedMap(keys['bed-map'], start) } : {}),
    ...(mapSd === undefined ? {} : { bedMapSd: mapSd }),
    ...(keys['beam-offset'] ? { beamOffset: point(keys['beam-offset']) } : {}),
    ...(offsetSd === undefined ? {} : { beamOffsetSd: offsetSd }),
    ...(approach === undefined ? {} : { beamOffsetApproach: approach }),
    ...(dots === undefined ? {} : { beamOffsetDots: dots }),
    ...(keys['cut-reversal'] ? { cutReversal: cutReversal(keys['cut-reversal']) } : {}),
    ...(keys['display-step'] ? { displayStep: readDisplayStep(keys['display-step']) } : {}),
    ...habitOfEye(keys, start),
    ...(keys.kerf ? { kerf: number(keys.kerf, bounds['machine.kerf']) } : {}),
    ...(keys['kerf-sd'] ? { kerfSd: number(keys['kerf-sd'], bounds['machine.kerf-sd']) } : {}),
    ...(keys['kerf-dof'] ? { kerfDof: number(keys['kerf-dof'], bounds['machine.kerf-dof']) } : {}),
    ...(keys['cut-sd'] ? { cutSd: number(keys['cut-sd'], bounds['machine.cut-sd']) } : {}),
    ...(keys['cut-sd-dof'] ? { cutSdDof: number(keys['cut-sd-dof'], bounds['machine.cut-sd-dof']) } : {}),
    ...(keys.nc ? { nc: readNc(keys.nc, start.nc) } : {}),
  };
};

/**
 * One cause, as an sd or as a bound: what states either of them takes the place of both that held
 * before.
 */
export const habitOfEye = (
  keys: { readonly 'pointing-sd'?: Field; readonly 'pointing-bias'?: Field },
  before: { readonly pointingSd?: number; readonly pointingBias?: number },
): { readonly pointingSd?: number; readonly pointingBias?: number } => {
  const { 'pointing-sd': sd, 'pointing-bias': bias } = keys;
  if (sd === undefined && bias === undefined) {
    const { pointingSd, pointingBias } = before;
    return {
      ...(pointingSd === undefined ? {} : { pointingSd }),
      ...(pointingBias === undefined ? {} : { pointingBias }),
    };
  }
  return {
    ...(sd ? { pointingSd: number(sd, bounds['fit.pointing-sd']) } : {}),
    ...(bias ? { pointingBias: number(bias, bounds['fit.pointing-bias']) } : {}),
  };
};

/**
 * One date for all of it, or one for each part; what is told as the age of the whole is the oldest.
 */
const measured = (field: Field): Pick<Machine, 'measured' | 'measuredParts'> => {
  if (!isMapping(field)) return { measured: date(field) };
  const dates = Object.entries(knownEntries(field, machineParts)).map(
    ([part, entry]) => [part as MachinePart, date(entry)] as const,
  );
  const oldest = dates.map(([, day]) => day).sort()[0];
  if (oldest === undefined) {
    throw refused(field, 'a date, or the date of each part', 'Write the date, or remove the key.');
  }
  return { measured: oldest, measuredParts: Object.fromEntries(dates) };
};

const size = (field: Field): [number, number] =>
  pair(field, 'width and height of the bed [w, h] in mm', bounds['machine.size']);

/**
 * Reversal values carry a sign: the position from below minus the position from above, or the other
 * way round.
 */
const reversal = (field: Field): [number, number] =>
  pair(field, 'the reversal values of x and y [x, y] in mm', bounds['machine.reversal']);

/** `compensated`, one length for both axes, or one for each; a size, so without a sign. */
const cutReversal = (field: Field): CutReversal => {
  if (isList(field))
    return pair(field, 'the lost motion of x and y [x, y] in mm', bounds['machine.cut-reversal']);
  if (isWord(field)) {
    word(field, ['compensated']);
    return [0, 0];
  }
  const both = number(field, bounds['machine.cut-reversal']);
  return [both, both];
};

const bedMap = (field: Field, start: Machine): Machine['bedMap'] => {
  const keys = knownEntries(field, ['scale', 'skew-mrad']);
  return {
    scale: keys.scale
      ? pair(keys.scale, 'two factors [x, y]', bounds['machine.bed-map.scale'])
      : start.bedMap.scale,
    skew: keys['skew-mrad']
      ? number(keys['skew-mrad'], bounds['machine.bed-map.skew-mrad']) / 1000
      : start.bedMap.skew,
  };
};

const bedMapSd = (field: Field): NonNullable<Machine['bedMapSd']> => {
  const keys = knownEntries(field, ['scale', 'skew-mrad']);
  const next = 'Write bed-map-sd: {scale: [0.0001, 0.0001], skew-mrad: 0.1}, the sds of the bed map.';
  return {
    scale: pair(
      required(field, keys.scale, 'scale', next),
      'two standard deviations [x, y]',
      bounds['machine.bed-map-sd.scale'],
    ),
    skew:
      number(required(field, keys['skew-mrad'], 'skew-mrad', next), bounds['machine.bed-map-sd.skew-mrad']) /
      1000,
  };
};
