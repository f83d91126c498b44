/**
 * Where the beam burns, seen from where the pointer looks: dots burnt at commanded display positions and read back
 * with the pointer. The beam burns at the displayed position plus the offset (frames.ts), so each dot gives
 * offset = reading - commanded, along the display's own axes.
 *
 * Every dot counts once, as the mean of its readings: its own error does not average out over them.
 */

import { consistencyLevel } from '../../fit/solve/uncertainty.js';
import type { Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { roundingSd, sdBeforeRounding, sharedRounding } from '../../numeric/display-rounding.js';
import { fCdf } from '../../numeric/distributions.js';
import { type Estimate, normalSd, withLimits } from '../estimate.js';
import { micrometre, type Proposal, threeDigits } from '../proposal.js';
import { displayStep, mean, outliersAmong, type Spread, scatterWithin, spreadOf } from '../spread.js';
import { beamMistakes } from './beam-mistakes.js';
import type { BurntDot } from './measurements.js';
import { dotsBurnt, readFrom } from './sides.js';

export interface BeamCalibration {
  readonly x: Estimate;
  readonly y: Estimate;
  readonly dots: readonly { readonly dot: BurntDot; readonly offset: Point; readonly residual: Point }[];
  /** Of one dot about the mean offset, both axes together; absent for a single dot. */
  readonly spread?: Spread;
  /** The spread against the profile's reading-sd; absent without either. */
  readonly againstReading?: {
    /** What reading the dots alone would make it, mm. */
    readonly expected: number;
    readonly pValue: number;
    readonly explained: boolean;
    /**
     * What reading leaves unexplained, one sd per axis: how far the same cut lands elsewhere. Absent where it is
     * explained, and where a mistake makes the spread.
     */
    readonly cutSd?: number;
  };
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

export type BeamMachine = Pick<Machine, 'readingSd' | 'readingSdDof' | 'cutSd' | 'reversal'> & {
  readonly beamOffset?: Point;
};

/** Fewer figures than this may all be whole multiples of a step by chance. */
const fewestForStep = 4;
/** Beyond this dots do not belong to one offset, mm; common practice, no source. */
const largestSpread = 2;

/**
 * The mean offset over the dots.
 * @param machine what the profile knows so far: its offset is 0, 0 or absent where nobody measured it
 * @param axes those the dots were sent for; undefined where nobody states them
 */
export const calibrateBeam = (
  dots: readonly BurntDot[],
  machine: BeamMachine,
  axes?: Machine['axes'],
): BeamCalibration => {
  const { readingSd, readingSdDof } = machine;
  const sides = readFrom(dots, machine.reversal);
  const burnt = dotsBurnt(dots);
  const offsets = sides.offsets;
  const centre = { x: mean(offsets.map((o) => o.x)), y: mean(offsets.map((o) => o.y)) };
  const groups = { x: [offsets.map((o) => o.x)], y: [offsets.map((o) => o.y)] };
  const scatter = { x: scatterWithin(groups.x), y: scatterWithin(groups.y) };
  const degrees = scatter.x.degrees + scatter.y.degrees;
  const spread =
    degrees === 0 ? undefined : spreadOf(scatter.x.sumOfSquares + scatter.y.sumOfSquares, degrees);
  // Variance of a dot's mean by reading alone, averaged over the dots.
  const byReading =
    readingSd === undefined ? undefined : mean(dots.map((d) => readingSd ** 2 / d.readings.length));
  const step = stepOf(dots);
  const ofMean = meanSd(dots, spread, byReading, machine.cutSd, step);
  const estimate = (value: number): Estimate =>
    ofMean === undefined
      ? { value }
      : withLimits(value, ofMean, spread === undefined ? readingSdDof : spread.degrees);
  const x = estimate(centre.x);
  const offsetSd = threeDigits(normalSd(x) ?? 0);
  const outliers = (['x', 'y'] as const).flatMap((axis) =>
    outliersAmong(groups[axis], 2 * dots.length, step ?? 0).map((o) => ({ ...o, axis })),
  );
  const mistakes = beamMistakes(dots, offsets, spread, { offset: machine.beamOffset, axes });
  const isUnlikely = spread !== undefined && spread.sd > largestSpread;
  const againstReading =
    spread === undefined || byReading === undefined
      ? undefined
      : compare(spread, byReading, readingSdDof, mistakes.length === 0 && !isUnlikely);
  const isKnown = offsetSd > 0 && !isUnlikely;
  return {
    x,
    y: estimate(centre.y),
    dots: dots.map((dot, i) => {
      const offset = offsets[i]!;
      return { dot, offset, residual: { x: offset.x - centre.x, y: offset.y - centre.y } };
    }),
    ...(spread === undefined ? {} : { spread }),
    ...(againstReading === undefined ? {} : { againstReading }),
    warnings: [
      ...mistakes,
      // A mistake that explains the spread is the cause, and is all there is to mend.
      ...(isUnlikely && mistakes.length === 0 ? [unlikelySpread(spread.sd)] : []),
      ...(mistakes.length > 0 || isUnlikely
        ? []
        : outliers.map(({ index, axis, deviation, pValue }): Warning => {
            const suspects = index === undefined ? dots : [dots[index]!];
            return {
              code: 'suspect-reading',
              marks: suspects.map((d) => d.name),
              message: `Dot ${suspects.map((d) => d.name).join(' or dot ')} lies ${Math.abs(deviation).toFixed(3)} mm off the others in ${axis}, farther than they lead to expect (Grubbs, ${pValue < 0.001 ? 'less than 0.001' : pValue.toFixed(3)} by chance). Read it again.`,
            };
          })),
      ...(spread === undefined ? [single(ofMean !== undefined)] : []),
      ...sides.warnings,
      ...burnt.warnings,
    ],
    proposal: isUnlikely
      ? { part: 'beam', set: {}, remove: [] }
      : {
          part: 'beam',
          set: {
            'beam-offset': [micrometre(centre.x), micrometre(centre.y)],
            // Both axes have the same sd: that of the dots pooled.
            ...(isKnown ? { 'beam-offset-sd': offsetSd } : {}),
            ...(sides.value === undefined ? {} : { 'beam-offset-approach': sides.value }),
            ...(burnt.value === undefined ? {} : { 'beam-offset-dots': burnt.value }),
          },
          remove: [
            ...(isKnown ? [] : ['beam-offset-sd']),
            ...(sides.value === undefined ? ['beam-offset-approach'] : []),
            ...(burnt.value === undefined ? ['beam-offset-dots'] : []),
          ],
        },
  };
};

const stepOf = (dots: readonly BurntDot[]): number | undefined => {
  const figures = dots.flatMap((d) => d.readings.flatMap((r) => [r.x, r.y]));
  return figures.length < fewestForStep ? undefined : displayStep(figures);
};

/**
 * sd of the mean offset per axis. One dot shows nothing of how far the machine lands elsewhere, so it takes the
 * profile's cut-sd as well, and claims nothing without.
 */
const meanSd = (
  dots: readonly BurntDot[],
  spread: Spread | undefined,
  byReading: number | undefined,
  cutSd: number | undefined,
  step: number | undefined,
): number | undefined => {
  if (spread === undefined)
    return byReading === undefined || cutSd === undefined ? undefined : Math.sqrt(byReading + cutSd ** 2);
  const plain = spread.sd / Math.sqrt(dots.length);
  if (step === undefined) return plain;
  const isWhole = (value: number): boolean => Math.abs(value / step - Math.round(value / step)) < 1e-6;
  // Sent to whole steps, all dots are rounded alike, and their mean is out by that.
  if (dots.every(({ commanded: { x, y } }) => isWhole(x) && isWhole(y)))
    return Math.hypot(plain, Math.sqrt(sharedRounding(sdBeforeRounding(spread.sd, step), step)));
  return Math.max(plain, roundingSd(step) / Math.sqrt(dots.length));
};

const unlikelySpread = (sd: number): Warning => ({
  code: 'unlikely-sd',
  message: `The dots would scatter by ${sd.toFixed(1)} mm (one sd), so they do not belong to one offset. Nothing of this is written; see whether each row holds the dot it names, and x and y in their columns.`,
});

const compare = (
  spread: Spread,
  byReading: number,
  readingDegrees: number | undefined,
  isSound: boolean,
): NonNullable<BeamCalibration['againstReading']> => {
  const ratio = spread.sd ** 2 / byReading;
  const pValue = Math.max(0, 1 - fCdf(ratio, spread.degrees, readingDegrees));
  const explained = pValue >= consistencyLevel;
  return {
    expected: Math.sqrt(byReading),
    pValue,
    explained,
    ...(explained || !isSound ? {} : { cutSd: Math.sqrt(spread.sd ** 2 - byReading) }),
  };
};

const single = (isKnown: boolean): Warning => ({
  code: 'no-redundancy',
  message: `One dot is checked by nothing, and shows nothing of how far the same cut lands elsewhere${isKnown ? "; its sd is that of reading it and the profile's cut-sd" : ', so no sd can be stated'}. Burn five, spread over the bed.`,
});
