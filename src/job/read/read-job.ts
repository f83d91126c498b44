/** The job file: YAML to a checked Job with its defaults filled in. */

import { bounds } from '../bounds.js';
import { date } from '../dates.js';
import { decodeText } from '../decode-text.js';
import { besideJob, type Files, whereMissing } from '../files.js';
import {
  type CutKind,
  defaultRoles,
  type Job,
  type JobReading,
  type LengthUnit,
  type Machine,
  type MarkSource,
  models,
  type PixelsToInch,
  type RoleEntry,
  type Roles,
  type WitnessReading,
} from '../job.js';
import { jobKeys } from '../job-keys.js';
import { InputError, type Where } from '../messages.js';
import { refuseBesideAsDrawn, refuseDeviationAllowed, refuseFilmAsDrawn } from './as-drawn-keys.js';
import {
  entries,
  type Field,
  flag,
  isList,
  isMapping,
  items,
  knownEntries,
  number,
  path,
  point,
  refused,
  required,
  rootField,
  text,
  whereOf,
  word,
} from './fields.js';
import { filmKeys, readFilm } from './read-film.js';
import { readGaps } from './read-gaps.js';
import { habitOfEye, plainMachine, readMachine } from './read-machine.js';
import { readMaterial } from './read-material.js';
import { readPlan } from './read-plan.js';
import { readArrival, readDirected, readDisplayStep, readFrom } from './read-sides.js';
import { readTouches } from './read-touches.js';
import { readReadingsTable } from './readings-table.js';

const rolesKeys = ['marks', 'openings', 'outline'] as const;
const fitKeys = [
  'model',
  'reading-sd',
  'reading-sd-dof',
  'mark-sd',
  'approach',
  'display-step',
  'pointing-sd',
  'pointing-bias',
] as const;
const cutKeys = [
  'kind',
  'clearance',
  'kerf',
  'corners',
  'mitre-limit',
  'tolerance',
  'smallest-land',
  'apply',
] as const;
const checkKeys = [
  'accepted-risk',
  'cut-sd',
  'kerf-sd',
  'edge-sd',
  'bow',
  'size-change',
  'allowed-deviation',
] as const;

/** Those of the machine that nothing above claims. */
const insideMachine = ['axes', 'size', 'reversal', 'bed-map', 'beam-offset', 'nc'] as const;

/** Where a key belongs that stands at the top by mistake. */
const inside: ReadonlyMap<string, string> = new Map([
  ...fitKeys.map((key) => [key, 'fit'] as const),
  ...cutKeys.map((key) => [key, 'cut'] as const),
  ...checkKeys.map((key) => [key, 'check'] as const),
  ...filmKeys.map((key) => [key, 'film'] as const),
  ...insideMachine.map((key) => [key, 'machine'] as const),
]);

/** What people call a unit. */
const unitWords: Readonly<Record<string, LengthUnit>> = {
  millimetre: 'mm',
  millimetres: 'mm',
  millimeter: 'mm',
  millimeters: 'mm',
  centimetre: 'cm',
  centimetres: 'cm',
  centimeter: 'cm',
  centimeters: 'cm',
  inch: 'in',
  inches: 'in',
  '"': 'in',
  pixel: 'px',
  pixels: 'px',
  point: 'pt',
  points: 'pt',
};

/** What people call a cut. */
const kindWords: Readonly<Record<string, 'opening' | 'inlay' | 'as-drawn'>> = {
  infill: 'inlay',
  inlays: 'inlay',
  piece: 'inlay',
  insert: 'inlay',
  openings: 'opening',
  film: 'opening',
  drawn: 'as-drawn',
};
const kindOf = (word: string): string => kindWords[word] ?? word;
const kindHint =
  'Write opening for a cut set back from the openings, inlay for pieces that fill them, as-drawn for the drawn lines once more.';

const units: readonly LengthUnit[] = ['mm', 'cm', 'm', 'in', 'ft', 'pt', 'pc', 'px', 'q', 'mil', 'um'];

/** What holds where the job says nothing; lengths in mm. */
export const jobDefaults = {
  /**
   * Common practice, no source: a film behind a pierced opening is cut about 0.5 mm larger all
   * round.
   */
  clearance: 0.5,
  /** W3C SVG, stroke-miterlimit: 4 keeps corners of more than 29 degrees pointed. */
  mitreLimit: 4,
  tolerance: 0.005,
  /** Common practice, no source: thinner strips of film or card tear when they are handled. */
  smallestLand: 1,
  acceptedRisk: 0.05,
} as const;

/** Before the panel is pierced there is nothing to read: a plan needs no readings. */
export interface ReadJobOptions {
  readonly withoutReadings?: boolean;
}

