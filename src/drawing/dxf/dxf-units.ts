/** How long a unit of a DXF drawing is. */

import type { LengthUnit } from '../../job/job.js';
import type { InputError, Warning } from '../../job/messages.js';
import { millimetresIn } from '../model/units.js';
import type { DxfFile } from './entity-list.js';
import { fault, type Tags } from './tags/tags.js';

interface StatedUnit {
  readonly name: string;
  readonly millimetres: number;
}

/** The US survey foot of 1200/3937 m (NIST Special Publication 811, appendix B.6, from memory). */
const surveyFoot = 1_200_000 / 3937;

/**
 * $INSUNITS as in the published DXF reference, from memory; 0 is "no unit". Units of astronomy (18
 * to 20) are refused.
 */
const insertUnits: ReadonlyMap<number, StatedUnit> = new Map([
  [1, { name: 'in', millimetres: millimetresIn.in }],
  [2, { name: 'ft', millimetres: millimetresIn.ft }],
  [3, { name: 'miles', millimetres: 5280 * millimetresIn.ft }],
  [4, { name: 'mm', millimetres: 1 }],
  [5, { name: 'cm', millimetres: millimetresIn.cm }],
  [6, { name: 'm', millimetres: millimetresIn.m }],
  [7, { name: 'km', millimetres: 1e6 }],
  [8, { name: 'microinches', millimetres: 1e-6 * millimetresIn.in }],
  [9, { name: 'mil', millimetres: millimetresIn.mil }],
  [10, { name: 'yards', millimetres: 3 * millimetresIn.ft }],
  [11, { name: 'angstroms', millimetres: 1e-7 }],
  [12, { name: 'nm', millimetres: 1e-6 }],
  [13, { name: 'um', millimetres: millimetresIn.um }],
  [14, { name: 'dm', millimetres: 100 }],
  [15, { name: 'decametres', millimetres: 1e4 }],
  [16, { name: 'hectometres', millimetres: 1e5 }],
  [21, { name: 'US survey feet', millimetres: surveyFoot }],
  [22, { name: 'US survey inches', millimetres: surveyFoot / 12 }],
  [23, { name: 'US survey yards', millimetres: 3 * surveyFoot }],
  [24, { name: 'US survey miles', millimetres: 5280 * surveyFoot }],
]);

export interface DxfUnits {
  /** The unit the file states, or the one the job supplied. */
  readonly name: string;
  /** Of one unit of the drawing. */
  readonly millimetres: number;
  readonly warnings: readonly Warning[];
}

/**
 * @param units the job's word, which wins over the file's
 * @throws InputError where neither says how long a unit is
 */
export const dxfUnits = (file: DxfFile, tags: Tags, units: LengthUnit | undefined): DxfUnits => {
  const stated = file.units === undefined ? undefined : insertUnits.get(file.units.code);
  if (units === undefined) {
    if (stated === undefined) throw unknownUnits(file, tags);
    return { ...stated, warnings: [] };
  }
  const millimetres = millimetresIn[units];
  const same = stated === undefined || Math.abs(stated.millimetres / millimetres - 1) <= 1e-9;
  return {
    name: units,
    millimetres,
    warnings: same ? [] : [unitsOverridden(stated, units, millimetres)],
  };
};

const figure = (value: number): string => Number(value.toPrecision(6)).toString();

const unitsOverridden = (stated: StatedUnit, units: LengthUnit, millimetres: number): Warning => ({
  code: 'units-overridden',
  message:
    `The drawing states its unit as ${stated.name} ($INSUNITS), which is ${figure(stated.millimetres)} mm; ` +
    `the job says units: ${units}, and so a unit is taken as ${figure(millimetres)} mm.`,
});

const unknownUnits = (file: DxfFile, tags: Tags): InputError => {
  const { units, extent } = file;
  const size =
    extent === undefined ? '' : `; it is ${figure(extent.width)} x ${figure(extent.height)} of them large`;
  const what =
    units === undefined
      ? 'a drawing that does not say how long its units are (no $INSUNITS)'
      : units.code === 0
        ? 'a drawing that has no unit ($INSUNITS 0)'
        : `$INSUNITS ${units.code}, which is no unit that a drawing for a machine has`;
  return fault(
    tags,
    what + size,
    'a unit of length in its header ($INSUNITS: 4 for mm, 1 for inches)',
    'Say how long its units are ("units: mm" in the job, --units mm for "list"), or export the drawing with its units.',
    units?.at ?? 0,
  );
};
