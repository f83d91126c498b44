/** One part of a machine measured: from a file of measurements to figures, and to the text of the profile. */
import type { FitFailure } from '../fit/fit.js';
import type { Machine, MachinePart } from '../job/job.js';
import type { Warning, WarningCode } from '../job/messages.js';
import { plainMachine, readProfileText } from '../job/read/read-machine.js';
import { type BeamCalibration, calibrateBeam } from './parts/beam.js';
import { type BedCalibration, calibrateBed } from './parts/bed.js';
import { calibrateKerf, type KerfCalibration } from './parts/kerf.js';
import { calibratePointer, type PointerCalibration } from './parts/pointer.js';
import type { Rule } from './parts/rule.js';
import { type UpdatedProfile, updateProfile } from './profile.js';
import { readBeamData } from './tables/read-beam.js';
import { readBedData } from './tables/read-bed.js';
import { readKerfData } from './tables/read-kerf.js';
import { readPointerData } from './tables/read-pointer.js';
import type { DataSource } from './tables/rows.js';

export type PartResult =
  | { readonly part: 'pointer'; readonly found: PointerCalibration }
  | { readonly part: 'bed'; readonly found: BedCalibration }
  | { readonly part: 'kerf'; readonly found: KerfCalibration }
  | { readonly part: 'beam'; readonly found: BeamCalibration };

export interface CalibrateOptions {
  /** The profile to write into; text undefined: it is to be made. */
  readonly profile?: { readonly path: string; readonly text?: string };
  /** ISO date of the measurement; needed with a profile. */
  readonly date?: string;
  /** sd of one length or width, mm, for rows that state none (`bed` and `kerf`). */
  readonly sd?: number;
  /** Write although the measurements are in doubt. */
  readonly force?: boolean;
  /** What the lengths of `bed` were measured with. */
  readonly rule?: Rule;
}

/** Warnings that speak against putting the figures to use. */
const doubtful: readonly WarningCode[] = [
  'suspect-reading',
  'lengths-disagree',
  'unlikely-scale',
  'unlikely-sd',
  'columns-exchanged',
  'axes-turned',
];

export const isDoubtful = (warnings: readonly Warning[]): boolean =>
  warnings.some((w) => doubtful.includes(w.code));

export type Calibrated =
  | { readonly ok: false; readonly failure: FitFailure }
  | {
      readonly ok: true;
      /** Path of the measurements as given. */
      readonly data: string;
      readonly result: PartResult;
      /** Rows of the form that were left blank. */
      readonly blank: number;
      /** A profile is named, but the measurements are in doubt and writing was not forced. */
      readonly withheld: boolean;
      /** What to write into the profile, where one is named. */
      readonly updated?: UpdatedProfile & {
        readonly path: string;
        readonly date: string;
        readonly isNew: boolean;
      };
    };

/**
 * Reads the measurements and works them out; with a profile, makes its new text. Nothing is written here.
 * @throws InputError for wrong measurements or a profile that cannot be written into
 */
export const calibrate = (
  part: MachinePart,
  data: DataSource,
  { profile, date, sd, force = false, rule }: CalibrateOptions = {},
): Calibrated => {
  const before = profile?.text === undefined ? undefined : readProfileText(profile.path, profile.text);
  const measured = measure(part, data, before, { sd, rule, path: profile?.path });
  if ('failure' in measured) return { ok: false, failure: measured.failure };
  const { warnings, proposal } = measured.result.found;
  // What cannot be is not written by force either: there is nothing to write.
  const isNothing = Object.keys(proposal.set).length === 0;
  // A single dot of which no sd can be stated would count as perfect.
  const isUnsure = measured.result.part === 'beam' && measured.result.found.x.sd === undefined;
  const withheld = profile !== undefined && (isNothing || (!force && (isUnsure || isDoubtful(warnings))));
  const done = { ok: true, data: data.path, ...measured, withheld } as const;
  if (profile === undefined || withheld) return done;
  if (date === undefined)
    throw new RangeError('a profile is to be written without the date of the measurement');
  const updated = updateProfile(profile, measured.result.found.proposal, date);
  return { ...done, updated: { ...updated, path: profile.path, date, isNew: profile.text === undefined } };
};

type Measured = { readonly failure: FitFailure } | { readonly result: PartResult; readonly blank: number };

const measure = (
  part: MachinePart,
  data: DataSource,
  before: Machine | undefined,
  {
    sd,
    rule,
    path,
  }: { readonly sd: number | undefined; readonly rule: Rule | undefined; readonly path: string | undefined },
): Measured => {
  const machine = before ?? plainMachine;
  const profile = path === undefined ? undefined : { axes: machine.axes, path };
  switch (part) {
    case 'pointer': {
      const { readings, blank } = readPointerData(data);
      return { result: { part, found: calibratePointer(readings, data.path) }, blank };
    }
    case 'bed': {
      const { lengths, blank } = readBedData(data, {
        ...(profile === undefined ? {} : { profile }),
        ...(sd === undefined ? {} : { sd }),
      });
      const known = before?.bedMap;
      // The map of a profile that has none is that of a true bed; nobody has measured that.
      const outcome = calibrateBed(lengths, {
        ...(known && !isTrueBed(known) ? { before: known } : {}),
        ...(rule === undefined ? {} : { rule }),
      });
      return outcome.ok ? { result: { part, found: outcome.bed }, blank } : { failure: outcome.failure };
    }
    case 'kerf': {
      const { measurements, blank } = readKerfData(data, sd);
      return { result: { part, found: calibrateKerf(measurements, data.path) }, blank };
    }
    case 'beam': {
      const { dots, blank, axes } = readBeamData(data, profile);
      return { result: { part, found: calibrateBeam(dots, machine, axes) }, blank };
    }
  }
};

const isTrueBed = ({ scale, skew }: Machine['bedMap']): boolean =>
  scale[0] === 1 && scale[1] === 1 && skew === 0;
