/**
 * Where the beam burns, seen from where the pointer looks: dots burnt at commanded display positions and read back
 * with the pointer. The beam burns at the displayed position plus the offset (frames.ts), so each dot gives
 * offset = reading - commanded, along the display's own axes.
 *
 * Every dot counts once, as the mean of its readings: its own error does not average out over them.
 */
import { consistencyLevel } from '../fit/uncertainty.js';
import type { Point } from '../geometry/point.js';
import type { Machine } from '../job/job.js';
import type { Warning, Where } from '../job/messages.js';
import { fCdf } from '../numeric/distributions.js';
import { type Estimate, normalSd, withLimits } from './estimate.js';
import { micrometre, type Proposal, threeDigits } from './proposal.js';
import { mean, outliersAmong, type Spread, scatterWithin, spreadOf } from './spread.js';

export interface BurntDot {
  readonly name: string;
  /** Display coordinates sent to the machine, mm. */
  readonly commanded: Point;
  /** Display coordinates read over the dot, mm; one or more. */
  readonly readings: readonly Point[];
  readonly where: Where;
}

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
    /** What reading leaves unexplained, one sd per axis: how far the same cut lands elsewhere. */
    readonly cutSd?: number;
  };
  readonly warnings: readonly Warning[];
  readonly proposal: Proposal;
}

/**
 * The mean offset over the dots.
 * @param machine its reading-sd, where the profile knows it
 */
export const calibrateBeam = (
  dots: readonly BurntDot[],
  { readingSd, readingSdDof }: Pick<Machine, 'readingSd' | 'readingSdDof'>,
): BeamCalibration => {
  const offsets = dots.map(
    ({ commanded, readings }): Point => ({
      x: mean(readings.map((r) => r.x - commanded.x)),
      y: mean(readings.map((r) => r.y - commanded.y)),
    }),
  );
  const centre = { x: mean(offsets.map((o) => o.x)), y: mean(offsets.map((o) => o.y)) };
  const groups = { x: [offsets.map((o) => o.x)], y: [offsets.map((o) => o.y)] };
  const scatter = { x: scatterWithin(groups.x), y: scatterWithin(groups.y) };
  const degrees = scatter.x.degrees + scatter.y.degrees;
  const spread =
    degrees === 0 ? undefined : spreadOf(scatter.x.sumOfSquares + scatter.y.sumOfSquares, degrees);
  // Variance of a dot's mean by reading alone, averaged over the dots.
  const byReading =
    readingSd === undefined ? undefined : mean(dots.map((d) => readingSd ** 2 / d.readings.length));
  const estimate = (value: number): Estimate => {
    if (spread !== undefined) return withLimits(value, spread.sd / Math.sqrt(dots.length), spread.degrees);
    return byReading === undefined ? { value } : withLimits(value, Math.sqrt(byReading), readingSdDof);
  };
  const x = estimate(centre.x);
  const offsetSd = threeDigits(normalSd(x) ?? 0);
  const againstReading =
    spread === undefined || byReading === undefined ? undefined : compare(spread, byReading, readingSdDof);
  const outliers = (['x', 'y'] as const).flatMap((axis) =>
    outliersAmong(groups[axis], 2 * dots.length).map((o) => ({ ...o, axis })),
  );
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
      ...outliers.flatMap(({ index, axis, deviation, pValue }): Warning[] => {
        const suspects = index === undefined ? dots : [dots[index]!];
        return [
          {
            code: 'suspect-reading',
            marks: suspects.map((d) => d.name),
            message: `Dot ${suspects.map((d) => d.name).join(' or dot ')} lies ${Math.abs(deviation).toFixed(3)} mm off the others in ${axis}, farther than they lead to expect (Grubbs, ${pValue < 0.001 ? 'less than 0.001' : pValue.toFixed(3)} by chance). Read it again.`,
          },
        ];
      }),
      ...(spread === undefined ? [single(byReading !== undefined)] : []),
    ],
    proposal: {
      part: 'beam',
      set: {
        'beam-offset': [micrometre(centre.x), micrometre(centre.y)],
        // Both axes have the same sd: that of the dots pooled.
        ...(offsetSd > 0 ? { 'beam-offset-sd': offsetSd } : {}),
      },
      remove: offsetSd > 0 ? [] : ['beam-offset-sd'],
    },
  };
};

const compare = (
  spread: Spread,
  byReading: number,
  readingDegrees: number | undefined,
): NonNullable<BeamCalibration['againstReading']> => {
  const ratio = spread.sd ** 2 / byReading;
  const pValue = Math.max(0, 1 - fCdf(ratio, spread.degrees, readingDegrees));
  const explained = pValue >= consistencyLevel;
  return {
    expected: Math.sqrt(byReading),
    pValue,
    explained,
    ...(explained ? {} : { cutSd: Math.sqrt(spread.sd ** 2 - byReading) }),
  };
};

const single = (readingKnown: boolean): Warning => ({
  code: 'no-redundancy',
  message: `One dot is checked by nothing${readingKnown ? ', and its sd is that of reading it alone' : ''}. Burn five, spread over the bed.`,
});