/**
 * Reads a job file with the machine profile and the table of readings it names.
 * @param source the path as given (named in messages) and the text of the job file: YAML 1.2, or
 * JSON.
 * @throws InputError at the first fault, with file, line and column.
 */
export const readJob = (
  source: { readonly path: string; readonly text: string },
  files: Files,
  { withoutReadings = false }: ReadJobOptions = {},
): Job => {
  const root = rootField(source.path, source.text);
  const keys = knownEntries(root, jobKeys, { inside });
  const drawing = path(
    required(root, keys.drawing, 'drawing', 'Write drawing: and the path of the SVG or DXF file.'),
    'the path of a drawing',
    ['svg', 'dxf'],
  );
  const positions = new Map<string, Where>();
  const note = (field: Field | undefined): void => {
    if (field) positions.set(field.key, whereOf(field));
  };
  for (const key of jobKeys) note(keys[key]);

  const touches = keys.touches ? readTouches(keys.touches, note) : undefined;
  const next = 'Write readings: and one "mark: [x, y]" for each mark, or the path of a table.';
  const readings =
    (touches || withoutReadings || (isInlay(keys.cut) && !keys.witness)) && !keys.readings
      ? []
      : readReadings(required(root, keys.readings, 'readings', next), source.path, files, positions);
  const machine = keys.machine ? readMachine(keys.machine, source.path, files) : plainMachine;
  const marks = keys.marks ? readMarks(keys.marks, note) : undefined;
  const witness = keys.witness ? readWitness(keys.witness, note) : undefined;
  const cut = readCut(keys.cut, machine, note);
  const pierced = readPierced(keys.pierced, cut.kind);
  const fit = readFit(keys.fit, machine);
  if (cut.kind === 'as-drawn' && keys.film) refuseFilmAsDrawn(keys.film);
  return {
    path: source.path,
    ...(keys.title ? { title: text(keys.title) } : {}),
    ...(keys.date ? { date: date(keys.date) } : {}),
    drawing,
    ...(keys.units ? { units: word(keys.units, units, unitWords) } : {}),
    ...(keys.dpi ? { dpi: readDpi(keys.dpi, keys.units) } : {}),
    ...(keys.join ? { join: number(keys.join, bounds.join) } : {}),
    face: keys.face ? word(keys.face, ['up', 'down']) : 'up',
    ...(keys.face ? {} : { faceAssumed: true as const }),
    roles: readRoles(keys.roles),
    ...(marks ? { marks } : {}),
    readings,
    ...(touches ? { touches } : {}),
    ...(witness ? { witness } : {}),
    machine: withLead(machine, fit.approach),
    ...(keys.machine && !isMapping(keys.machine) ? { profile: text(keys.machine) } : {}),
    fit,
    pierced,
    cut,
    ...(keys.film ? { film: readFilm(keys.film, note) } : {}),
    ...(keys.material ? { material: readMaterial(keys.material) } : {}),
    check: readCheck(keys.check, machine, cut.kind, fit.pointingSd),
    ...(keys.plan ? { plan: readPlan(keys.plan) } : {}),
    ...(keys.gaps ? { gaps: readGaps(keys.gaps, note) } : {}),
    ...(keys['gap-sd'] ? { gapSd: number(keys['gap-sd'], bounds['gap-sd']) } : {}),
    positions,
  };
};

/** Pieces cut from a board of their own do not care how the panel lies. */
const isInlay = (field: Field | undefined): boolean => {
  if (field === undefined || !isMapping(field)) return false;
  const kind = [...entries(field, '')].find(([key]) => key === 'kind')?.[1];
  return kind !== undefined && !isMapping(kind) && !isList(kind) && kindOf(text(kind)) === 'inlay';
};

const readDpi = (field: Field, unit: Field | undefined): PixelsToInch => {
  if (unit !== undefined && word(unit, units) !== 'px') {
    throw refused(
      field,
      'no "dpi" beside "units", unless that is px',
      'Keep the one that holds: dpi counts px to the inch.',
    );
  }
  return number(field, bounds.dpi);
};

const readRoles = (field: Field | undefined): Roles => {
  const keys = field ? knownEntries(field, rolesKeys) : {};
  return {
    marks: keys.marks ? roleEntries(keys.marks) : defaultRoles.marks,
    openings: keys.openings ? roleEntries(keys.openings) : defaultRoles.openings,
    outline: keys.outline ? roleEntries(keys.outline) : defaultRoles.outline,
    stated: {
      marks: keys.marks !== undefined,
      openings: keys.openings !== undefined,
      outline: keys.outline !== undefined,
    },
  };
};

