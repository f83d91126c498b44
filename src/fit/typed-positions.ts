/** Whether the readings agree with marks at other positions than the typed ones. */
import { apply, type Matrix } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import { adjust } from './adjust.js';
import type { Fit, FitOptions, Observation } from './fit.js';

/** A fit that is less probable than this does not explain the readings. */
const explainsAbove = 0.001;
/** Where no sd is stated the marks must agree to this, mm rms. Common practice, no source. */
const agreesWithin = 1.5;

/** @param face of the job: typed positions are those before it */
export const atPositions = (
  observations: readonly Observation[],
  places: ReadonlyMap<string, Point>,
  face: Matrix,
): Observation[] =>
  observations.map((o) => {
    const at = places.get(o.mark);
    return at === undefined ? o : { ...o, design: apply(face, at) };
  });

/** The fit with marks at other positions, where that explains the readings; undefined where it does not. */
export const explained = (observations: readonly Observation[], options: FitOptions): Fit | undefined => {
  const outcome = adjust(observations, options);
  if (!outcome.ok || outcome.fit.redundancy === 0) return undefined;
  const { consistency, rms } = outcome.fit;
  const agrees =
    options.readingSd === undefined
      ? rms <= agreesWithin
      : consistency === undefined || consistency.pValue >= explainsAbove;
  return agrees ? outcome.fit : undefined;
};
