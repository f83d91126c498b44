/** Where no uncertainty can be claimed: what stating one would show. */
import { adjust } from '../../fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../fit/fit.js';
import { mm } from '../../fit/words.js';
import type { Matrix } from '../../geometry/affine.js';
import type { TouchReadings } from '../../marks/touches.js';
import type { Edge } from '../edges/edge.js';
import { neededName } from '../explain.js';
import { type CutUncertainty, errorField } from '../risk/error-field.js';
import { neededForJob } from '../risk/risk.js';
import type { Bounded } from '../risk/vertices.js';
import type { Advice } from './advice.js';

export interface UnclaimedInput {
  readonly fit: Fit;
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  readonly options: FitOptions;
  readonly edges: readonly Edge[];
  readonly acceptedRisk: number;
  readonly uncertainty: CutUncertainty;
  readonly systematic?: Matrix;
  readonly bounded?: Bounded;
  readonly asDrawn: boolean;
}

/** An sd to show what stating one does, mm: common practice, no source. */
const exampleSd = 0.1;

/** The needed clearance if one reading were known to `exampleSd`. */
export const unclaimedAdvice = (input: UnclaimedInput): Advice[] => {
  const {
    fit,
    observations,
    touches,
    options,
    edges,
    acceptedRisk,
    uncertainty,
    systematic,
    bounded,
    asDrawn,
  } = input;
  const outcome = adjust(observations, { ...options, readingSd: exampleSd }, touches, { near: fit });
  const field = outcome.ok ? errorField(outcome.fit, uncertainty) : undefined;
  const how =
    'State how well one reading is known, fit: {reading-sd: ...}; reseat calibrate pointer measures it.';
  if (field === undefined) return [{ kind: 'state-sd', message: how }];
  const needed = neededForJob({
    edges,
    field,
    acceptedRisk,
    draws: 1024,
    ...(systematic === undefined ? {} : { systematic }),
    ...(bounded === undefined ? {} : { bounded }),
  });
  return [
    {
      kind: 'state-sd',
      message: `${how} If it were ${mm(exampleSd)} per axis, this job would need ${asDrawn ? 'an' : 'a'} ${neededName(asDrawn)} of ${mm(needed)}.`,
    },
  ];
};