/** One entry, or a list of them. */
const roleEntries = (field: Field): RoleEntry[] => {
  const what =
    'the id of a shape, the name of a layer, stroke:COLOUR, fill:COLOUR, "not" before one of these, or a list of them';
  const list = isList(field) ? items(field, what) : [field];
  if (list.length === 0) throw refused(field, what, 'Write what has this role, or remove the key.');
  return list.map((entry) => ({ text: text(entry, what).trim(), where: whereOf(entry) }));
};

const readMarks = (field: Field, note: (field: Field) => void): Map<string, MarkSource> => {
  const marks = new Map<string, MarkSource>();
  for (const [name, entry] of entries(field, 'a mapping of marks, each with [x, y] or the id of a shape')) {
    note(entry);
    const what = 'two numbers [x, y] in mm, or the id of a drawn shape';
    const typed = isList(entry) || isMapping(entry);
    marks.set(name, typed ? { at: point(entry, what) } : { shape: text(entry, what) });
  }
  if (marks.size === 0) {
    throw refused(
      field,
      'at least one mark',
      'Name the marks, or remove the key to take those of the drawing.',
    );
  }
  return marks;
};

const readReadings = (
  field: Field,
  jobPath: string,
  files: Files,
  positions: Map<string, Where>,
): readonly JobReading[] => {
  if (isMapping(field)) {
    const readings = [...entries(field, '')].map(([mark, entry]): JobReading => {
      const where = whereOf(entry);
      positions.set(entry.key, where);
      return { mark, ...readDirected(entry), ...(where.line === undefined ? {} : { line: where.line }) };
    });
    if (readings.length > 0) return readings;
    throw refused(field, 'at least one reading', 'Write "mark: [x, y]" for each mark that was read.');
  }
  const what = 'a mapping of marks, each with [x, y], or the path of a table';
  if (isList(field))
    throw refused(field, what, 'Write the name of its mark before each reading: "A: [112.42, 96.10]".');
  const written = path(field, what, ['csv', 'txt']);
  const bytes = files.read(written);
  const file = besideJob(jobPath, written);
  if (!bytes) {
    throw new InputError({
      found: `no file ${file}`,
      expected: 'the table of readings that the job names',
      where: whereOf(field),
      next: whereMissing(files, written, ['csv', 'txt'], 'readings'),
    });
  }
  const readings = readReadingsTable(decodeText(bytes, file), file);
  for (const { mark, line } of readings) {
    const key = `readings.${mark}`;
    positions.set(key, { file, ...(line === undefined ? {} : { line }), element: key });
  }
  return readings;
};

const readWitness = (field: Field, note: (field: Field) => void): WitnessReading[] =>
  items(
    field,
    'a list of {point: ..., reading: [x, y]}',
    'Write - {point: NAME or [x, y], reading: [x, y]} for each witness point, on a line of its own.',
  ).map((item): WitnessReading => {
    const keys = knownEntries(item, ['point', 'reading', 'direction']);
    const next = 'Write {point: NAME or [x, y], reading: [x, y]} for each witness point.';
    const place = required(item, keys.point, 'point', next);
    const reading = required(item, keys.reading, 'reading', next);
    note(place);
    note(reading);
    const what = 'a design position [x, y] in mm, or the name of a mark or shape';
    const typed = isList(place) || isMapping(place);
    return {
      point: typed ? { at: point(place, what) } : { name: text(place, what) },
      ...readFrom(reading, keys.direction),
    };
  });

const readFit = (field: Field | undefined, machine: Machine): Job['fit'] => {
  const keys = field ? knownEntries(field, fitKeys) : {};
  const ownSd = keys['reading-sd'] ? number(keys['reading-sd'], bounds['fit.reading-sd']) : undefined;
  const readingSd = ownSd ?? machine.readingSd;
  const ownDof = keys['reading-sd-dof']
    ? number(keys['reading-sd-dof'], bounds['fit.reading-sd-dof'])
    : undefined;
  if (keys['reading-sd-dof'] && readingSd === undefined) {
    throw refused(
      keys['reading-sd-dof'],
      '"reading-sd" beside it',
      'State the reading-sd that these degrees of freedom belong to.',
    );
  }
  // The machine's degrees of freedom belong to the machine's figure, not to one the job puts in its
  // place.
  const readingSdDof = ownDof ?? (ownSd === undefined ? machine.readingSdDof : undefined);
  const displayStep = keys['display-step'] ? readDisplayStep(keys['display-step']) : machine.displayStep;
  return {
    model: keys.model ? word(keys.model, models) : 'rigid',
    modelStated: keys.model !== undefined,
    ...(readingSd === undefined ? {} : { readingSd }),
    ...(readingSdDof === undefined ? {} : { readingSdDof }),
    markSd: keys['mark-sd'] ? number(keys['mark-sd'], bounds['fit.mark-sd']) : 0,
    ...(keys['mark-sd'] ? { markSdStated: true } : {}),
    ...(keys.approach ? { approach: readArrival(keys.approach) } : {}),
    ...(displayStep === undefined ? {} : { displayStep }),
    ...habitOfEye(keys, machine),
  };
};

