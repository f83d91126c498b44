/** What a pattern of places would be worth, by the verdict itself. */
import type { Job, Model } from '../../job/job.js';
import type { Edge } from '../../verdict/edges/edge.js';
import { errorField } from '../../verdict/risk/error-field.js';
import { assessRisk, neededForJob } from '../../verdict/risk/risk.js';
import { hasBounds } from '../../verdict/risk/vertices.js';
import { type Place, readingsAt } from '../places/place.js';
import { boundedBy, type CommonErrors, machineErrorsOf } from './common-errors.js';
import { type PlannedFit, type PlannedReadings, plannedFit, redundancyOf } from './planned-fit.js';

export interface Judged {
  /** Times the pointer is read in all. */
  readonly readings: number;
  readonly redundancy: number;
  /** Of the opening that needs most, mm, and which that is; undefined where no uncertainty could be claimed. */
  readonly neededClearance?: number;
  readonly worstOpening?: string;
  /** Of the whole job, as `reseat check` will say it, mm. */
  readonly jobNeededClearance?: number;
  /** Undefined where the places do not determine the model. */
  readonly fit?: PlannedFit;
}

export interface JudgedInput {
  readonly places: readonly Place[];
  readonly model: Model;
  readonly check: Job['check'];
  readonly clearance: number;
  readonly readings: PlannedReadings;
  readonly common: CommonErrors;
  readonly edges: readonly Edge[];
  /** Those of the edges among which the one that needs most is; the others are not looked at one by one. */
  readonly nearMost: readonly Edge[];
}

/** As the verdict takes them for some sixty openings: verdict/risk/draws.ts, there how much they leave open. */
const reportDraws = { opening: 1024, job: 2048 };

export const judgedBy = (input: JudgedInput): Judged => {
  const { places, model, check, clearance, edges, nearMost, common } = input;
  // Sides that nobody says are bounds here, as in the verdict; the search takes them for scatter.
  const { markSd, markSdAlone = markSd } = input.readings;
  const readings = { ...input.readings, markSd: markSdAlone };
  const { acceptedRisk } = check;
  const cost = places.reduce((sum, place) => sum + readingsAt(place), 0);
  const bare = { readings: cost, redundancy: redundancyOf(model, places) };
  const fit = plannedFit(model, places, readings);
  if (fit === undefined) return bare;
  const field = errorField(fit, { ...check, machine: machineErrorsOf(common, fit, places, readings) });
  if (field === undefined) return { ...bare, fit };
  const bounded = boundedBy(common, fit, places, readings);
  const settings = { field, acceptedRisk, ...(hasBounds(bounded) ? { bounded } : {}) };
  const { openings } = assessRisk({
    ...settings,
    edges: nearMost,
    clearance,
    draws: reportDraws.opening,
  });
  const worst = openings.reduce((a, b) => (b.neededClearance > a.neededClearance ? b : a));
  return {
    ...bare,
    fit,
    neededClearance: worst.neededClearance,
    worstOpening: worst.id,
    jobNeededClearance: neededForJob({ ...settings, edges, draws: reportDraws.job }),
  };
};
