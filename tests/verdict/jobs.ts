/** Fits and jobs for the tests of the verdict. */

import type { Shape } from '../../src/drawing/model/drawing.js';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { apply, compose, identity, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Model } from '../../src/job/job.js';
import { createRandom } from '../../src/numeric/random.js';
import { type CheckInput, checkFit } from '../../src/verdict/check.js';
import type { Check } from '../../src/verdict/check-result.js';
import { rectangle } from './shapes.js';

export const panelMarks: readonly Point[] = [
  { x: 20, y: 20 },
  { x: 580, y: 380 },
  { x: 580, y: 20 },
  { x: 20, y: 380 },
];

/** A panel turned by 30 degrees. */
export const turned: Matrix = compose(translation(300, 120), rotation(Math.PI / 6));

export interface Readings {
  readonly marks?: readonly Point[];
  readonly truth?: Matrix;
  /** sd of the simulated errors, mm; 0: exact. */
  readonly errors?: number;
  readonly seed?: string;
}

export const readingsOf = ({
  marks = panelMarks,
  truth = turned,
  errors = 0,
  seed = 'readings',
}: Readings = {}): Observation[] => {
  const random = createRandom(seed);
  return marks.map((design, i) => {
    const at = apply(truth, design);
    return {
      mark: 'ABCDEFGH'[i]!,
      design,
      readings: [{ x: at.x + errors * random.normal(), y: at.y + errors * random.normal() }],
    };
  });
};

export const fitOf = (observations: readonly Observation[], options: Partial<FitOptions> = {}): Fit => {
  const outcome = adjust(observations, { model: 'rigid', markSd: 0, ...options });
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

/** A fit of the panel's marks with a known sd of 0.1 mm. */
export const knownFit = (model: Model = 'rigid', readings: Readings = {}): Fit =>
  fitOf(readingsOf(readings), { model, readingSd: 0.1 });

export const twoOpenings: readonly Shape[] = [
  rectangle('near', 260, 180, 60, 30),
  rectangle('far', 480, 300, 70, 40),
];

/** A whole check; what is not given is an ordinary job. */
export const checkOf = (
  change: {
    readonly observations?: readonly Observation[];
    readonly options?: Partial<FitOptions>;
    readonly openings?: readonly Shape[];
    readonly cut?: Partial<CheckInput['cut']>;
    readonly check?: Partial<CheckInput['check']>;
    readonly rest?: Partial<CheckInput>;
  } = {},
): Check => {
  const observations = change.observations ?? readingsOf();
  const options: FitOptions = { model: 'rigid', markSd: 0, readingSd: 0.1, ...change.options };
  return checkFit({
    fit: fitOf(observations, options),
    observations,
    options,
    openings: change.openings ?? twoOpenings,
    face: 'up',
    pierced: { kerf: 0, compensated: true },
    cut: {
      kind: 'opening',
      clearance: 0.3,
      kerf: 0,
      corners: 'mitre',
      mitreLimit: 4,
      apply: 'full',
      ...change.cut,
    },
    check: { acceptedRisk: 0.05, cutSd: 0, kerfSd: 0, ...change.check },
    ...change.rest,
  });
};

export { identity };