/**
 * The display shows half the reversal more on arrival with rising figures, half of it less with
 * falling ones.
 */
const withLead = (machine: Machine, approach: Job['fit']['approach']): Machine => {
  const [x, y] = (machine.reversal ?? [0, 0]).map((r, axis) => {
    const side = approach?.[axis];
    return typeof side === 'number' ? (side * r) / 2 : 0;
  }) as [number, number];
  return x === 0 && y === 0 ? machine : { ...machine, pointerLead: { x, y } };
};

const readPierced = (field: Field | undefined, kind: CutKind): Job['pierced'] => {
  const keys = field ? knownEntries(field, ['kerf', 'compensated']) : {};
  const compensated = keys.compensated ? flag(keys.compensated) : !keys.kerf;
  if (keys.compensated && !compensated && !keys.kerf) {
    throw refused(
      keys.compensated,
      '"kerf" beside it',
      'State the kerf of the cut that pierced the panel, or remove the key.',
    );
  }
  if (kind === 'as-drawn' && keys.compensated && compensated && keys.kerf) {
    throw refused(
      keys.compensated,
      'a first cut that ran along the drawn line, for "cut: {kind: as-drawn}" runs along it again',
      'Draw the line that the beam ran along, or remove "pierced" if it ran along the drawn one.',
    );
  }
  return { kerf: keys.kerf ? number(keys.kerf, bounds['pierced.kerf']) : 0, compensated };
};

const readCut = (
  field: Field | undefined,
  machine: Machine,
  note: (field: Field | undefined) => void,
): Job['cut'] => {
  const keys = field ? knownEntries(field, cutKeys) : {};
  note(keys.clearance);
  note(keys.kerf);
  const kind = keys.kind ? word(keys.kind, ['opening', 'inlay', 'as-drawn'], kindWords, kindHint) : 'opening';
  const asDrawn = kind === 'as-drawn';
  if (asDrawn) refuseBesideAsDrawn(keys);
  return {
    kind,
    clearance: asDrawn
      ? 0
      : keys.clearance
        ? number(keys.clearance, bounds['cut.clearance'])
        : jobDefaults.clearance,
    kerf: asDrawn ? 0 : keys.kerf ? number(keys.kerf, bounds['cut.kerf']) : (machine.kerf ?? 0),
    corners: keys.corners ? word(keys.corners, ['mitre', 'round']) : 'mitre',
    mitreLimit: keys['mitre-limit']
      ? number(keys['mitre-limit'], bounds['cut.mitre-limit'])
      : jobDefaults.mitreLimit,
    tolerance: keys.tolerance ? number(keys.tolerance, bounds['cut.tolerance']) : jobDefaults.tolerance,
    smallestLand: keys['smallest-land']
      ? number(keys['smallest-land'], bounds['cut.smallest-land'])
      : jobDefaults.smallestLand,
    apply: keys.apply ? word(keys.apply, ['full', 'rigid', 'shift']) : 'full',
  };
};

const readCheck = (
  field: Field | undefined,
  machine: Machine,
  kind: CutKind,
  pointingSd = 0,
): Job['check'] => {
  const keys = field ? knownEntries(field, checkKeys) : {};
  const allowed = keys['allowed-deviation'];
  if (allowed && kind !== 'as-drawn') refuseDeviationAllowed(allowed);
  const cutSd = keys['cut-sd'] ? number(keys['cut-sd'], bounds['check.cut-sd']) : machine.cutSd;
  const kerfSd = keys['kerf-sd'] ? number(keys['kerf-sd'], bounds['check.kerf-sd']) : machine.kerfSd;
  return {
    acceptedRisk: keys['accepted-risk']
      ? number(keys['accepted-risk'], bounds['check.accepted-risk'])
      : jobDefaults.acceptedRisk,
    cutSd: Math.hypot(cutSd ?? 0, machine.beamOffsetSd ?? 0, pointingSd),
    kerfSd: kerfSd ?? 0,
    stated: { cutSd: cutSd !== undefined, kerfSd: kerfSd !== undefined },
    ...(keys['edge-sd'] ? { edgeSd: number(keys['edge-sd'], bounds['check.edge-sd']) } : {}),
    ...(keys.bow ? { bow: number(keys.bow, bounds['check.bow']) } : {}),
    ...(keys['size-change'] ? { sizeChange: number(keys['size-change'], bounds['check.size-change']) } : {}),
    ...(allowed ? { allowedDeviation: number(allowed, bounds['check.allowed-deviation']) } : {}),
  };
};
