/**
 * What an error of the bed map does to a part that is read and cut through it.
 *
 * Through a map that is out by the strain G a mark at p is taken to lie at p + G p; the fit moves along with that as
 * far as its model can, by dT; and what is then sent back through the same map burns at T + dT - G T. So the cut misses
 * the edge at p by
 *
 *     d(p) = dT(T^-1 p) - G p
 *
 * to first order: nothing where the model absorbs the strain (an affine fit), all of it but a turn and a shift where
 * the model is rigid. The part itself counts as drawn: one pierced on the same bed, lying the same way, carries the
 * same strain and is missed by less.
 */
import { compose, invert, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import type { TouchReadings } from '../../marks/touches.js';
import { adjust } from '../adjust.js';
import type { Fit, FitOptions, Observation } from '../fit.js';
import type { TouchContext } from '../touches/touch-words.js';

export interface ReadPart {
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  readonly options: FitOptions;
  readonly context?: TouchContext;
  readonly fit: Fit;
}

/** p -> displacement of readings on the bed, mm, for each figure of the map that is out by one sd; none without sds. */
export const strainsOf = ({ bedMap, bedMapSd }: Pick<Machine, 'bedMap' | 'bedMapSd'>): Matrix[] =>
  bedMapSd === undefined ? [] : strains(bedMap, bedMapSd);

/**
 * Displacements of bed points, mm, p -> d(p), one for each figure of the map that is out by one sd; they are
 * independent of each other. None where the profile says nothing of its sds.
 */
export const mapErrors = (
  part: ReadPart,
  { bedMap, bedMapSd }: Pick<Machine, 'bedMap' | 'bedMapSd'>,
): Matrix[] => {
  if (bedMapSd === undefined) return [];
  return strains(bedMap, bedMapSd).map((strain) => {
    const moved = movedBy(part, strain);
    return difference(moved, strain);
  });
};

/**
 * G = dM M^-1 for each figure of the map M (frames.ts) and its sd: x' = x + a x + c y, y' = y + b x + d y, about the
 * display's origin.
 */
const strains = ({ scale, skew }: Machine['bedMap'], sd: NonNullable<Machine['bedMapSd']>): Matrix[] => {
  const tan = Math.tan(skew);
  const [x, y] = [sd.scale[0] / scale[0], sd.scale[1] / scale[1]];
  return [
    [x, 0, x * tan, 0, 0, 0],
    [0, 0, -y * tan, y, 0, 0],
    [0, 0, -sd.skew, -sd.skew * tan, 0, 0],
  ];
};

/** How the fit moves, as a displacement of bed points, when every reading moves by a strain. */
const movedBy = ({ observations, touches, options, context = {}, fit }: ReadPart, g: Matrix): Matrix => {
  const strained = ({ x, y }: Point): Point => ({ x: x + g[0] * x + g[2] * y, y: y + g[1] * x + g[3] * y });
  const outcome = adjust(
    observations.map((o) => ({ ...o, readings: o.readings.map(strained) })),
    options,
    touches.map((t) => ({ ...t, readings: t.readings.map(strained) })),
    { ...context, near: fit },
  );
  const back = invert(fit.matrix);
  // A fit that is lost by a hair more or less absorbs nothing that could be relied upon.
  if (!outcome.ok || back === undefined) return [0, 0, 0, 0, 0, 0];
  return compose(difference(outcome.fit.matrix, fit.matrix), back);
};

const difference = (a: Matrix, b: Matrix): Matrix => [
  a[0] - b[0],
  a[1] - b[1],
  a[2] - b[2],
  a[3] - b[3],
  a[4] - b[4],
  a[5] - b[5],
];
